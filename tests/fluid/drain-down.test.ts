/** What stays after draining: against brute force with manifold-3d (general-purpose library) on random solids, and by hand on boxes. */
import { describe, expect, test } from 'vitest';
import { type Field, makeField } from '../../engine/basins/field.ts';
import { openingAt } from '../../engine/fittings/opening.ts';
import { drainDown, type Residue } from '../../engine/fluid/drain-down.ts';
import type { TankSolid } from '../../engine/mesh/tank-solid.ts';
import { dot, type Vector3 } from '../../shared/vector.ts';
import { assertWithin } from '../assert-within.ts';
import { threeBasins, twoBasins } from '../basin-tanks.ts';
import { manifoldKernel, randomSolid, randomUp, seeded, solidOf } from '../random-solids.ts';
import { Ambiguous, slowDrain } from '../slow-drain.ts';
import { fieldAt } from '../tank.ts';

function drained(field: Field, openings: readonly Vector3[]): Residue[] {
  return drainDown(
    field,
    openings.map((at, i) => ({ id: `${i}`, place: openingAt(field, { id: `${i}`, kind: 'drain', at, bore: 0, facing: null }).centre })),
  );
}
const volumesOf = (pools: readonly { readonly volume: number }[]): number[] => pools.map(({ volume }) => volume).sort((a, b) => b - a);
const sum = (volumes: readonly number[]): number => volumes.reduce((total, volume) => total + volume, 0);

/** A corner or the middle of a triangle of the wall. */
function placeOnWall({ triangles, positions, origin }: TankSolid, random: () => number): Vector3 {
  const t = 3 * Math.floor((random() * triangles.length) / 3);
  const weights = random() < 0.5 ? [1, 0, 0] : [1 / 3, 1 / 3, 1 / 3];
  const at = [0, 1, 2].map((axis) => origin[axis] + sum(weights.map((weight, k) => weight * positions[3 * triangles[t + k] + axis])));
  return [at[0], at[1], at[2]];
}

const SOLIDS = Number(process.env['LOWPOINT_SOLIDS'] ?? 100);
const SEED = Number(process.env['LOWPOINT_SEED'] ?? 1);
/** Brute force looks at every vertex height, so solids with more corners than this are passed over (0: none). */
const MOST_CORNERS = Number(process.env['LOWPOINT_CORNERS'] ?? 180);

test(`drain-down: ${SOLIDS} random solids with 1 to 3 random openings against brute force, from seed ${SEED}`, async () => {
  const kernel = await manifoldKernel();
  let worst = 0;
  let judged = 0;
  let unjudged = 0;
  let pools = 0;
  const wrong: string[] = [];
  for (let seed = SEED; judged + unjudged < SOLIDS; seed++) {
    const manifold = randomSolid(kernel, seed);
    const solid = solidOf(manifold);
    if (MOST_CORNERS > 0 && solid.positions.length / 3 > MOST_CORNERS) {
      manifold.delete();
      continue;
    }
    const random = seeded(seed + 500_000);
    const up = randomUp(random);
    const openings = Array.from({ length: 1 + Math.floor(random() * 3) }, () => placeOnWall(solid, random));
    try {
      const theirs = slowDrain(kernel, manifold, up, openings);
      const negligible = 1e-6 * solid.capacity;
      const field = makeField(solid, up);
      const ours = volumesOf(drained(field, openings));
      const shown = theirs.filter((volume) => volume > negligible);
      // Fuel that stands exactly at a saddle is one pool or the two it is about to become: then the sum alone tells.
      const atSaddle = openings.some((at) =>
        field.arcs.some((arc) => arc.saddle >= 0 && Math.abs(arc.death + field.originLevel - dot(at, up)) < 1e-9 * solid.size),
      );
      const each = atSaddle ? [] : shown.map((volume, i) => Math.abs(volume - (ours[i] ?? 0)));
      const off = Math.max(Math.abs(sum(ours) - sum(theirs)), ...each) / solid.capacity;
      worst = Math.max(worst, off);
      pools += shown.length;
      judged++;
      if (off > 1e-6 || (!atSaddle && ours.filter((volume) => volume > negligible).length !== shown.length))
        wrong.push(`seed ${seed} up ${up} openings ${JSON.stringify(openings)}: ours ${ours} theirs ${theirs}`);
    } catch (error) {
      if (!(error instanceof Ambiguous)) throw error;
      unjudged++;
    }
    manifold.delete();
  }
  console.log(
    `${judged} solids judged, ${unjudged} without a judge, ${pools} pools left, largest difference ${worst.toExponential(1)} of the capacity`,
  );
  expect(wrong).toEqual([]);
  expect(unjudged).toBeLessThan(0.03 * SOLIDS + 1);
});

