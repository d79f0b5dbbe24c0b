import { describe, expect, test } from 'vitest';
import { readStl } from '../../engine/mesh/read-stl.ts';
import { describeMeshError } from '../../shared/mesh-errors.ts';
import { binaryStl, box, corners, cylinder, textStl, utf8 } from './shapes.ts';

const faces = cylinder(0.5, 2, 12);
const read = (bytes: Uint8Array) => {
  const result = readStl(bytes);
  if (!result.ok) throw new Error(describeMeshError(result.error));
  return result.value;
};
const refusal = (text: string) => {
  const result = readStl(utf8(text));
  if (result.ok) throw new Error('it was taken');
  return result.error;
};

describe('readStl, binary', () => {
  test('corners are the stored float32, in file order', () => {
    const { format, corners: found } = read(binaryStl(faces));
    expect(format).toBe('stl-binary');
    expect([...found]).toEqual([...corners(faces)].map(Math.fround));
  });
  test('from the middle of a larger buffer', () => {
    const file = binaryStl(faces);
    const larger = new Uint8Array(file.length + 7);
    larger.set(file, 3);
    expect(read(larger.subarray(3, 3 + file.length)).corners).toEqual(read(file).corners);
  });
  test('a header that begins with "solid" proves nothing', () => {
    expect(read(binaryStl(faces, 'solid facet normal')).format).toBe('stl-binary');
  });
  test('extra data in the last two bytes is told', () => {
    const file = binaryStl(faces);
    file[84 + 48] = 1;
    expect(read(file).notices).toEqual([expect.stringContaining('1 triangle with extra data')]);
  });
  test('a count that the bytes do not bear out allocates nothing and says both figures', () => {
    const file = binaryStl([]).slice();
    new DataView(file.buffer).setUint32(80, 0xffffffff, true);
    const result = readStl(file);
    expect(result).toEqual({
      ok: false,
      error: { code: 'mesh-size-off', declared: 4294967295, bytes: 84, expected: 84 + 50 * 4294967295 },
    });
    expect(!result.ok && describeMeshError(result.error)).toContain('cut short');
  });
  test('trailing bytes are counted', () => {
    const file = binaryStl(faces);
    const longer = new Uint8Array(file.length + 5);
    longer.set(file);
    const result = readStl(longer);
    expect(!result.ok && describeMeshError(result.error)).toContain('5 bytes after its last triangle');
  });
});

describe('readStl, text', () => {
  const wanted = [...corners(faces)];
  test('every digit is kept', () => {
    const { format, corners: found } = read(utf8(textStl(faces)));
    expect(format).toBe('stl-ascii');
    expect([...found]).toEqual(wanted);
  });
  for (const [name, change] of [
    ['CRLF', (s: string) => s.replaceAll('\n', '\r\n')],
    ['upper case', (s: string) => s.toUpperCase()],
    ['tabs and blank lines', (s: string) => `\n\n${s.replaceAll(' ', '\t').replaceAll('\n', '\n\n')}`],
    ['no last newline', (s: string) => s.trimEnd()],
    ['a name with the words of the format in it', (s: string) => s.replaceAll('tank', 'facet normal endsolid')],
    ['no name', (s: string) => s.replaceAll('tank', '')],
    ['normals that are not numbers', (s: string) => s.replaceAll('normal 0 0 0', 'normal nan nan nan')],
    ['all on one line after the name', (s: string) => s.replace('\n', '#').replaceAll('\n', ' ').replace('#', '\n')],
  ] as const) {
    test(`takes ${name}`, () => expect([...read(utf8(change(textStl(faces)))).corners]).toEqual(wanted));
  }
  test('two solids are read as one and told', () => {
    const { corners: found, notices } = read(utf8(textStl(faces) + textStl(faces)));
    expect(found.length).toBe(2 * wanted.length);
    expect(notices).toEqual([expect.stringContaining('2 solids')]);
  });
  const text = textStl(box([0, 0, 0], [1, 1, 1]));
  test('the line of a fault is named', () => {
    expect(refusal(text.replace('vertex 0 0 0', 'vertex 0 0,5 0'))).toEqual({ code: 'mesh-text-comma', line: 4, found: '0,5' });
    expect(refusal(text.replace('vertex 1 1 0', 'vertex 1 nan 0'))).toEqual({ code: 'mesh-text-number', line: 6, found: 'nan' });
    expect(refusal(text.replace('vertex 1 1 0', 'vertex 1 0x1 0'))).toEqual({ code: 'mesh-text-number', line: 6, found: '0x1' });
    expect(refusal(text.replace('vertex 1 1 0', 'vertex 1 1'))).toMatchObject({ code: 'mesh-text-line', line: 6, found: '2 numbers' });
    expect(refusal(text.replace(/ {3}vertex 0 0 0\n/, ''))).toEqual({ code: 'mesh-text-facet', line: 6, vertices: 2 });
    expect(refusal(text.replace('endfacet', 'endfact'))).toMatchObject({ code: 'mesh-text-line', line: 8, found: 'endfact' });
    expect(refusal(text.slice(0, text.indexOf('endsolid')))).toEqual({ code: 'mesh-text-unfinished', line: 86 });
  });
  test('a long word is not taken for its beginning', () => {
    expect(refusal(text.replace('vertex 0 0 0', `vertex 0 0 ${'0'.repeat(64)}.5x`))).toMatchObject({ code: 'mesh-text-number', line: 4 });
    expect(refusal(text.replace('vertex 0 0 0', `vertex 0 0 ${'0'.repeat(64)}7`))).toMatchObject({ code: 'mesh-text-number', line: 4 });
  });
  test('time grows with the size, not its square: 8 MB of one word and of blanks', () => {
    for (const filler of ['x'.repeat(8_000_000), ' '.repeat(8_000_000), 'solid '.repeat(1_300_000), '1,'.repeat(4_000_000)]) {
      const before = performance.now();
      expect(readStl(utf8(`solid a\nfacet ${filler}`)).ok).toBe(false);
      expect(performance.now() - before).toBeLessThan(5_000); // a quadratic scan takes hours
    }
  });
});

test('every refusal is one line that ends in what to do', () => {
  for (const bytes of [new Uint8Array(0), new Uint8Array(50), binaryStl([]), utf8('solid a\nfacet\n'), utf8('solid a\nendsolid')]) {
    const result = readStl(bytes);
    expect(result.ok).toBe(false);
    if (!result.ok) expect(describeMeshError(result.error)).toMatch(/^[^\n]+\. [A-Z][^\n]+\.$|^[^\n]+: [^\n]+\. [A-Z][^\n]+\.$/);
  }
});
