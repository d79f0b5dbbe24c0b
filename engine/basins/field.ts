/**
 * A tank under one direction of apparent gravity: heights, and the join tree of the pools. Made once per tank and condition and passed on.
 *
 * Method (design §3). Lead every vertex down to its pit and link neighbouring regions over their lowest saddle (regions.ts). A pit starts a
 * pool when solid lies below it; when fuel lies below it (it hangs), it belongs to the pool of the first wall straight down. Uniting regions
 * along the links from low to high gives the tree (join-tree.ts). The pools below any level are then exactly the connected parts of the fuel
 * space below that level.
 *
 * An **arc** is a pool's life between two saddles: `birth` is the level at which its parts joined (or its low point), `death` the level at
 * which it joins another, or the top. Arcs are numbered so that parts come before the whole. Heights are local to the solid's origin, m.
 */
import { dot, type Vector3 } from '../../shared/vector.ts';
import type { TankSolid } from '../mesh/tank-solid.ts';
import { shareBelow } from '../surface/below-level.ts';
import { POCKET_VOLUME, SAME_HEIGHT } from '../tolerances.ts';
import { type JoinTree, joinTree, numberPartsFirst } from './join-tree.ts';
import { findRegions } from './regions.ts';

export interface PocketTolerance {
  /** m; a pocket must be shallower than this … */
  readonly depth: number;
  /** … and hold less than this, m³, to be joined to its neighbour. */
  readonly volume: number;
}

export interface Arc {
  readonly parent: number;
  /** The pools that joined to make this one, lowest low point first; none for a low point. */
  readonly children: readonly number[];
  readonly birth: number;
  readonly death: number;
  /** The vertex where it joins its neighbour, −1 at the top. */
  readonly saddle: number;
  /** Lowest vertex under it, and its height. */
  readonly lowest: number;
  readonly bottom: number;
  /** What it holds when it reaches `death`, m³. */
  readonly holds: number;
  /** Arcs under and including this one are numbered `first … own number` in `nested` order. */
  readonly nestedFrom: number;
  readonly nestedTo: number;
}

export interface Field {
  readonly solid: TankSolid;
  readonly up: Vector3;
  readonly heights: Float64Array;
  /** The last arc holds the whole tank. */
  readonly arcs: readonly Arc[];
  readonly root: number;
  /** Arc of each vertex; shape (nVertices) */
  readonly arcOf: Int32Array;
  /** Arc of each triangle's lowest and highest vertex; shape (nTriangles) */
  readonly lowArc: Int32Array;
  readonly highArc: Int32Array;
  /** Per arc: sums over the triangles whose highest vertex is in it, of projected area and of projected area times mean height. */
  readonly areaSum: Float64Array;
  readonly momentSum: Float64Array;
  /** Level of the tank frame's origin: add it to a local height to get a level. */
  readonly originLevel: number;
  readonly tolerance: PocketTolerance;
  readonly merged: { readonly count: number; readonly volume: number };
  /** Hanging vertices whose pool could not be told for certain, because walls cross there by less than float32 can say; 0 in a sound mesh. */
  readonly doubts: number;
}

/** @param up - unit vector against apparent gravity */
export function makeField(solid: TankSolid, up: Vector3, tolerance: PocketTolerance = pocketTolerance(solid)): Field {
  const heights = heightsAlong(solid, up);
  const regions = findRegions(solid, up, heights);
  const whole = joinTree(regions, heights, SAME_HEIGHT * solid.size);
  const wall = wallByArc(solid, up, heights, whole, regions.regionOf);
  const { tree, merged } = joinSmallPockets(whole, wall, heights, tolerance);
  return {
    solid,
    up,
    heights,
    arcs: arcsOf(tree, heights, wall.holds),
    root: tree.root,
    arcOf: wall.arcOf,
    lowArc: wall.lowArc,
    highArc: wall.highArc,
    areaSum: wall.areaSum,
    momentSum: wall.momentSum,
    originLevel: dot(solid.origin, up),
    tolerance,
    merged,
    doubts: regions.doubts,
  };
}

export function pocketTolerance(solid: TankSolid): PocketTolerance {
  return { depth: solid.facetError, volume: POCKET_VOLUME * solid.capacity };
}

