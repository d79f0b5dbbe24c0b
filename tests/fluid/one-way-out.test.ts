/** What one or two places leave, for many places at once: against draining place by place, which has its own outside check (drain-down.test.ts). */
import { describe, test } from 'vitest';
import { arcAtLevel, type Field, makeField } from '../../engine/basins/field.ts';
import { openingAt } from '../../engine/fittings/opening.ts';
import { drainDown } from '../../engine/fluid/drain-down.ts';
import { besideArcs, leftByPair, leftByPlace, type Places, pairRule } from '../../engine/fluid/one-way-out.ts';
import { dot, type Vector3 } from '../../shared/vector.ts';
import { assertWithin } from '../assert-within.ts';
import { threeBasins, threePitsAtOneSaddle, twoBasins } from '../basin-tanks.ts';
import { manifoldKernel, randomSolid, randomUp, seeded, solidOf } from '../random-solids.ts';
import { loadSample, SAMPLES } from '../sample-cases.ts';
import { box, together } from '../shapes.ts';
import { fieldAt } from '../tank.ts';

interface Wall extends Places {
  /** Tank frame, m. */
  readonly at: readonly Vector3[];
}

/** Every corner of the wall and a random point of every triangle. */
function wallPlaces(field: Field, random: () => number): Wall {
  const { triangles, positions, origin } = field.solid;
  const corner = (v: number): Vector3 => [positions[3 * v], positions[3 * v + 1], positions[3 * v + 2]];
  const arcs: number[] = [];
  const levels: number[] = [];
  const at: Vector3[] = [];
  for (let t = 0; t < triangles.length / 3; t++) {
    const corners = [0, 1, 2].map((k) => corner(triangles[3 * t + k]));
    const share = [random(), random(), random()];
    const whole = share[0] + share[1] + share[2];
    const inner = [0, 1, 2].map((axis) => corners.reduce((sum, c, k) => sum + (share[k] / whole) * c[axis], 0));
    for (const [x, y, z] of [...corners, inner]) {
      const level = dot([x, y, z], field.up);
      levels.push(level);
      arcs.push(arcAtLevel(field, field.lowArc[t], level));
      at.push([x + origin[0], y + origin[1], z + origin[2]]);
    }
  }
  return { arcs: Int32Array.from(arcs), levels: Float64Array.from(levels), at };
}

function drained(field: Field, at: readonly Vector3[]): number {
  const ways = at.map((point, i) => ({
    id: `${i}`,
    place: openingAt(field, { id: `${i}`, kind: 'drain', at: point, bore: 0, facing: null }).centre,
  }));
  return drainDown(field, ways).reduce((sum, { volume }) => sum + volume, 0);
}

const pick = <T>(list: readonly T[], n: number, random: () => number): T[] =>
  Array.from({ length: n }, () => list[Math.floor(random() * list.length)]);

function compare(field: Field, n: number, random: () => number): void {
  const places = wallPlaces(field, random);
  const beside = besideArcs(field);
  const left = leftByPlace(field, places, beside);
  const rule = pairRule(field, beside);
  const all = places.at.map((_, i) => i);
  const near = 1e-11;
  for (const i of pick(all, n, random)) assertWithin(left[i], drained(field, [places.at[i]]), near, field.solid.capacity);
  const [ps, qs] = [pick(all, n, random), pick(all, n, random)];
  for (const [k, p] of ps.entries()) {
    const q = qs[k];
    const both = leftByPair(rule, places.arcs[p], left[p], places.arcs[q], left[q]);
    assertWithin(both, drained(field, [places.at[p], places.at[q]]), near, field.solid.capacity);
  }
}

describe('places of one field', () => {
  test.each([
    ['two basins', twoBasins()],
    ['three basins', threeBasins()],
    ['three pits at one saddle', threePitsAtOneSaddle()],
    ['two bodies', together(box([0, 0, 0], [0.4, 0.5, 0.3]), box([0.6, 0, 0.1], [1, 0.5, 0.3]))],
  ])('%s: every place, at rest and tilted', (_, shape) => {
    const random = seeded(11);
    for (const [pitch_deg, roll_deg, n] of [
      [0, 0, 1],
      [3, -7, 1],
      [-20, 40, 1],
      [0, 0, -1],
    ]) {
      compare(fieldAt(shape, { pitch_deg, roll_deg, n }), 200, random);
    }
  });
  test('two basins by hand: in the left floor 2.5 m³ stay beside it, in both floors nothing', () => {
    const field = fieldAt(twoBasins());
    const { positions, origin } = field.solid;
    const heights = [...field.heights].map((height) => height + origin[2]);
    const left = leftByPlace(field, { arcs: field.arcOf, levels: field.heights });
    heights.forEach((z, v) => {
      const x = positions[3 * v] + origin[0];
      const known = z === 3 ? 11.25 : z === 1 ? 3.25 : x <= 1 ? 2.5 : 0.75;
      assertWithin(left[v], known, 1e-13);
    });
    const floor = (z: number): number => heights.indexOf(z);
    const rule = pairRule(field, besideArcs(field));
    const [p, q] = [floor(0.25), floor(0)];
    assertWithin(leftByPair(rule, field.arcOf[p], left[p], field.arcOf[q], left[q]), 0, 1e-13, 11.25);
  });
  test('60 random solids, 12 places and 12 pairs each, from seed 1', async () => {
    const kernel = await manifoldKernel();
    for (let seed = 1; seed <= 60; seed++) {
      const manifold = randomSolid(kernel, seed);
      const random = seeded(seed + 900_000);
      compare(makeField(solidOf(manifold), randomUp(random)), 12, random);
      manifold.delete();
    }
  });
  test('the samples, 10 places and 10 pairs in each tank', async () => {
    const random = seeded(5);
    for (const name of SAMPLES) {
      for (const { solid } of (await loadSample(name)).tanks) compare(makeField(solid, randomUp(random)), 10, random);
    }
  });
  test('a sliver among walls of ordinary slope leaves no rounding at other levels', () => {
    // A floor that rises by a hair over 1 m, then the walls: the cubic of the hair is 1e12 times as steep as the others.
    const hair = 1e-12;
    const shape = box([0, 0, 0], [1, 1, 1]);
    const positions = shape.positions.slice();
    for (let p = 0; p < positions.length; p += 3) {
      if (positions[p + 2] === 0) positions[p + 2] = hair * positions[p];
      else positions[p + 2] = 0.3 + 0.7 * positions[p];
    }
    const field = fieldAt({ positions, triangles: shape.triangles });
    const left = leftByPlace(field, { arcs: field.arcOf, levels: field.heights });
    for (let v = 0; v < left.length; v++) {
      const z = positions[3 * v + 2];
      // 0.3 fills the flat part; at 1 all, half of the wedge of 0.7 m more.
      assertWithin(left[v], z >= 1 ? 0.65 : z >= 0.3 ? 0.3 : 0, 1e-11, 1);
    }
  });
});
