/**
 * Which way water runs on the walls of a tank under one direction of apparent gravity: across a face, over, along or off an edge, on from
 * a vertex, and over the rim of what it fills. Local frame, m.
 *
 * Each face that runs has a **contour coordinate** `c = w·p` with `w = up × area vector`, level and square to the flow: water keeps its c
 * all the way across the face. Round the face (counter-clockwise from outside) c rises along the edges water leaves by and falls along
 * those it comes in by; so an edge's sign is known without a slope, for upright walls too.
 *
 * Rules where steepest descent says nothing:
 * - A level patch spreads, and leaves by the vertex of lowest index among those of its rim from which water runs or falls on.
 * - Water that comes to rest short of a low point (a level ledge, or a pit joined to its neighbour by the field's tolerance) fills the
 *   place and goes on from where it overflows, found by flooding upward along edges, ties by index as in the join tree.
 * - A wall that leans out by less than `UPRIGHT` is upright, and water clings to it; beyond that it drips off the edge above.
 */
import { add, cross, dot, length, scale, subtract, type Vector3 } from '../../shared/vector.ts';
import { firstBelow, planBasis } from '../mesh/bvh.ts';
import { faceOf, type HalfEdges, halfEdges, nextCorner } from '../mesh/half-edges.ts';
import { vertexAt } from '../surface/pool.ts';
import { HAIR_INSIDE, LEVEL_WALL, SAME_HEIGHT, SAME_PLACE, UPRIGHT } from '../tolerances.ts';
import { type Landing, landingsBelow } from './curtain.ts';
import { arcAtLevel, type Field } from './field.ts';

export const RUNS = 0;
export const LEVEL = 1;
export const OVERHANGS = 2;

/** Where water goes on: across a face from a point of it, straight down to a point of a face, or along an edge to a vertex. */
export type Way =
  | { readonly to: 'face' | 'fall'; readonly face: number; readonly at: Vector3 }
  | { readonly to: 'vertex'; readonly vertex: number };

export interface Overflow {
  /** null: it stays where it is. */
  readonly way: Way | null;
  /** Vertices from where the water rests to where it leaves. */
  readonly via: readonly number[];
}

export interface Runoff {
  readonly field: Field;
  readonly edges: HalfEdges;
  readonly kind: Uint8Array;
  /** Sine of each face's slope. */
  readonly slope: Float64Array;
  /** w of each face; shape (3·nTriangles) */
  readonly contour: Float64Array;
  /** c of each corner in its face; shape (3·nTriangles) */
  readonly c: Float64Array;
  readonly sameHeight: number;
  readonly hair: number;
}

const known = new WeakMap<Field, Runoff>();

/** Made once per field, on first asking. */
export function runoffOf(field: Field): Runoff {
  let made = known.get(field);
  if (made === undefined) {
    made = make(field);
    known.set(field, made);
  }
  return made;
}

function make(field: Field): Runoff {
  const { solid, up } = field;
  const { areas, positions, triangles } = solid;
  const nTriangles = triangles.length / 3;
  const kind = new Uint8Array(nTriangles);
  const slope = new Float64Array(nTriangles);
  const contour = new Float64Array(triangles.length);
  const c = new Float64Array(triangles.length);
  const [ux, uy, uz] = up;
  for (let t = 0, k = 0; t < nTriangles; t++, k += 3) {
    const ax = areas[k],
      ay = areas[k + 1],
      az = areas[k + 2];
    const wx = uy * az - uz * ay,
      wy = uz * ax - ux * az,
      wz = ux * ay - uy * ax;
    const area = Math.sqrt(ax * ax + ay * ay + az * az);
    const facing = ax * ux + ay * uy + az * uz;
    slope[t] = Math.sqrt(wx * wx + wy * wy + wz * wz) / area;
    kind[t] = facing > UPRIGHT * area ? OVERHANGS : slope[t] > LEVEL_WALL ? RUNS : LEVEL;
    contour[k] = wx;
    contour[k + 1] = wy;
    contour[k + 2] = wz;
    for (let corner = 0; corner < 3; corner++) {
      const p = 3 * triangles[k + corner];
      c[k + corner] = wx * positions[p] + wy * positions[p + 1] + wz * positions[p + 2];
    }
  }
  return { field, edges: halfEdges(solid), kind, slope, contour, c, sameHeight: SAME_HEIGHT * solid.size, hair: HAIR_INSIDE * solid.size };
}

