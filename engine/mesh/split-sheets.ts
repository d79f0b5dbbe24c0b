/** Takes sheets apart that merely touch along an edge or at a vertex, so that every edge has two triangles and every vertex one fan. */
import type { MeshError } from '../../shared/mesh-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { type EdgeTable, edgeDegree, nextHalfEdge, previousHalfEdge } from './edge-table.ts';
import { vertexAt } from './orient-patches.ts';
import type { IndexedTriangles } from './weld.ts';

/** Directions around an edge closer than this, rad, count as the same sheet direction (face on face). */
const SAME_ANGLE = 1e-7;

export interface Pairing {
  /** The half-edge across each one, or −1 on an open edge. */
  readonly across: Int32Array;
  /** Edges with more than two triangles that were taken apart. */
  readonly splitEdges: number;
}

/**
 * Pairs the half-edges of oriented patches. Around a crowded edge the sheets that bound the same wedge of fuel are paired, so two
 * bodies of fuel that touch along a line stay two: nothing flows through a line.
 *
 * @returns error `mesh-edge-shared` where an odd number of triangles meet, or where wedges of fuel do not begin as often as they end
 */
export function pairHalfEdges(
  positions: Float64Array,
  triangles: Uint32Array,
  table: EdgeTable,
  patchOf: Int32Array,
): Outcome<Pairing, MeshError> {
  const across = new Int32Array(triangles.length).fill(-1);
  let splitEdges = 0;
  let unpaired = 0;
  let first: { edge: number; degree: number } | null = null;
  for (let e = 0; e < table.nEdges; e++) {
    const degree = edgeDegree(table, e);
    const halfEdges = table.halfEdges.subarray(table.start[e]!, table.start[e + 1]!);
    if (degree === 1) continue;
    if (degree === 2) {
      across[halfEdges[0]!] = halfEdges[1]!;
      across[halfEdges[1]!] = halfEdges[0]!;
      continue;
    }
    const around = sheetsAround(positions, triangles, halfEdges);
    const pairs = alternating(around) ?? pairByPatch(triangles, halfEdges, patchOf) ?? overlapping(around);
    if (pairs === null) {
      unpaired++;
      first ??= { edge: e, degree };
      continue;
    }
    splitEdges++;
    for (const [h, g] of pairs) {
      across[h] = g;
      across[g] = h;
    }
  }
  if (first !== null) {
    const h = table.halfEdges[table.start[first.edge]!]!;
    const [a, b] = [vertexAt(positions, triangles[h]!), vertexAt(positions, triangles[nextHalfEdge(h)]!)];
    return failed({
      code: 'mesh-edge-shared',
      edges: unpaired,
      triangles: first.degree,
      first_m: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2],
    });
  }
  return done({ across, splitEdges });
}

type Pairs = readonly (readonly [number, number])[];

/**
 * Seen along the edge u→w, angles counted right-handed: a half-edge that runs u→w has its normal towards growing angles, so fuel ends
 * there; one that runs w→u begins a wedge of fuel. Where they alternate, each beginning is paired with the end that follows.
 */
function sheetsAround(positions: Float64Array, triangles: Uint32Array, halfEdges: Uint32Array): Around {
  const lead = halfEdges[0]!;
  const u = triangles[lead]!;
  const w = triangles[nextHalfEdge(lead)]!;
  const [ux, uy, uz] = vertexAt(positions, u);
  const axis = unit(positions[3 * w]! - ux, positions[3 * w + 1]! - uy, positions[3 * w + 2]! - uz);
  const away = (h: number): readonly [number, number, number] => {
    const [px, py, pz] = vertexAt(positions, triangles[previousHalfEdge(h)]!);
    const [x, y, z] = [px - ux, py - uy, pz - uz];
    const along = x * axis[0] + y * axis[1] + z * axis[2];
    return unit(x - along * axis[0], y - along * axis[1], z - along * axis[2]);
  };
  const zero = away(lead);
  const side = [
    axis[1] * zero[2] - axis[2] * zero[1],
    axis[2] * zero[0] - axis[0] * zero[2],
    axis[0] * zero[1] - axis[1] * zero[0],
  ] as const;
  const around = Array.from(halfEdges, (h) => {
    const d = away(h);
    const angle = Math.atan2(d[0] * side[0] + d[1] * side[1] + d[2] * side[2], d[0] * zero[0] + d[1] * zero[1] + d[2] * zero[2]);
    return { h, ends: triangles[h] === u, angle: angle < -SAME_ANGLE ? angle + 2 * Math.PI : Math.abs(angle) };
  });
  around.sort((p, q) => p.angle - q.angle);
  for (let i = 1; i < around.length; i++) {
    const [p, q] = [around[i - 1]!, around[i]!];
    // Face on face: the fuel of one body ends before that of the other begins, so the wall between them is kept.
    if (q.angle - p.angle <= SAME_ANGLE && q.ends && !p.ends && (i < 2 || around[i - 2]!.ends !== true))
      [around[i - 1], around[i]] = [q, p];
  }
  return around;
}

/** Sheets around an edge in order of angle; at one that `ends`, fuel ends. */
type Around = readonly { readonly h: number; readonly ends: boolean }[];

function alternating(around: Around): Pairs | null {
  const begin = around.findIndex((s) => !s.ends);
  const pairs: (readonly [number, number])[] = [];
  for (let i = 0; i < around.length; i += 2) {
    const starts = around[(begin + i) % around.length]!;
    const ends = around[(begin + i + 1) % around.length]!;
    if (begin < 0 || starts.ends || !ends.ends) return null;
    pairs.push([starts.h, ends.h]);
  }
  return pairs;
}

