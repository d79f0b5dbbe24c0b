/** What the window draws: rows of a replay, the tanks filled, water paths; each adds up to the study's own figures. */
import { describe, expect, test } from 'vitest';
import { fillView, settledView, waterPathView } from '../../engine/drawn.ts';
import { largestChange, turnOnce, turnUntilSteady } from '../../engine/fluid/turn.ts';
import { exactWays } from '../../engine/fluid/ways.ts';
import { fieldsAt, fieldsOfCase, parkedCondition } from '../../engine/studies/parked.ts';
import { poured } from '../../engine/studies/pour.ts';
import { replayCase } from '../../engine/studies/replay-case.ts';
import { settledRow } from '../../engine/studies/replay-row.ts';
import { settledCase } from '../../engine/studies/settle-case.ts';
import { enclosed } from '../../renderer/view/geometry.ts';
import type { DrawnPool } from '../../shared/engine-contract.ts';
import { assertWithin } from '../assert-within.ts';
import { twoBasins } from '../basin-tanks.ts';
import { inventedHistory } from '../invented-history.ts';
import { loadedOf } from '../loaded.ts';
import { loadSample, SAMPLES } from '../sample-cases.ts';
import { box } from '../shapes.ts';

const WATCH = { progress: () => {}, cancelled: () => false };
const LEVEL = { pitch_deg: 0, roll_deg: 0, n: 1 };

describe.each(SAMPLES)('rows of a replay to draw, %s', (name) => {
  test('each tank holds what the recording has in it, pool by pool', async () => {
    const loaded = await loadSample(name);
    const answer = await replayCase(loaded, inventedHistory(150, 7, 0.4), { fill: 0.15 }, WATCH, { keptTurn: 0 });
    if (!answer.ok || answer.value === null) throw new Error('no answer');
    const replay = answer.value;
    for (let row = 0; row < 150; row += 7) {
      const { answer: settled } = settledRow(loaded, replay, row);
      expect(settled.condition.pitch_deg).toBe(replay.condition.pitch_deg[row]);
      settled.tanks.forEach((tank, i) => {
        const { capacity_m3, fuel_m3, pools } = replay.tanks[i];
        const recorded = pools.volume_m3.slice(pools.first[row], pools.first[row + 1]).sort((a, b) => a - b);
        const drawn = tank.pools.map(({ volume_m3 }) => volume_m3).sort((a, b) => a - b);
        const sum = drawn.reduce((whole, volume) => whole + volume, 0);
        expect(Math.abs(sum - fuel_m3[row])).toBeLessThan(1e-12 * capacity_m3);
        expect(drawn).toHaveLength(recorded.length);
        // A field for every row: the same pools to rounding.
        drawn.forEach((volume, k) => {
          expect(Math.abs(volume - recorded[k])).toBeLessThan(1e-9 * capacity_m3);
        });
      });
    }
  });

  test('with the field kept over small turns the volume is kept all the same', async () => {
    const loaded = await loadSample(name);
    const answer = await replayCase(loaded, inventedHistory(60, 3, 0.1), { fill: 0.3 }, WATCH);
    if (!answer.ok || answer.value === null) throw new Error('no answer');
    expect(answer.value.steps.kept).toBeGreaterThan(0);
    for (let row = 0; row < 60; row += 5) {
      settledRow(loaded, answer.value, row).answer.tanks.forEach((tank, i) => {
        const { capacity_m3, fuel_m3 } = answer.value!.tanks[i];
        expect(Math.abs(tank.fuel_m3 - fuel_m3[row])).toBeLessThan(1e-12 * capacity_m3);
      });
    }
  });
});

describe.each(SAMPLES)('the tanks filled, %s', (name) => {
  test('the drawn fuel and the drawn air are the figures of the study, and fill the tank together', async () => {
    const { fill, fuel, air } = fillView(await loadSample(name));
    const volume = (pools: readonly DrawnPool[]): number =>
      pools.reduce((sum, { wall, surface }) => sum + enclosed(wall) + enclosed(surface), 0);
    for (const tank of fill.tanks) {
      const own = air.filter((pool) => pool.tank === tank.id);
      const limit = 2e-5 * tank.capacity_m3; // drawn in single precision
      const expansion = volume(own.filter(({ kind }) => kind === 'expansion'));
      expect(Math.abs(volume(own.filter(({ kind }) => kind === 'trapped')) - tank.trappedAir_m3)).toBeLessThan(limit);
      expect(Math.abs(expansion - tank.expansionShare * tank.capacity_m3)).toBeLessThan(limit);
      // The fuel's surface is the air's, seen from the other side.
      const under = own.reduce((sum, { surface }) => sum + enclosed(surface), 0);
      expect(Math.abs(enclosed(fuel.find((pool) => pool.tank === tank.id)!.wall) - under - tank.mostFuel_m3)).toBeLessThan(limit);
    }
  });
});

