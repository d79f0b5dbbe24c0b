/** Mould figures: cone, turned cubes, sphere and an I-beam by closed forms. */
import { describe, expect, test } from 'vitest';
import type { SurfaceMesh } from '../../engine/mesh/tank-solid.ts';
import { mouldStudy } from '../../engine/studies/mould.ts';
import type { MouldAnswer, MouldTank } from '../../shared/design-answers.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { assertWithin } from '../assert-within.ts';
import { loadedOf } from '../loaded.ts';
import { loadSample } from '../sample-cases.ts';
import { box, profileAlongY, revolved } from '../shapes.ts';

const watch = { progress: () => {}, cancelled: () => false };
const rad = (angle: number): number => (angle * Math.PI) / 180;

async function mould(shape: SurfaceMesh, pull: Vector3 | 'auto', draft_deg = 2): Promise<MouldTank> {
  const answer = await mouldStudy(loadedOf([{ id: 'a', shape }]), watch, { pull, draft_deg });
  if (!answer.ok) throw new Error(answer.error.code);
  return answer.value!.tanks[0];
}

/** Turned about X, then about Z, degrees. */
function turned({ positions, triangles }: SurfaceMesh, aboutX: number, aboutZ = 0): SurfaceMesh {
  const out = positions.slice();
  for (let p = 0; p < out.length; p += 3) out.set(turnedVector([out[p], out[p + 1], out[p + 2]], aboutX, aboutZ), p);
  return { positions: out, triangles };
}
function turnedVector([x, y, z]: Vector3, aboutX: number, aboutZ: number): Vector3 {
  const [cx, sx, cz, sz] = [Math.cos(rad(aboutX)), Math.sin(rad(aboutX)), Math.cos(rad(aboutZ)), Math.sin(rad(aboutZ))];
  const [y1, z1] = [cx * y - sx * z, sx * y + cx * z];
  return [cz * x - sz * y1, sz * x + cz * y1, z1];
}

describe('cone of 48 sides, radius 0.2 m, height 0.5 m, pulled along its axis', () => {
  const [r, h, sides] = [0.2, 0.5, 48];
  const cone = revolved(
    [
      [0, r],
      [h, 0],
    ],
    sides,
  );
  const apothem = r * Math.cos(Math.PI / sides);
  const edge = 2 * r * Math.sin(Math.PI / sides);
  const lateral = (sides * edge * Math.hypot(h, apothem)) / 2;
  test('every side drafts by atan(apothem/height); the base parts flat', async () => {
    const draft = (Math.atan(apothem / h) * 180) / Math.PI;
    const wide = await mould(cone, [0, 0, 3], draft + 0.1);
    assertWithin(wide.leastDraft_deg, draft, 1e-12);
    assertWithin(wide.lowDraftArea_m2, lateral, 1e-12);
    const narrow = await mould(cone, [0, 0, -1], draft - 0.1);
    expect(narrow.lowDraftArea_m2).toBe(0);
    expect(narrow.undercutArea_m2).toBe(0);
    expect(narrow.parting).toHaveLength(1);
    assertWithin(narrow.parting[0].length_m, sides * edge, 1e-12);
    expect(narrow.parting[0].rise_m).toBeCloseTo(0, 14);
    expect(narrow.parting[0].at_m).toHaveLength(3 * sides);
    assertWithin(narrow.stock.along_m, h, 1e-13);
  });
});

