/**
 * The first half of a field: every vertex is led to the pit it runs down to along edges, and neighbouring regions are linked by the lowest
 * vertex over which one reaches the other.
 *
 * Pools join exactly at those vertices: below any level, the graph of vertices and edges falls into the same parts as the regions do with
 * the links below that level (the links are a bottleneck spanning set of the edges). So no sort of all vertices is needed.
 * Ties in height break by index. Heights are local to the solid's origin, m.
 */
import { scale, subtract, type Vector3 } from '../../shared/vector.ts';
import { firstBelow, nearestWall, planBasis } from '../mesh/bvh.ts';
import type { TankSolid } from '../mesh/tank-solid.ts';
import { HAIR_INSIDE, TOUCHING } from '../tolerances.ts';

export interface Link {
  /** Two regions. */
  readonly a: number;
  readonly b: number;
  /** The vertex at whose height they join. */
  readonly over: number;
}

export interface Regions {
  /** The pit of each region: a vertex without a lower neighbour. */
  readonly pits: readonly number[];
  /** Region of each vertex; shape (nVertices) */
  readonly regionOf: Int32Array;
  /** From low to high. */
  readonly links: readonly Link[];
  /** Hanging pits whose pool could not be told for certain, because walls cross there by rounding. */
  readonly doubts: number;
}

export function findRegions(solid: TankSolid, up: Vector3, heights: Float64Array): Regions {
  const down = lowestNeighbours(solid, heights);
  const { pits, regionOf } = followDown(down);
  const best = new Map<number, Link>();
  const offer = (a: number, b: number, over: number): void => {
    const key = a < b ? a * pits.length + b : b * pits.length + a;
    const known = best.get(key);
    if (known === undefined || isBelow(heights, over, known.over)) best.set(key, { a, b, over });
  };
  linkAcrossEdges(solid, heights, regionOf, offer);
  let doubts = 0;
  const basis = planBasis(up);
  for (const [region, pit] of pits.entries()) {
    if (!isHanging(solid, pit, up)) continue;
    const below = vertexUnder(solid, up, heights, basis, pit);
    if (below.isDoubtful) doubts++;
    if (below.vertex >= 0 && regionOf[below.vertex] !== region) offer(region, regionOf[below.vertex], pit);
  }
  const links = [...best.values()].sort((p, q) => heights[p.over] - heights[q.over] || p.over - q.over);
  return { pits, regionOf, links, doubts };
}

const isBelow = (heights: Float64Array, v: number, w: number): boolean => heights[v] < heights[w] || (heights[v] === heights[w] && v < w);

/** The lowest of each vertex and its neighbours; itself for a pit. */
function lowestNeighbours({ neighbourStart, neighbours }: TankSolid, heights: Float64Array): Int32Array {
  const down = new Int32Array(heights.length);
  for (let v = 0, k = 0; v < down.length; v++) {
    let lowest = v;
    let height = heights[v];
    for (const end = neighbourStart[v + 1]; k < end; k++) {
      const w = neighbours[k];
      const other = heights[w];
      if (other < height || (other === height && w < lowest)) {
        lowest = w;
        height = other;
      }
    }
    down[v] = lowest;
  }
  return down;
}

function followDown(down: Int32Array): { pits: number[]; regionOf: Int32Array } {
  const pits: number[] = [];
  const regionOf = new Int32Array(down.length).fill(-1);
  for (let v = 0; v < down.length; v++) {
    if (down[v] !== v) continue;
    regionOf[v] = pits.length;
    pits.push(v);
  }
  for (let v = 0; v < down.length; v++) {
    let end = v;
    while (regionOf[end] < 0) end = down[end];
    const region = regionOf[end];
    for (let at = v; regionOf[at] < 0; at = down[at]) regionOf[at] = region;
  }
  return { pits, regionOf };
}

function linkAcrossEdges(
  { neighbourStart, neighbours }: TankSolid,
  heights: Float64Array,
  regionOf: Int32Array,
  offer: (a: number, b: number, over: number) => void,
): void {
  for (let v = 0, k = 0; v < regionOf.length; v++) {
    const region = regionOf[v];
    for (const end = neighbourStart[v + 1]; k < end; k++) {
      const w = neighbours[k];
      if (regionOf[w] !== region && isBelow(heights, w, v)) offer(region, regionOf[w], v);
    }
  }
}

/** True when fuel, not solid, lies straight below a vertex all of whose neighbours are higher: the vertex is then the wall's nearest point to it. */
const isHanging = ({ normals }: TankSolid, v: number, up: Vector3): boolean =>
  normals[3 * v] * up[0] + normals[3 * v + 1] * up[1] + normals[3 * v + 2] * up[2] > 0;

/**
 * A vertex of the pool a hanging pit belongs to: the lowest of the first wall straight below. The ray starts a hair inside the fuel, away
 * from the pit's own walls. Where that start lies in no fuel, the pit touches another body at a corner or edge: a vertex of the wall it
 * touches, or, when that body ends at the same point, of the first wall straight below both. Walls that cross by rounding leave neither: then
 * the nearest wall, marked doubtful.
 */
function vertexUnder(
  solid: TankSolid,
  up: Vector3,
  heights: Float64Array,
  basis: ReturnType<typeof planBasis>,
  pit: number,
): { vertex: number; isDoubtful: boolean } {
  const { positions, normals, triangles, bvh, size } = solid;
  const at: Vector3 = [positions[3 * pit], positions[3 * pit + 1], positions[3 * pit + 2]];
  const normal: Vector3 = [normals[3 * pit], normals[3 * pit + 1], normals[3 * pit + 2]];
  const lowest = (triangle: number): number => {
    let low = triangles[3 * triangle];
    for (let corner = 1; corner < 3; corner++) {
      const v = triangles[3 * triangle + corner];
      if (isBelow(heights, v, low)) low = v;
    }
    return low;
  };
  const under = (start: Vector3): number => {
    const hit = firstBelow(bvh, solid, start, up, basis);
    if (hit === null) return -1;
    const k = 3 * hit.triangle;
    const leavesFuel = solid.areas[k] * up[0] + solid.areas[k + 1] * up[1] + solid.areas[k + 2] * up[2] < 0;
    const low = lowest(hit.triangle);
    return leavesFuel && isBelow(heights, low, pit) ? low : -1;
  };
  const below = under(subtract(at, scale(normal, (HAIR_INSIDE * size) / Math.hypot(...normal))));
  if (below >= 0) return { vertex: below, isDoubtful: false };
  const touching = nearestWall(bvh, solid, at, (t) => !isBelow(heights, lowest(t), pit));
  if (touching.triangle >= 0 && touching.distance < TOUCHING * size) return { vertex: lowest(touching.triangle), isDoubtful: false };
  const underBoth = under(subtract(at, scale(up, TOUCHING * size)));
  if (underBoth >= 0) return { vertex: underBoth, isDoubtful: false };
  return { vertex: touching.triangle >= 0 ? lowest(touching.triangle) : -1, isDoubtful: true };
}
