import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { attitudeOf } from '../../engine/gravity/condition.ts';
import { checkAnswer } from '../../engine/studies/check.ts';
import { findingsOf } from '../../engine/studies/findings.ts';
import { parkedCondition } from '../../engine/studies/parked.ts';
import { rampStudy, upOnSlope } from '../../engine/studies/ramp.ts';
import { settleCase } from '../../engine/studies/settle-case.ts';
import { unusableStudy } from '../../engine/studies/unusable.ts';
import type { CaseCondition } from '../../shared/case.ts';
import { dot } from '../../shared/vector.ts';
import { loadedOf } from '../loaded.ts';
import { box, together } from '../shapes.ts';

// A box 1.2 m long, 0.5 m wide and 0.3 m high, its lower forward left corner at the tank frame's origin.
const [L, W, H] = [1.2, 0.5, 0.3];
const plain = box([0, 0, 0], [L, W, H]);
const tan = (angle_deg: number): number => Math.tan((angle_deg * Math.PI) / 180);
const cos = (angle_deg: number): number => Math.cos((angle_deg * Math.PI) / 180);
const watch = { progress: () => {}, cancelled: () => false };
const flight = (id: string, pitch_deg: number, roll_deg = 0, n = 1): CaseCondition => ({ id, phase: 'flight', pitch_deg, roll_deg, n });
const level = { pitch_deg: 0, roll_deg: 0, n: 1 };

function taken<T>(outcome: { ok: true; value: T } | { ok: false; error: unknown }): T {
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.error));
  return outcome.value;
}

describe('settle, box, closed form', () => {
  test('level: half full', () => {
    const { tanks, fuel_m3, fuelCentroid_m } = taken(settleCase(loadedOf([{ id: 'a', shape: plain }]), level, { fill: 0.5 }));
    const [pool] = tanks[0].pools;
    expect(fuel_m3).toBeCloseTo((L * W * H) / 2, 14);
    expect(pool.level_m).toBeCloseTo(H / 2, 12);
    expect(pool.surface_m2).toBeCloseTo(L * W, 12);
    expect(fuelCentroid_m).toEqual([expect.closeTo(L / 2, 12), expect.closeTo(W / 2, 12), expect.closeTo(H / 4, 12)]);
  });
  test('nose up: the wall-sided centroid shift, Lx² tan θ / 12 h (trapezium)', () => {
    const { tanks } = taken(settleCase(loadedOf([{ id: 'a', shape: plain }]), { pitch_deg: 4, roll_deg: 0, n: 1 }, { fill: 0.5 }));
    const [pool] = tanks[0].pools;
    // Depth H/2 + tan θ·(x − L/2): first moment about the middle is W·tan θ·L³/12.
    expect(pool.centroid_m[0]).toBeCloseTo(L / 2 + (L * L * tan(4)) / (12 * (H / 2)), 12);
    expect(pool.surface_m2).toBeCloseTo((L * W) / cos(4), 12);
    expect(pool.lowest_m[0]).toBe(L);
  });
  test('right wing down: fuel goes to the right', () => {
    const { fuelCentroid_m } = taken(
      settleCase(loadedOf([{ id: 'a', shape: plain }]), { pitch_deg: 0, roll_deg: 10, n: 1 }, { fill: 0.5 }),
    );
    expect(fuelCentroid_m![1]).toBeCloseTo(W / 2 + (W * W * tan(10)) / (12 * (H / 2)), 12);
  });
  test('n below zero: the fuel is on the ceiling, and an outlet in the floor is dry', () => {
    const loaded = loadedOf([{ id: 'a', shape: plain, fittings: [{ id: 'out', kind: 'outlet', at_m: [0.6, 0.25, 0] }] }]);
    const { tanks } = taken(settleCase(loaded, { pitch_deg: 0, roll_deg: 0, n: -1 }, { fill: 0.5 }));
    expect(tanks[0].centroid_m![2]).toBeCloseTo((3 * H) / 4, 12);
    expect(tanks[0].fittings[0]).toMatchObject({ id: 'out', kind: 'outlet', cover: 'dry' });
    expect(tanks[0].fittings[0].depth_m).toBeCloseTo(-H / 2, 12);
  });
  test('a total is spread at an equal share; the capacity fits, more does not', () => {
    const loaded = loadedOf([
      { id: 'a', shape: plain },
      { id: 'b', shape: box([0, 1, 0], [L / 2, 1 + W, H]) },
    ]);
    const whole = 1.5 * L * W * H;
    expect(taken(settleCase(loaded, level, { fuel_m3: whole / 2 })).tanks.map(({ fuel_m3 }) => fuel_m3 / (L * W * H))).toEqual([
      expect.closeTo(0.5, 12),
      expect.closeTo(0.25, 12),
    ]);
    expect(settleCase(loaded, level, { fuel_m3: whole }).ok).toBe(true);
    expect(settleCase(loaded, level, { fuel_m3: whole * 1.001 })).toMatchObject({ ok: false, error: { code: 'more-than-fits' } });
  });
  test('no fuel: no pools and no centroid', () => {
    expect(taken(settleCase(loadedOf([{ id: 'a', shape: plain }]), level, { fill: 0 }))).toMatchObject({
      fuel_m3: 0,
      fuelCentroid_m: null,
      tanks: [{ centroid_m: null, pools: [] }],
    });
  });
  test.each([{ fill: -0.1 }, { fill: 1.1 }, { fill: Number.NaN }, { fuel_m3: -1 }, { fuel_m3: Number.NaN }])('refused: %o', (fuel) => {
    expect(settleCase(loadedOf([{ id: 'a', shape: plain }]), level, fuel)).toMatchObject({
      ok: false,
      error: { code: 'amount-not-valid' },
    });
  });
  test('no gravity and no number are typed errors', () => {
    const loaded = loadedOf([{ id: 'a', shape: plain }]);
    expect(settleCase(loaded, { pitch_deg: 0, roll_deg: 0, n: 0 }, { fill: 1 })).toMatchObject({ error: { code: 'no-gravity' } });
    expect(settleCase(loaded, { pitch_deg: Number.NaN, roll_deg: 0, n: 1 }, { fill: 1 })).toMatchObject({
      error: { code: 'condition-not-finite' },
    });
  });
});

