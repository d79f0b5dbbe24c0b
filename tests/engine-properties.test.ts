/**
 * What must hold for any tank at any attitude, on random non-convex solids (random-solids.ts) drawn by fast-check from the seed in each title.
 * Attitudes are general ones unless a title says right angles: there whole floors tie in height, and which of two equal pockets fills first
 * is settled by vertex index, so only the pools below a level are compared.
 */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type Field, makeField } from '../engine/basins/field.ts';
import { openingAt } from '../engine/fittings/opening.ts';
import { drainDown } from '../engine/fluid/drain-down.ts';
import { areHeldApart, settle } from '../engine/fluid/settle.ts';
import { apparentGravity } from '../engine/gravity/condition.ts';
import { buildTankSolid, type SurfaceMesh, type TankSolid } from '../engine/mesh/tank-solid.ts';
import { measurePool, type PoolState, poolOfLevel, poolOfVolume } from '../engine/surface/pool.ts';
import type { Condition } from '../shared/answers.ts';
import { cross, dot, normalize, type Vector3 } from '../shared/vector.ts';
import { assertWithin } from './assert-within.ts';
import { manifoldKernel, randomSolid, solidOf } from './random-solids.ts';
import { clippedBelow } from './tank.ts';

const SEED = Number(process.env['LOWPOINT_SEED'] ?? 1);
const RUNS = Number(process.env['LOWPOINT_RUNS'] ?? 60);
const kernel = await manifoldKernel();

const tanks = new Map<number, { shape: SurfaceMesh; solid: TankSolid }>();
/** A random tank in the tank frame, made once a number. */
function tankOf(number: number) {
  let made = tanks.get(number);
  if (made === undefined) {
    const manifold = randomSolid(kernel, number);
    const solid = solidOf(manifold);
    manifold.delete();
    const shape = { positions: solid.positions.map((x, i) => x + solid.origin[i % 3]), triangles: solid.triangles };
    made = { shape, solid: buildTankSolid(shape, 0) };
    tanks.set(number, made);
  }
  return made;
}

const tank = fc.integer({ min: 1, max: 400 });
const share = fc.double({ min: 0.001, max: 0.999, noNaN: true });
/** An angle off the axes: no aligned wall is level or upright. */
const angle = (limit: number) => fc.integer({ min: -limit * 100, max: limit * 100 }).map((hundredths) => hundredths / 100 + 0.00317);
const condition: fc.Arbitrary<Condition> = fc.record({
  pitch_deg: angle(89),
  roll_deg: angle(179),
  n: fc.constantFrom(1, -1, 0.3, 2.7, -0.5),
});

const rightAngles: fc.Arbitrary<Condition> = fc.record({
  pitch_deg: fc.constantFrom(0, 90, -90),
  roll_deg: fc.constantFrom(0, 90, 180, -90),
  n: fc.constantFrom(1, -1),
});

const upOf = (at: Condition): Vector3 => {
  const made = apparentGravity(at);
  if (!made.ok) throw new Error(made.error.code);
  return made.value.up;
};
const fieldOf = (number: number, at: Condition): Field => makeField(tankOf(number).solid, upOf(at));
const levelAt = ({ heights }: Field, part: number): number => {
  const low = heights.reduce((a, b) => Math.min(a, b), Infinity);
  const high = heights.reduce((a, b) => Math.max(a, b), -Infinity);
  return low + part * (high - low);
};

/** Pools below a local level. */
function poolsBelow(field: Field, local: number): PoolState[] {
  return field.arcs.flatMap((arc, i) =>
    arc.birth < local && (local < arc.death || arc.saddle < 0) && !areHeldApart(field, i) ? [poolOfLevel(field, i, local)] : [],
  );
}
const total = (pools: readonly { readonly volume: number }[]): number => pools.reduce((sum, { volume }) => sum + volume, 0);
const volumesOf = (pools: readonly { readonly volume: number }[], least: number): number[] =>
  pools
    .map(({ volume }) => volume)
    .filter((volume) => volume > least)
    .sort((a, b) => b - a);

/** Volumes one by one, both lists largest first. */
function assertSame(actual: readonly number[], expected: readonly number[], relative: number, of: number): void {
  if (actual.length !== expected.length) throw new Error(`${actual.length} pools should be ${expected.length}: ${actual} for ${expected}`);
  for (const [i, volume] of expected.entries()) assertWithin(actual[i], volume, relative, of);
}

