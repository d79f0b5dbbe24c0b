/** Replay of a history: by hand on boxes, conservation, and the error of keeping a field over small turns. */
import { describe, expect, test } from 'vitest';
import { makeField } from '../../engine/basins/field.ts';
import type { History } from '../../engine/case/read-history.ts';
import { fallen } from '../../engine/fluid/replay.ts';
import { apparentGravity } from '../../engine/gravity/condition.ts';
import { buildTankSolid } from '../../engine/mesh/tank-solid.ts';
import { replayCase } from '../../engine/studies/replay-case.ts';
import { levelBasis, measureBodies } from '../../engine/surface/free-surface.ts';
import { measurePool, poolOfVolume } from '../../engine/surface/pool.ts';
import type { CaseFitting, CaseLine } from '../../shared/case.ts';
import type { ReplayAnswer } from '../../shared/replay-answer.ts';
import { subtract, type Vector3 } from '../../shared/vector.ts';
import { assertWithin } from '../assert-within.ts';
import { twoBasins } from '../basin-tanks.ts';
import { inventedHistory } from '../invented-history.ts';
import { loadedOf, type TankOfShape } from '../loaded.ts';
import { manifoldKernel, manifoldPools, randomSolid, randomUp, seeded, solidOf } from '../random-solids.ts';
import { loadSample } from '../sample-cases.ts';
import { box, wedge } from '../shapes.ts';

const WATCH = { progress: () => {}, cancelled: () => false };

/** Rows one second apart. */
function history(rows: readonly { readonly pitch?: number; readonly roll?: number; readonly flow?: number }[]): History {
  return {
    time_s: Float64Array.from(rows, (_, i) => i),
    pitch_deg: Float64Array.from(rows, ({ pitch }) => pitch ?? 0),
    roll_deg: Float64Array.from(rows, ({ roll }) => roll ?? 0),
    n: Float64Array.from(rows, () => 1),
    flow_m3_s: Float64Array.from(rows, ({ flow }) => flow ?? 0),
    lines: Uint32Array.from(rows, (_, i) => i + 2),
    notices: [],
  };
}

async function replayed(
  tanks: readonly TankOfShape[],
  recorded: History,
  fill: number,
  lines: readonly CaseLine[] = [],
  keptTurn?: number,
): Promise<ReplayAnswer> {
  const loaded = loadedOf(tanks);
  const withLines = { ...loaded, file: { ...loaded.file, lines: [...lines] } };
  const answer = await replayCase(withLines, recorded, { fill }, WATCH, keptTurn === undefined ? {} : { keptTurn });
  if (!answer.ok || answer.value === null) throw new Error('no answer');
  return answer.value;
}

const outlet = (id: string, at_m: Vector3): CaseFitting => ({ id, kind: 'outlet', at_m: [...at_m] });
const lineFrom = (from: string, to: string): CaseLine => ({ id: from.replace('/', '-'), from, to, bore_m: 0.01 });
/** 1 × 1 × 1 m. */
const cube = box([0, 0, 0], [1, 1, 1]);