describe('cube of 0.3 m turned about X', () => {
  const a = 0.3;
  const cube = box([0, 0, 0], [a, a, a]);
  test.each([1, 1.9, 2.1, 10, 30, 44])('by %d°: drafts of that angle, of 90° less it, and of 0°', async (angle) => {
    const { leastDraft_deg, lowDraftArea_m2, undercutArea_m2, draft_deg, parting, stock } = await mould(turned(cube, angle), [0, 0, 1]);
    expect(leastDraft_deg).toBe(0);
    const drafts = [...draft_deg].sort((p, q) => p - q);
    const known = [0, 0, 0, 0, angle, angle, angle, angle, 90 - angle, 90 - angle, 90 - angle, 90 - angle];
    drafts.forEach((draft, i) => {
      expect(draft).toBeCloseTo(known[i], 9);
    });
    assertWithin(lowDraftArea_m2, (angle < 2 ? 4 : 2) * a * a, 1e-12);
    expect(undercutArea_m2).toBe(0);
    // Two edges along X, and on each of the two upright sides the two edges to walls that leave downward.
    expect(parting).toHaveLength(1);
    assertWithin(parting[0].length_m, 6 * a, 1e-12);
    const wide = a * (Math.sin(rad(angle)) + Math.cos(rad(angle)));
    assertWithin(stock.along_m, wide, 1e-12);
    assertWithin(stock.long_m, wide, 1e-12);
    assertWithin(stock.short_m, a, 1e-12);
    expect(Math.abs(stock.shortSide[0])).toBeCloseTo(1, 12);
  });
  test('turned about the pull: the block turns with it', async () => {
    const { stock } = await mould(turned(box([0, 0, 0], [0.5, a, 0.2]), 0, 25), [0, 0, 1]);
    assertWithin(stock.long_m, 0.5, 1e-12);
    assertWithin(stock.short_m, a, 1e-12);
    assertWithin(Math.abs(stock.longSide[0]), Math.cos(rad(25)), 1e-12);
  });
});

test('sphere of radius 0.25 m: the zone below a draft d has area 4πr²·sin d, and it parts at its equator', async () => {
  // Rings every degree of latitude, 360 sides: the mesh is smaller than the sphere by less than 1e-4.
  const r = 0.25;
  const profile = Array.from({ length: 181 }, (_, i): [number, number] => [
    -r * Math.cos(rad(i)),
    i % 180 === 0 ? 0 : r * Math.sin(rad(i)),
  ]);
  const ball = await mould(revolved(profile, 360), [0, 0, 1], 10);
  assertWithin(ball.lowDraftArea_m2, 4 * Math.PI * r * r * Math.sin(rad(10)), 2e-4);
  assertWithin(ball.leastDraft_deg, 0.5, 1e-3); // a facet from the equator to 1° faces 0.5°
  expect(ball.undercutArea_m2).toBe(0);
  expect(ball.parting).toHaveLength(1);
  assertWithin(ball.parting[0].length_m, 2 * Math.PI * r, 1e-4);
  expect(ball.parting[0].rise_m).toBeLessThan(1e-12);
  for (const side of [ball.stock.along_m, ball.stock.long_m, ball.stock.short_m]) assertWithin(side, 2 * r, 1e-3);
});