/** The same tank told differently must hold the same: below a level, settled (not at right angles), and its capacity. `factor` scales lengths. */
function assertSameTank(number: number, at: Condition, part: number, told: SurfaceMesh, up: Vector3, relative: number, factor = 1): void {
  const field = fieldOf(number, at);
  const other = makeField(buildTankSolid(told, 0), up);
  const { capacity } = field.solid;
  const cubed = factor ** 3;
  assertWithin(other.solid.capacity / cubed, capacity, relative);
  const least = 1e-8 * capacity;
  const below = volumesOf(poolsBelow(field, levelAt(field, part)), least);
  const otherBelow = volumesOf(poolsBelow(other, levelAt(other, part)), least * cubed).map((volume) => volume / cubed);
  assertSame(otherBelow, below, relative, capacity);
  if (at.roll_deg % 90 === 0) return;
  const settled = settle(field, part * capacity);
  const otherSettled = settle(other, part * other.solid.capacity);
  assertSame(
    volumesOf(otherSettled, least * cubed).map((volume) => volume / cubed),
    volumesOf(settled, least),
    relative,
    capacity,
  );
}

const holds = (name: string, runs: number, property: fc.IRawProperty<unknown>): void =>
  test(`${name} (${runs} runs, seed ${SEED})`, () => {
    fc.assert(property, { seed: SEED, numRuns: runs });
  });

holds(
  'volume rises with the level, and so does every pool’s',
  RUNS,
  fc.property(tank, condition, share, share, (number, at, one, two) => {
    const field = fieldOf(number, at);
    const [low, high] = [levelAt(field, Math.min(one, two)), levelAt(field, Math.max(one, two))];
    expect(total(poolsBelow(field, high))).toBeGreaterThanOrEqual(total(poolsBelow(field, low)) - 1e-14 * field.solid.capacity);
    for (const [i, arc] of field.arcs.entries()) {
      if (areHeldApart(field, i)) continue;
      const levels = [0, 0.2, 0.5, 0.7, 1].map((k) => arc.birth + k * (arc.death - arc.birth));
      const volumes = levels.map((level) => poolOfLevel(field, i, level).volume);
      for (const [k, volume] of volumes.entries()) {
        if (k > 0) expect(volume).toBeGreaterThanOrEqual(volumes[k - 1] - 1e-14 * field.solid.capacity);
      }
    }
  }),
);

holds(
  'volume below a level is the clipped mesh’s, and so is the centroid',
  RUNS,
  fc.property(tank, condition, share, (number, at, part) => {
    const field = fieldOf(number, at);
    const local = levelAt(field, part);
    const expected = clippedBelow(tankOf(number).shape, field.up, local + field.originLevel);
    const pools = poolsBelow(field, local);
    assertWithin(total(pools), expected.volume, 1e-12, field.solid.capacity);
    for (const axis of [0, 1, 2]) {
      const moment = pools.reduce((sum, pool) => sum + pool.volume * measurePool(field, pool).centroid[axis], 0);
      assertWithin(moment, expected.volume * expected.centroid[axis], 1e-11, field.solid.capacity * field.solid.size);
    }
  }),
);

holds(
  'a pool’s parts hold at their saddle what it holds at its birth',
  RUNS,
  fc.property(tank, condition, (number, at) => {
    const field = fieldOf(number, at);
    for (const [i, arc] of field.arcs.entries()) {
      if (arc.children.length === 0 || areHeldApart(field, i)) continue;
      const parts = arc.children.reduce((sum, part) => sum + field.arcs[part].holds, 0);
      assertWithin(poolOfLevel(field, i, arc.birth).volume, parts, 1e-12, field.solid.capacity);
    }
    assertWithin(field.arcs[field.root].holds, field.solid.capacity, 1e-13);
  }),
);

holds(
  'the level for a volume is the inverse of the volume at a level',
  RUNS,
  fc.property(tank, condition, share, (number, at, part) => {
    const field = fieldOf(number, at);
    const { capacity, size } = field.solid;
    for (const [i, arc] of field.arcs.entries()) {
      if (areHeldApart(field, i)) continue;
      const least = arc.children.reduce((sum, child) => sum + field.arcs[child].holds, 0);
      const asked = least + part * (arc.holds - least);
      const pool = poolOfVolume(field, i, asked);
      expect(pool.volume).toBe(asked);
      assertWithin(poolOfLevel(field, i, pool.level).volume, asked, 1e-13, capacity);
      const level = arc.birth + part * (arc.death - arc.birth);
      const state = poolOfLevel(field, i, level);
      const back = poolOfVolume(field, i, state.volume);
      // The level is as sharp as the surface is wide: 1e-13 of the capacity over the surface.
      const { surface } = measurePool(field, state);
      if (surface > 1e-6 * size ** 2) assertWithin(back.level, level, (1e-13 * capacity) / surface + 1e-13 * size, 1);
    }
  }),
);