describe('a box that stands level and is drawn from', () => {
  test('its level falls by flow over area, and the outlet at 0.25 m goes dry when 0.25 m³ are left', async () => {
    // 0.5 m³ less 7 L/s: 0.25 m³ are left after 35.714 s.
    const rows = Array.from({ length: 60 }, () => ({ flow: 0.007 }));
    const answer = await replayed([{ id: 'a', shape: cube, fittings: [outlet('out', [0, 0.5, 0.25])] }], history(rows), 0.5);
    const [tank] = answer.tanks;
    for (const row of [0, 1, 10, 35]) {
      assertWithin(tank.fuel_m3[row], 0.5 - 0.007 * row, 1e-13);
      assertWithin(tank.outlets[0].depth_m[row]!, 0.25 - 0.007 * row, 1e-12, 1);
      assertWithin(answer.fuelCentroid_m[row]![2], (0.5 - 0.007 * row) / 2, 1e-12);
    }
    assertWithin(answer.left_m3, 0.25, 1e-12);
    assertWithin(answer.notDrawn_m3, 59 * 0.007 - 0.25, 1e-12);
    expect(answer.dry).toHaveLength(1);
    expect(new Set(tank.outlets[0].cover.slice(0, 36))).toEqual(new Set(['covered']));
    expect(new Set(tank.outlets[0].cover.slice(36))).toEqual(new Set(['dry']));
    assertWithin(answer.dry[0].from_s, 0.25 / 0.007, 1e-10);
    expect(answer.dry[0]).toMatchObject({ isOpenEnd: true, isFullyDry: true });
  });

  test('a wedge of volume h²/2: fuel taken off in thin layers leaves the level right to 1e-7 of it', async () => {
    const rows = Array.from({ length: 200 }, () => ({ flow: 1e-5 }));
    const answer = await replayed([{ id: 'a', shape: wedge(1, 1, 1), fittings: [outlet('out', [0, 0.5, 0])] }], history(rows), 0.5);
    for (const row of [1, 14, 15, 100, 199]) {
      assertWithin(answer.tanks[0].outlets[0].depth_m[row]!, Math.sqrt(2 * (0.25 - 1e-5 * row)), 1e-7);
      // The centroid of a triangle stands at 2/3 of its height.
      assertWithin(answer.fuelCentroid_m[row]![2], (2 / 3) * Math.sqrt(2 * (0.25 - 1e-5 * row)), 1e-7);
    }
  });

  test('an upright opening: air from its upper rim on, fuel until its lower rim; the time to better than a row', async () => {
    const fitting: CaseFitting = { ...outlet('out', [0, 0.5, 0.25]), bore_m: 0.02, facing: [-1, 0, 0] };
    const rows = Array.from({ length: 60 }, () => ({ flow: 0.007 }));
    const answer = await replayed([{ id: 'a', shape: cube, fittings: [fitting] }], history(rows), 0.5);
    assertWithin(answer.left_m3, 0.24, 1e-12);
    expect(answer.dry).toHaveLength(1);
    const [dry] = answer.dry;
    assertWithin(dry.from_s, (0.5 - 0.26) / 0.007, 1e-10);
    assertWithin(dry.fuelOnBoard_m3, 0.26, 1e-10);
    expect(dry).toMatchObject({
      tank: 'a',
      outlet: 'out',
      isEngine: true,
      isOpenStart: false,
      isOpenEnd: true,
      isFullyDry: true,
      to_s: 59,
    });
  });
});

describe('a box that pitches to and fro', () => {
  test('the outlet at the front end is dry while 0.2 − 0.5·tan θ < 0.1: bounds within 1 % of a row', async () => {
    // Half length 0.5 m, level at 0.2 m: at the front end the surface stands at 0.2 − 0.5·tan θ, nose up. An outlet at 0.1 m is dry above
    // tan θ = 0.2, θ = 11.3099°. Pitch rises by 1° a row to 20° and falls again.
    const rows = Array.from({ length: 41 }, (_, i) => ({ pitch: i <= 20 ? i : 40 - i }));
    const answer = await replayed([{ id: 'a', shape: cube, fittings: [outlet('out', [0, 0.5, 0.1])] }], history(rows), 0.2);
    const limit = (Math.atan(0.2) * 180) / Math.PI;
    expect(answer.dry).toHaveLength(1);
    assertWithin(answer.dry[0].from_s, limit, 0.01, 1);
    assertWithin(answer.dry[0].to_s, 40 - limit, 0.01, 1);
    for (const [row, { pitch }] of rows.entries()) {
      const t = Math.tan((pitch * Math.PI) / 180);
      assertWithin(answer.tanks[0].outlets[0].depth_m[row]!, (0.1 - 0.5 * t) * Math.cos((pitch * Math.PI) / 180), 1e-12, 1);
    }
    expect(answer.drawn_m3).toBe(0);
  });

  test('a field kept over a small turn: depth exact in a box, centroid by the wall-sided formula', async () => {
    const rows = [0, 0.1, 0.2, -0.2].map((pitch) => ({ pitch }));
    const answer = await replayed([{ id: 'a', shape: cube, fittings: [outlet('out', [0, 0.5, 0.1])] }], history(rows), 0.2);
    expect(answer.steps).toMatchObject({ fields: 0, kept: 4 });
    for (const [row, { pitch }] of rows.entries()) {
      const t = Math.tan((pitch * Math.PI) / 180);
      assertWithin(answer.tanks[0].outlets[0].depth_m[row]!, (0.1 - 0.5 * t) * Math.cos((pitch * Math.PI) / 180), 1e-12, 1);
      // B² tan φ/12d aft and B² tan² φ/24d up (references S06); B 1, d 0.2.
      assertWithin(answer.fuelCentroid_m[row]![0], 0.5 + t / 2.4, 1e-12);
      assertWithin(answer.fuelCentroid_m[row]![2], 0.1 + (t * t) / 4.8, 1e-12);
    }
  });
});