describe('by hand: the two-basin tank of basin-tanks.ts (left holds 0.75 over its floor, right 2.5, the saddle at z = 1)', () => {
  const field = fieldAt(twoBasins());
  test.each<[string, Vector3[], number[]]>([
    ['no opening: full', [], [11.25]],
    ['drain on the right floor', [[4, 0.5, 0]], [0.75, 0]],
    ['drain on the left floor', [[0.5, 0.5, 0.25]], [2.5, 0]],
    [
      'drains on both',
      [
        [0.5, 0.5, 0.25],
        [2, 0.5, 0],
      ],
      [0, 0],
    ],
    ['standpipe 0.4 over the right floor', [[2, 0.5, 0.4]], [1, 0.75]],
    ['outlet in the front wall at z = 0.6', [[0, 0.5, 0.6]], [2.5, 0.35]],
    ['outlet above the saddle, at z = 2', [[4, 0.5, 2]], [7.25]],
    ['outlet on top of the baffle', [[1.25, 0.5, 1]], [3.25]],
    ['vent in the roof', [[2, 0.5, 3]], [11.25]],
  ])('%s', (_name, openings, expected) => {
    const left = volumesOf(drained(field, openings));
    // Fuel over a saddle that stands level with the opening is one pool or the two it is about to become: the sum tells.
    assertWithin(sum(left), sum(expected), 1e-13);
    if (!_name.includes('on top of')) {
      expect(left.length).toBe(expected.length);
      for (const [i, volume] of expected.entries()) assertWithin(left[i], volume, 1e-12, 1);
    }
  });
  test('nose up 45°, drained at the lowest corner: a wedge of ½·0.75² stays before the baffle', () => {
    assertWithin(sum(volumesOf(drained(fieldAt(twoBasins(), { pitch_deg: 45, roll_deg: 0, n: 1 }), [[4, 0.5, 0]]))), 0.28125, 1e-13);
  });
  test('upside down: an opening in the floor keeps all the fuel, one in the roof lets all of it out', () => {
    const over = fieldAt(twoBasins(), { pitch_deg: 0, roll_deg: 0, n: -1 });
    assertWithin(sum(volumesOf(drained(over, [[2, 0.5, 0]]))), 11.25, 1e-13);
    assertWithin(sum(volumesOf(drained(over, [[2, 0.5, 3]]))), 0, 1e-13, 1);
  });
});

test('by hand: the three-basin tank, each way out alone', () => {
  const field = fieldAt(threeBasins());
  // Basins hold: left 0.5 (to z = 1), middle 1 (to z = 1), both 3.75 to z = 2, right 1.75 (to z = 2).
  assertWithin(sum(volumesOf(drained(field, [[0.5, 0.5, 0.5]]))), 1 + 1.75, 1e-13);
  assertWithin(sum(volumesOf(drained(field, [[1.75, 0.5, 0]]))), 0.5 + 1.75, 1e-13);
  assertWithin(sum(volumesOf(drained(field, [[3, 0.5, 0.25]]))), 3.75, 1e-13);
  assertWithin(sum(volumesOf(drained(field, [[0, 0.5, 1.5]]))), 1.5 + 0.5 * 2.25 + 1.75, 1e-13);
});
