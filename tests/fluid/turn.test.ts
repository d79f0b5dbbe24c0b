/**
 * Fuel with a memory. By hand on the tanks of basin-tanks.ts, drawn in X and Z: nose up by an angle of tangent t, a free surface rises aft
 * as z = z₀ + t·x, and the left basin spills over the corner (1, 1) of its baffle.
 */
import type { Manifold } from 'manifold-3d';
import { describe, expect, test } from 'vitest';
import { type Field, isUnder, makeField } from '../../engine/basins/field.ts';
import { settleAmounts } from '../../engine/fluid/settle.ts';
import { carry, largestChange, type Standing, turnSteps, turnTo, turnUntilSteady } from '../../engine/fluid/turn.ts';
import { exactWays } from '../../engine/fluid/ways.ts';
import { apparentGravity } from '../../engine/gravity/condition.ts';
import { buildTankSolid, type TankSolid } from '../../engine/mesh/tank-solid.ts';
import { fieldsOfCase, parkedCondition } from '../../engine/studies/parked.ts';
import { poured } from '../../engine/studies/pour.ts';
import { measurePool } from '../../engine/surface/pool.ts';
import { dot, normalize, type Vector3 } from '../../shared/vector.ts';
import { assertWithin } from '../assert-within.ts';
import { threeBasins, twoBasins } from '../basin-tanks.ts';
import { manifoldKernel, manifoldPools, randomSolid, randomUp, seeded, solidOf } from '../random-solids.ts';
import { loadSample, SAMPLES } from '../sample-cases.ts';
import { box } from '../shapes.ts';

const LEVEL: Vector3 = [0, 0, 1];
const noseUp = (tangent: number): Vector3 => normalize([-tangent, 0, 1]);

/** Fuel put into the pockets that hold the given places along X. */
function standing(solid: TankSolid, up: Vector3, put: readonly (readonly [x: number, volume: number])[]): Standing {
  const field = makeField(solid, up);
  const amounts = new Float64Array(field.arcs.length);
  for (const [x, volume] of put) amounts[pocketAt(field, x)] += volume;
  return { field, pools: settleAmounts(field, amounts, exactWays.spill) };
}

/** The pocket whose low point lies nearest along X. */
function pocketAt(field: Field, x: number): number {
  const { positions, origin } = field.solid;
  const away = (arc: number): number => Math.abs(positions[3 * field.arcs[arc].lowest] + origin[0] - x);
  return field.arcs
    .map((_, arc) => arc)
    .filter((arc) => field.arcs[arc].children.length === 0)
    .reduce((a, b) => (away(b) < away(a) ? b : a));
}

/** Pool volumes from left to right. */
function volumes({ field, pools }: Standing): number[] {
  const at = (pool: Standing['pools'][number]): number => measurePool(field, pool).centroid[0];
  return [...pools].sort((a, b) => at(a) - at(b)).map(({ volume }) => volume);
}

function expectVolumes(state: Standing, expected: readonly number[]): void {
  const found = volumes(state);
  expect(found.length, `pools ${found}`).toBe(expected.length);
  expected.forEach((volume, i) => {
    assertWithin(found[i], volume, 1e-12, state.field.solid.capacity);
  });
}

const turn = (state: Standing, up: Vector3): Standing =>
  turnUntilSteady(state, makeField(state.field.solid, up, state.field.tolerance), exactWays);

describe('two basins by hand', () => {
  // The left basin holds ∫₀¹ (1 + (x − 1)t − 0.25) dx = 0.75 − t/2 while t ≤ 0.75.
  const solid = buildTankSolid(twoBasins(), 0);

  test('a pocket that tips too far spills over its baffle, and the fuel does not come back', () => {
    const poured = standing(solid, LEVEL, [
      [0.5, 0.6],
      [3, 1],
    ]);
    expectVolumes(poured, [0.6, 1]);
    const tipped = turn(poured, noseUp(0.5));
    expectVolumes(tipped, [0.5, 1.1]); // holds 0.75 − 0.25
    expectVolumes(turn(tipped, LEVEL), [0.5, 1.1]);
  });

  test('a pool over both basins parts as the baffle rises out of it: each keeps what lies on its side', () => {
    // 4.25 m³ stand at z = 1.25, over the baffle. At t = 0.5 the left keeps what it holds: 0.5.
    const one = standing(solid, LEVEL, [[3, 4.25]]);
    expectVolumes(one, [4.25]);
    const parted = turn(one, noseUp(0.5));
    expectVolumes(parted, [0.5, 3.75]);
    // Level again the right holds 2.5, its excess of 1.25 fills the left (0.25 short of full) and both are one again.
    expectVolumes(turn(parted, LEVEL), [4.25]);
  });

  test('nothing moves that has no reason to: tipped to just short of the spill and back', () => {
    const poured = standing(solid, LEVEL, [
      [0.5, 0.6],
      [3, 1],
    ]);
    expectVolumes(turn(turn(poured, noseUp(0.299)), LEVEL), [0.6, 1]); // spills from t = 0.3
  });
});

