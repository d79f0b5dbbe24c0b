import { describe, expect, test } from 'vitest';
import { cutPolygon } from '../../engine/mesh/cut-polygon.ts';
import { readMesh } from '../../engine/mesh/read-mesh.ts';
import { soundMesh } from '../../engine/mesh/sound-mesh.ts';
import { describeMeshError } from '../../shared/mesh-errors.ts';
import { binaryStl, box, utf8, volumeOfMesh } from './shapes.ts';

const VERTICES = 'v 0 0 0\nv 200 0 0\nv 200 200 0\nv 0 200 0\nv 0 0 200\nv 200 0 200\nv 200 200 200\nv 0 200 200\n';
const FACES = 'f 4 3 2 1\nf 5 6 7 8\nf 1 2 6 5\nf 2 3 7 6\nf 3 4 8 7\nf 4 1 5 8\n';
const cube = VERTICES + FACES;

async function litresOf(text: string | Uint8Array, name = 'a.obj'): Promise<number> {
  const read = await readMesh(name, typeof text === 'string' ? utf8(text) : text);
  if (!read.ok) throw new Error(describeMeshError(read.error));
  const sound = await soundMesh(read.value.corners, { unitToMetre: 1e-3, space: 'auto' });
  if (!sound.ok) throw new Error(describeMeshError(sound.error));
  return volumeOfMesh(sound.value.mesh) * 1000;
}

describe('readObj: ways to write a cube of 8 L', () => {
  const behind = FACES.replace(/\d/g, (d) => String(Number(d) - 9));
  test.each<[string, string]>([
    ['plain', cube],
    ['CRLF', cube.replaceAll('\n', '\r\n')],
    ['CR', cube.replaceAll('\n', '\r')],
    ['a byte order mark, tabs, comments, no last newline', `\ufeff# made\n${cube.replaceAll(' ', '\t').trimEnd()}`],
    ['counted from the end', VERTICES + behind],
    ['faces before vertices', FACES + VERTICES],
    ['texture and normal', `${VERTICES}vt 0 0\nvn 0 0 1\n${FACES.replace(/(\d)/g, '$1/1/1')}`],
    ['normal alone', `${VERTICES}vn 0 0 1\n${FACES.replace(/(\d)/g, '$1//1')}`],
    ['texture alone', `${VERTICES}vt 0 0\n${FACES.replace(/(\d)/g, '$1/1')}`],
    [
      'weights, colours, groups, materials',
      `mtllib a.mtl\no tank\ng skin\ns off\nusemtl steel\n${VERTICES.replaceAll(/(v .*)/g, '$1 1 0.5 0.5 0.5')}${FACES}`,
    ],
    ['a line joined to the next', cube.replace('f 4 3 2 1', 'f 4 3 \\\n2 1')],
    [
      'a corner on an edge that the neighbours have too',
      `${cube.replace('f 1 2 6 5', 'f 1 9 2 6 5').replace('f 4 3 2 1', 'f 4 3 2 9 1')}v 100 0 0\n`,
    ],
    ['exponents', cube.replaceAll('200', '2E+2')],
  ])('%s', async (_, text) => expect(await litresOf(text)).toBeCloseTo(8, 9));

  test('an L-shaped end, either way round', async () => {
    const L = ['0 0', '200 0', '200 100', '100 100', '100 200', '0 200'];
    const vertices = [0, 200].flatMap((z) => L.map((xy) => `v ${xy} ${z}`));
    const sides = L.map((_, i) => `f ${i + 1} ${((i + 1) % 6) + 1} ${((i + 1) % 6) + 7} ${i + 7}`);
    const text = [...vertices, 'f 6 5 4 3 2 1', 'f 7 8 9 10 11 12', ...sides, ''].join('\n');
    expect(await litresOf(text)).toBeCloseTo(6, 9);
  });
  test('points and lines are left out, and it says so', async () => {
    const read = await readMesh('a.obj', utf8(`${cube}l 1 2\np 3\n`));
    expect(read.ok && read.value.notices).toEqual([
      '6 faces with more than three corners were cut into triangles.',
      '2 points and lines bound no volume and were left out.',
    ]);
  });
  test('an STL under the name is read as what it is', async () => {
    expect(await litresOf(binaryStl(box([0, 0, 0], [200, 200, 200])))).toBeCloseTo(8, 9);
  });
  test('no unit is in the file', async () => {
    const read = await readMesh('a.obj', utf8(cube));
    expect(read.ok && read.value.unit).toBe(null);
  });
});

