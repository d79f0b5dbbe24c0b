/**
 * A pool as triangles to draw: its wetted wall cut at the level, and its free surface. The view's copy only: figures come from pool.ts.
 * A corner that lies exactly on the level counts as above it, so every cut runs along edges and the rims close.
 */
import earcut from 'earcut';
import { type Field, isUnder } from '../basins/field.ts';
import { planBasis } from '../mesh/bvh.ts';
import type { PoolState } from './pool.ts';

/** xyz in metres, tank frame, and vertex indices, as `DrawnMesh` of the contract. */
interface Triangles {
  readonly positions: Float32Array;
  readonly triangles: Uint32Array;
}

export function cutPool(field: Field, { arc, level }: Pick<PoolState, 'arc' | 'level'>): { wall: Triangles; surface: Triangles } {
  const { lowArc } = field;
  const { points, faces, rimNext } = cutWall(field, (t) => (isUnder(field, lowArc[t], arc) ? level : Number.NEGATIVE_INFINITY), 'below');
  const wall = { positions: Float32Array.from(points), triangles: Uint32Array.from(faces) };
  return { wall, surface: fillRims(points, rimsOf(rimNext), planBasis(field.up)) };
}

/** The wall that no pool of the field wets. */
export function cutDryWall(field: Field, pools: readonly Pick<PoolState, 'arc' | 'level'>[]): Triangles {
  const levels = new Float64Array(field.arcs.length).fill(Number.NEGATIVE_INFINITY);
  for (const { arc, level } of pools) levels.fill(level, field.arcs[arc].nestedFrom, arc + 1);
  const { points, faces } = cutWall(field, (t) => levels[field.lowArc[t]], 'above');
  return { positions: Float32Array.from(points), triangles: Uint32Array.from(faces) };
}

/** @param levelOf - of a triangle, the level it is cut at */
function cutWall(field: Field, levelOf: (triangle: number) => number, keep: 'below' | 'above') {
  const { solid, heights, lowArc } = field;
  const { triangles, positions, origin } = solid;
  const points: number[] = [];
  const faces: number[] = [];
  const pointOf = new Int32Array(heights.length).fill(-1);
  const cuts = new Map<number, number>();
  const rimNext = new Map<number, number>();

  const corner = (v: number): number => {
    if (pointOf[v] < 0) {
      pointOf[v] = points.length / 3;
      for (let k = 0; k < 3; k++) points.push(positions[3 * v + k] + origin[k]);
    }
    return pointOf[v];
  };
  const cut = (level: number, below: number, above: number): number => {
    const key = below * heights.length + above;
    const known = cuts.get(key);
    if (known !== undefined) return known;
    const share = (level - heights[below]) / (heights[above] - heights[below]);
    const point = points.length / 3;
    for (let k = 0; k < 3; k++) {
      points.push(positions[3 * below + k] + share * (positions[3 * above + k] - positions[3 * below + k]) + origin[k]);
    }
    cuts.set(key, point);
    return point;
  };

  for (let t = 0, k = 0; t < lowArc.length; t++, k += 3) {
    const level = levelOf(t);
    let a = triangles[k];
    let b = triangles[k + 1];
    let c = triangles[k + 2];
    const wet = (heights[a] < level ? 1 : 0) + (heights[b] < level ? 1 : 0) + (heights[c] < level ? 1 : 0);
    if (wet === 0 || wet === 3) {
      if ((wet === 3) === (keep === 'below')) faces.push(corner(a), corner(b), corner(c));
      continue;
    }
    // Turn the triangle until `a` is the corner that stands alone on its side of the level.
    const alone = (v: number): boolean => heights[v] < level === (wet === 1);
    while (!alone(a)) [a, b, c] = [b, c, a];
    const [ab, ac] = wet === 1 ? [cut(level, a, b), cut(level, a, c)] : [cut(level, b, a), cut(level, c, a)];
    if ((wet === 1) === (keep === 'below')) faces.push(corner(a), ab, ac);
    else faces.push(ab, corner(b), corner(c), ab, corner(c), ac);
    if (wet === 1) rimNext.set(ac, ab);
    else rimNext.set(ab, ac);
  }
  return { points, faces, rimNext };
}

