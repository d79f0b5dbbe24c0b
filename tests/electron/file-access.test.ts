import { mkdirSync, mkdtempSync, rmSync, symlinkSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { insideFolder, MOST_BYTES, openedFiles, readCapped, sampleNames } from '../../electron/file-access.ts';

let root: string;
let folder: string;
beforeAll(() => {
  root = mkdtempSync(join(tmpdir(), 'lowpoint-test-'));
  folder = join(root, 'case');
  mkdirSync(join(folder, 'meshes'), { recursive: true });
  mkdirSync(join(root, 'case-two'));
  writeFileSync(join(root, 'secret.stl'), 'secret');
  writeFileSync(join(root, 'case-two', 'other.stl'), 'other');
  writeFileSync(join(folder, 'a.json'), '{}');
  writeFileSync(join(folder, 'left.stl'), 'left');
  writeFileSync(join(folder, 'meshes', 'right.stl'), 'right');
  writeFileSync(join(folder, '..two dots.stl'), 'odd name');
  symlinkSync('../secret.stl', join(folder, 'link-out.stl'));
  symlinkSync('left.stl', join(folder, 'link-in.stl'));
  symlinkSync('..', join(folder, 'up'));
});
afterAll(() => rmSync(root, { recursive: true, force: true }));

const text = (bytes: ArrayBuffer | null): string | null => (bytes === null ? null : new TextDecoder().decode(bytes));
async function besideCase(name: string): Promise<string | null> {
  const files = openedFiles(join(root, 'none'));
  const picked = await files.open(join(folder, 'a.json'));
  if (!picked.ok) throw new Error(picked.error.code);
  return text(await files.readBeside(picked.value.handle, name));
}

describe('readBeside: inside the picked folder', () => {
  test.each([
    ['left.stl', 'left'],
    ['meshes/right.stl', 'right'],
    ['..two dots.stl', 'odd name'],
    ['link-in.stl', 'left'],
  ])('%s', async (name, content) => {
    expect(await besideCase(name)).toBe(content);
  });
});

describe('readBeside: refuses', () => {
  test.each([
    '../secret.stl',
    '../case-two/other.stl',
    'meshes/../../secret.stl',
    'meshes/../left.stl',
    './left.stl',
    'meshes//right.stl',
    '/etc/passwd',
    'link-out.stl',
    'up/secret.stl',
    '..\\secret.stl',
    'left.stl\0.json',
    '',
    '.',
    '..',
    'meshes',
    'none.stl',
    'file:///etc/passwd',
    '%2e%2e/secret.stl',
  ])('%j', async (name) => {
    expect(await besideCase(name)).toBeNull();
  });
});

test('readBeside: a handle nobody gave out reads nothing', async () => {
  expect(await openedFiles(folder).readBeside(folder, 'left.stl')).toBeNull();
});

test('insideFolder: the folder itself is not a file in it', async () => {
  expect(await insideFolder(folder, 'up/case')).toBeNull();
});

test('readCapped: a file over the cap is refused by its size alone', async () => {
  const path = join(root, 'vast.stl');
  writeFileSync(path, '');
  truncateSync(path, MOST_BYTES + 1); // sparse: takes no room
  expect(await readCapped(path)).toMatchObject({ ok: false, error: { code: 'file-too-large', size_bytes: MOST_BYTES + 1 } });
});

test('readCapped: a missing file, a folder, and a device each have their error', async () => {
  expect(await readCapped(join(root, 'none.stl'))).toEqual({ ok: false, error: { code: 'file-missing', name: 'none.stl' } });
  expect(await readCapped(folder)).toMatchObject({ ok: false, error: { code: 'file-not-a-file' } });
  expect(await readCapped('/dev/zero')).toMatchObject({ ok: false, error: { code: 'file-not-a-file' } });
});

test('samples: the first one shown stands first, others by name; an unknown one names those there are', async () => {
  const samples = join(root, 'samples');
  mkdirSync(samples);
  for (const name of ['aerobatic-drum.case.json', 'floatplane.case.json', 'low-wing.case.json', 'notes.json'])
    writeFileSync(join(samples, name), '{}');
  expect(await sampleNames(samples)).toEqual(['floatplane', 'aerobatic-drum', 'low-wing']);
  const files = openedFiles(samples);
  expect(await files.openSample('low-wing')).toMatchObject({ ok: true, value: { name: 'low-wing.case.json' } });
  expect(await files.openSample('../case/a')).toMatchObject({ ok: false, error: { code: 'sample-unknown' } });
});
