/**
 * Where water lands that falls straight from along an edge: the edge's shadow on the floors below, split exactly where it passes from one
 * triangle to the next or where a nearer floor takes over.
 */
import type { Vector3 } from '../../shared/vector.ts';
import type { TankSolid } from '../mesh/tank-solid.ts';

/** Between shares `from` and `to` of the edge the first floor below is `triangle`. */
export interface Landing {
  readonly from: number;
  readonly to: number;
  readonly triangle: number;
}

interface Floor {
  readonly triangle: number;
  readonly from: number;
  readonly to: number;
  /** Height over the edge's start where the shadow enters and leaves it, m. */
  readonly enters: number;
  readonly leaves: number;
}

/** Shares of an edge closer than this are the same place. */
const SAME_SHARE = 1e-12;
/** Gaps narrower than this are rounding between two floors: the floor before them reaches over. */
const GAP = 1e-9;

/**
 * @param start - where the edge begins, m, local; a hair beyond the lip, so that a wall flush with the lip is judged from outside
 * @param end - where it ends
 * @param depth - m; no floor lies lower than this below the edge
 * @param skip - the triangle the water comes from
 * @returns landings in order along the edge; stretches with no floor below are left out
 */
export function landingsBelow(solid: TankSolid, up: Vector3, start: Vector3, end: Vector3, depth: number, skip: number): Landing[] {
  const run: Vector3 = [end[0] - start[0], end[1] - start[1], end[2] - start[2]];
  const rise = run[0] * up[0] + run[1] * up[1] + run[2] * up[2];
  const level: Vector3 = [run[0] - rise * up[0], run[1] - rise * up[1], run[2] - rise * up[2]];
  const length2 = level[0] ** 2 + level[1] ** 2 + level[2] ** 2;
  if (length2 === 0) return [];
  const along: Vector3 = [level[0] / length2, level[1] / length2, level[2] / length2];
  const aside: Vector3 = [up[1] * along[2] - up[2] * along[1], up[2] * along[0] - up[0] * along[2], up[0] * along[1] - up[1] * along[0]];
  const floors: Floor[] = [];
  eachUnder(solid, up, start, end, aside, depth, (triangle) => {
    const k = 3 * triangle;
    const { areas } = solid;
    if (triangle === skip || areas[k] * up[0] + areas[k + 1] * up[1] + areas[k + 2] * up[2] >= 0) return;
    const floor = shadowOn(solid, up, start, along, aside, triangle);
    if (floor !== null && floor.to > 0 && floor.from < 1) floors.push(floor);
  });
  return nearest(floors, rise);
}

/** The stretch of the edge above a triangle. A corner on the shadow's line counts to one side, the same for all triangles at it. */
function shadowOn(
  { positions, triangles }: TankSolid,
  up: Vector3,
  start: Vector3,
  along: Vector3,
  aside: Vector3,
  triangle: number,
): Floor | null {
  const offset = start[0] * aside[0] + start[1] * aside[1] + start[2] * aside[2];
  const from = [0, 0],
    height = [0, 0];
  let n = 0;
  for (let corner = 0; corner < 3; corner++) {
    let a = triangles[3 * triangle + corner];
    let b = triangles[3 * triangle + (corner === 2 ? 0 : corner + 1)];
    if (a > b) [a, b] = [b, a]; // the same crossing from both sides of an edge
    a *= 3;
    b *= 3;
    const ya = positions[a] * aside[0] + positions[a + 1] * aside[1] + positions[a + 2] * aside[2] - offset;
    const yb = positions[b] * aside[0] + positions[b + 1] * aside[1] + positions[b + 2] * aside[2] - offset;
    if (ya > 0 === yb > 0) continue;
    const share = ya / (ya - yb);
    const x = positions[a] + share * (positions[b] - positions[a]) - start[0],
      y = positions[a + 1] + share * (positions[b + 1] - positions[a + 1]) - start[1],
      z = positions[a + 2] + share * (positions[b + 2] - positions[a + 2]) - start[2];
    from[n] = x * along[0] + y * along[1] + z * along[2];
    height[n++] = x * up[0] + y * up[1] + z * up[2];
  }
  if (n < 2) return null;
  const first = from[0] <= from[1] ? 0 : 1;
  const last = 1 - first;
  if (from[last] - from[first] <= SAME_SHARE) return null;
  return { triangle, from: from[first], to: from[last], enters: height[first], leaves: height[last] };
}

