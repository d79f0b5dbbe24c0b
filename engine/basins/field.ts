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
import { SAME_HEIGHT, WHOLE } from '../tolerances.ts';
import { type JoinTree, joinTree, numberPartsFirst } from './join-tree.ts';
import { findRegions } from './regions.ts';

type PocketTolerance = TankSolid['pocketTolerance'];

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
  /** Arcs under and including this one are numbered from here up to its own number. */
  readonly nestedFrom: number;
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
export function makeField(solid: TankSolid, up: Vector3, tolerance: PocketTolerance = solid.pocketTolerance): Field {
  const heights = heightsAlong(solid, up);
  const regions = findRegions(solid, up, heights);
  const whole = joinTree(regions, heights, SAME_HEIGHT * solid.size);
  const parent = Int32Array.from(whole.parent);
  const death = Float64Array.from(whole.death);
  const arcOf = arcsOfVertices(heights, whole, regions.regionOf, parent, death);
  const wall = wallByArc(solid, up, heights, arcOf, parent, death);
  addComplete(wall, parent, death);
  if (!(Math.abs(wall.holds[whole.root] - solid.capacity) <= WHOLE * solid.capacity))
    throw new Error('a field does not add up to its tank');
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
 * arc, added by `addComplete`), and is cut at the death of each arc from its lowest vertex up to there.
 */
function wallByArc(
  solid: TankSolid,
  up: Vector3,
  heights: Float64Array,
  arcOf: Int32Array,
  parent: Int32Array,
  death: Float64Array,
): WallByArc {
  const nTriangles = solid.triangles.length / 3;
  const nArcs = parent.length;
  const wall: WallByArc = {
    arcOf,
    lowArc: new Int32Array(nTriangles),
    highArc: new Int32Array(nTriangles),
    areaSum: new Float64Array(nArcs),
    momentSum: new Float64Array(nArcs),
    holds: new Float64Array(nArcs),
  };
  sumTriangles(solid, up, heights, parent, death, wall);
  return wall;
}

/** The hot loop alone: a compiler that enters it while it runs then has nothing behind it to be surprised by. Fills `out`. */
function sumTriangles(
  { triangles, areas }: TankSolid,
  [ux, uy, uz]: Vector3,
  heights: Float64Array,
  parent: Int32Array,
  death: Float64Array,
  out: WallByArc,
): void {
  const { arcOf, lowArc, highArc, areaSum, momentSum, holds } = out;
  for (let t = 0, k = 0; t < lowArc.length; t++, k += 3) {
    const a = triangles[k];
    const b = triangles[k + 1];
    const c = triangles[k + 2];
    const sa = heights[a];
    const sb = heights[b];
    const sc = heights[c];
    const area = areas[k] * ux + areas[k + 1] * uy + areas[k + 2] * uz;
    // A triangle's corners lie on one line of descent, and parts are numbered before wholes.
    const high = Math.max(arcOf[a], arcOf[b], arcOf[c]);
    let arc = Math.min(arcOf[a], arcOf[b], arcOf[c]);
    lowArc[t] = arc;
    highArc[t] = high;
    if (arc !== high) {
      const lowest = Math.min(sa, sb, sc);
      const middle = Math.max(Math.min(sa, sb), Math.min(Math.max(sa, sb), sc));
      const highest = Math.max(sa, sb, sc);
      for (; arc >= 0 && arc < high; arc = parent[arc]) holds[arc] += area * shareBelow(lowest, middle, highest, death[arc]);
    }
    areaSum[high] += area;
    momentSum[high] += (area * (sa + sb + sc)) / 3;
  }
}

/**
 * Turns the region of each vertex into the arc it is in, in place: up from its region's first arc to the one that lives at its height; a
 * saddle is in the arc that begins there. So the ends of an edge are always in one line of descent. Most vertices stand above every saddle.
 */
function arcsOfVertices(heights: Float64Array, tree: JoinTree, regionOf: Int32Array, parent: Int32Array, death: Float64Array): Int32Array {
  const { arcOfRegion, root } = tree;
  const isOneBody = tree.children[root].every((part) => tree.saddle[part] >= 0);
  climb(heights, arcOfRegion, root, isOneBody ? tree.birth[root] : Number.POSITIVE_INFINITY, parent, death, regionOf);
  return regionOf;
}

function climb(
  heights: Float64Array,
  arcOfRegion: Int32Array,
  root: number,
  aboveAll: number,
  parent: Int32Array,
  death: Float64Array,
  regionThenArc: Int32Array,
): void {
  for (let v = 0; v < regionThenArc.length; v++) {
    const height = heights[v];
    let arc = height >= aboveAll ? root : arcOfRegion[regionThenArc[v]];
    while (death[arc] <= height && parent[arc] >= 0) arc = parent[arc];
    regionThenArc[v] = arc;
  }
}

/** Adds to each arc's figure the triangles that lie wholly under it, parts before wholes. */
function addComplete({ areaSum, momentSum, holds }: WallByArc, parent: Int32Array, death: Float64Array): void {
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
