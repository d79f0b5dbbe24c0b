/**
 * A tank under one direction of apparent gravity: heights, and the join tree of the pools. Made once per tank and condition and passed on.
 *
 * Method (design §3). Sweep the vertices upward and unite them along edges. A vertex without a lower neighbour starts a pool when solid
 * lies below it; when fuel lies below it (it hangs), it belongs to the pool of the first wall straight down. Where two pools meet, the
 * vertex is their saddle. The pools below any level are then exactly the connected parts of the fuel space below that level.
 *
 * An **arc** is a pool's life between two saddles: `birth` is the level at which its parts joined (or its low point), `death` the level at
 * which it joins another, or the top. Arcs are numbered so that parts come before the whole. Heights are local to the solid's origin, m.
 */
import { dot, scale, subtract, type Vector3 } from '../../shared/vector.ts';
import { firstBelow, nearestWall, planBasis } from '../mesh/bvh.ts';
import type { TankSolid } from '../mesh/tank-solid.ts';
import { shareBelow } from '../surface/below-level.ts';
import { HAIR_INSIDE, POCKET_VOLUME, SAME_HEIGHT, TOUCHING } from '../tolerances.ts';
import { heightOrder } from './height-order.ts';

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
  const tree = sweep(solid, up, heights);
  const triangles = triangleArcs(solid, up, heights, tree);
  const reduced = joinSmallPockets(tree, heights, triangles.holds, tolerance);
  return assemble(solid, up, heights, tree, triangles, reduced, tolerance);
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

/** The join tree as it grows. `alias` leads an arc that was joined to a neighbour to the arc it became. */
interface Tree {
  readonly parent: number[];
  readonly children: number[][];
  readonly birth: number[];
  readonly death: number[];
  readonly saddle: number[];
  readonly lowest: number[];
  readonly alias: number[];
  readonly arcOf: Int32Array;
  doubts: number;
}

function sweep(solid: TankSolid, up: Vector3, heights: Float64Array): Tree {
  const { neighbourStart, neighbours, normals, size } = solid;
  const nVertices = heights.length;
  const order = heightOrder(heights);
  const arcOf = new Int32Array(nVertices).fill(-1);
  const tree: Tree = { parent: [], children: [], birth: [], death: [], saddle: [], lowest: [], alias: [], arcOf, doubts: 0 };
  const doubt = (): void => void tree.doubts++;
  const { parent, children, birth, death, saddle, lowest, alias } = tree;
  const top = new Int32Array(nVertices + 1); // union-find: towards the arc that now holds this one
  const find = (arc: number): number => {
    while (top[arc] !== arc) arc = top[arc] = top[top[arc]];
    return arc;
  };
  const open = (vertex: number, parts: number[], low: number): number => {
    const arc = parent.length;
    parent.push(-1);
    children.push(parts);
    birth.push(heights[vertex]);
    death.push(Infinity);
    saddle.push(-1);
    lowest.push(low);
    alias.push(arc);
    top[arc] = arc;
    return arc;
  };
  const isLower = (a: number, b: number): boolean =>
    heights[lowest[a]] < heights[lowest[b]] || (heights[lowest[a]] === heights[lowest[b]] && lowest[a] < lowest[b]);
  const sameHeight = SAME_HEIGHT * size;
  const basis = planBasis(up);
  const met: number[] = [];

  for (let i = 0; i < nVertices; i++) {
    const v = order[i];
    let seen = -1; // the arc met last, as stored: most neighbours repeat it
    let one = -1;
    for (let k = neighbourStart[v], end = neighbourStart[v + 1]; k < end; k++) {
      const arc = arcOf[neighbours[k]];
      if (arc < 0 || arc === seen) continue;
      seen = arc;
      const held = find(arc);
      if (one < 0) one = held;
      else if (held !== one && !met.includes(held)) met.push(held);
    }
    if (one < 0) {
      const below = isHanging(normals, v, up) ? arcBelow(solid, up, heights, basis, v, arcOf, doubt) : -1;
      arcOf[v] = below < 0 ? open(v, [], v) : find(below);
      continue;
    }
    if (met.length === 0) {
      arcOf[v] = one;
      continue;
    }
    // The rest is for saddles alone: a few vertices in a thousand.
    met.push(one);
    met.sort((a, b) => (isLower(a, b) ? -1 : 1));
    // Pools no deeper than rounding are a level floor seen through ties: they were never apart.
    const deep = met.filter((arc, place) => place === 0 || heights[v] - heights[lowest[arc]] > sameHeight);
    for (const arc of met) if (!deep.includes(arc)) top[arc] = alias[arc] = deep[0];
    met.length = 0;
    if (deep.length === 1) {
      arcOf[v] = deep[0];
      continue;
    }
    const joined = open(v, deep, lowest[deep[0]]);
    for (const arc of deep) {
      parent[arc] = top[arc] = joined;
      death[arc] = heights[v];
      saddle[arc] = v;
    }
    arcOf[v] = joined;
  }
  closeTop(tree, heights, order, open, isLower, top);
  return tree;
}