/**
 * The low point in whose own pocket a level over an arc lies, −1 at its saddle and above. At the saddle's own level (a weir's level top)
 * water may still go either way.
 */
export function pocketAt({ field, sameHeight }: Runoff, arc: number, level: number): number {
  const pool = arcAtLevel(field, arc, level);
  const { children, parent, death } = field.arcs[pool];
  return children.length === 0 && (parent < 0 || level < death - sameHeight) ? pool : -1;
}

/** Contour coordinate of a point in a face; the height of the point does not matter. */
export const contourAt = ({ contour }: Runoff, face: number, at: Vector3): number =>
  contour[3 * face] * at[0] + contour[3 * face + 1] * at[1] + contour[3 * face + 2] * at[2];

/** The corner of lowest c: from there round the face, water leaves over the edges up to the corner of highest c. */
export function firstWayOut({ c }: Runoff, face: number): number {
  let h = 3 * face;
  if (c[3 * face + 1] < c[h]) h = 3 * face + 1;
  if (c[3 * face + 2] < c[h]) h = 3 * face + 2;
  return c[nextCorner(h)] === c[h] ? nextCorner(h) : h;
}

/** @returns whether water leaves the face over this half-edge */
export const leavesOver = ({ c }: Runoff, h: number): boolean => c[nextCorner(h)] > c[h];

export interface Exit {
  /** The half-edge, and how far along it. */
  readonly h: number;
  readonly share: number;
  /** The end of the half-edge at which water leaves, −1 when it leaves between them. */
  readonly vertex: number;
}

/** Where water at a point of a face that runs leaves it; null when the face is too thin to tell. */
export function exitOf(runoff: Runoff, face: number, at: Vector3): Exit | null {
  const { c, field } = runoff;
  const { triangles, size } = field.solid;
  const here = contourAt(runoff, face, at);
  let out = -1;
  for (let h = firstWayOut(runoff, face); leavesOver(runoff, h); h = nextCorner(h)) {
    out = h;
    if (here <= c[nextCorner(h)]) break;
  }
  if (out < 0) return null;
  const [a, b] = [triangles[out], triangles[nextCorner(out)]];
  const share = (here - c[out]) / (c[nextCorner(out)] - c[out]);
  const near = (SAME_PLACE * size) / edgeLength(field, a, b);
  return { h: out, share, vertex: share <= near ? a : 1 - share <= near ? b : -1 };
}

/** What becomes of water that leaves a face over `h`: into the face beyond, along the edge (both faces slope into it), or off it. */
export function beyond(runoff: Runoff, h: number): 'across' | 'along' | 'off' {
  const { edges, kind, field } = runoff;
  const twin = edges.twin[h];
  const far = faceOf(twin);
  if (kind[far] === LEVEL) return 'across';
  if (kind[far] === RUNS) return leavesOver(runoff, twin) || runoff.c[nextCorner(twin)] === runoff.c[twin] ? 'along' : 'across';
  const { triangles, areas } = field.solid;
  const k = 3 * faceOf(h);
  const tip = subtract(vertexAt(field, triangles[nextCorner(nextCorner(twin))]), vertexAt(field, triangles[h]));
  return tip[0] * areas[k] + tip[1] * areas[k + 1] + tip[2] * areas[k + 2] > 0 ? 'off' : 'along';
}

/** The end of an edge to which water runs along it. */
export function lowerEnd({ field: { solid, heights } }: Runoff, h: number): number {
  const a = solid.triangles[h];
  const b = solid.triangles[nextCorner(h)];
  return heights[a] < heights[b] || (heights[a] === heights[b] && a < b) ? a : b;
}

/**
 * Ends of an edge that water drips off, a hair beyond the lip: up × edge points downhill and off the solid, since water leaves over it
 * (with outward normal n, (up × e)·n = −e·w < 0).
 */
