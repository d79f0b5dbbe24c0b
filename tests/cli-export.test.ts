/** Meshes of other kinds and the verb `export`, by the built command line. */
import { execFile } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { meshText, modelText, packageOfModel } from './mesh/package-of.ts';
import { box } from './mesh/shapes.ts';

const CLI = join(import.meta.dirname, '../dist/cli/main.mjs');
const SAMPLE = join(import.meta.dirname, '../sample-geometry/low-wing.case.json');
let folder: string;

interface Ended {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}
const lowpoint = (...args: string[]): Promise<Ended> =>
  new Promise((resolve) => {
    execFile(process.execPath, [CLI, ...args], { cwd: folder, timeout: 60_000 }, (fault, out, err) => {
      resolve({ code: fault === null ? 0 : typeof fault.code === 'number' ? fault.code : -1, out, err });
    });
  });
const capacity = async (...args: string[]): Promise<number> => {
  const { code, out, err } = await lowpoint('check', ...args, '--json');
  if (code !== 0) throw new Error(err);
  return JSON.parse(out).capacity_m3;
};

const OBJ = [
  'v 0 0 0',
  'v 6 0 0',
  'v 6 3 0',
  'v 0 3 0',
  'v 0 0 2',
  'v 6 0 2',
  'v 6 3 2',
  'v 0 3 2',
  'f 4 3 2 1',
  'f 5 6 7 8',
  'f 1 2 6 5',
  'f 2 3 7 6',
  'f 3 4 8 7',
  'f 4 1 5 8',
];

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'lowpoint-export-'));
  writeFileSync(join(folder, 'tank.obj'), OBJ.join('\n'));
  const inches = modelText(`<object id="1">${meshText(box([0, 0, 0], [10, 10, 10]))}</object>`, { unit: 'inch' });
  writeFileSync(join(folder, 'tank.3mf'), await packageOfModel(inches));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test('an OBJ in the unit that is given; a 3MF in its own', async () => {
  expect(await capacity('tank.obj', '--unit', 'ft')).toBeCloseTo(36 * 0.3048 ** 3, 12);
  expect(await capacity('tank.3mf')).toBeCloseTo(0.254 ** 3, 12);
});
test('a 3MF says its unit itself: another one is refused, the same one is not', async () => {
  const { code, err } = await lowpoint('check', 'tank.3mf', '--unit', 'mm');
  expect([code, err]).toEqual([
    2,
    'lowpoint: tank.3mf: Tank "tank", tank.3mf: The 3MF says itself that it is in inch, and mm was given. Leave the unit out.\n',
  ]);
  expect(await capacity('tank.3mf', '--unit', 'in')).toBeCloseTo(0.254 ** 3, 12);
});
test.each(['stl', '3mf'])("export of the sample's left tank as %s, read back, holds the same", async (format) => {
  const tanks = JSON.parse((await lowpoint('check', SAMPLE, '--json')).out).tanks;
  const left = tanks[1];
  const { code, out, err } = await lowpoint('export', SAMPLE, '--tank', left.id, '--unit', 'in', '-o', `left.${format}`, '--json');
  expect([code, err]).toEqual([0, '']);
  expect(JSON.parse(out)).toMatchObject({
    file: `left.${format}`,
    tank: left.id,
    triangles: left.triangles,
    capacity_m3: left.capacity_m3,
  });
  const again = JSON.parse((await lowpoint('check', `left.${format}`, '--unit', 'in', '--json')).out).tanks[0];
  expect([again.triangles, again.repairs]).toEqual([left.triangles, []]);
  expect(Math.abs(again.capacity_m3 / left.capacity_m3 - 1)).toBeLessThan(1e-6);
});
test('a shape by its parameters is checked and exported like any tank; a wrong one is refused in one line', async () => {
  const geometry = { kind: 'drum', diameter_m: 0.4, length_m: 0.8, frontEnd: { kind: 'dished', depth_m: 0.05 } };
  const shape = (more: object) =>
    JSON.stringify({ format: 'lowpoint-case', version: 1, name: 'a drum', tanks: [{ id: 'd', geometry: { ...geometry, ...more } }] });
  writeFileSync(join(folder, 'drum.json'), shape({}));
  const whole = await capacity('drum.json');
  expect(Math.abs(whole / (Math.PI * 0.04 * 0.8 + (2 / 3) * Math.PI * 0.04 * 0.05) - 1)).toBeLessThan(0.002);
  expect((await lowpoint('export', 'drum.json', '-o', 'drum.3mf')).code).toBe(0);
  expect(Math.abs((await capacity('drum.3mf')) / whole - 1)).toBeLessThan(1e-6);
  writeFileSync(join(folder, 'wrong.json'), shape({ rearEnd: { kind: 'spherical', depth_m: 0.3 } }));
  const { code, out, err } = await lowpoint('check', 'wrong.json');
  expect([code, out, err]).toEqual([
    2,
    '',
    'lowpoint: wrong.json: Tank "d", its shape: rearEnd.depth_m is 0.3: a spherical end is at most half a sphere. Give at most 0.2.\n',
  ]);
});
test('a bare mesh in one unit to another; a file that is there is replaced; nothing else is left behind', async () => {
  writeFileSync(join(folder, 'out.stl'), 'old');
  const { code } = await lowpoint('export', 'tank.obj', '--mesh-unit', 'm', '--unit', 'cm', '-o', 'out.stl');
  expect(code).toBe(0);
  expect(readFileSync(join(folder, 'out.stl')).length).toBe(84 + 50 * 12);
  expect(await capacity('out.stl', '--unit', 'cm')).toBeCloseTo(36, 9);
  expect(readdirSync(folder).filter((name) => name.startsWith('.'))).toEqual([]);
});
test.each<[string, string[], string]>([
  ['no file to write', ['tank.obj'], '--out'],
  ['a file of another kind', ['tank.obj', '-o', 'a.obj'], 'neither .stl nor .3mf'],
  ['over what is read', ['tank.3mf', '-o', './tank.3mf'], 'Write to another file'],
  ['an unknown unit', ['tank.obj', '-o', 'a.stl', '--unit', 'yd'], 'yd'],
  ['an unknown tank', ['tank.obj', '-o', 'a.stl', '--tank', 'tan'], 'Did you mean "tank"?'],
  ['several tanks', [SAMPLE, '-o', 'a.stl'], 'Say which with --tank'],
  ['a folder that is not there', ['tank.obj', '-o', 'no/a.stl'], 'was not saved'],
  ['a mesh unit for a case', [SAMPLE, '-o', 'a.stl', '--mesh-unit', 'mm'], 'Leave it out'],
  ['a file that is not there', ['lost.obj', '-o', 'a.stl'], 'there is no such file'],
])('refused in one line: %s', async (_, args, says) => {
  const { code, out, err } = await lowpoint('export', ...args);
  expect([code, out]).toEqual([2, '']);
  expect(err).toMatch(/^lowpoint: [^\n]+\n$/);
  expect(err).toContain(says);
  expect(readdirSync(folder)).not.toContain('a.stl');
});
