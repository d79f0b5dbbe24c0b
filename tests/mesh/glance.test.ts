import { expect, test } from 'vitest';
import { glanceAt, likelyUnit } from '../../engine/mesh/glance.ts';
import { readStl } from '../../engine/mesh/read-stl.ts';
import { assertWithin } from '../assert-within.ts';
import { binaryStl, box, type Face, sphere } from './shapes.ts';

async function glance(faces: readonly Face[]) {
  const read = readStl(binaryStl(faces));
  if (!read.ok) throw new Error(read.error.code);
  return glanceAt(read.value);
}

test('glanceAt: size and volume in file units, whatever the unit', async () => {
  for (const [side, unit] of [
    [400, 'mm'],
    [0.5, 'm'],
    [24, 'in'],
  ] as const) {
    const seen = await glance(box([side, 0, 0], [2 * side, side, side / 2]));
    expect([seen.format, seen.triangles, seen.size, seen.likelyUnit, seen.repairs, seen.notices]).toEqual([
      'stl-binary',
      12,
      [side, side, side / 2],
      unit,
      [],
      [],
    ]);
    assertWithin(seen.volume!, side ** 3 / 2, 1e-9);
  }
});
test('glanceAt: an open mesh has no volume and says why', async () => {
  const seen = await glance(sphere(300, 3).filter((f) => !f.some((p) => p[2] > 250)));
  expect([seen.volume, seen.likelyUnit]).toEqual([null, 'mm']);
  expect(seen.notices).toEqual([expect.stringContaining('The surface is open')]);
});
test('glanceAt: repairs are told', async () => {
  expect((await glance(box([0, 0, 0], [400, 400, 400]).slice(1))).repairs.map((r) => r.kind)).toEqual(['caps']);
});
test('likelyUnit: longest side of a tank between 0.1 and 6 m, millimetres first', () => {
  expect([100, 6000, 1, 6, 0.1, 40, 99, 5e5, 0.01].map(likelyUnit)).toEqual(['mm', 'mm', 'm', 'm', 'm', 'in', 'in', 'mm', 'm']);
});