holds(
  'settled pools add up to the amount, each at rest in its own arc, none above a neighbour it would spill into',
  RUNS,
  fc.property(tank, condition, share, (number, at, part) => {
    const field = fieldOf(number, at);
    const amount = part * field.solid.capacity;
    const pools = settle(field, amount);
    assertWithin(total(pools), amount, 1e-12);
    for (const pool of pools) {
      const arc = field.arcs[pool.arc];
      expect(pool.level).toBeGreaterThanOrEqual(arc.birth);
      expect(pool.level).toBeLessThanOrEqual(arc.death);
      assertWithin(measurePool(field, pool).volume, pool.volume, 1e-12, field.solid.capacity);
    }
    // No pool lies inside another, and only full pools have spilt: at most one is neither full nor the first of its pair.
    for (const a of pools) for (const b of pools) if (a !== b) expect(field.arcs[b.arc].nestedFrom <= a.arc && a.arc <= b.arc).toBe(false);
    expect(pools.filter((pool) => pool.level < field.arcs[pool.arc].death).length).toBeLessThanOrEqual(1);
  }),
);

holds(
  'draining: no pool falls below its way out, none without one falls, and one more way out never leaves more',
  RUNS,
  fc.property(tank, condition, fc.array(fc.nat(), { minLength: 1, maxLength: 4 }), (number, at, picks) => {
    const field = fieldOf(number, at);
    const { solid } = field;
    const waysOut = picks.map((pick, i) => {
      const t = 3 * (pick % (solid.triangles.length / 3));
      const mean = [0, 1, 2].map((axis) => [0, 1, 2].reduce((sum, k) => sum + solid.positions[3 * solid.triangles[t + k] + axis] / 3, 0));
      const place: Vector3 = [mean[0] + solid.origin[0], mean[1] + solid.origin[1], mean[2] + solid.origin[2]];
      return { id: `${i}`, place: openingAt(field, { id: `${i}`, kind: 'drain', at: place, bore: 0, facing: null }).centre };
    });
    const left = drainDown(field, waysOut);
    for (const { level, drainedBy, arc } of left) {
      if (drainedBy === null) assertWithin(level, field.arcs[arc].death, 0);
      else {
        const way = waysOut.find(({ id }) => id === drainedBy)!;
        expect(level).toBeGreaterThanOrEqual(way.place.level);
        if (level > way.place.level) expect(level).toBe(field.arcs[arc].birth);
      }
    }
    expect(total(left)).toBeLessThanOrEqual(solid.capacity * (1 + 1e-14));
    let before = solid.capacity * (1 + 1e-14);
    for (let count = 1; count <= waysOut.length; count++) {
      const now = total(drainDown(field, waysOut.slice(0, count)));
      expect(now).toBeLessThanOrEqual(before + 1e-13 * solid.capacity);
      before = now;
    }
    assertWithin(total(drainDown(field, [])), solid.capacity, 1e-13);
  }),
);

holds(
  'upside down at the same plane, fuel and ullage make up the tank, in volume and in moment',
  RUNS,
  fc.property(tank, condition, share, (number, at, part) => {
    const field = fieldOf(number, at);
    const other = fieldOf(number, { ...at, n: -at.n });
    for (const axis of [0, 1, 2]) expect(other.up[axis]).toBe(-field.up[axis] + 0);
    const local = levelAt(field, part);
    const [fuel, ullage] = [poolsBelow(field, local), poolsBelow(other, -local)];
    const { capacity, size } = field.solid;
    assertWithin(total(fuel) + total(ullage), capacity, 1e-12);
    const whole = measurePool(field, { arc: field.root, level: levelAt(field, 1) }).centroid;
    for (const axis of [0, 1, 2]) {
      const moment = (of: Field, pools: readonly PoolState[]): number =>
        pools.reduce((sum, pool) => sum + pool.volume * measurePool(of, pool).centroid[axis], 0);
      assertWithin(moment(field, fuel) + moment(other, ullage), capacity * whole[axis], 1e-11, capacity * size);
    }
  }),
);