function heightsAlong({ positions }: TankSolid, up: Vector3): Float64Array {
  const [x, y, z] = up;
  const heights = new Float64Array(positions.length / 3);
  for (let v = 0, p = 0; v < heights.length; v++, p += 3) heights[v] = positions[p] * x + positions[p + 1] * y + positions[p + 2] * z;
  return heights;
}

interface WallByArc {
  arcOf: Int32Array;
  lowArc: Int32Array;
  highArc: Int32Array;
  areaSum: Float64Array;
  momentSum: Float64Array;
  holds: Float64Array;
}

/**
 * What every arc holds at its death, in one pass: a triangle counts as a whole from the arc of its highest vertex upward (two sums per
 * arc), and is cut at the death of each arc from its lowest vertex up to there.
 */
function wallByArc({ triangles, areas }: TankSolid, up: Vector3, heights: Float64Array, tree: JoinTree, regionOf: Int32Array): WallByArc {
  const [ux, uy, uz] = up;
  const nTriangles = triangles.length / 3;
  const nArcs = tree.parent.length;
  const parent = Int32Array.from(tree.parent);
  const death = Float64Array.from(tree.death);
  const arcOf = arcsOfVertices(heights, tree, regionOf, parent, death);
  const lowArc = new Int32Array(nTriangles);
  const highArc = new Int32Array(nTriangles);
  const areaSum = new Float64Array(nArcs);
  const momentSum = new Float64Array(nArcs);
  const holds = new Float64Array(nArcs);
  for (let t = 0, k = 0; t < nTriangles; t++, k += 3) {
    const a = triangles[k];
    const b = triangles[k + 1];
    const c = triangles[k + 2];
    const sa = heights[a];
    const sb = heights[b];
    const sc = heights[c];
    const low = Math.min(sa, sb, sc);
    const high = Math.max(sa, sb, sc);
    const area = areas[k] * ux + areas[k + 1] * uy + areas[k + 2] * uz;
    let arc = arcOf[low === sa ? a : low === sb ? b : c];
    lowArc[t] = arc;
    if (death[arc] < high) {
      const middle = Math.max(Math.min(sa, sb), Math.min(Math.max(sa, sb), sc));
      for (; death[arc] < high && parent[arc] >= 0; arc = parent[arc]) holds[arc] += area * shareBelow(low, middle, high, death[arc]);
    }
    highArc[t] = arc;
    areaSum[arc] += area;
    momentSum[arc] += (area * (sa + sb + sc)) / 3;
  }
  addComplete(parent, death, areaSum, momentSum, holds);
  return { arcOf, lowArc, highArc, areaSum, momentSum, holds };
}

/** The arc a vertex is in: up from its region's first arc to the one that lives at its height. Most vertices stand above every saddle. */
function arcsOfVertices(heights: Float64Array, tree: JoinTree, regionOf: Int32Array, parent: Int32Array, death: Float64Array): Int32Array {
  const arcOf = new Int32Array(heights.length);
  const { arcOfRegion, root } = tree;
  const isOneBody = tree.children[root].every((part) => tree.saddle[part] >= 0);
  const aboveAll = isOneBody ? tree.birth[root] : Number.POSITIVE_INFINITY;
  for (let v = 0; v < arcOf.length; v++) {
    const height = heights[v];
    if (height > aboveAll) {
      arcOf[v] = root;
      continue;
    }
    let arc = arcOfRegion[regionOf[v]];
    while (death[arc] < height && parent[arc] >= 0) arc = parent[arc];
    arcOf[v] = arc;
  }
  return arcOf;
}

/** Adds to each arc's figure the triangles that lie wholly under it, parts before wholes. */
function addComplete(parent: Int32Array, death: Float64Array, areaSum: Float64Array, momentSum: Float64Array, holds: Float64Array): void {
  const area = areaSum.slice();
  const moment = momentSum.slice();
  for (let arc = 0; arc < parent.length; arc++) {
    holds[arc] += moment[arc] - death[arc] * area[arc];
    if (parent[arc] < 0) continue;
    area[parent[arc]] += area[arc];
    moment[parent[arc]] += moment[arc];
  }
}

