import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { linkSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { pathToFileURL } from 'node:url';
import { build } from 'vite';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { saveAtomically } from '../../electron/atomic-save.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'lowpoint-test-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));
const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);

test('saveAtomically: a new file, whole, with nothing left beside it', async () => {
  const path = join(folder, 'case.json');
  expect(await saveAtomically(path, bytes('one'))).toEqual({ ok: true, value: 'case.json' });
  expect(readFileSync(path, 'utf8')).toBe('one');
  expect(readdirSync(folder)).toEqual(['case.json']);
});

test('saveAtomically: replaces by a rename, so another name for the old file keeps the old bytes', async () => {
  const path = join(folder, 'case.json');
  writeFileSync(path, 'old');
  linkSync(path, join(folder, 'second-name'));
  const before = statSync(path).ino;
  await saveAtomically(path, bytes('new'));
  expect(readFileSync(path, 'utf8')).toBe('new');
  expect(readFileSync(join(folder, 'second-name'), 'utf8')).toBe('old');
  expect(statSync(path).ino).not.toBe(before);
});

test('saveAtomically: a target that cannot be replaced is a typed error, and no temporary file stays', async () => {
  mkdirSync(join(folder, 'taken', 'full'), { recursive: true });
  const saved = await saveAtomically(join(folder, 'taken'), bytes('x'));
  expect(saved).toMatchObject({ ok: false, error: { code: 'save-refused', name: 'taken' } });
  expect(readdirSync(folder)).toEqual(['taken']);
});

test('saveAtomically: a folder that is not there is a typed error', async () => {
  expect(await saveAtomically(join(folder, 'none', 'a.json'), bytes('x'))).toEqual({
    ok: false,
    error: { code: 'save-refused', name: 'a.json', reason: 'ENOENT' },
  });
});

test('saveAtomically: leavings of a killed save go after ten minutes, younger ones and other files stay', async () => {
  const [stale, young, other] = ['.aa.lowpoint-saving', '.bb.lowpoint-saving', '.cc.txt'].map((name) => join(folder, name));
  for (const path of [stale, young, other]) writeFileSync(path, 'x');
  const long = Date.now() / 1000 - 3600;
  utimesSync(stale, long, long);
  utimesSync(other, long, long);
  await saveAtomically(join(folder, 'a.json'), bytes('x'));
  expect(readdirSync(folder).sort()).toEqual(['.bb.lowpoint-saving', '.cc.txt', 'a.json']);
});

test('saveAtomically: 30 kills, 3 ms apart, leave a whole file each time, and a plain write does not', async () => {
  const output = join(folder, 'built');
  await build({ configFile: false, logLevel: 'silent', build: { ssr: 'electron/atomic-save.ts', outDir: output } });
  const module = pathToFileURL(join(output, 'atomic-save.js')).href;
  const ours = `const { saveAtomically } = await import('${module}'); const save = saveAtomically;`;
  const plain = "import { writeFile } from 'node:fs/promises'; const save = writeFile;";
  expect(await wholeAfterKills(ours)).toBe(KILLS);
  expect(await wholeAfterKills(plain)).toBeLessThan(KILLS);
});

const KILLS = 30;
const SIZE = 8_000_000;

/** Kills a process that saves over and over; counts the times the file was one letter throughout and of full size. */
async function wholeAfterKills(definition: string): Promise<number> {
  const path = join(folder, 'case.json');
  writeFileSync(path, 'a'.repeat(SIZE));
  const program = `${definition}
    process.send('begun');
    for (let i = 0; ; i++) await save(${JSON.stringify(path)}, new Uint8Array(${SIZE}).fill(98 + (i % 20)));`;
  let whole = 0;
  for (let kill = 0; kill < KILLS; kill++) {
    const child = spawn(process.execPath, ['--input-type=module', '-e', program], { stdio: ['ignore', 'ignore', 'inherit', 'ipc'] });
    await once(child, 'message');
    await wait(3 * kill);
    child.kill('SIGKILL');
    await once(child, 'exit');
    const found = readFileSync(path);
    if (found.length === SIZE && found.equals(Buffer.alloc(SIZE, found[0]))) whole++;
  }
  return whole;
}