describe('cutPolygon', () => {
  test('a square with a corner in the middle of each side keeps all eight', () => {
    const cut = cutPolygon([0, 0, 1, 0, 2, 0, 2, 1, 2, 2, 1, 2, 0, 2, 0, 1])!;
    expect([cut.length, new Set(cut).size]).toEqual([18, 8]);
  });
  test('a comb of 400 corners adds up', () => {
    const flat: number[] = [];
    for (let i = 0; i < 199; i++) flat.push(i, i % 2 === 0 ? 0 : 5);
    flat.push(198, 9, 0, 9);
    expect(cutPolygon(flat)!.length).toBe(3 * (flat.length / 2 - 2));
  });
  test.each<[string, number[]]>([
    ['a bow-tie', [0, 0, 2, 2, 2, 0, 0, 2]],
    ['all in a line', [0, 0, 1, 0, 2, 0, 3, 0]],
    ['clockwise', [0, 0, 0, 2, 2, 2, 2, 0]],
    ['a corner twice', [0, 0, 2, 0, 2, 0, 2, 2]],
  ])('%s is refused', (_, flat) => expect(cutPolygon(flat)).toBe(null));
});

const BROKEN: Record<string, [text: string | Uint8Array, code: string, says?: string]> = {
  empty: ['', 'mesh-empty'],
  'no faces': [VERTICES, 'mesh-empty'],
  'comments alone': ['# nothing\n\n', 'mesh-empty'],
  'bytes that are no text': [Uint8Array.of(0x76, 0x20, 0, 1, 2), 'mesh-obj-binary', 'position 3'],
  'another text': ['{"a": 1}\n', 'mesh-obj-line', 'Line 1'],
  'a word that is not in the format': [`${VERTICES}q 1 2 3\n${FACES}`, 'mesh-obj-line', 'Line 9 of the OBJ has "q"'],
  'two numbers': [cube.replace('v 200 0 0', 'v 200 0'), 'mesh-obj-line', 'Line 2'],
  'eight numbers': [cube.replace('v 200 0 0', 'v 200 0 0 1 1 1 1 1'), 'mesh-obj-line', 'Line 2'],
  'a decimal comma': [cube.replace('v 200 0 0', 'v 200,5 0 0'), 'mesh-obj-line', '"200,5"'],
  nan: [cube.replace('v 200 0 0', 'v nan 0 0'), 'mesh-obj-line', 'finite'],
  inf: [cube.replace('v 200 0 0', 'v 1e999 0 0'), 'mesh-obj-line', 'finite'],
  'a word for a number': [cube.replace('v 200 0 0', 'v left 0 0'), 'mesh-obj-line'],
  'a face of two': [cube.replace('f 5 6 7 8', 'f 5 6'), 'mesh-obj-line', 'three corners'],
  'cut in a face': [cube.slice(0, -5), 'mesh-obj-line', 'Line 14'],
  'vertices lost': [`v 0 0 0\n${FACES}`, 'mesh-obj-index', 'and there are 1'],
  'a corner of zero': [cube.replace('f 5 6 7 8', 'f 0 6 7 8'), 'mesh-obj-index', 'Line 10'],
  'a corner beyond the last': [cube.replace('f 5 6 7 8', 'f 5 6 9'), 'mesh-obj-index', 'vertex 9'],
  'a corner before the first': [cube.replace('f 5 6 7 8', 'f -9 6 7'), 'mesh-obj-index', 'vertex -9'],
  'a corner with a fraction': [cube.replace('f 5 6 7 8', 'f 5.5 6 7 8'), 'mesh-obj-line', '5.5'],
  'corners written in two ways': [cube.replace('f 5 6 7 8', 'f 5/1 6 7 8'), 'mesh-obj-line', 'all alike'],
  'a corner with four parts': [cube.replace('f 5 6 7 8', 'f 5/1/1/1 6/1/1/1 7/1/1/1'), 'mesh-obj-line'],
  'a face that crosses itself': [cube.replace('f 5 6 7 8', 'f 5 7 6 8'), 'mesh-obj-polygon', 'line 10'],
  'a face in a line': [`${cube}v 0 0 0\nv 1 0 0\nv 2 0 0\nv 3 0 0\nf 9 10 11 12\n`, 'mesh-obj-polygon'],
  'a curved surface': [`${cube}cstype bspline\n`, 'mesh-obj-curved', 'cstype'],
  'a call on another file': [`call other.obj\n${cube}`, 'mesh-obj-curved', 'call'],
  'a word without end': [`${cube}f ${'9'.repeat(100_000)} 1 2\n`, 'mesh-obj-line'],
};

describe('broken OBJ files: one line, what and where', () => {
  test('there are at least 15', () => expect(Object.keys(BROKEN).length).toBeGreaterThanOrEqual(15));
  test.each(Object.entries(BROKEN))('%s', async (_, [text, code, says]) => {
    const read = await readMesh('a.obj', typeof text === 'string' ? utf8(text) : text);
    if (read.ok) throw new Error(`taken, with ${read.value.corners.length / 9} triangles`);
    const line = describeMeshError(read.error);
    expect(read.error.code, line).toBe(code);
    expect(line).toMatch(/^[A-Z0-9][^\n]{20,}\.$/);
    expect(line.length).toBeLessThan(300);
    expect(line).toContain(says ?? '');
  });
  test('a kind that is not read', async () => {
    const read = await readMesh('a.ply', utf8(cube));
    expect(!read.ok && describeMeshError(read.error)).toBe('a.ply is no mesh that is read here. Export it as STL, OBJ or 3MF.');
  });
});
