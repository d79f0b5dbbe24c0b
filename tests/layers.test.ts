import { readdirSync } from 'node:fs';
import { posix } from 'node:path';
import { describe, expect, test } from 'vitest';
import { EXCEPTIONS, importsOf, LAYERS, strayImports, strayImportsIn } from './layers.ts';

const folders = [...new Set(Object.keys(LAYERS).map((folder) => folder.split('/')[0]))];
const files = folders.flatMap((folder) =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .map((name) => posix.join(folder, name.replaceAll('\\', '/')))
    .filter((name) => /\.(ts|tsx|mjs)$/.test(name)),
);

test('layers: every file of ours was found', () => {
  expect(files).toContain('shared/case.ts');
  expect(files).toContain('electron/main.ts');
  expect(files.length).toBeGreaterThan(20);
});

test('layers: no file imports against the table', () => {
  expect(files.flatMap(strayImportsIn)).toEqual([]);
});

test('layers: every exception is still used', () => {
  for (const { file, imports } of EXCEPTIONS) {
    const said = { file, imports, used: files.includes(file) && strayImportsIn(file).length === 0 };
    expect(said).toEqual({ file, imports, used: true });
  }
});

describe('layers: the check catches', () => {
  test.each([
    ['shared/units.ts', "import { x } from '../engine/y.ts';"],
    ['shared/units.ts', "import 'node:fs';"],
    ['engine/mesh/a.ts', "import type { X } from '../../renderer/state.ts';"],
    ['engine/mesh/a.ts', "export * from '../cli/main.ts';"],
    ['engine/mesh/a.ts', "import { readFileSync } from 'node:fs';"],
    ['engine/mesh/a.ts', "const e = await import('electron');"],
    ['engine/mesh/a.ts', "import { Scene } from 'three';"],
    ['engine/mesh/a.ts', "import * as three from 'three';"],
    ['engine/mesh/a.ts', "import 'three/addons/loaders/STLLoader.js';"],
    ['renderer/view/a.tsx', "import { field } from '../../engine/basins/field.ts';"],
    ['renderer/view/a.tsx', "const link = <a href='x'>{require('electron')}</a>;"],
    ['renderer/view/a.ts', "new Worker(new URL('../../engine/worker.ts', import.meta.url));"],
    ['electron/a.ts', "import { readStl } from '../engine/mesh/read-stl.ts';"],
    ['electron/a.ts', "let mesh: import('../engine/mesh/tank-solid.ts').TankSolid;"],
    ['electron/a.ts', "import { BufferGeometry } from 'three';"],
    ['elsewhere/a.ts', ''],
  ])('%s: %s', (file, source) => {
    const lines = strayImports(file, source);
    expect(lines).toHaveLength(1);
    expect(lines[0]).toContain(file);
  });
});

test('layers: what the table allows passes', () => {
  expect(
    strayImports('engine/mesh/bvh.ts', "import { BufferGeometry } from 'three'; import type { A } from '../../shared/case.ts';"),
  ).toEqual([]);
  expect(strayImports('engine/cli/main.ts', "import { Command } from 'commander'; import { a } from '../basins/field.ts';")).toEqual([]);
});

test('importsOf: names what is imported, and reads no import in a text or a comment', () => {
  expect(importsOf('a.ts', "import { a as b } from 'x'; // import 'y'\nconst t = \"from 'z'\";")).toEqual([{ from: 'x', names: ['a'] }]);
});