describe('three basins by hand', () => {
  test('left spills into the middle, which, level again, spills back what it cannot hold', () => {
    // Left holds ∫₀¹ (1 + (x − 1)t − 0.5) dx = 0.5 − t/2 while t ≤ 0.5: 0.3 at t = 0.4. The middle then has 1.1: its surface from z = 0.9 to
    // 1.3, under both its baffles. Level, it holds 1 up to the left baffle: 0.1 goes back.
    const poured = standing(buildTankSolid(threeBasins(), 0), LEVEL, [
      [0.5, 0.5],
      [1.75, 0.9],
      [3, 0.25],
    ]);
    expectVolumes(poured, [0.5, 0.9, 0.25]);
    const tipped = turn(poured, noseUp(0.4));
    expectVolumes(tipped, [0.3, 1.1, 0.25]);
    expectVolumes(turn(tipped, LEVEL), [0.4, 1, 0.25]);
  });
});

describe('a see-saw box, against the wall-sided formula (references S06: B² tan φ/12d sideways, B² tan² φ/24d upward)', () => {
  test.each([
    [12, 4, 25, 1.398923, 0.326164],
    [2, 1, 30, 0.19245, 0.055556],
  ])('B %d, d %d, %d°, to the last printed digit', (breadth, depth, angle, sideways, upward) => {
    const solid = buildTankSolid(box([0, -breadth / 2, 0], [1, breadth / 2, 3 * depth]), 0);
    let state = standing(solid, LEVEL, [[0.5, breadth * depth]]);
    for (const side of [1, -1, 1]) {
      const made = apparentGravity({ pitch_deg: 0, roll_deg: side * angle, n: 1 });
      if (!made.ok) throw new Error(made.error.code);
      state = turnTo(state, makeField(solid, made.value.up), 25, exactWays);
      const { centroid } = measurePool(state.field, state.pools[0]);
      assertWithin(centroid[1], side * sideways, 5e-7, 1);
      assertWithin(centroid[2] - depth / 2, upward, 5e-7, 1);
    }
  });
});

/** Every promise about a state that needs no history. */
function expectSound({ field, pools }: Standing, amount: number): void {
  const { capacity, size } = field.solid;
  assertWithin(
    pools.reduce((sum, { volume }) => sum + volume, 0),
    amount,
    1e-12,
    capacity,
  );
  pools.forEach((pool, i) => {
    const { birth, death, holds } = field.arcs[pool.arc];
    expect(pool.level).toBeLessThanOrEqual(death); // its spill level
    expect(pool.level).toBeGreaterThanOrEqual(birth - 1e-12 * size);
    expect(pool.volume).toBeLessThanOrEqual(holds);
    for (const other of pools.slice(i + 1)) {
      expect(isUnder(field, pool.arc, other.arc) || isUnder(field, other.arc, pool.arc)).toBe(false);
    }
  });
}

/** Height of the fuel's centroid along a direction, times its volume. */
function moment({ field, pools }: Standing, up: Vector3): number {
  return pools.reduce((sum, pool) => sum + pool.volume * dot(measurePool(field, pool).centroid, up), 0);
}