/**
 * Wedges of fuel that lie over one another, as where overlapping bodies share an edge: each end takes, of the wedges begun and not yet
 * ended, the one whose triangle stands nearest in the file, as bodies are written one after the other. A wrong choice shows later as a
 * shell that crosses itself.
 */
function overlapping(around: Around): Pairs | null {
  const depths: number[] = [0];
  for (const { ends } of around) depths.push(depths[depths.length - 1]! + (ends ? -1 : 1));
  if (depths[around.length] !== 0) return null;
  const begin = depths.indexOf(Math.min(...depths)) % around.length;
  const open: number[] = [];
  const pairs: (readonly [number, number])[] = [];
  for (let i = 0; i < around.length; i++) {
    const { h, ends } = around[(begin + i) % around.length]!;
    if (!ends) {
      open.push(h);
      continue;
    }
    open.sort((p, q) => Math.abs(p - h) - Math.abs(q - h));
    pairs.push([open.shift()!, h]);
  }
  return pairs;
}

/** Where each patch passes the edge exactly once, each keeps to itself: bodies that cross or face differently, judged later as shells. */
function pairByPatch(triangles: Uint32Array, halfEdges: Uint32Array, patchOf: Int32Array): Pairs | null {
  const byPatch = new Map<number, number[]>();
  for (const h of halfEdges) {
    const patch = patchOf[Math.floor(h / 3)]!;
    byPatch.set(patch, [...(byPatch.get(patch) ?? []), h]);
  }
  const pairs: (readonly [number, number])[] = [];
  for (const own of byPatch.values()) {
    if (own.length !== 2 || triangles[own[0]!] === triangles[own[1]!]) return null;
    pairs.push([own[0]!, own[1]!]);
  }
  return pairs;
}

/** Gives each fan of triangles around a vertex a vertex of its own. @returns the mesh, and how many vertices were added */
export function splitFans(mesh: IndexedTriangles, across: Int32Array): IndexedTriangles & { readonly added: number } {
  const { positions, triangles } = mesh;
  const nHalf = triangles.length;
  const out = new Uint32Array(nHalf);
  const done = new Uint8Array(nHalf);
  const used = new Uint8Array(positions.length / 3);
  const source: number[] = [];
  let nVertices = positions.length / 3;
  for (let corner = 0; corner < nHalf; corner++) {
    if (done[corner]) continue;
    const v = triangles[corner]!;
    let name = v;
    if (used[v]) {
      name = nVertices++;
      source.push(v);
    }
    used[v] = 1;
    // Around the fan one way, then, should it be open, the other way from the start.
    for (let c = corner; ; ) {
      out[c] = name;
      done[c] = 1;
      const h = across[previousHalfEdge(c)]!;
      if (h < 0 || done[h]) break;
      c = h;
    }
    for (let c = corner; ; ) {
      const h = across[c]!;
      if (h < 0) break;
      c = nextHalfEdge(h);
      if (done[c]) break;
      out[c] = name;
      done[c] = 1;
    }
  }
  if (source.length === 0) return { positions, triangles: out, added: 0 };
  const wider = new Float64Array(3 * nVertices);
  wider.set(positions);
  for (let i = 0; i < source.length; i++) wider.set(positions.subarray(3 * source[i]!, 3 * source[i]! + 3), positions.length + 3 * i);
  return { positions: wider, triangles: out, added: source.length };
}

function unit(x: number, y: number, z: number): readonly [number, number, number] {
  const length = Math.hypot(x, y, z);
  return [x / length, y / length, z / length];
}

/**
 * Divides edges that two sheets still share by name: where the line along which a body touches itself ends inside one fan, both its ends
 * keep one vertex each. The second sheet gets a vertex of its own in the middle, so that each directed edge is met once.
 */
export function divideDoubledEdges(mesh: IndexedTriangles, table: EdgeTable, across: Int32Array): IndexedTriangles {
  const doubled: number[] = [];
  for (let e = 0; e < table.nEdges; e++) {
    const done = new Set<number>();
    for (let i = table.start[e]!; i < table.start[e + 1]! && edgeDegree(table, e) > 2; i++) {
      const h = table.halfEdges[i]!;
      if (done.has(h)) continue;
      if (done.size > 0) doubled.push(h);
      done.add(h).add(across[h]!);
    }
  }
  if (doubled.length === 0) return mesh;
  const positions = Array.from(mesh.positions);
  const triangles = Array.from(mesh.triangles);
  const partner = Array.from(across);
  const join = (h: number, g: number): void => {
    partner[h] = g;
    partner[g] = h;
  };
  const movedTo = new Map<number, number>(); // a triangle may have several such edges: where its divided side's next one went
  const now = (h: number): number => {
    const next = movedTo.get(h);
    return next === undefined ? h : now(next);
  };
  for (const was of doubled) {
    const h = now(was);
    const g = partner[h]!;
    const m = positions.length / 3;
    const [u, w] = [3 * triangles[h]!, 3 * triangles[nextHalfEdge(h)]!];
    for (let k = 0; k < 3; k++) positions.push((positions[u + k]! + positions[w + k]!) / 2);
    const halves = [h, g].map((side) => {
      // (from, to, apex) keeps (from, m, apex) in place and gains (m, to, apex).
      const next = nextHalfEdge(side);
      const beyond = triangles.length;
      triangles.push(m, triangles[next]!, triangles[previousHalfEdge(side)]!);
      triangles[next] = m;
      join(beyond + 1, partner[next]!);
      movedTo.set(next, beyond + 1);
      join(beyond + 2, next);
      return { side, beyond };
    });
    join(halves[0]!.side, halves[1]!.beyond);
    join(halves[1]!.side, halves[0]!.beyond);
  }
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
}