export function lip({ field, hair }: Runoff, h: number): readonly [Vector3, Vector3] {
  const a = vertexAt(field, field.solid.triangles[h]);
  const b = vertexAt(field, field.solid.triangles[nextCorner(h)]);
  const away = cross(field.up, subtract(b, a));
  const size = length(away);
  if (size === 0) return [a, b];
  const step = scale(away, hair / size);
  return [add(a, step), add(b, step)];
}

export function landingsOff(runoff: Runoff, h: number): Landing[] {
  const { field } = runoff;
  const [start, end] = lip(runoff, h);
  const depth = Math.max(dot(start, field.up), dot(end, field.up)) - field.arcs[field.root].bottom;
  return landingsBelow(field.solid, field.up, start, end, depth, faceOf(h));
}

/** The first floor straight below a point inside the fuel space, null when there is none. */
export function floorBelow({ field: { solid, up } }: Runoff, start: Vector3): Extract<Way, { face: number }> | null {
  const hit = firstBelow(solid.bvh, solid, start, up, planBasis(up));
  if (hit === null) return null;
  const k = 3 * hit.triangle;
  if (solid.areas[k] * up[0] + solid.areas[k + 1] * up[1] + solid.areas[k + 2] * up[2] >= 0) return null;
  return { to: 'fall', face: hit.triangle, at: subtract(start, scale(up, hit.drop)) };
}

/** Which of the faces and neighbours of a vertex water may take. */
export interface Side {
  readonly hasFace: (face: number) => boolean;
  readonly hasVertex: (vertex: number) => boolean;
}

/**
 * Steepest way on from a vertex: off it when fuel lies straight below, else over the steepest of its faces and edges; null at a pit or on a level patch.
 *
 * @param side - only ways on this side of the vertex count
 */
export function wayFromVertex(runoff: Runoff, v: number, side: Side | null = null): Way | null {
  const { field, edges, kind, slope, c, sameHeight } = runoff;
  const { neighbourStart, neighbours } = field.solid;
  const { heights } = field;
  let best = 0;
  let face = -1;
  let edge = -1;
  let hangs = false;
  for (let k = neighbourStart[v]; k < neighbourStart[v + 1]; k++) {
    const h = edges.outgoing[k];
    const f = faceOf(h);
    if (kind[f] === OVERHANGS) hangs = true;
    const n = nextCorner(h);
    if (kind[f] === RUNS && slope[f] > best && c[n] < c[h] && c[h] < c[nextCorner(n)] && (side === null || side.hasFace(f))) {
      best = slope[f];
      face = f;
      edge = -1;
    }
    const w = neighbours[k];
    const drop = heights[v] - heights[w];
    if (drop <= sameHeight || !isRunnable(runoff, h) || (side !== null && !side.hasVertex(w))) continue;
    const steep = drop / edgeLength(field, v, w);
    if (steep > best) {
      best = steep;
      edge = h;
      face = -1;
    }
  }
  if (hangs && side === null) {
    const fall = fallFromVertex(runoff, v);
    if (fall !== null) return fall;
  }
  if (face >= 0) return { to: 'face', face, at: vertexAt(field, v) };
  return edge < 0 ? null : wayAlong(runoff, edge);
}

/** Water cannot follow an edge between two faces that overhang. */
const isRunnable = ({ kind, edges }: Runoff, h: number): boolean =>
  kind[faceOf(h)] !== OVERHANGS || kind[faceOf(edges.twin[h])] !== OVERHANGS;

/** Down an edge, or off it at its upper end when it is a lip. */
function wayAlong(runoff: Runoff, h: number): Way {
  const { edges, kind, field } = runoff;
  for (const [side, end] of [
    [h, 0],
    [edges.twin[h], 1],
  ]) {
    if (kind[faceOf(side)] !== RUNS || !leavesOver(runoff, side) || beyond(runoff, side) !== 'off') continue;
    const fall = floorBelow(runoff, lip(runoff, side)[end]);
    if (fall !== null) return fall;
  }
  return { to: 'vertex', vertex: field.solid.triangles[nextCorner(h)] };
}