describe('undercuts', () => {
  // Flanges 0.4 m wide and 0.05 m thick, web 0.1 m wide and 0.2 m high, 0.3 m long.
  const beam = profileAlongY(
    [
      [0, 0],
      [0.4, 0],
      [0.4, 0.05],
      [0.25, 0.05],
      [0.25, 0.25],
      [0.4, 0.25],
      [0.4, 0.3],
      [0, 0.3],
      [0, 0.25],
      [0.15, 0.25],
      [0.15, 0.05],
      [0, 0.05],
    ],
    0.3,
  );
  const inside = 4 * 0.15 * 0.3 + 2 * 0.2 * 0.3;
  test('I-beam across its web: the insides of both flanges and the web, to the last digit', async () => {
    const { undercutArea_m2, undercutFrom_m2, undercutTo_m2, parting } = await mould(beam, [0, 0, 1]);
    assertWithin(undercutArea_m2, inside, 1e-12);
    assertWithin(undercutFrom_m2, inside, 1e-12);
    assertWithin(undercutTo_m2, inside, 1e-12);
    expect(parting.length).toBeGreaterThan(1);
    assertWithin((await mould(beam, [0, 0, -1])).undercutArea_m2, inside, 1e-12);
  });
  test('turned as a whole, the same', async () => {
    const { undercutArea_m2, leastDraft_deg } = await mould(turned(beam, 37, -61), turnedVector([0, 0, 1], 37, -61));
    assertWithin(undercutArea_m2, inside, 1e-12);
    expect(leastDraft_deg).toBe(0);
  });
  test('along its length, or along its flanges, there are none; that is what is suggested', async () => {
    expect((await mould(beam, [0, 1, 0])).undercutArea_m2).toBe(0);
    expect((await mould(beam, [1, 0, 0])).undercutArea_m2).toBe(0);
    const { pull, isSuggested, tried, undercutArea_m2 } = await mould(beam, 'auto');
    expect(isSuggested).toBe(true);
    expect(tried!.directions).toBeGreaterThan(200);
    expect(undercutArea_m2).toBe(0);
    expect(pull[2]).toBeCloseTo(0, 9);
  });
  test('a lip over part of a floor hides that part, to the resolution along the shadow’s edge', async () => {
    const lip = (reach: number): SurfaceMesh =>
      profileAlongY(
        [
          [0, 0],
          [1, 0],
          [1, 0.1],
          [0.1, 0.1],
          [0.1, 0.4],
          [0.1 + reach, 0.4],
          [0.1 + reach, 0.5],
          [0, 0.5],
        ],
        0.5,
      );
    for (const reach of [0.137, 0.4, 0.723]) {
      const { undercutArea_m2, resolution_m, undercutFrom_m2, undercutTo_m2 } = await mould(lip(reach), [0, 0, 1]);
      // The floor under the lip, the lip's own underside, and the wall between them.
      const known = 0.5 * (2 * reach + 0.3);
      assertWithin(undercutArea_m2, known, resolution_m * 0.5, 1);
      expect(undercutFrom_m2).toBeLessThanOrEqual(known * (1 + 1e-12));
      expect(undercutTo_m2).toBeGreaterThanOrEqual(known * (1 - 1e-12));
      expect(resolution_m).toBeLessThan(0.0125);
    }
  });
});

test('the collector sample: figures hang together', async () => {
  const answer = await mouldStudy(await loadSample('low-wing'), watch, { pull: [0, 0, 1], tank: 'collector' });
  const { tanks, draft_deg } = (answer as { value: MouldAnswer }).value;
  const [{ undercutArea_m2, undercutFrom_m2, undercutTo_m2, wallArea_m2, undercutShare, parting, leastDraft_deg }] = tanks;
  expect(draft_deg).toBe(2);
  expect(undercutFrom_m2).toBeLessThanOrEqual(undercutArea_m2);
  expect(undercutArea_m2).toBeLessThanOrEqual(undercutTo_m2);
  expect(undercutTo_m2).toBeLessThan(wallArea_m2);
  expect(Math.max(...undercutShare)).toBeLessThanOrEqual(1);
  expect(leastDraft_deg).toBeLessThan(2);
  expect(parting.map(({ length_m }) => length_m)).toEqual(parting.map(({ length_m }) => length_m).toSorted((a, b) => b - a));
});

test('refused by line: no direction, no such tank; cancelled: nothing', async () => {
  const loaded = loadedOf([{ id: 'a', shape: box([0, 0, 0], [1, 1, 1]) }]);
  expect(await mouldStudy(loaded, watch, { pull: [0, 0, 0] })).toMatchObject({ error: { code: 'design-no-pull' } });
  expect(await mouldStudy(loaded, watch, { pull: 'auto', tank: 'b' })).toMatchObject({ error: { code: 'design-no-tank' } });
  expect(await mouldStudy(loaded, watch, { pull: 'auto', resolution: 1e-4 })).toMatchObject({
    error: { code: 'design-resolution-too-fine' },
  });
  expect(await mouldStudy(loaded, { ...watch, cancelled: () => true }, { pull: 'auto' })).toEqual({ ok: true, value: null });
});
