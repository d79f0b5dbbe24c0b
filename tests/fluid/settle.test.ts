/** Where a given amount comes to rest, by hand on tanks of two and three basins: fill the lowest, spill across the saddle, merge when full. */
import { describe, expect, test } from 'vitest';
import { type Field, makeField } from '../../engine/basins/field.ts';
import { settle } from '../../engine/fluid/settle.ts';
import { measurePool } from '../../engine/surface/pool.ts';
import type { Condition } from '../../shared/answers.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { assertWithin } from '../assert-within.ts';
import { threeBasins, threePitsAtOneSaddle, twoBasins } from '../basin-tanks.ts';
import { box, profileAlongY, together } from '../shapes.ts';
import { AT_REST, fieldAt } from '../tank.ts';

/** Volume and level of each pool, in the order they are given. */
type Pools = readonly (readonly [volume: number, level: number])[];

function check(field: Field, amount: number, expected: Pools): void {
  const pools = settle(field, amount);
  expect(pools.map(({ volume }) => volume).length, `pools of ${amount}`).toBe(expected.length);
  for (const [i, [volume, level]] of expected.entries()) {
    assertWithin(pools[i].volume, volume, 1e-13);
    assertWithin(pools[i].level + field.originLevel, level, 1e-12, 4);
    assertWithin(measurePool(field, pools[i]).volume, volume, 1e-12);
  }
}

describe('two basins (left 0.75 over a floor at 0.25, right 2.5 over a floor at 0, saddle at 1, capacity 11.25)', () => {
  const field = fieldAt(twoBasins());
  test.each<[string, number, Pools]>([
    ['nothing', 0, []],
    ['the lowest fills first', 1, [[1, 0.4]]],
    ['to just under the saddle', 2.4, [[2.4, 0.96]]],
    [
      'it spills',
      2.8,
      [
        [2.5, 1],
        [0.3, 0.55],
      ],
    ],
    ['both full: merged', 3.25, [[3.25, 1]]],
    ['above the saddle: one', 5.25, [[5.25, 1.5]]],
    ['full', 11.25, [[11.25, 3]]],
  ])('%s: %d m³', (_name, amount, expected) => check(field, amount, expected));

  test('the spilt pool’s centroid and surface', () => {
    const [right, left] = settle(field, 2.8).map((pool) => measurePool(field, pool));
    const expectAt = (centroid: Vector3, at: Vector3): void => {
      for (const axis of [0, 1, 2]) assertWithin(centroid[axis], at[axis], 1e-12, 4);
    };
    expectAt(right.centroid, [2.75, 0.5, 0.5]);
    expectAt(left.centroid, [0.5, 0.5, 0.4]);
    assertWithin(right.surface, 2.5, 1e-13);
    assertWithin(left.surface, 1, 1e-13);
  });

  test('nose up 45°: level z − x = √2·h; right holds 6.5 to the baffle’s front edge (1, 1), left a wedge of ½·0.75²', () => {
    // Right of and over the baffle below z = x: ½·0.5² over it, (3² − 1.5²)/2 to x = 3, 3 beyond: 0.125 + 3.375 + 3.
    const up45 = fieldAt(twoBasins(), { pitch_deg: 45, roll_deg: 0, n: 1 });
    const left = (legs: number): number => (legs - 0.75) / Math.SQRT2; // a wedge with such legs over (1, 0.25)
    check(up45, 2, [[2, (2 - 4) / Math.SQRT2]]); // the corner (4, 0): legs of 2
    check(up45, 6.5, [[6.5, 0]]);
    check(up45, 6.6, [
      [6.5, 0],
      [0.1, left(Math.sqrt(0.2))],
    ]);
    check(up45, 6.78125, [[6.78125, 0]]);
  });

  test('upside down the ceiling has no baffle: one pool, level 3 − V/4 under it, whatever n below zero', () => {
    for (const n of [-1, -0.2, -3]) {
      const over = fieldAt(twoBasins(), { ...AT_REST, n });
      check(over, 6, [[6, -1.5]]);
      check(over, 8, [[8, -1]]);
      check(over, 9, [[9, 1 / 3.5 - 1]]); // beside the baffle the plan is 3.5 m²
    }
  });
});