/** From straight below; where walls hold that plumb line, from a hair against the vertex's normal, clear of them. */
function fallFromVertex(runoff: Runoff, v: number): Way | null {
  const { field, hair } = runoff;
  const { normals, triangles } = field.solid;
  const normal: Vector3 = [normals[3 * v], normals[3 * v + 1], normals[3 * v + 2]];
  const at = vertexAt(field, v);
  for (const start of [subtract(at, scale(field.up, hair)), subtract(at, scale(normal, hair / length(normal)))]) {
    const fall = floorBelow(runoff, start);
    if (fall === null) continue;
    const k = 3 * fall.face;
    if (triangles[k] !== v && triangles[k + 1] !== v && triangles[k + 2] !== v) return fall;
  }
  return null;
}

/**
 * Where water that rests at a vertex, or on a level patch that holds it, goes on.
 * @param isPatch - the water lies on a level patch: the vertex itself may be the way out
 * @param within - the low point in whose pocket it lies, where only a level way within the pocket counts; −1: it may fill the place and rise
 */
export function overflow(runoff: Runoff, vertex: number, isPatch: boolean, within: number): Overflow {
  const { field, sameHeight } = runoff;
  const { neighbourStart, neighbours } = field.solid;
  const { heights } = field;
  const cameFrom = new Map([[vertex, -1]]);
  const open = [vertex];
  let exit = -1;
  let exitWay: Way | null = null;
  const limit = (): number => (exit >= 0 ? heights[exit] : within < 0 ? Infinity : heights[vertex]) + sameHeight;
  while (open.length > 0) {
    const u = takeLowest(open, heights);
    if (heights[u] > limit()) break;
    const way = u === vertex && !isPatch ? null : wayOut(runoff, u, heights[u] <= heights[vertex] + sameHeight, cameFrom);
    if (way !== null && (exit < 0 || u < exit)) {
      exit = u;
      exitWay = way;
    }
    for (let k = neighbourStart[u]; k < neighbourStart[u + 1]; k++) {
      const w = neighbours[k];
      if (cameFrom.has(w) || heights[w] > limit() || !isRunnable(runoff, runoff.edges.outgoing[k])) continue;
      if (heights[w] < heights[u] - sameHeight) continue; // beyond the rim
      if (within >= 0 && field.arcOf[w] !== within) continue;
      cameFrom.set(w, u);
      open.push(w);
    }
  }
  const via: number[] = [];
  for (let u = exit; u >= 0; u = cameFrom.get(u)!) via.unshift(u);
  return { way: exitWay, via };
}

function takeLowest(open: number[], heights: Float64Array): number {
  let place = 0;
  for (let i = 1; i < open.length; i++) {
    const better = heights[open[i]] - heights[open[place]] || open[i] - open[place];
    if (better < 0) place = i;
  }
  const lowest = open[place];
  open[place] = open[open.length - 1];
  open.pop();
  return lowest;
}

/** From the rim: freely where the place is level; else, so as not to run back into the pit, by the steepest edge to a vertex not flooded. */
function wayOut(runoff: Runoff, u: number, isLevel: boolean, flooded: ReadonlyMap<number, number>): Way | null {
  if (isLevel) return wayFromVertex(runoff, u);
  const { field, edges, sameHeight } = runoff;
  const { neighbourStart, neighbours } = field.solid;
  let best = 0;
  let edge = -1;
  for (let k = neighbourStart[u]; k < neighbourStart[u + 1]; k++) {
    const w = neighbours[k];
    const drop = field.heights[u] - field.heights[w];
    if (drop <= sameHeight || flooded.has(w) || !isRunnable(runoff, edges.outgoing[k])) continue;
    const steep = drop / edgeLength(field, u, w);
    if (steep > best) {
      best = steep;
      edge = edges.outgoing[k];
    }
  }
  return edge < 0 ? null : wayAlong(runoff, edge);
}

function edgeLength({ solid: { positions } }: Field, a: number, b: number): number {
  return Math.hypot(
    positions[3 * a] - positions[3 * b],
    positions[3 * a + 1] - positions[3 * b + 1],
    positions[3 * a + 2] - positions[3 * b + 2],
  );
}