test('over on its back from one row to the next: the fuel lies on the ceiling, and the leap is told by its line', async () => {
  const recorded = history([{}, {}, {}]);
  const answer = await replayed([{ id: 'a', shape: cube }], { ...recorded, n: Float64Array.of(1, 1, -1) }, 0.25);
  assertWithin(answer.fuelCentroid_m[1]![2], 0.125, 1e-12);
  assertWithin(answer.fuelCentroid_m[2]![2], 0.875, 1e-12);
  expect(answer.notices[0]).toMatch(/^Line 4: apparent gravity turns by more than 30°/);
  expect(answer.steps.fields).toBe(90);
});

describe('whence the engine is fed', () => {
  const tanks: TankOfShape[] = [
    { id: 'left', shape: cube, fittings: [outlet('out', [0, 0.5, 0.3])] },
    { id: 'right', shape: cube, fittings: [outlet('out', [1, 0.5, 0.3])] },
    { id: 'collector', shape: box([0, 0, 0], [0.5, 1, 1]), fittings: [outlet('engine', [0.25, 0.5, 0.1])] },
  ];
  const lines = [lineFrom('left/out', 'collector/in'), lineFrom('right/out', 'collector/in')];

  test('in equal shares from both wings; from one while the other’s line end is dry; then from the collector', async () => {
    // Nose up by tan θ = 0.5 the left line end (front) is dry at 0.5 − 0.25 < 0.3, the right one (aft) covered.
    const steep = (Math.atan(0.5) * 180) / Math.PI;
    const rows = [{ flow: 0.01 }, { pitch: steep, flow: 0.01 }, { pitch: steep, flow: 0.5 }, { flow: 0.25 }, { flow: 0 }];
    const answer = await replayed(tanks, history(rows), 0.5, lines);
    const fuel = (row: number): number[] => answer.tanks.map(({ fuel_m3 }) => fuel_m3[row]);
    fuel(1).forEach((volume, i) => {
      assertWithin(volume, [0.495, 0.495, 0.25][i], 1e-12);
    });
    fuel(2).forEach((volume, i) => {
      assertWithin(volume, [0.495, 0.485, 0.25][i], 1e-12);
    });
    // The right gives what stands over its line end: a wedge stays under it, 0.3 high and 0.6 long, 0.09. The rest of 0.5 − 0.395 = 0.105
    // comes from the collector.
    fuel(3).forEach((volume, i) => {
      assertWithin(volume, [0.495, 0.09, 0.145][i], 1e-11);
    });
    // Level again the left covers its line end by 0.195: it gives that, and 0.055 comes from the collector.
    fuel(4).forEach((volume, i) => {
      assertWithin(volume, [0.3, 0.09, 0.09][i], 1e-11);
    });
    expect(answer.notDrawn_m3).toBe(0);
    expect(answer.dry.filter(({ isEngine }) => isEngine)).toEqual([]);
    expect(answer.dry.map(({ tank }) => tank)).toEqual(['left', 'right', 'left']);
    expect(answer.notices.join()).toContain('equal shares');
  });

  test('a line that leads round in a ring is passed once', async () => {
    const ring = [...lines, lineFrom('collector/back', 'left/in')];
    const answer = await replayed(tanks, history([{ flow: 0.01 }, {}]), 0.5, ring);
    assertWithin(answer.drawn_m3, 0.01, 1e-12);
  });
});