holds(
  'negative n is positive n at roll + 180° with the pitch negated',
  RUNS,
  fc.property(tank, condition, share, (number, at, part) => {
    const turned = { pitch_deg: -at.pitch_deg, roll_deg: at.roll_deg + 180, n: -at.n };
    const [one, two] = [fieldOf(number, at), fieldOf(number, turned)];
    // Adding 180° rounds the angle by up to 2.8e-14° (5e-16 rad), and sines near 2π lose twice as much again.
    for (const axis of [0, 1, 2]) assertWithin(one.up[axis], two.up[axis], 3e-15, 1);
    const amount = part * one.solid.capacity;
    const least = 1e-8 * one.solid.capacity;
    assertSame(volumesOf(settle(two, amount), least), volumesOf(settle(one, amount), least), 1e-12, one.solid.capacity);
  }),
);

/** Coordinates taken through a linear map given by the images of the axes. */
const mapped = ({ positions, triangles }: SurfaceMesh, [ex, ey, ez]: readonly [Vector3, Vector3, Vector3]): SurfaceMesh => {
  const out = new Float64Array(positions.length);
  for (let p = 0; p < out.length; p += 3) {
    for (let k = 0; k < 3; k++) out[p + k] = positions[p] * ex[k] + positions[p + 1] * ey[k] + positions[p + 2] * ez[k];
  }
  return { positions: out, triangles };
};
const turnedBy = (v: Vector3, [ex, ey, ez]: readonly [Vector3, Vector3, Vector3]): Vector3 => [
  v[0] * ex[0] + v[1] * ey[0] + v[2] * ez[0],
  v[0] * ex[1] + v[1] * ey[1] + v[2] * ez[1],
  v[0] * ex[2] + v[1] * ey[2] + v[2] * ez[2],
];
const reversed = (triangles: Uint32Array): Uint32Array => {
  const out = triangles.slice();
  for (let t = 0; t < out.length; t += 3) [out[t], out[t + 1]] = [out[t + 1], out[t]];
  return out;
};
const component = fc.double({ min: 0.05, max: 1, noNaN: true });

holds(
  'tank and gravity turned together',
  RUNS,
  fc.property(tank, condition, share, fc.tuple(component, component, component, component), (number, at, part, [a, b, c, d]) => {
    const ex = normalize([a, b, -c]);
    const ez = normalize(cross(ex, [d, -a, b]));
    const axes = [ex, cross(ez, ex), ez] as const;
    assertSameTank(number, at, part, mapped(tankOf(number).shape, axes), normalize(turnedBy(upOf(at), axes)), 1e-11);
  }),
);

holds(
  'mirrored',
  RUNS,
  fc.property(tank, condition, share, fc.integer({ min: 0, max: 2 }), (number, at, part, axis) => {
    const { positions, triangles } = tankOf(number).shape;
    const up = upOf(at).map((x, k) => (k === axis ? -x : x)) as unknown as Vector3;
    const told = { positions: positions.map((x, i) => (i % 3 === axis ? -x : x)), triangles: reversed(triangles) };
    assertSameTank(number, at, part, told, up, 1e-12);
  }),
);

holds(
  'a thousand times smaller and larger',
  RUNS,
  fc.property(tank, condition, share, fc.constantFrom(1e-3, 1e3), (number, at, part, factor) => {
    const { positions, triangles } = tankOf(number).shape;
    assertSameTank(number, at, part, { positions: positions.map((x) => x * factor), triangles }, upOf(at), 1e-12, factor);
  }),
);

holds(
  '10 km off the origin',
  RUNS,
  fc.property(tank, condition, share, (number, at, part) => {
    const { positions, triangles } = tankOf(number).shape;
    // Doubles there are 1.8e-12 m apart: a wall of 1 m² moves by as much.
    assertSameTank(number, at, part, { positions: positions.map((x, i) => x + [1e4, -1e4, 1e4][i % 3]), triangles }, upOf(at), 5e-11);
  }),
);

/** Every triangle cut into four at its edges' middles. */
function inFour({ positions, triangles }: SurfaceMesh): SurfaceMesh {
  const out = [...positions];
  const middles = new Map<string, number>();
  const middle = (a: number, b: number): number => {
    const key = a < b ? `${a} ${b}` : `${b} ${a}`;
    let vertex = middles.get(key);
    if (vertex === undefined) {
      vertex = out.length / 3;
      for (let k = 0; k < 3; k++) out.push((positions[3 * a + k] + positions[3 * b + k]) / 2);
      middles.set(key, vertex);
    }
    return vertex;
  };
  const parts: number[] = [];
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = triangles.subarray(t, t + 3);
    const [ab, bc, ca] = [middle(a, b), middle(b, c), middle(c, a)];
    parts.push(a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca);
  }
  return { positions: Float64Array.from(out), triangles: Uint32Array.from(parts) };
}