/** The highest floor below the edge on each stretch between places where any floor begins or ends. Floors never cross, so one look a stretch does. */
function nearest(floors: readonly Floor[], rise: number): Landing[] {
  const ends = [0, 1];
  for (const { from, to } of floors) {
    if (from > 0) ends.push(from);
    if (to < 1) ends.push(to);
  }
  ends.sort((a, b) => a - b);
  const landings: { from: number; to: number; triangle: number }[] = [];
  for (let i = 0; i + 1 < ends.length; i++) {
    const from = ends[i];
    const to = ends[i + 1];
    if (to - from <= SAME_SHARE) continue;
    const middle = (from + to) / 2;
    let best = -Infinity;
    let triangle = -1;
    for (const floor of floors) {
      if (floor.from > middle || floor.to < middle) continue;
      const height = floor.enters + ((middle - floor.from) / (floor.to - floor.from)) * (floor.leaves - floor.enters);
      if (height >= middle * rise || height < best || (height === best && floor.triangle > triangle)) continue;
      best = height;
      triangle = floor.triangle;
    }
    const last = landings.at(-1);
    if (triangle < 0) continue;
    if (last !== undefined && last.triangle === triangle && from - last.to <= SAME_SHARE) last.to = to;
    else landings.push({ from, to, triangle });
  }
  landings.forEach((landing, i) => {
    if (i === 0 && landing.from < GAP) landing.from = 0;
    const next = landings[i + 1]?.from ?? 1;
    if (next - landing.to < GAP) landing.to = next;
  });
  return landings;
}

/** @returns whether every part of the edge has a floor below */
export const coversAll = (landings: readonly Landing[]): boolean =>
  landings.length > 0 && landings[0].from === 0 && landings.every(({ to }, i) => to === (landings[i + 1]?.from ?? 1));

/** Every triangle whose box meets the upright sheet below the edge. */
function eachUnder(
  { bvh, size }: TankSolid,
  up: Vector3,
  start: Vector3,
  end: Vector3,
  aside: Vector3,
  depth: number,
  visit: (triangle: number) => void,
): void {
  const slack = 1e-12 * size;
  const low = [0, 0, 0],
    high = [0, 0, 0];
  for (let axis = 0; axis < 3; axis++) {
    const a = start[axis],
      b = end[axis],
      drop = (depth + slack) * up[axis];
    low[axis] = Math.min(a, b, a - drop, b - drop) - slack;
    high[axis] = Math.max(a, b, a - drop, b - drop) + slack;
  }
  const norm = Math.hypot(...aside);
  const [nx, ny, nz] = [aside[0] / norm, aside[1] / norm, aside[2] / norm];
  const offset = nx * start[0] + ny * start[1] + nz * start[2];
  const { bounds, child, count, triangles } = bvh;
  const stack = [0];
  while (stack.length > 0) {
    const node = stack.pop()!;
    const b = 6 * node;
    if (bounds[b] > high[0] || bounds[b + 3] < low[0] || bounds[b + 1] > high[1] || bounds[b + 4] < low[1]) continue;
    if (bounds[b + 2] > high[2] || bounds[b + 5] < low[2]) continue;
    const middle = nx * (bounds[b] + bounds[b + 3]) + ny * (bounds[b + 1] + bounds[b + 4]) + nz * (bounds[b + 2] + bounds[b + 5]);
    const reach =
      Math.abs(nx) * (bounds[b + 3] - bounds[b]) +
      Math.abs(ny) * (bounds[b + 4] - bounds[b + 1]) +
      Math.abs(nz) * (bounds[b + 5] - bounds[b + 2]);
    if (Math.abs(middle - 2 * offset) > reach + 2 * slack) continue;
    if (count[node] === 0) {
      stack.push(child[node] + 1, child[node]);
      continue;
    }
    const from = -1 - child[node];
    for (let i = from; i < from + count[node]; i++) visit(triangles[i]);
  }
}