describe('ramp', () => {
  const drained = (at_m: [number, number, number]) => [{ id: 'low', kind: 'drain' as const, at_m }];
  test('box, drain in the middle of the floor: worst L²W tan s / 8, along the long side', async () => {
    const answer = (await rampStudy(loadedOf([{ id: 'a', shape: plain, fittings: drained([L / 2, W / 2, 0]) }]), watch, { slope_deg: 3 }))!;
    expect(answer.worst.left_m3).toBeCloseTo((L * L * W * tan(3)) / 8, 12);
    expect(Math.abs(answer.worst.pitch_deg)).toBeCloseTo(3, 10);
    expect(answer.grid.change).toBeLessThan(0.02);
    expect(answer.slopes.find(({ slope_deg }) => slope_deg === 0)!.left_m3).toBeCloseTo(0, 14);
  });
  test('box, drain in the forward left corner: worst is the plane through that corner, falling to the opposite one', async () => {
    // Plane through the corner, falling along (cos d, sin d): depth (x cos d + y sin d)·tan s, so V = ½ LW (L cos d + W sin d) tan s while no side is overtopped.
    const answer = (await rampStudy(loadedOf([{ id: 'a', shape: plain, fittings: drained([0, 0, 0]) }]), watch, { slope_deg: 5 }))!;
    const most = (L * W * Math.hypot(L, W) * tan(5)) / 2;
    expect(answer.worst.left_m3).toBeLessThan(most * (1 + 1e-12));
    expect(answer.worst.left_m3).toBeGreaterThan(most * 0.99);
    expect(answer.map.length).toBeGreaterThan(4 * 48);
    for (const { slope_deg, downhill_deg, left_m3 } of [...answer.map, ...answer.slopes]) {
      const fall = Math.PI - (downhill_deg * Math.PI) / 180; // downhill 180 is aft, +X
      const [fx, fy] = [Math.cos(fall), Math.sin(fall)];
      if (fx < 0 || fy < 0) continue;
      expect(left_m3).toBeCloseTo((L * W * (L * fx + W * fy) * tan(slope_deg)) / 2, 12);
    }
  });
  test('a requirement decides, a tank without a drain keeps everything', async () => {
    const loaded = loadedOf([{ id: 'a', shape: plain }], { requirements: { rampSlope_deg: 2, waterLeft_m3: 0.001 } });
    const answer = (await rampStudy(loaded, watch))!;
    expect(answer.rampSlope_deg).toBe(2);
    expect(answer.worst.left_m3).toBeCloseTo(L * W * H, 14);
    expect(answer.requirement).toEqual({ waterLeft_m3: 0.001, met: false });
    expect(answer.notices).toEqual(['Tank "a" has no drain: it keeps all the water it holds.']);
  });
  test('two bodies: each low point has its own drain or none, and the parts add up', async () => {
    const shape = together(box([0, 0, 0], [0.4, 0.5, 0.3]), box([0.6, 0, 0.1], [1, 0.5, 0.3]));
    const answer = (await rampStudy(loadedOf([{ id: 'a', shape, fittings: drained([0.2, 0.25, 0]) }]), watch, { slope_deg: 1 }))!;
    // Floors of 0.4 × 0.5 m each: half the water falls on either.
    expect(answer.slopes[0].tanks[0].lowPoints.map(({ share }) => share)).toEqual([expect.closeTo(0.5, 12), expect.closeTo(0.5, 12)]);
    for (const slope of answer.slopes) {
      const [tank] = slope.tanks;
      expect(tank.lowPoints.map(({ drain }) => drain)).toEqual(['low', null]);
      expect(tank.lowPoints[1].holds_m3).toBeCloseTo(0.4 * 0.5 * 0.2, 14);
      expect(tank.lowPoints.reduce((sum, { holds_m3 }) => sum + holds_m3, 0)).toBeCloseTo(tank.left_m3, 14);
    }
  });
  test('slope of zero: level alone', async () => {
    const answer = (await rampStudy(loadedOf([{ id: 'a', shape: plain, fittings: drained([0, 0, 0]) }]), watch, { slope_deg: 0 }))!;
    expect(answer.slopes).toHaveLength(1);
    expect(answer.grid.change).toBe(0);
  });
  test('the worst is among the slopes told in detail; without shares the figures are the same', async () => {
    const loaded = loadedOf([{ id: 'a', shape: plain, fittings: drained([0, 0, 0]) }]);
    const [full, short] = [(await rampStudy(loaded, watch))!, (await rampStudy(loaded, watch, { shares: false }))!];
    const { pitch_deg, roll_deg, left_m3 } = full.worst;
    expect(full.slopes).toContainEqual(expect.objectContaining({ pitch_deg, roll_deg, left_m3 }));
    const bare = full.slopes.map((slope) => ({
      ...slope,
      tanks: slope.tanks.map((tank) => ({ ...tank, lowPoints: tank.lowPoints.map(({ share: _, ...rest }) => rest) })),
    }));
    expect(short).toEqual({ ...full, slopes: bare });
    expect(full.slopes.every(({ tanks }) => Math.abs(tanks[0].lowPoints[0].share! - 1) < 1e-12)).toBe(true);
  });
  test('cancelled: nothing; progress rises to 1', async () => {
    const seen: number[] = [];
    const loaded = loadedOf([{ id: 'a', shape: plain }]);
    await rampStudy(loaded, { progress: (share) => void seen.push(share), cancelled: () => false });
    expect(seen.at(-1)).toBe(1);
    expect(seen).toEqual(seen.toSorted((a, b) => a - b));
    expect(seen.length).toBeGreaterThan(10);
    expect(await rampStudy(loaded, { progress: () => {}, cancelled: () => true })).toBeNull();
  });
});

