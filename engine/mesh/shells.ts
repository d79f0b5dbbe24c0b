/** The separate closed shells of a mesh: their volumes, their boxes, and which lies inside which. */
import type { Vector3 } from '../../shared/vector.ts';
import { flip, vertexAt } from './orient-patches.ts';
import type { IndexedTriangles } from './weld.ts';

export interface Shell {
  /** Triangles of the shell, by index into the mesh. */
  readonly members: Uint32Array;
  /** m³, negative when the triangles face inward. */
  volume: number;
  readonly area: number;
  readonly low: Vector3;
  readonly high: Vector3;
}

/** Shell of each triangle, by the half-edges across. */
export function shellOfTriangles(across: Int32Array): { readonly shellOf: Int32Array; readonly nShells: number } {
  const nTriangles = across.length / 3;
  const shellOf = new Int32Array(nTriangles).fill(-1);
  const queue = new Uint32Array(nTriangles);
  let nShells = 0;
  for (let seed = 0; seed < nTriangles; seed++) {
    if (shellOf[seed]! >= 0) continue;
    shellOf[seed] = nShells;
    queue[0] = seed;
    let end = 1;
    for (let i = 0; i < end; i++) {
      for (let k = 0; k < 3; k++) {
        const h = across[3 * queue[i]! + k]!;
        const other = Math.floor(h / 3);
        if (h < 0 || shellOf[other]! >= 0) continue;
        shellOf[other] = nShells;
        queue[end++] = other;
      }
    }
    nShells++;
  }
  return { shellOf, nShells };
}

export function measureShells(mesh: IndexedTriangles, shellOf: Int32Array, nShells: number): Shell[] {
  const start = new Uint32Array(nShells + 1);
  for (const s of shellOf) start[s + 1]!++;
  for (let s = 0; s < nShells; s++) start[s + 1]! += start[s]!;
  const members = new Uint32Array(shellOf.length);
  const place = start.slice(0, nShells);
  for (let t = 0; t < shellOf.length; t++) members[place[shellOf[t]!]!++] = t;
  return Array.from({ length: nShells }, (_, s) => measureShell(mesh, members.subarray(start[s]!, start[s + 1]!)));
}

function measureShell({ positions, triangles }: IndexedTriangles, members: Uint32Array): Shell {
  const low: [number, number, number] = [Infinity, Infinity, Infinity];
  const high: [number, number, number] = [-Infinity, -Infinity, -Infinity];
  const origin = 3 * triangles[3 * members[0]!]!;
  const [ox, oy, oz] = [positions[origin]!, positions[origin + 1]!, positions[origin + 2]!];
  let six = 0;
  let lost = 0; // what rounding dropped from the running sum (Neumaier)
  let twice = 0;
  for (let i = 0; i < members.length; i++) {
    const t = 3 * members[i]!;
    for (let k = 0; k < 3; k++) {
      const p = 3 * triangles[t + k]!;
      for (let axis = 0; axis < 3; axis++) {
        const x = positions[p + axis]!;
        if (x < low[axis]!) low[axis] = x;
        if (x > high[axis]!) high[axis] = x;
      }
    }
    const a = 3 * triangles[t]!;
    const b = 3 * triangles[t + 1]!;
    const c = 3 * triangles[t + 2]!;
    const ax = positions[a]! - ox,
      ay = positions[a + 1]! - oy,
      az = positions[a + 2]! - oz;
    const ux = positions[b]! - positions[a]!,
      uy = positions[b + 1]! - positions[a + 1]!,
      uz = positions[b + 2]! - positions[a + 2]!;
    const wx = positions[c]! - positions[a]!,
      wy = positions[c + 1]! - positions[a + 1]!,
      wz = positions[c + 2]! - positions[a + 2]!;
    const nx = uy * wz - uz * wy,
      ny = uz * wx - ux * wz,
      nz = ux * wy - uy * wx;
    const term = ax * nx + ay * ny + az * nz;
    const next = six + term;
    lost += Math.abs(six) >= Math.abs(term) ? six - next + term : term - next + six;
    six = next;
    twice += Math.sqrt(nx * nx + ny * ny + nz * nz);
  }
  return { members, volume: (six + lost) / 6, area: twice / 2, low, high };
}

