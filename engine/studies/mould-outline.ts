/** The parting outline between the two halves of a mould, and the smallest block they are cut from. Local frame, m. */
import { cross, dot, type Vector3 } from '../../shared/vector.ts';
import { faceOf, halfEdges, nextCorner } from '../mesh/half-edges.ts';
import type { TankSolid } from '../mesh/tank-solid.ts';
import { levelBasis } from '../surface/free-surface.ts';
import { sineOfDraft } from './mould-draft.ts';

export interface Outline {
  /** Vertices in order; the last joins the first. */
  readonly vertices: readonly number[];
  readonly length: number;
  /** From its lowest to its highest point along the pull. */
  readonly rise: number;
}

/**
 * Where walls that leave along the pull meet walls that leave against it: edges of the mesh, in closed loops, longest first. Upright walls
 * belong to either half; here they go with the half along the pull, so that its outline runs at their foot.
 */
export function partingOutlines(solid: TankSolid, pull: Vector3): Outline[] {
  const { triangles, positions } = solid;
  const { twin } = halfEdges(solid);
  const isAlong = Uint8Array.from({ length: triangles.length / 3 }, (_, t) => (sineOfDraft(solid, t, pull) >= 0 ? 1 : 0));
  const isParting = (h: number): boolean => isAlong[faceOf(h)] === 1 && isAlong[faceOf(twin[h])] === 0;
  /** The next parting edge: round the end vertex, over faces of the half along the pull. */
  const onward = (h: number): number => {
    let next = nextCorner(h);
    while (!isParting(next)) next = nextCorner(twin[next]);
    return next;
  };
  const at = (v: number): Vector3 => [positions[3 * v], positions[3 * v + 1], positions[3 * v + 2]];
  const isUsed = new Uint8Array(triangles.length);
  const outlines: Outline[] = [];
  for (let first = 0; first < triangles.length; first++) {
    if (isUsed[first] === 1 || !isParting(first)) continue;
    const vertices: number[] = [];
    let length = 0;
    let low = Number.POSITIVE_INFINITY;
    let high = Number.NEGATIVE_INFINITY;
    for (let h = first; isUsed[h] === 0; h = onward(h)) {
      isUsed[h] = 1;
      const [p, q] = [at(triangles[h]), at(triangles[nextCorner(h)])];
      vertices.push(triangles[h]);
      length += Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
      const height = dot(p, pull);
      low = Math.min(low, height);
      high = Math.max(high, height);
    }
    outlines.push({ vertices, length, rise: high - low });
  }
  return outlines.sort((a, b) => b.length - a.length);
}

export interface Block {
  readonly along: number;
  readonly long: number;
  readonly short: number;
  readonly longSide: Vector3;
  readonly shortSide: Vector3;
}

/**
 * The block of least plan area with one side along the pull. One side of the smallest rectangle about a convex outline lies along a side of
 * the outline, so those alone are tried. Source: Freeman and Shapira 1975, Commun. ACM 18(7), 409–413.
 */
export function smallestBlock({ positions }: TankSolid, pull: Vector3): Block {
  const { p, q } = levelBasis(pull);
  const plan: [number, number][] = [];
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let v = 0; v < positions.length; v += 3) {
    const at: Vector3 = [positions[v], positions[v + 1], positions[v + 2]];
    plan.push([dot(at, p), dot(at, q)]);
    const height = dot(at, pull);
    low = Math.min(low, height);
    high = Math.max(high, height);
  }
  const hull = convexHull(plan);
  let best = { area: Number.POSITIVE_INFINITY, x: 1, y: 0, wide: 0, deep: 0 };
  hull.forEach((from, i) => {
    const to = hull[(i + 1) % hull.length];
    const side = Math.hypot(to[0] - from[0], to[1] - from[1]);
    const [x, y] = [(to[0] - from[0]) / side, (to[1] - from[1]) / side];
    const [wide, deep] = [extent(hull, x, y), extent(hull, -y, x)];
    if (wide * deep < best.area) best = { area: wide * deep, x, y, wide, deep };
  });
  const side: Vector3 = [best.x * p[0] + best.y * q[0], best.x * p[1] + best.y * q[1], best.x * p[2] + best.y * q[2]];
  const other = cross(pull, side);
  const isWide = best.wide >= best.deep;
  return {
    along: high - low,
    long: Math.max(best.wide, best.deep),
    short: Math.min(best.wide, best.deep),
    longSide: isWide ? side : other,
    shortSide: isWide ? other : side,
  };
}

function extent(points: readonly (readonly [number, number])[], x: number, y: number): number {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const [px, py] of points) {
    const along = px * x + py * y;
    low = Math.min(low, along);
    high = Math.max(high, along);
  }
  return high - low;
}

/** Counter-clockwise, without points on its sides. Source: Andrew 1979, Inf. Process. Lett. 9(5), 216–219. */
function convexHull(points: readonly [number, number][]): [number, number][] {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const half = (order: readonly [number, number][]): [number, number][] => {
    const chain: [number, number][] = [];
    for (const at of order) {
      while (chain.length >= 2 && turn(chain[chain.length - 2], chain[chain.length - 1], at) <= 0) chain.pop();
      chain.push(at);
    }
    chain.pop();
    return chain;
  };
  return [...half(sorted), ...half(sorted.reverse())];
}

const turn = (a: readonly [number, number], b: readonly [number, number], c: readonly [number, number]): number =>
  (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