describe('upOnSlope', () => {
  test.each([
    [{ pitch_deg: 0, roll_deg: 0 }, 0, -5, 0],
    [{ pitch_deg: 0, roll_deg: 0 }, 180, 5, 0],
    [{ pitch_deg: 0, roll_deg: 0 }, 90, 0, 5],
    [{ pitch_deg: 0, roll_deg: 0 }, 270, 0, -5],
    [{ pitch_deg: 11, roll_deg: 0 }, 180, 16, 0],
    [{ pitch_deg: 11, roll_deg: 0 }, 0, 6, 0],
    [{ pitch_deg: 0, roll_deg: 3 }, 90, 0, 8],
  ])('parked at %o, ground falling towards %d° by 5°: pitch %d°, roll %d°', (parked, downhill_deg, pitch_deg, roll_deg) => {
    const attitude = attitudeOf(upOnSlope({ ...parked, n: 1 }, { slope_deg: 5, downhill_deg }));
    expect(attitude.pitch_deg).toBeCloseTo(pitch_deg, 10);
    expect(attitude.roll_deg).toBeCloseTo(roll_deg, 10);
  });
  test('up always leans from the parked one by the slope (fast-check, seed 3)', () => {
    const angle = fc.double({ min: -60, max: 60, noNaN: true });
    fc.assert(
      fc.property(
        angle,
        angle,
        fc.double({ min: 0, max: 45, noNaN: true }),
        fc.double({ min: 0, max: 360, noNaN: true }),
        (pitch_deg, roll_deg, slope_deg, downhill_deg) => {
          const parked = { pitch_deg, roll_deg, n: 1 };
          const lean = dot(upOnSlope(parked, { slope_deg, downhill_deg }), upOnSlope(parked, { slope_deg: 0, downhill_deg: 0 }));
          expect(lean).toBeCloseTo(cos(slope_deg), 12);
        },
      ),
      { seed: 3 },
    );
  });
});