/** Turns a shell over in place. */
export function flipShell(triangles: Uint32Array, shell: Shell): void {
  for (const t of shell.members) flip(triangles, t);
  shell.volume = -shell.volume;
}

export type Place = 'inside' | 'outside' | 'across' | 'unknown';

const PROBES = 12;
/** A triangle seen within this, rad, of a half sphere holds the point. */
const ON_WALL = 1e-6;

/**
 * Where shell `inner` lies to shell `outer`, judged at a dozen of its triangles' centres: all inside, all outside, or across it.
 * A centre that lies on the outer shell says nothing. Crossings that the probes miss are found triangle by triangle elsewhere.
 */
export function placeOf(mesh: IndexedTriangles, inner: Shell, outer: Shell): Place {
  for (let k = 0; k < 3; k++) if (inner.low[k]! > outer.high[k]! || inner.high[k]! < outer.low[k]!) return 'outside';
  let inside = 0;
  let outside = 0;
  const step = Math.max(1, Math.floor(inner.members.length / PROBES));
  for (let i = 0; i < inner.members.length; i += step) {
    const turns = Math.abs(windingNumber(mesh, outer, centreOf(mesh, inner.members[i]!)));
    if (turns > 0.75) inside++;
    else if (turns < 0.25) outside++;
    if (inside > 0 && outside > 0) return 'across';
  }
  return inside > 0 ? 'inside' : outside > 0 ? 'outside' : 'unknown';
}

/**
 * How often a shell winds around a point: ±1 inside, 0 outside, NaN on its wall, where the half turn of the triangle has no sign.
 * Source: solid angle of a triangle, Van Oosterom and Strackee 1983, IEEE Trans. Biomed. Eng. 30(2), 125–126.
 */
export function windingNumber({ positions, triangles }: IndexedTriangles, shell: Shell, point: Vector3): number {
  const [px, py, pz] = point;
  let angle = 0;
  for (const t of shell.members) {
    const a = 3 * triangles[3 * t]!,
      b = 3 * triangles[3 * t + 1]!,
      c = 3 * triangles[3 * t + 2]!;
    const ax = positions[a]! - px,
      ay = positions[a + 1]! - py,
      az = positions[a + 2]! - pz;
    const bx = positions[b]! - px,
      by = positions[b + 1]! - py,
      bz = positions[b + 2]! - pz;
    const cx = positions[c]! - px,
      cy = positions[c + 1]! - py,
      cz = positions[c + 2]! - pz;
    const la = Math.sqrt(ax * ax + ay * ay + az * az),
      lb = Math.sqrt(bx * bx + by * by + bz * bz),
      lc = Math.sqrt(cx * cx + cy * cy + cz * cz);
    const triple = ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
    const rest =
      la * lb * lc + (ax * bx + ay * by + az * bz) * lc + (bx * cx + by * cy + bz * cz) * la + (cx * ax + cy * ay + cz * az) * lb;
    if (rest < 0 && Math.abs(triple) < -ON_WALL * rest) return Number.NaN;
    angle += 2 * Math.atan2(triple, rest);
  }
  return angle / (4 * Math.PI);
}

export function centreOf({ positions, triangles }: IndexedTriangles, t: number): Vector3 {
  const [a, b, c] = [0, 1, 2].map((k) => vertexAt(positions, triangles[3 * t + k]!)) as [Vector3, Vector3, Vector3];
  return [(a[0] + b[0] + c[0]) / 3, (a[1] + b[1] + c[1]) / 3, (a[2] + b[2] + c[2]) / 3];
}
