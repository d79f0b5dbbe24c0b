/** Depth and cover of fittings, by hand on the two-basin tank (left floor 0.25, right floor 0, saddle z = 1) and on a plain box. */
import { describe, expect, test } from 'vitest';
import { coverOf } from '../../engine/fittings/cover.ts';
import { type Fitting, openingAt } from '../../engine/fittings/opening.ts';
import { drainDown } from '../../engine/fluid/drain-down.ts';
import { settle } from '../../engine/fluid/settle.ts';
import type { Cover } from '../../shared/answers.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { assertWithin } from '../assert-within.ts';
import { twoBasins, twoBasinsUnderBlock } from '../basin-tanks.ts';
import { box, profileAlongY } from '../shapes.ts';
import { AT_REST, fieldAt } from '../tank.ts';

const outlet = (at: Vector3, bore = 0, facing: Vector3 | null = null): Fitting => ({ id: 'out', kind: 'outlet', at, bore, facing });

describe('two basins at rest', () => {
  const field = fieldAt(twoBasins());
  test.each<[string, number, Fitting, number | null, Cover]>([
    ['right floor under 0.4 m', 1, outlet([3, 0.5, 0]), 0.4, 'covered'],
    ['right wall, 0.1 m above the fuel', 1, outlet([4, 0.5, 0.5]), -0.1, 'dry'],
    ['left floor, no fuel left of the baffle', 1, outlet([0.5, 0.5, 0.25]), null, 'dry'],
    ['left floor once it has spilt', 2.8, outlet([0.5, 0.5, 0.25]), 0.3, 'covered'],
    ['left wall above the left pool, though the right one stands higher', 2.8, outlet([0, 0.5, 0.8]), -0.25, 'dry'],
    ['inside the left pool, off the wall', 2.8, outlet([0.5, 0.5, 0.4]), 0.15, 'covered'],
    ['over both, left of the baffle', 2.8, outlet([0, 0.5, 2]), 0.55 - 2, 'dry'],
    ['roof, all full', 11.25, outlet([2, 0.5, 3]), 0, 'covered'],
    ['on top of the baffle, merged', 5.25, outlet([1.25, 0.5, 1]), 0.5, 'covered'],
    ['nothing in the tank', 0, outlet([3, 0.5, 0]), null, 'dry'],
    // A disc of 0.2 m in the front wall about z = 0.6, from 0.5 to 0.7; the left pool's level is 0.25 + its volume.
    ['upright disc, level at 0.55', 2.8, outlet([0, 0.5, 0.6], 0.2, [-1, 0, 0]), -0.05, 'partly'],
    ['upright disc, level at 0.69', 2.94, outlet([0, 0.5, 0.6], 0.2, [-1, 0, 0]), 0.09, 'partly'],
    ['upright disc, level at 0.71', 2.96, outlet([0, 0.5, 0.6], 0.2, [-1, 0, 0]), 0.11, 'covered'],
    ['upright disc, level at 0.49', 2.74, outlet([0, 0.5, 0.6], 0.2, [-1, 0, 0]), -0.11, 'dry'],
    ['level disc in the floor is never partly covered', 2.501, outlet([0.5, 0.5, 0.25], 0.2, [0, 0, -1]), 0.001, 'covered'],
  ])('%s', (_name, amount, fitting, depth, cover) => {
    const state = coverOf(field, fitting, settle(field, amount));
    if (depth === null) expect(state.depth_m).toBeNull();
    else assertWithin(state.depth_m!, depth, 1e-12, 4);
    expect(state.cover).toBe(cover);
  });
});