test('a pool that falls past a saddle parts: what lies behind it stays (two basins, left holds 0.75, right 2.5)', () => {
  const field = makeField(buildTankSolid(twoBasins(), 0), [0, 0, 1]);
  const right = field.arcs.findIndex(({ holds, children }) => children.length === 0 && Math.abs(holds - 2.5) < 1e-9);
  const pools = fallen(field, poolOfVolume(field, field.root, 4.25), 2.25, Number.NEGATIVE_INFINITY, right);
  expect(pools.map(({ volume }) => volume).sort()).toEqual([0.75, 1.5]);
  // Down to a level over the right floor of 2.5 m²: 0.4 m stay, 1 m³.
  const stopped = fallen(field, poolOfVolume(field, field.root, 4.25), 0.1, 0.4 - field.originLevel, right);
  expect(stopped.map(({ volume }) => Number(volume.toFixed(12))).sort()).toEqual([0.75, 1]);
});

test('measureBodies: surface and centroid as measurePool has them (40 random solids)', async () => {
  const kernel = await manifoldKernel();
  for (let seed = 1; seed <= 40; seed++) {
    const manifold = randomSolid(kernel, seed);
    const solid = solidOf(manifold);
    manifold.delete();
    const random = seeded(seed + 900);
    const field = makeField(solid, randomUp(random));
    const pool = poolOfVolume(field, field.root, solid.capacity * (0.9 + 0.1 * random()));
    const [body] = measureBodies(field, [pool], levelBasis(field.up));
    const { volume, surface, centroid } = measurePool(field, pool);
    assertWithin(body.area, surface, 1e-10, solid.size ** 2);
    for (let axis = 0; axis < 3; axis++) {
      assertWithin(body.moment[axis] / volume + solid.origin[axis], centroid[axis], 1e-9, solid.size);
    }
  }
});

test('pools at 100 random times of replays that draw are parts of the fuel space below their level, by manifold-3d decompose', async () => {
  const kernel = await manifoldKernel();
  let compared = 0;
  let worst = 0;
  for (let seed = 1; seed <= 20; seed++) {
    const manifold = randomSolid(kernel, seed);
    const solid = solidOf(manifold);
    const low = [0, 1, 2].map((axis) => (solid.min[axis] + solid.max[axis]) / 2) as unknown as Vector3;
    const fittings: CaseFitting[] = [outlet('out', [low[0], low[1], solid.min[2]])];
    const loaded = loadedOf([{ id: 'a', shape: cube, fittings }]);
    const tank = { ...loaded.tanks[0], solid };
    // Wide swings, so that pools part, spill and meet; a thirtieth of the capacity is asked for in all.
    const recorded = inventedHistory(60, seed, 1, (solid.capacity / 30 / 60) * 3.6e6);
    const swung = { ...recorded, pitch_deg: recorded.pitch_deg.map((a) => 4 * a), roll_deg: recorded.roll_deg.map((a) => 6 * a) };
    const answer = await replayCase({ ...loaded, tanks: [tank] }, swung, { fill: 0.1 + 0.02 * seed }, WATCH, { keptTurn: 0 });
    if (!answer.ok || answer.value === null) throw new Error('no answer');
    const { pools } = answer.value.tanks[0];
    const random = seeded(seed);
    for (let time = 0; time < 5; time++) {
      const row = Math.floor(60 * random());
      const made = apparentGravity({ pitch_deg: swung.pitch_deg[row], roll_deg: swung.roll_deg[row], n: 1 });
      if (!made.ok) throw new Error(made.error.code);
      for (let k = pools.first[row]; k < pools.first[row + 1]; k++) {
        if (pools.volume_m3[k] < 1e-5 * solid.capacity) continue;
        const parts = manifoldPools(manifold, made.value.up, pools.level_m[k]);
        worst = Math.max(worst, Math.min(...parts.map((part) => Math.abs(part - pools.volume_m3[k]))) / solid.capacity);
        compared++;
      }
    }
    manifold.delete();
  }
  console.log(`${compared} pools, worst ${worst.toExponential(1)} of the capacity`);
  expect(compared).toBeGreaterThan(100);
  expect(worst).toBeLessThan(1e-6);
});

