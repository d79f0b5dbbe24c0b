/** Where a surface is: crossings of a line, distance to the wall, the lowest place. All in mm, in the surface's own frame. */
import type { Surface } from './surface.ts';

export type Point = readonly [number, number, number];
export type Axis = 0 | 1 | 2;

/** Every place where a line along an axis crosses the surface, rising. An even number: in and out in turn. */
export function crossings({ positions: p, triangles }: Surface, axis: Axis, through: Point): number[] {
  const [u, v] = [(axis + 1) % 3, (axis + 2) % 3];
  const found: number[] = [];
  for (let t = 0; t < triangles.length; t += 3) {
    const corners = [0, 1, 2].map((corner) => 3 * triangles[t + corner]);
    const at = corners.map((k) => [p[k + u] - through[u], p[k + v] - through[v]]);
    const weights = [0, 1, 2].map((k) => at[(k + 1) % 3][0] * at[(k + 2) % 3][1] - at[(k + 1) % 3][1] * at[(k + 2) % 3][0]);
    const sum = weights[0] + weights[1] + weights[2];
    if (sum === 0 || weights.some((w) => w * sum < 0)) continue;
    found.push((weights[0] * p[corners[0] + axis] + weights[1] * p[corners[1] + axis] + weights[2] * p[corners[2] + axis]) / sum);
  }
  found.sort((a, b) => a - b);
  return found.filter((value, i) => i === 0 || value - found[i - 1] > 1e-6);
}

/** The floor at X and Y: the lowest wall met going up. */
export function floorAt(surface: Surface, x: number, y: number): number {
  const [floor] = crossings(surface, 2, [x, y, 0]);
  if (floor === undefined) throw new Error(`nothing above x ${x}, y ${y}`);
  return floor;
}

/** The ceiling at X and Y. */
export function ceilingAt(surface: Surface, x: number, y: number): number {
  const ceiling = crossings(surface, 2, [x, y, 0]).at(-1);
  if (ceiling === undefined) throw new Error(`nothing above x ${x}, y ${y}`);
  return ceiling;
}

/** The corner of the surface lowest against `up`, of those within `reach` of a point as seen from above. */
export function lowestNear({ positions: p }: Surface, x: number, y: number, reach: number, up: Point): Point {
  let best: Point | undefined;
  let lowest = Infinity;
  for (let v = 0; v < p.length; v += 3) {
    const height = p[v] * up[0] + p[v + 1] * up[1] + p[v + 2] * up[2];
    if (Math.hypot(p[v] - x, p[v + 1] - y) > reach || height >= lowest) continue;
    lowest = height;
    best = [p[v], p[v + 1], p[v + 2]];
  }
  if (best === undefined) throw new Error(`no corner near x ${x}, y ${y}`);
  return best;
}

/** Signed distance to the wall: negative inside the fuel space, positive outside it. */
export function distanceOutside(surface: Surface, point: Point): number {
  const above = crossings(surface, 2, point).filter((z) => z > point[2]).length;
  const distance = distanceToWall(surface, point);
  return above % 2 === 1 ? -distance : distance;
}

export function distanceToWall({ positions: p, triangles }: Surface, point: Point): number {
  let best = Infinity;
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [0, 1, 2].map((corner): Point => {
      const k = 3 * triangles[t + corner];
      return [p[k], p[k + 1], p[k + 2]];
    });
    best = Math.min(best, distanceToTriangle(point, a, b, c));
  }
  return best;
}

const minus = (a: Point, b: Point): Point => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const dot = (a: Point, b: Point): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a: Point, b: Point): Point => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];

function distanceToTriangle(point: Point, a: Point, b: Point, c: Point): number {
  const normal = cross(minus(b, a), minus(c, a));
  const isOver = [
    [a, b],
    [b, c],
    [c, a],
  ].every(([from, to]) => dot(cross(minus(to, from), minus(point, from)), normal) >= 0);
  if (isOver) return Math.abs(dot(minus(point, a), normal)) / Math.hypot(...normal);
  return Math.min(distanceToEdge(point, a, b), distanceToEdge(point, b, c), distanceToEdge(point, c, a));
}

function distanceToEdge(point: Point, from: Point, to: Point): number {
  const along = minus(to, from);
  const share = Math.min(1, Math.max(0, dot(minus(point, from), along) / dot(along, along)));
  const off = minus(point, [from[0] + share * along[0], from[1] + share * along[1], from[2] + share * along[2]]);
  return Math.hypot(...off);
}