describe('unusable, box, closed form', () => {
  const h = 0.04;
  const conditions = [flight('level', 0), flight('climb', 5), flight('glide', -5), flight('slip', 0, 10)];
  test('outlet forward: nose up leaves W·L·(h + ½ L tan θ)', () => {
    const loaded = loadedOf([{ id: 'a', shape: plain, fittings: [{ id: 'out', kind: 'outlet', at_m: [0, W / 2, h] }] }], { conditions });
    const answer = unusableStudy(loaded);
    const left = Object.fromEntries(answer.conditions.map(({ id, unusable_m3 }) => [id, unusable_m3]));
    expect(left['level']).toBeCloseTo(W * L * h, 14);
    expect(left['climb']).toBeCloseTo(W * L * (h + (L * tan(5)) / 2), 14);
    // Nose down the floor's aft part runs dry: a triangle h high and h / tan θ long.
    expect(left['glide']).toBeCloseTo((W * h * h) / tan(5) / 2, 14);
    // Roll about the middle: the floor to the left runs dry where W/2 tan θ > h.
    const deep = h + (W / 2) * tan(10);
    expect(left['slip']).toBeCloseTo((L * deep * deep) / tan(10) / 2, 14);
    expect(answer.worst).toBe('climb');
    expect(answer.conditions[0].tanks).toEqual([{ id: 'a', outlet: 'out', left_m3: expect.closeTo(W * L * h, 14) }]);
    expect(answer.notices).toEqual([]);
  });
  test('an opening counts by its highest point: facing aft by half its bore, facing up by nothing', () => {
    const at = (facing: [number, number, number]) =>
      unusableStudy(
        loadedOf([{ id: 'a', shape: plain, fittings: [{ id: 'out', kind: 'outlet', at_m: [0.6, W / 2, h], bore_m: 0.02, facing }] }], {
          conditions: [flight('level', 0)],
        }),
      ).unusable_m3;
    expect(at([1, 0, 0])).toBeCloseTo(W * L * (h + 0.01), 14);
    expect(at([0, 0, 7])).toBeCloseTo(W * L * h, 14);
  });
  test('no outlet: all of it; line ends count as a way out; both are said', () => {
    const shapes = [
      { id: 'a', shape: plain },
      {
        id: 'b',
        shape: box([0, 1, 0], [L, 1 + W, H]),
        fittings: [{ id: 'end', kind: 'line' as const, at_m: [0.6, 1.2, 0] as [number, number, number] }],
      },
    ];
    const answer = unusableStudy(loadedOf(shapes, { conditions: [flight('level', 0)], requirements: { unusableFuel_m3: 0.2 } }));
    expect(answer.conditions[0].tanks).toEqual([
      { id: 'a', outlet: null, left_m3: expect.closeTo(L * W * H, 14) },
      { id: 'b', outlet: 'end', left_m3: expect.closeTo(0, 14) },
    ]);
    expect(answer.requirement).toEqual({ unusableFuel_m3: 0.2, met: true });
    expect(answer.notices).toEqual([
      'Tank "a" has no outlet: all it holds counts as unusable.',
      'Tank "b" has no outlet: its line ends count as its way out.',
    ]);
  });
  test('without flight conditions the default set is used, said, and sourced', () => {
    const answer = unusableStudy(loadedOf([{ id: 'a', shape: plain, fittings: [{ id: 'out', kind: 'outlet', at_m: [0.6, W / 2, 0] }] }]));
    expect(answer.conditions.length).toBeGreaterThan(9);
    expect(answer.notices[0]).toMatch(/names no flight condition/);
    expect(answer.conditions.every(({ source }) => source.length > 5)).toBe(true);
  });
});