describe('three basins (left 0.5, middle 1, joined 3.75 at z = 2, right 1.75; capacity 9)', () => {
  const field = fieldAt(threeBasins());
  test.each<[string, number, Pools]>([
    ['the middle is lowest', 0.6, [[0.6, 0.6]]],
    [
      'over the low baffle to the left, not the high one to the right',
      1.2,
      [
        [1, 1],
        [0.2, 0.7],
      ],
    ],
    ['left and middle merge', 1.5, [[1.5, 1]]],
    ['and rise together', 2.625, [[2.625, 1.5]]],
    [
      'over the high baffle',
      4.25,
      [
        [3.75, 2],
        [0.5, 0.75],
      ],
    ],
    ['all merge', 5.5, [[5.5, 2]]],
    ['above', 7.25, [[7.25, 2.5]]],
  ])('%s: %d m³', (_name, amount, expected) => check(field, amount, expected));
});

test('a full lone basin spills into the lower of two behind the next saddle, then that one spills on', () => {
  // From the left: basin to z = 2 over floor 0 (1 m long), then two basins over floors 0.5 and 0.25 (1 m each) with a 1 m baffle between.
  const field = fieldAt(
    profileAlongY(
      [
        [0, 0],
        [1, 0],
        [1, 2],
        [1.5, 2],
        [1.5, 0.5],
        [2.5, 0.5],
        [2.5, 1],
        [3, 1],
        [3, 0.25],
        [4, 0.25],
        [4, 3],
        [0, 3],
      ],
      1,
    ),
  );
  check(field, 2, [[2, 2]]);
  check(field, 2.5, [
    [2, 2],
    [0.5, 0.75],
  ]);
  check(field, 2.75 + 0.25, [
    [2, 2],
    [0.75, 1],
    [0.25, 0.75],
  ]);
  check(field, 2.75 + 0.5, [
    [2, 2],
    [1.25, 1],
  ]);
  check(field, 3.25 + 1.25, [
    [2, 2],
    [2.5, 1.5],
  ]);
  check(field, 3.25 + 2.5, [[5.75, 2]]);
});

test('two bodies in one tank never merge, though both are full', () => {
  const pair = (tilt: Condition): Field => fieldAt(together(box([0, 0, 0], [1, 1, 1]), box([2, 0, -0.5], [3, 1, 1])), tilt);
  check(pair(AT_REST), 1, [[1, 0.5]]);
  check(pair(AT_REST), 2, [
    [1.5, 1],
    [0.5, 0.5],
  ]);
  check(pair(AT_REST), 2.5, [
    [1.5, 1],
    [1, 1],
  ]);
});

describe('three pits that meet at one saddle', () => {
  // In the middle's fan, between a pit at z = p and a ridge at z = 2, the level z = 1 meets the rim edge at a share t = (1 − p)/(2 − p) from
  // the pit; the fuel there is a tetrahedron over the plan triangle middle–pit–meeting point, of area t·√3/4, with heights 0, 1 − p, 0:
  // t·(√3/4)·(1 − p)/3, twice over.
  const holds = (p: number): number => ((2 * ((1 - p) / (2 - p)) * Math.sqrt(3)) / 4) * ((1 - p) / 3);

  test('each holds its two tetrahedra, and they are parts of one arc', () => {
    const field = fieldAt(threePitsAtOneSaddle());
    const { children } = field.arcs[field.root];
    expect(children.length).toBe(3);
    for (const [i, p] of [0, 0.2, 0.9].entries()) assertWithin(field.arcs[children[i]].holds, holds(p), 1e-13);
    check(field, holds(0) + holds(0.2) + holds(0.9), [[holds(0) + holds(0.2) + holds(0.9), 1]]);
  });

  test('the smallest, under the tolerance, is joined to the lowest, and its volume with it', () => {
    const { solid, up } = fieldAt(threePitsAtOneSaddle());
    const field = makeField(solid, up, { depth: 0.15, volume: 0.01 });
    expect(field.merged.count).toBe(1);
    assertWithin(field.merged.volume, holds(0.9), 1e-13);
    const { children } = field.arcs[field.root];
    expect(children.length).toBe(2);
    assertWithin(field.arcs[children[0]].holds, holds(0) + holds(0.9), 1e-13);
    assertWithin(field.arcs[children[1]].holds, holds(0.2), 1e-13);
    const both = holds(0) + holds(0.9);
    check(field, both + 0.5 * holds(0.2), [
      [both, 1],
      // A tetrahedron's content goes with the cube of its height.
      [0.5 * holds(0.2), 0.2 + 0.8 * Math.cbrt(0.5)],
    ]);
  });
});