/** Joins each pocket that is both shallower and smaller than the tolerance to its deepest neighbour; counts them. Rewrites `wall` to match. */
function joinSmallPockets(
  tree: JoinTree,
  wall: WallByArc,
  heights: Float64Array,
  tolerance: PocketTolerance,
): { tree: JoinTree; merged: Field['merged'] } {
  const { holds } = wall;
  const nArcs = tree.parent.length;
  const became = Int32Array.from({ length: nArcs }, (_, arc) => arc);
  const children: (readonly number[])[] = [];
  const birth = tree.birth.slice();
  let count = 0;
  let volume = 0;
  for (let arc = 0; arc < nArcs; arc++) {
    children.push(tree.children[arc]);
    const isSmall = (part: number): boolean =>
      children[part].length === 0 &&
      tree.saddle[part] >= 0 &&
      tree.death[part] - heights[tree.lowest[part]] < tolerance.depth &&
      holds[part] < tolerance.volume;
    const small = tree.children[arc].filter(isSmall);
    if (small.length === 0) continue;
    const kept = tree.children[arc].filter((part) => !small.includes(part));
    if (kept.length === 0) kept.push(small.shift()!);
    for (const part of small) {
      count++;
      volume += holds[part];
      became[part] = kept.length === 1 ? arc : kept[0];
      if (kept.length > 1) holds[kept[0]] += holds[part];
    }
    children[arc] = kept;
    if (kept.length > 1) continue;
    became[kept[0]] = arc;
    children[arc] = children[kept[0]];
    birth[arc] = birth[kept[0]];
  }
  if (count === 0) return { tree, merged: { count, volume } };

  for (let arc = nArcs - 1; arc >= 0; arc--) became[arc] = became[became[arc]];
  const parent = tree.parent.slice();
  children.forEach((parts, arc) => {
    for (const part of parts) parent[part] = arc;
  });
  const joined = numberPartsFirst({ ...tree, parent, birth, children: children.map((parts) => [...parts]) });
  const table = became.map((arc) => joined.renumbered[arc]);
  const gather = (sums: Float64Array): Float64Array => {
    const gathered = new Float64Array(joined.parent.length);
    for (let arc = 0; arc < nArcs; arc++) gathered[table[arc]] += sums[arc];
    return gathered;
  };
  for (const list of [wall.arcOf, wall.lowArc, wall.highArc]) for (let i = 0; i < list.length; i++) list[i] = table[list[i]];
  wall.areaSum = gather(wall.areaSum);
  wall.momentSum = gather(wall.momentSum);
  wall.holds = new Float64Array(joined.parent.length);
  for (let arc = 0; arc < nArcs; arc++) if (became[arc] === arc) wall.holds[table[arc]] = holds[arc];
  return { tree: joined, merged: { count, volume } };
}

function arcsOf(tree: JoinTree, heights: Float64Array, holds: Float64Array): Arc[] {
  const nestedFrom: number[] = [];
  return tree.parent.map((parent, arc) => {
    const children = tree.children[arc];
    nestedFrom.push(children.reduce((first, part) => Math.min(first, nestedFrom[part]), arc));
    const lowest = tree.lowest[arc];
    return {
      parent,
      children,
      birth: tree.birth[arc],
      death: tree.death[arc],
      saddle: tree.saddle[arc],
      lowest,
      bottom: heights[lowest],
      holds: holds[arc],
      nestedFrom: nestedFrom[arc],
      nestedTo: arc,
    };
  });
}

/** True when `arc` is `under` or one of its parts. */
export const isUnder = (field: Field, arc: number, under: number): boolean => arc <= under && arc >= field.arcs[under].nestedFrom;

/** The pool at a level that holds an arc: climbs until the level is below the pool's death. */
export function arcAtLevel(field: Field, arc: number, level: number): number {
  while (field.arcs[arc].parent >= 0 && field.arcs[arc].death < level) arc = field.arcs[arc].parent;
  return arc;
}

/** Where liquid comes to rest: the arcs without parts. */
export const lowPoints = (field: Field): number[] => field.arcs.map((_, arc) => arc).filter((arc) => field.arcs[arc].children.length === 0);