describe('any tank, any walk of attitudes', () => {
  const WALKS = Number(process.env['LOWPOINT_WALKS'] ?? 25);
  test(`conservation, spill levels, no flow uphill: ${WALKS} random solids from seed 1, 20 steps each of up to 20°`, async () => {
    const kernel = await manifoldKernel();
    let most = 0;
    for (let seed = 1; seed <= WALKS; seed++) {
      const manifold = randomSolid(kernel, seed);
      const solid = solidOf(manifold);
      manifold.delete();
      const random = seeded(seed + 5000);
      const amount = random() ** 2 * solid.capacity;
      const first = makeField(solid, randomUp(random));
      const amounts = new Float64Array(first.arcs.length);
      const lows = first.arcs.map((_, arc) => arc).filter((arc) => first.arcs[arc].children.length === 0);
      for (const arc of lows) amounts[arc] = amount / lows.length;
      let state: Standing = { field: first, pools: settleAmounts(first, amounts, exactWays.spill) };
      for (let step = 0; step < 20; step++) {
        const up = turnSteps(state.field.up, randomUp(random), 9)[0] ?? state.field.up;
        const next = carry(state, makeField(solid, up), exactWays);
        expectSound(next, amount);
        // What lay where it lay is now higher than, or as high as, where it comes to rest.
        const rise = (moment(next, up) - moment(state, up)) / (solid.capacity * solid.size);
        most = Math.max(most, rise);
        state = next;
      }
    }
    console.log(`largest rise of fuel in one step: ${most.toExponential(1)} of capacity times size`);
    expect(most).toBeLessThan(1e-9);
  });

  test('pools at 100 random times of random turns are parts of the fuel space below their level, by manifold-3d decompose', async () => {
    const kernel = await manifoldKernel();
    const random = seeded(77);
    let compared = 0;
    let worst = 0;
    for (let time = 0; time < 100; time++) {
      const manifold = randomSolid(kernel, 1 + (time % 20));
      const solid = solidOf(manifold);
      const start = makeField(solid, randomUp(random));
      const amounts = new Float64Array(start.arcs.length);
      start.arcs.forEach(({ children }, arc) => {
        if (children.length === 0) amounts[arc] = random() * 0.1 * solid.capacity;
      });
      const whole = amounts.reduce((sum, volume) => sum + volume, 0);
      if (whole > 0.9 * solid.capacity) for (let arc = 0; arc < amounts.length; arc++) amounts[arc] *= (0.9 * solid.capacity) / whole;
      const ups = turnSteps(start.up, randomUp(random), 30).slice(0, 1 + Math.floor(random() * 30));
      let state: Standing = { field: start, pools: settleAmounts(start, amounts, exactWays.spill) };
      for (const up of ups) state = carry(state, makeField(solid, up), exactWays);
      compared += comparePools(state, manifold, (off) => {
        worst = Math.max(worst, off);
      });
      manifold.delete();
    }
    console.log(`${compared} pools, worst ${worst.toExponential(1)} of the capacity`);
    expect(compared).toBeGreaterThan(100);
    expect(worst).toBeLessThan(1e-6);
  });
});

test('40 random solids turned at random: eight times the steps move no pool by 0.1 % of the capacity', async () => {
  const kernel = await manifoldKernel();
  let turned = 0;
  let worst = 0;
  for (let seed = 1; seed <= 40; seed++) {
    const manifold = randomSolid(kernel, seed);
    const solid = solidOf(manifold);
    manifold.delete();
    const random = seeded(seed + 70);
    const start = makeField(solid, randomUp(random));
    const amounts = new Float64Array(start.arcs.length);
    start.arcs.forEach(({ children }, arc) => {
      if (children.length === 0) amounts[arc] = (random() * 0.3 * solid.capacity) / start.arcs.length;
    });
    const state = { field: start, pools: settleAmounts(start, amounts, exactWays.spill) };
    const to = makeField(solid, randomUp(random));
    const steady = turnUntilSteady(state, to, exactWays);
    if (steady.steps === 0) continue;
    turned++;
    worst = Math.max(worst, largestChange(steady, turnTo(state, to, 8 * steady.steps, exactWays)));
  }
  console.log(`${turned} turns, largest change ${worst.toExponential(1)} of the capacity`);
  expect(turned).toBeGreaterThan(20);
  expect(worst).toBeLessThan(1e-3);
});

/** Each pool's volume against the nearest among the parts manifold-3d finds below the pool's level. */
function comparePools({ field, pools }: Standing, manifold: Manifold, report: (off: number) => void): number {
  const { capacity } = field.solid;
  const seen = pools.filter(({ volume }) => volume > 1e-5 * capacity);
  for (const { level, volume } of seen) {
    const parts = manifoldPools(manifold, field.up, level + field.originLevel);
    report(Math.min(...parts.map((part) => Math.abs(part - volume))) / capacity);
  }
  return seen.length;
}

describe('samples: doubling the steps changes no pool by more than 0.1 % of capacity', () => {
  test.each(SAMPLES)('%s, all its conditions, fills of 3, 10 and 50 %', async (name) => {
    const loaded = await loadSample(name);
    const parked = fieldsOfCase(loaded, parkedCondition(loaded.file));
    let worst = 0;
    for (const condition of loaded.file.conditions) {
      const fields = fieldsOfCase(loaded, condition);
      for (const [i, tank] of loaded.tanks.entries()) {
        for (const fill of [0.03, 0.1, 0.5]) {
          const start = poured(tank, parked[i], fill * tank.solid.capacity);
          const turned = turnUntilSteady(start, fields[i], exactWays);
          expectSound(turned, fill * tank.solid.capacity);
          if (turned.steps === 0) continue;
          worst = Math.max(worst, turned.change, largestChange(turned, turnTo(start, fields[i], 2 * turned.steps, exactWays)));
        }
      }
    }
    console.log(`${name}: largest change of a pool ${worst.toExponential(1)} of its tank's capacity`);
    expect(worst).toBeLessThan(1e-3);
  });
});