test('check: capacity, bounds, lowest point and what each low point holds as parked', () => {
  const shape = together(box([0, 0, 0], [0.4, 0.5, 0.3]), box([0.6, 0, 0.1], [1, 0.5, 0.3]));
  const answer = checkAnswer(
    loadedOf([{ id: 'a', shape }], { conditions: [{ id: 'parked', phase: 'ground', pitch_deg: 10, roll_deg: 0, n: 1 }] }),
  );
  const [tank] = answer.tanks;
  expect(answer.condition).toEqual({ pitch_deg: 10, roll_deg: 0, n: 1 });
  expect(tank.capacity_m3).toBeCloseTo(0.4 * 0.5 * 0.3 + 0.4 * 0.5 * 0.2, 14);
  expect(tank.bounds_m).toEqual({ min: [0, 0, 0], max: [1, 0.5, 0.3] });
  expect(tank.lowPoints.map(({ holds_m3 }) => holds_m3)).toEqual([expect.closeTo(0.04, 14), expect.closeTo(0.06, 14)]); // deepest first
  expect(tank.lowest_m[0]).toBe(1); // nose up 10° the aft body's aft edge is lowest
});

test('parkedCondition: by id, else the first on the ground, else level', () => {
  const of = (conditions: CaseCondition[]) => parkedCondition(loadedOf([], { conditions }).file);
  const ground = (id: string, pitch_deg: number): CaseCondition => ({ ...flight(id, pitch_deg), phase: 'ground' });
  expect(of([ground('taxi', 1), ground('parked', 2)]).pitch_deg).toBe(2);
  expect(of([flight('climb', 9), ground('taxi', 1)])).toEqual({ pitch_deg: 1, roll_deg: 0, n: 1 });
  expect(of([flight('climb', 9)])).toEqual(level);
});

test('findings: states, figures and the condition to look at', async () => {
  const shape = together(box([0, 0, 0], [0.4, 0.5, 0.3]), box([0.6, 0, 0.1], [1, 0.5, 0.3]));
  const fittings = [
    { id: 'out', kind: 'outlet' as const, at_m: [0.2, 0.25, 0.02] as [number, number, number] },
    { id: 'low', kind: 'drain' as const, at_m: [0, 0.25, 0.01] as [number, number, number] },
  ];
  const loaded = loadedOf([{ id: 'a', shape, fittings }], {
    conditions: [flight('level', 0)],
    requirements: { unusableFuel_m3: 0.05, waterLeft_m3: 0.0001, rampSlope_deg: 1 },
  });
  const findings = findingsOf(loaded, unusableStudy(loaded), (await rampStudy(loaded, watch))!);
  const byId = Object.fromEntries(findings.map((finding) => [finding.id, finding]));
  expect(byId['unusable']).toMatchObject({ state: 'met', value: { amount: expect.closeTo(0.04 + 0.4 * 0.5 * 0.02, 14) }, show: level });
  expect(byId['ramp'].state).toBe('not met');
  expect(byId['cover:a/out'].value!.amount).toBeCloseTo(0.04 + 0.4 * 0.5 * 0.02, 14);
  expect(byId['drain:a/low']).toMatchObject({ state: 'not met', value: { amount: expect.closeTo(0.01, 12), quantity: 'length' } });
  expect(byId['lowpoint:a:1'].value!.amount).toBeCloseTo(0.04, 14);
  for (const { source, text } of findings) expect(Math.min(source.length, text.length)).toBeGreaterThan(10);
});
