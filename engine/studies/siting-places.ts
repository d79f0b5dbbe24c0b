/** The places on a tank's wall where a fitting could go, and which of them need not be looked at. Local frame, m. */
import type { Vector3 } from '../../shared/vector.ts';
import type { TankSolid } from '../mesh/tank-solid.ts';

export interface WallPlaces {
  /** xyz; shape (3·nPlaces). Corners of the wall first, in the mesh's order. */
  readonly at: Float64Array;
  /** A triangle each place lies on. */
  readonly triangle: Uint32Array;
}

/** How many places a spacing makes; to be asked before they are made. */
export function countPlaces(solid: TankSolid, spacing: number): number {
  let count = solid.positions.length / 3;
  const { triangles } = solid;
  for (let t = 0; t < triangles.length; t += 3) {
    const sides = [0, 1, 2].map((k) => sideParts(solid, triangles[t + k], triangles[t + ((k + 1) % 3)], spacing));
    const n = Math.max(...sides);
    count += ((n - 1) * (n - 2)) / 2;
    sides.forEach((parts, k) => {
      if (triangles[t + k] < triangles[t + ((k + 1) % 3)]) count += parts - 1;
    });
  }
  return count;
}

/** @param spacing - no two neighbouring places on an edge or in a face are farther apart; Infinity for the corners alone */
export function wallPlaces(solid: TankSolid, spacing: number): WallPlaces {
  const { positions, triangles } = solid;
  const at = Array.from(positions);
  const triangle = new Array<number>(positions.length / 3).fill(-1);
  for (let k = 0; k < triangles.length; k++) if (triangle[triangles[k]] < 0) triangle[triangles[k]] = Math.floor(k / 3);
  const add = (t: number, weights: Vector3): void => {
    for (let axis = 0; axis < 3; axis++) {
      at.push(weights.reduce((sum, weight, k) => sum + weight * positions[3 * triangles[t + k] + axis], 0));
    }
    triangle.push(t / 3);
  };
  for (let t = 0; t < triangles.length && spacing < Number.POSITIVE_INFINITY; t += 3) {
    let most = 1;
    for (let k = 0; k < 3; k++) {
      const next = (k + 1) % 3;
      const n = sideParts(solid, triangles[t + k], triangles[t + next], spacing);
      most = Math.max(most, n);
      if (triangles[t + k] > triangles[t + next]) continue; // the triangle beyond adds this edge's
      for (let i = 1; i < n; i++) add(t, [0, 1, 2].map((c) => (c === k ? 1 - i / n : c === next ? i / n : 0)) as unknown as Vector3);
    }
    for (let i = 1; i < most - 1; i++) for (let j = 1; i + j < most; j++) add(t, [i / most, j / most, (most - i - j) / most]);
  }
  return { at: Float64Array.from(at), triangle: Uint32Array.from(triangle) };
}

function sideParts({ positions }: TankSolid, a: number, b: number, spacing: number): number {
  const [p, q] = [3 * a, 3 * b];
  const side = Math.hypot(positions[q] - positions[p], positions[q + 1] - positions[p + 1], positions[q + 2] - positions[p + 2]);
  return Math.max(1, Math.ceil(side / spacing - 1e-9));
}

/**
 * The places that no neighbour beats at every condition.
 *
 * From a place to a corner of its triangle the wall is a straight line. Where the corner is no higher under any of the conditions, fuel at the
 * place runs along that line to the corner under all of them, so in every join tree the corner lies in the place's own arc no higher than it,
 * or in a part of it: alone or beside any second fitting it leaves no more. Going on to lower corners ends, so each place left out is beaten
 * by one that is kept; the best single place and the best pair are among those. Equals (only where all conditions are one) go by index.
 *
 * @param ups - unit vectors against apparent gravity of all conditions
 */
export function unbeaten(solid: TankSolid, { at, triangle }: WallPlaces, ups: readonly Vector3[]): number[] {
  const { triangles, neighbourStart, neighbours, positions } = solid;
  const nVertices = positions.length / 3;
  const beats = (vertex: number, place: number): boolean => {
    const x = positions[3 * vertex] - at[3 * place];
    const y = positions[3 * vertex + 1] - at[3 * place + 1];
    const z = positions[3 * vertex + 2] - at[3 * place + 2];
    let isLower = false;
    for (const up of ups) {
      const rise = x * up[0] + y * up[1] + z * up[2];
      if (rise > 0) return false;
      if (rise < 0) isLower = true;
    }
    return isLower || vertex < place;
  };
  const kept: number[] = [];
  for (let place = 0; place < triangle.length; place++) {
    let isBeaten = false;
    if (place < nVertices) {
      for (let k = neighbourStart[place]; k < neighbourStart[place + 1] && !isBeaten; k++) isBeaten = beats(neighbours[k], place);
    } else {
      for (let k = 0; k < 3 && !isBeaten; k++) isBeaten = beats(triangles[3 * triangle[place] + k], place);
    }
    if (!isBeaten) kept.push(place);
  }
  return kept;
}