describe('a turn in one go', () => {
  test('moves no pool of the samples by more than 2 % of its tank against the steady turn, and keeps the volume', async () => {
    for (const name of SAMPLES) {
      const loaded = await loadSample(name);
      const from = fieldsOfCase(loaded, parkedCondition(loaded.file));
      for (const [pitch_deg, roll_deg] of [
        [0, 8],
        [-10, 15],
        [17, -20],
      ]) {
        const to = fieldsOfCase(loaded, { pitch_deg, roll_deg, n: 1 });
        loaded.tanks.forEach((tank, i) => {
          const volume = 0.12 * tank.solid.capacity;
          const start = poured(tank, from[i], volume);
          const quick = turnOnce(start, to[i], exactWays);
          const steady = turnUntilSteady(start, to[i], exactWays);
          assertWithin(
            quick.pools.reduce((sum, pool) => sum + pool.volume, 0),
            volume,
            1e-12,
          );
          expect(quick.steps).toBeLessThanOrEqual(16);
          expect(largestChange(quick, steady)).toBeLessThan(0.02);
        });
      }
    }
  });

  test('from parked and from where it lay are two states of a two-basin tank, by hand', () => {
    // Two basins (basin-tanks.ts), 1 m³ in. Poured into the lowest low point as parked, all of it lies right. Nose down by 40° (the nose is
    // at x = 0) the baffle holds back a wedge 1 m high and 1/tan 40° long, 1/(2·tan 40°) = 0.596 m³; the rest runs over into the left
    // basin and, back at level, stays there.
    const left = 1 - 1 / (2 * Math.tan((40 * Math.PI) / 180));
    const loaded = loadedOf([{ id: 'a', shape: twoBasins() }]);
    const fuel = { fuel_m3: 1 };
    const pools = (settled: ReturnType<typeof settledCase>): number[] => {
      if (!settled.ok) throw new Error(settled.error.code);
      return settled.value.answer.tanks[0].pools.map(({ volume_m3 }) => volume_m3);
    };
    const parked = pools(settledCase(loaded, LEVEL, fuel));
    expect(parked).toHaveLength(1);
    assertWithin(parked[0], 1, 1e-12);
    const down = settledCase(loaded, { pitch_deg: -40, roll_deg: 0, n: 1 }, fuel);
    if (!down.ok) throw new Error(down.error.code);
    for (const isQuick of [false, true]) {
      const back = pools(settledCase(loaded, LEVEL, fuel, down.value, null, isQuick)).sort((a, b) => a - b);
      expect(back).toHaveLength(2);
      assertWithin(back[0], left, 1e-9);
      assertWithin(back[1], 1 - left, 1e-9);
    }
  });
});

describe('a water drop in the window', () => {
  const two = loadedOf([
    { id: 'near', shape: box([0, 0, 0], [1, 1, 1]) },
    { id: 'far', shape: box([0, 3, 0], [1, 4, 1]), fittings: [{ id: 'd', kind: 'drain', at_m: [0.5, 4, 0] }] },
  ]);
  const condition = { pitch_deg: 0, roll_deg: 10, n: 1 };
  const fields = fieldsAt(two, condition);
  if (!fields.ok) throw new Error(fields.error.code);

  test('it falls along gravity, runs down the tilted floor to the low edge, and the right tank is told with its drain', () => {
    // Right side down by 10°: from y = 3.2, z = 0.5 it falls along gravity and lands 0.5·tan 10° further right; the floor then slopes by 10°.
    const path = waterPathView(two.tanks, fields.value, [0.5, 3.2, 0.5], condition);
    if (!path.ok) throw new Error(path.error.code);
    const { tank, length_m, leastSlope_deg, falls, flats, drain, lowPoint_m } = path.value;
    expect([tank, drain]).toEqual(['far', 'd']);
    const shift = 0.5 * Math.tan((10 * Math.PI) / 180);
    expect(falls).toHaveLength(1);
    assertWithin(falls[0].drop_m, 0.5 / Math.cos((10 * Math.PI) / 180), 1e-9);
    assertWithin(length_m, 0.8 - shift, 1e-9);
    assertWithin(leastSlope_deg!, 10, 1e-9);
    expect(flats).toEqual([]);
    assertWithin(lowPoint_m[1], 4, 1e-12);
    expect(lowPoint_m[2]).toBe(0);
  });

  test('between the tanks there is none', () => {
    expect(waterPathView(two.tanks, fields.value, [0.5, 2, 0.5], condition)).toMatchObject({ ok: false, error: { code: 'pour-outside' } });
  });

  test('shares of floor come with the steady answer alone', () => {
    const settled = settledCase(two, condition, { fill: 0.2 });
    if (!settled.ok) throw new Error(settled.error.code);
    const shares = settledView(two.tanks, settled.value, true).lowPoints.map(({ share }) => share);
    expect(shares).toEqual([1, 1]);
    expect(settledView(two.tanks, settled.value, false).lowPoints.every(({ share }) => share === undefined)).toBe(true);
  });
});