/** Flat convex quads cut along their other diagonal, each triangle used once. */
function otherDiagonals({ positions, triangles }: SurfaceMesh): { mesh: SurfaceMesh; flips: number } {
  const out = triangles.slice();
  const corner = (v: number): Vector3 => [positions[3 * v], positions[3 * v + 1], positions[3 * v + 2]];
  const minus = (a: Vector3, b: Vector3): Vector3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
  const area = (a: number, b: number, c: number): Vector3 => cross(minus(corner(b), corner(a)), minus(corner(c), corner(a)));
  const edges = new Map<string, number>();
  const present = new Set<string>();
  for (let k = 0; k < triangles.length; k++) {
    const next = k - (k % 3) + ((k + 1) % 3);
    edges.set(`${triangles[k]} ${triangles[next]}`, k);
    present.add(`${triangles[k]} ${triangles[next]}`);
  }
  const used = new Set<number>();
  let flips = 0;
  for (let k = 0; k < triangles.length; k++) {
    const base = k - (k % 3);
    const [a, b, c] = [triangles[k], triangles[base + ((k + 1) % 3)], triangles[base + ((k + 2) % 3)]];
    const twin = edges.get(`${b} ${a}`)!;
    const other = twin - (twin % 3);
    const d = triangles[other + ((twin + 2) % 3)];
    if (used.has(base) || used.has(other) || present.has(`${c} ${d}`) || present.has(`${d} ${c}`)) continue;
    const normal = area(a, b, c);
    const size = Math.hypot(...normal);
    if (size < 1e-6 || dot(minus(corner(d), corner(a)), normal) !== 0) continue; // exactly flat only: the shape must not change
    const [first, second] = [area(c, a, d), area(d, b, c)];
    if (dot(first, normal) < 1e-3 * size * size || dot(second, normal) < 1e-3 * size * size) continue;
    out.set([c, a, d], base);
    out.set([d, b, c], other);
    present.add(`${c} ${d}`).add(`${d} ${c}`);
    used.add(base).add(other);
    flips++;
  }
  return { mesh: { positions, triangles: out }, flips };
}

holds(
  'every triangle cut into four',
  RUNS / 2,
  fc.property(tank, condition, share, (number, at, part) =>
    assertSameTank(number, at, part, inFour(tankOf(number).shape), upOf(at), 1e-12),
  ),
);

let flipped = 0;
holds(
  'flat quads cut along their other diagonal',
  RUNS,
  fc.property(tank, condition, share, (number, at, part) => {
    const { mesh, flips } = otherDiagonals(tankOf(number).shape);
    flipped += flips;
    assertSameTank(number, at, part, mesh, upOf(at), 1e-12);
  }),
);
test('diagonals were flipped', () => expect(flipped).toBeGreaterThan(10 * RUNS));

holds(
  'at right angles: mirrored, cut in four, other diagonals, 10 km away',
  RUNS,
  fc.property(tank, rightAngles, share, (number, at, part) => {
    const { shape } = tankOf(number);
    const { positions, triangles } = shape;
    const up = upOf(at);
    assertSameTank(number, at, part, inFour(shape), up, 1e-12);
    assertSameTank(number, at, part, otherDiagonals(shape).mesh, up, 1e-12);
    const mirrored = { positions: positions.map((x, i) => (i % 3 === 1 ? -x : x)), triangles: reversed(triangles) };
    assertSameTank(number, at, part, mirrored, [up[0], -up[1], up[2]], 1e-12);
    assertSameTank(number, at, part, { positions: positions.map((x) => x + 1e4), triangles }, up, 5e-11);
  }),
);

holds(
  'small pockets joined to their neighbour keep the tank’s volume at every level',
  RUNS,
  fc.property(tank, condition, share, fc.double({ min: 0, max: 0.2, noNaN: true }), (number, at, part, depth) => {
    const { solid } = tankOf(number);
    const plain = fieldOf(number, at);
    const joined = makeField(solid, upOf(at), { depth, volume: 0.02 * solid.capacity });
    expect(joined.arcs.length).toBeLessThanOrEqual(plain.arcs.length);
    assertWithin(joined.arcs[joined.root].holds, solid.capacity, 1e-13);
    const local = levelAt(plain, part);
    const whole = measurePool(plain, { arc: plain.root, level: local }).volume;
    assertWithin(measurePool(joined, { arc: joined.root, level: local }).volume, whole, 1e-13, solid.capacity);
    const amount = part * solid.capacity;
    const pools = settle(joined, amount);
    assertWithin(total(pools), amount, 1e-12);
    for (const pool of pools) assertWithin(measurePool(joined, pool).volume, pool.volume, 1e-12, solid.capacity);
  }),
);
