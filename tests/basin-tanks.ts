/** Tanks with baffles on a grid of 1/4 m, for which every pool can be worked out by hand. */
import type { SurfaceMesh } from '../engine/mesh/tank-solid.ts';
import { box, profileAlongY, together } from './shapes.ts';

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

/** The two-basin tank with a block hung in it from x = 0.25 to 3.5, y = 0.25 to 0.75, z = 1.125 to 2: it bridges both basins above the saddle. */
export function twoBasinsUnderBlock(): SurfaceMesh {
  const block = box([0.25, 0.25, 1.125], [3.5, 0.75, 2]);
  return together(twoBasins(), { positions: block.positions, triangles: block.triangles.slice().reverse() });
}

/**
 * A six-sided tank of radius 1 m, roof at z = 3, whose floor is a fan about a middle vertex at z = 1: corners at z = 2 (ridges) and, between
 * them, pits at z = 0, 0.2 and 0.9. All three pockets meet over the one middle vertex. Each pit's pocket, up to z = 1, is two tetrahedra.
 */
export function threePitsAtOneSaddle(): SurfaceMesh {
  const floor = [2, 0, 2, 0.2, 2, 0.9];
  const rim = (z: (corner: number) => number): number[] =>
    floor.flatMap((_, i) => [Math.cos((Math.PI * i) / 3), Math.sin((Math.PI * i) / 3), z(i)]);
  const positions = Float64Array.from([...rim((i) => floor[i]), ...rim(() => 3), 0, 0, 1, 0, 0, 3]);
  const triangles = floor.flatMap((_, i) => {
    const j = (i + 1) % 6;
    return [12, j, i, 13, 6 + i, 6 + j, i, j, 6 + j, i, 6 + j, 6 + i];
  });
  return { positions, triangles: Uint32Array.from(triangles) };
}