/** Closed rims, each a list of points, wound as seen from above: counter-clockwise around fuel, clockwise around what stands in it. */
function rimsOf(next: Map<number, number>): number[][] {
  const rims: number[][] = [];
  for (const start of [...next.keys()]) {
    const rim: number[] = [];
    for (let at: number | undefined = start; at !== undefined && next.has(at); ) {
      rim.push(at);
      const after: number | undefined = next.get(at);
      next.delete(at);
      at = after;
    }
    if (rim.length > 2) rims.push(rim);
  }
  return rims;
}

interface Rim {
  readonly points: readonly number[];
  /** Plan coordinates xy; shape (2·points) */
  readonly plan: Float64Array;
  readonly area: number;
}

function fillRims(points: readonly number[], rims: readonly number[][], [e1, e2]: ReturnType<typeof planBasis>): Triangles {
  const drawn = rims.map((rim): Rim => {
    const plan = new Float64Array(2 * rim.length);
    rim.forEach((p, i) => {
      plan[2 * i] = points[3 * p] * e1[0] + points[3 * p + 1] * e1[1] + points[3 * p + 2] * e1[2];
      plan[2 * i + 1] = points[3 * p] * e2[0] + points[3 * p + 1] * e2[1] + points[3 * p + 2] * e2[2];
    });
    return { points: rim, plan, area: planArea(plan) };
  });
  const outer = drawn.filter((rim) => rim.area > 0).sort((a, b) => a.area - b.area);
  const holes = new Map<Rim, Rim[]>(outer.map((rim) => [rim, []]));
  for (const hole of drawn.filter((rim) => rim.area < 0)) {
    const around = outer.find((rim) => rim.area > -hole.area && contains(rim.plan, hole.plan[0], hole.plan[1]));
    if (around !== undefined) holes.get(around)!.push(hole);
  }
  const positions: number[] = [];
  const triangles: number[] = [];
  for (const [rim, inside] of holes) {
    const first = positions.length / 3;
    const plan: number[] = [];
    const starts: number[] = [];
    for (const part of [rim, ...inside]) {
      if (part !== rim) starts.push(plan.length / 2);
      plan.push(...part.plan);
      for (const p of part.points) positions.push(points[3 * p], points[3 * p + 1], points[3 * p + 2]);
    }
    for (const i of earcut(plan, starts)) triangles.push(first + i);
  }
  return { positions: Float32Array.from(positions), triangles: faceUp(positions, triangles, e1, e2) };
}

/** earcut may wind either way: every face is turned to be counter-clockwise from above. */
function faceUp(positions: readonly number[], triangles: number[], e1: readonly number[], e2: readonly number[]): Uint32Array {
  const along = (p: number, e: readonly number[]): number =>
    positions[3 * p] * e[0] + positions[3 * p + 1] * e[1] + positions[3 * p + 2] * e[2];
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [triangles[t], triangles[t + 1], triangles[t + 2]];
    const turn =
      (along(b, e1) - along(a, e1)) * (along(c, e2) - along(a, e2)) - (along(b, e2) - along(a, e2)) * (along(c, e1) - along(a, e1));
    if (turn < 0) [triangles[t + 1], triangles[t + 2]] = [c, b];
  }
  return Uint32Array.from(triangles);
}

function planArea(plan: Float64Array): number {
  let sum = 0;
  for (let i = 0, j = plan.length - 2; i < plan.length; j = i, i += 2) sum += plan[j] * plan[i + 1] - plan[i] * plan[j + 1];
  return sum / 2;
}

function contains(plan: Float64Array, x: number, y: number): boolean {
  let inside = false;
  for (let i = 0, j = plan.length - 2; i < plan.length; j = i, i += 2) {
    if (plan[i + 1] > y !== plan[j + 1] > y && x < ((plan[j] - plan[i]) * (y - plan[i + 1])) / (plan[j + 1] - plan[i + 1]) + plan[i])
      inside = !inside;
  }
  return inside;
}
