/** Tanks with baffles on a grid of 1/4 m, for which every pool can be worked out by hand. */
import type { SurfaceMesh } from '../engine/mesh/tank-solid.ts';
import { profileAlongY } from './shapes.ts';

/**
 * 4 m long (X), 1 m wide, 3 m high. A baffle from x = 1 to 1.5, 1 m high; left of it the floor lies at z = 0.25, right of it at 0.
 * Left holds 0.75 m³ up to the saddle, right 2.5 m³; above it the plan is 4 m². Capacity 0.75 + 2.5 + 8 = 11.25 m³.
 */
export const twoBasins = (): SurfaceMesh =>
  profileAlongY(
    [
      [0, 0.25],
      [1, 0.25],
      [1, 1],
      [1.5, 1],
      [1.5, 0],
      [4, 0],
      [4, 3],
      [0, 3],
    ],
    1,
  );

/**
 * 3.5 m long, 1 m wide, 3 m high. Left basin x 0 to 1, floor 0.5; baffle to 1.25, 1 m high; middle 1.25 to 2.25, floor 0;
 * baffle to 2.5, 2 m high; right 2.5 to 3.5, floor 0.25.
 * Left holds 0.5, middle 1; joined they hold 1.5 + 2.25 (plan 2.25 m² from z = 1 to 2) = 3.75; right holds 1.75. Capacity 3.75 + 1.75 + 3.5 = 9.
 */
export const threeBasins = (): SurfaceMesh =>
  profileAlongY(
    [
      [0, 0.5],
      [1, 0.5],
      [1, 1],
      [1.25, 1],
      [1.25, 0],
      [2.25, 0],
      [2.25, 2],
      [2.5, 2],
      [2.5, 0.25],
      [3.5, 0.25],
      [3.5, 3],
      [0, 3],
    ],
    1,
  );