/** Parts that never join (several bodies in one tank) are held together above everything; every arc without a death ends at its own top. */
function closeTop(
  { parent, death, alias, arcOf, lowest }: Tree,
  heights: Float64Array,
  order: Uint32Array,
  open: (vertex: number, parts: number[], low: number) => number,
  isLower: (a: number, b: number) => boolean,
  top: Int32Array,
): void {
  const roots = parent.map((_, arc) => arc).filter((arc) => parent[arc] < 0 && alias[arc] === arc);
  const highest = order[order.length - 1];
  for (let i = order.length - 1, open = roots.length; open > 0; i--) {
    let arc = arcOf[order[i]];
    while (top[arc] !== arc) arc = top[arc];
    if (death[arc] !== Infinity) continue;
    death[arc] = heights[order[i]];
    open--;
  }
  if (roots.length < 2) return;
  roots.sort((a, b) => (isLower(a, b) ? -1 : 1));
  const whole = open(highest, roots, lowest[roots[0]]);
  for (const arc of roots) parent[arc] = whole;
  death[whole] = heights[highest];
}

/** True when fuel, not solid, lies straight below a vertex all of whose neighbours are higher: the vertex is then the wall's nearest point to it. */
const isHanging = (normals: Float64Array, v: number, up: Vector3): boolean =>
  normals[3 * v] * up[0] + normals[3 * v + 1] * up[1] + normals[3 * v + 2] * up[2] > 0;

/**
 * The arc of the first wall straight below a hanging vertex; the ray starts a hair inside the fuel, away from the vertex's own walls.
 * Where that start lies in no fuel, the vertex touches another body at a corner or edge: the arc of the wall it touches, or, when that body
 * ends at the same point, of the first wall straight below both. Walls that cross by rounding leave neither: the nearest wall passed, and
 * `doubt` is told.
 */
function arcBelow(
  solid: TankSolid,
  up: Vector3,
  heights: Float64Array,
  basis: ReturnType<typeof planBasis>,
  v: number,
  arcOf: Int32Array,
  doubt: () => void,
): number {
  const { positions, normals, triangles, bvh, size } = solid;
  const at: Vector3 = [positions[3 * v], positions[3 * v + 1], positions[3 * v + 2]];
  const normal: Vector3 = [normals[3 * v], normals[3 * v + 1], normals[3 * v + 2]];
  const below = arcUnder(solid, up, heights, basis, subtract(at, scale(normal, (HAIR_INSIDE * size) / Math.hypot(...normal))), arcOf);
  if (below >= 0) return below;
  const isPassed = (t: number): boolean =>
    arcOf[triangles[3 * t]] >= 0 || arcOf[triangles[3 * t + 1]] >= 0 || arcOf[triangles[3 * t + 2]] >= 0;
  const touching = nearestWall(bvh, solid, at, (t) => !isPassed(t));
  if (touching.triangle >= 0 && touching.distance < TOUCHING * size) return arcOfTriangle(solid, heights, touching.triangle, arcOf);
  const underBoth = arcUnder(solid, up, heights, basis, subtract(at, scale(up, TOUCHING * size)), arcOf);
  if (underBoth >= 0) return underBoth;
  doubt();
  return touching.triangle >= 0 ? arcOfTriangle(solid, heights, touching.triangle, arcOf) : -1;
}

/** Arc of the first wall straight below a point, −1 when none is met or it is met from its solid side. */
function arcUnder(
  solid: TankSolid,
  up: Vector3,
  heights: Float64Array,
  basis: ReturnType<typeof planBasis>,
  start: Vector3,
  arcOf: Int32Array,
): number {
  const hit = firstBelow(solid.bvh, solid, start, up, basis);
  if (hit === null) return -1;
  const k = 3 * hit.triangle;
  const leavesFuel = solid.areas[k] * up[0] + solid.areas[k + 1] * up[1] + solid.areas[k + 2] * up[2] < 0;
  return leavesFuel ? arcOfTriangle(solid, heights, hit.triangle, arcOf) : -1;
}