test.each([
  [0, 30],
  [20, 0],
  [-35, 60],
  [90, 0],
  [10, 180],
])(
  'rim of a disc at pitch %d°, roll %d°: half the bore times the sine between up and facing, either side of the centre',
  (pitch_deg, roll_deg) => {
    const field = fieldAt(box([0, 0, 0], [1, 1, 1]), { pitch_deg, roll_deg, n: 1 });
    for (const facing of [
      [0, 0, -1],
      [0, 3, 4],
      [-1, 0.5, 0],
    ] as const) {
      const { top, centre, bottom } = openingAt(field, outlet([0.5, 0.5, 0.5], 0.1, facing));
      const along = (facing[0] * field.up[0] + facing[1] * field.up[1] + facing[2] * field.up[2]) / Math.hypot(...facing);
      const reach = 0.05 * Math.sqrt(Math.max(0, 1 - along * along));
      assertWithin(top.level - centre.level, reach, 1e-9, 1);
      assertWithin(centre.level - bottom.level, reach, 1e-9, 1);
    }
  },
);

test('a roll unports a floor outlet at the angle a hand drawing gives: box 1 m wide, 0.1 m deep, outlet 0.4 m off the middle', () => {
  // From atan 0.2 = 11.3° on, the surface meets the floor: the fuel is a wedge with ½ l² tan φ = 0.1, its tip l from the low wall.
  const shape = box([0, -0.5, 0], [1, 0.5, 1]);
  const tip = (roll: number): number => 0.5 - Math.sqrt(0.2 / Math.tan((roll * Math.PI) / 180));
  for (const roll of [12, 13, 13.8, 13.9, 20, 30]) {
    const field = fieldAt(shape, { pitch_deg: 0, roll_deg: roll, n: 1 });
    const state = coverOf(field, outlet([0.5, -0.4, 0]), settle(field, 0.1));
    expect(state.cover, `${roll}°`).toBe(tip(roll) < -0.4 ? 'covered' : 'dry');
    assertWithin(state.depth_m!, (-0.4 - tip(roll)) * Math.sin((roll * Math.PI) / 180), 1e-12, 1);
  }
});

test('a point under a shelf belongs to the fuel under it, not to the pool on it', () => {
  // A shelf from the left wall at z = 1 to 1.25 reaches 1 m into a box 3 m long; its lip of 0.25 m holds a pool on top.
  const field = fieldAt(
    profileAlongY(
      [
        [0, 0],
        [3, 0],
        [3, 3],
        [0, 3],
        [0, 1.25],
        [0.75, 1.25],
        [0.75, 1.5],
        [1, 1.5],
        [1, 1],
        [0, 1],
      ],
      1,
    ),
  );
  const pools = settle(field, 1.5); // 0.5 m on the floor: the shelf is dry
  const under = coverOf(field, outlet([0.5, 0.5, 0.4]), pools);
  assertWithin(under.depth_m!, 0.1, 1e-12);
  const ceiling = coverOf(field, outlet([0.5, 0.5, 1]), pools);
  assertWithin(ceiling.depth_m!, -0.5, 1e-12);
  expect(ceiling.cover).toBe('dry');
  const onShelf = coverOf(field, outlet([0.5, 0.5, 1.25]), pools);
  expect(onShelf.cover).toBe('dry');
  // Upside down the shelf's underside is a floor.
  const over = fieldAt(box([0, 0, 0], [3, 1, 3]), { ...AT_REST, n: -1 });
  assertWithin(coverOf(over, outlet([0.5, 0.5, 3]), settle(over, 3)).depth_m!, 1, 1e-12);
});

test('a point whose nearest wall hangs above it belongs to the basin under it, not to the wall’s', () => {
  // The block's underside (z = 1.125) is 0.325 above the point; the walls and the floor of the left basin are farther.
  const field = fieldAt(twoBasinsUnderBlock());
  const fitting = outlet([0.5, 0.5, 0.8]);
  expect(coverOf(field, fitting, settle(field, 1)).depth_m).toBeNull(); // 0.4 m in the right basin alone
  assertWithin(coverOf(field, fitting, settle(field, 2.8)).depth_m!, -0.25, 1e-12);
  assertWithin(coverOf(field, fitting, settle(field, 3.25 + 0.25)).depth_m!, 0.2625, 1e-12); // 0.0625 m over the saddle, plan 4 m²
  const left = drainDown(field, [{ id: 'out', place: openingAt(field, fitting).centre }]);
  assertWithin(
    left.reduce((sum, { volume }) => sum + volume, 0),
    2.5 + 0.55,
    1e-12,
  );
});