describe('the low-wing sample through invented manoeuvres', () => {
  test('fuel is conserved to 1e-12 of the capacity at every row, pools add up, progress only rises, dry intervals in order', async () => {
    const loaded = await loadSample('low-wing');
    const capacity = loaded.tanks.reduce((sum, { solid }) => sum + solid.capacity, 0);
    const shares: number[] = [];
    const answer = await replayCase(
      loaded,
      inventedHistory(1500, 5, 0.2, 200),
      { fill: 0.25 },
      { ...WATCH, progress: (share) => void shares.push(share) },
    );
    if (!answer.ok || answer.value === null) throw new Error('no answer');
    const { start_m3, drawnTo_m3, fuel_m3, tanks, dry } = answer.value;
    for (let row = 0; row < 1500; row++) {
      assertWithin(fuel_m3[row], start_m3 - drawnTo_m3[row], 1e-12, capacity);
      for (const { pools, fuel_m3: own } of tanks) {
        let sum = 0;
        for (let k = pools.first[row]; k < pools.first[row + 1]; k++) sum += pools.volume_m3[k];
        assertWithin(sum, own[row], 1e-12, capacity);
      }
    }
    expect(drawnTo_m3.at(-1)).toBeGreaterThan(0.01);
    expect(shares).toEqual([...shares].sort((a, b) => a - b));
    expect(shares.at(-1)).toBe(1);
    expect(dry.length).toBeGreaterThan(0);
    for (const { from_s, to_s } of dry) expect(from_s).toBeLessThan(to_s);
  });

  // The last is the hardest: a litre in shallow pools, whose surfaces end at slanting walls.
  test.each([
    ['low-wing', 0.15, 5e-5, 1e-4, 1e-12],
    ['low-wing', 0.5, 5e-5, 1e-4, 1e-12],
    ['aerobatic-drum', 0.02, 3e-4, 3e-3, 2e-5],
  ] as const)(
    'keeping a field over turns of up to 0.25° against a field for every row: %s, fill %d',
    async (name, fill, mostDepth, mostCentroid, mostFuel) => {
      const loaded = await loadSample(name);
      const recorded = inventedHistory(name === 'low-wing' ? 400 : 1000, 3, 0.1, 60);
      const [kept, exact] = await Promise.all(
        [undefined, 0].map(async (keptTurn) => {
          const answer = await replayCase(loaded, recorded, { fill }, WATCH, keptTurn === undefined ? {} : { keptTurn });
          if (!answer.ok || answer.value === null) throw new Error('no answer');
          return answer.value;
        }),
      );
      expect(exact.steps.kept).toBeLessThan(kept.steps.kept);
      let depth = 0;
      let centroid = 0;
      let pool = 0;
      exact.tanks.forEach(({ outlets, fuel_m3, capacity_m3 }, i) => {
        fuel_m3.forEach((volume, row) => {
          pool = Math.max(pool, Math.abs(volume - kept.tanks[i].fuel_m3[row]) / capacity_m3);
        });
        outlets.forEach(({ depth_m }, k) => {
          depth_m.forEach((value, row) => {
            const other = kept.tanks[i].outlets[k].depth_m[row];
            if (value !== null && other !== null) depth = Math.max(depth, Math.abs(value - other));
          });
        });
      });
      exact.fuelCentroid_m.forEach((at, row) => {
        centroid = Math.max(centroid, Math.hypot(...subtract(at!, kept.fuelCentroid_m[row]!)));
      });
      console.log(
        `${name}, fill ${fill}: depth ${(1000 * depth).toFixed(3)} mm, centroid ${(1000 * centroid).toFixed(3)} mm, a tank's fuel ${pool.toExponential(1)} of its capacity`,
      );
      expect(depth).toBeLessThan(mostDepth);
      expect(centroid).toBeLessThan(mostCentroid);
      expect(pool).toBeLessThan(mostFuel);
    },
  );

  test('cancelled: null', async () => {
    const loaded = await loadSample('low-wing');
    let asked = 0;
    const answer = await replayCase(loaded, inventedHistory(1000, 1), { fill: 0.3 }, { progress: () => {}, cancelled: () => ++asked > 2 });
    expect(answer).toEqual({ ok: true, value: null });
  });
});