/** Arc of a triangle's lowest vertex among those the sweep has passed, −1 when it has passed none. */
function arcOfTriangle({ triangles }: TankSolid, heights: Float64Array, triangle: number, arcOf: Int32Array): number {
  let low = -1;
  for (let corner = 0; corner < 3; corner++) {
    const u = triangles[3 * triangle + corner];
    if (arcOf[u] >= 0 && (low < 0 || heights[u] < heights[low])) low = u;
  }
  return low < 0 ? -1 : arcOf[low];
}

interface TriangleArcs {
  readonly lowArc: Int32Array;
  readonly highArc: Int32Array;
  readonly areaSum: Float64Array;
  readonly momentSum: Float64Array;
  readonly holds: Float64Array;
}

/**
 * What every arc holds at its death, in one pass: a triangle counts as a whole from the arc of its highest vertex upward (two sums per
 * arc), and is cut at the death of each arc from its lowest vertex up to there.
 */
function triangleArcs({ triangles, areas }: TankSolid, up: Vector3, heights: Float64Array, tree: Tree): TriangleArcs {
  const nTriangles = triangles.length / 3;
  const nArcs = tree.parent.length;
  settleAliases(tree);
  const { arcOf, parent, death } = tree;
  const lowArc = new Int32Array(nTriangles);
  const highArc = new Int32Array(nTriangles);
  const areaSum = new Float64Array(nArcs);
  const momentSum = new Float64Array(nArcs);
  const holds = new Float64Array(nArcs);
  for (let t = 0, k = 0; t < nTriangles; t++, k += 3) {
    let a = triangles[k],
      b = triangles[k + 1],
      c = triangles[k + 2];
    let sa = heights[a],
      sb = heights[b],
      sc = heights[c];
    let swap: number;
    if (sb < sa) {
      swap = sa;
      sa = sb;
      sb = swap;
      swap = a;
      a = b;
      b = swap;
    }
    if (sc < sb) {
      swap = sb;
      sb = sc;
      sc = swap;
      swap = b;
      b = c;
      c = swap;
    }
    if (sb < sa) {
      swap = sa;
      sa = sb;
      sb = swap;
      swap = a;
      a = b;
      b = swap;
    }
    const area = areas[k] * up[0] + areas[k + 1] * up[1] + areas[k + 2] * up[2];
    const high = outermost(arcOf[a], arcOf[b], arcOf[c]);
    const low = innermost(arcOf[a], arcOf[b], arcOf[c]);
    lowArc[t] = low;
    highArc[t] = high;
    areaSum[high] += area;
    momentSum[high] += (area * (sa + sb + sc)) / 3;
    for (let arc = low; arc !== high && arc >= 0; arc = parent[arc]) holds[arc] += area * shareBelow(sa, sb, sc, death[arc]);
  }
  addComplete(parent, death, areaSum, momentSum, holds);
  return { lowArc, highArc, areaSum, momentSum, holds };
}

// A triangle's three arcs lie on one line of descent, and parts are numbered before wholes; ties in height cannot upset that.
const outermost = (a: number, b: number, c: number): number => Math.max(a, b, c);
const innermost = (a: number, b: number, c: number): number => Math.min(a, b, c);

function settleAliases({ alias, arcOf }: Tree): void {
  for (let arc = 0; arc < alias.length; arc++) {
    let end = arc;
    while (alias[end] !== end) end = alias[end];
    alias[arc] = end;
  }
  for (let v = 0; v < arcOf.length; v++) arcOf[v] = alias[arcOf[v]];
}

/** Adds to each arc's figure the triangles that lie wholly under it, parts before wholes. */
function addComplete(
  parent: readonly number[],
  death: readonly number[],
  areaSum: Float64Array,
  momentSum: Float64Array,
  holds: Float64Array,
): void {
  const area = areaSum.slice();
  const moment = momentSum.slice();
  for (let arc = 0; arc < parent.length; arc++) {
    if (death[arc] === Infinity) continue; // joined to a neighbour: it has no triangles of its own
    holds[arc] += moment[arc] - death[arc] * area[arc];
    if (parent[arc] < 0) continue;
    area[parent[arc]] += area[arc];
    moment[parent[arc]] += moment[arc];
  }
}

interface Reduced {
  /** For each arc of the tree, the arc it became. */
  readonly became: Int32Array;
  readonly children: number[][];
  readonly birth: number[];
  readonly count: number;
  readonly volume: number;
}

/** Joins each pocket that is both shallower and smaller than the tolerance to its deepest neighbour; counts them. */
function joinSmallPockets(tree: Tree, heights: Float64Array, holds: Float64Array, tolerance: PocketTolerance): Reduced {
  const nArcs = tree.parent.length;
  const became = new Int32Array(nArcs);
  const children: number[][] = [];
  const birth = tree.birth.slice();
  let count = 0;
  let volume = 0;
  for (let arc = 0; arc < nArcs; arc++) {
    became[arc] = arc;
    children.push(tree.children[arc]);
    if (tree.children[arc].length === 0) continue;
    const kept: number[] = [];
    const small: number[] = [];
    for (const part of tree.children[arc]) {
      const depth = tree.death[part] - heights[tree.lowest[part]];
      const isSmall = children[part].length === 0 && tree.saddle[part] >= 0 && depth < tolerance.depth && holds[part] < tolerance.volume;
      (isSmall ? small : kept).push(part);
    }
    if (kept.length === 0) kept.push(small.shift()!);
    for (const part of small) {
      count++;
      volume += holds[part];
      became[part] = kept.length === 1 ? arc : kept[0];
      if (kept.length > 1) holds[kept[0]] += holds[part];
    }
    children[arc] = kept;
    if (kept.length > 1) continue;
    const only = kept[0];
    became[only] = arc;
    children[arc] = children[only];
    birth[arc] = birth[only];
  }
  for (let arc = nArcs - 1; arc >= 0; arc--) if (became[arc] !== arc) became[arc] = became[became[arc]];
  return { became, children, birth, count, volume };
}

function assemble(
  solid: TankSolid,
  up: Vector3,
  heights: Float64Array,
  tree: Tree,
  triangles: TriangleArcs,
  reduced: Reduced,
  tolerance: PocketTolerance,
): Field {
  const nArcs = tree.parent.length;
  const isKept = (arc: number): boolean => tree.alias[arc] === arc && reduced.became[arc] === arc;
  const number = new Int32Array(nArcs).fill(-1);
  const kept: number[] = [];
  const visit = (arc: number): void => {
    // Parts first, without recursion on long chains.
    const stack = [arc];
    const out: number[] = [];
    while (stack.length > 0) {
      const next = stack.pop()!;
      out.push(next);
      stack.push(...reduced.children[next]);
    }
    for (let i = out.length - 1; i >= 0; i--) {
      number[out[i]] = kept.length;
      kept.push(out[i]);
    }
  };
  let root = nArcs - 1;
  while (!isKept(root) || tree.parent[root] >= 0) root--;
  visit(root);
  const renumber = (arc: number): number => number[reduced.became[tree.alias[arc]]];
  const areaSum = new Float64Array(kept.length);
  const momentSum = new Float64Array(kept.length);
  for (let arc = 0; arc < nArcs; arc++) {
    if (tree.alias[arc] !== arc) continue;
    areaSum[renumber(arc)] += triangles.areaSum[arc];
    momentSum[renumber(arc)] += triangles.momentSum[arc];
  }
  const { lowArc, highArc } = triangles;
  const table = Int32Array.from({ length: nArcs }, (_, arc) => renumber(arc));
  for (let t = 0; t < lowArc.length; t++) {
    lowArc[t] = table[lowArc[t]];
    highArc[t] = table[highArc[t]];
  }
  const { arcOf } = tree;
  for (let v = 0; v < arcOf.length; v++) arcOf[v] = table[arcOf[v]];

  const parentOf = new Int32Array(kept.length).fill(-1);
  kept.forEach((arc, i) => {
    for (const part of reduced.children[arc]) parentOf[number[part]] = i;
  });
  const nestedFrom = new Int32Array(kept.length);
  const arcs = kept.map((arc, i): Arc => {
    const parts = reduced.children[arc].map((part) => number[part]);
    nestedFrom[i] = parts.length === 0 ? i : Math.min(...parts.map((part) => nestedFrom[part]));
    const lowest = tree.lowest[arc];
    return {
      parent: parentOf[i],
      children: parts,
      birth: reduced.birth[arc],
      death: tree.death[arc],
      saddle: tree.saddle[arc],
      lowest,
      bottom: heights[lowest],
      holds: triangles.holds[arc],
      nestedFrom: nestedFrom[i],
      nestedTo: i,
    };
  });
  return {
    solid,
    up,
    heights,
    arcs,
    root: kept.length - 1,
    arcOf,
    lowArc,
    highArc,
    areaSum,
    momentSum,
    originLevel: dot(solid.origin, up),
    tolerance,
    merged: { count: reduced.count, volume: reduced.volume },
    doubts: tree.doubts,
  };
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
