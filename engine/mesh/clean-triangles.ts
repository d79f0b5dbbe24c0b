/** Takes out triangles that bound nothing: repeated corners, repeats of one another, and slivers without area. */
import { type EdgeTable, edgeDegree, edgeTable, nextHalfEdge, previousHalfEdge } from './edge-table.ts';
import type { IndexedTriangles } from './weld.ts';

/** Without the triangles that name a vertex twice. Leaves no crack: such a triangle's other two edges are one. */
export function dropCollapsed(triangles: Uint32Array): Uint32Array {
  return keepTriangles(triangles, (t) => {
    const [a, b, c] = [triangles[3 * t], triangles[3 * t + 1], triangles[3 * t + 2]];
    return a !== b && b !== c && c !== a;
  });
}

/**
 * Without repeats of a triangle on the same three vertices.
 *
 * Of an odd number one stays. Of an even number two stay where the patch of repeats fits between other triangles (the face two bodies
 * share: each needs its own), and one stays where the surface around would lack a triangle, or where there is nothing around (a file
 * written twice over).
 */
export function dropDuplicates(triangles: Uint32Array, nVertices: number): Uint32Array {
  const nTriangles = triangles.length / 3;
  let nSlots = 16;
  while (nSlots < nTriangles) nSlots *= 2;
  const next = new Int32Array(nTriangles).fill(-1);
  const head = new Int32Array(nSlots).fill(-1);
  const first = new Int32Array(nTriangles).fill(-1); // earliest triangle on the same vertices
  const copies = new Uint32Array(nTriangles);
  const bothWays = new Uint8Array(nTriangles);
  const table = edgeTable(triangles, nVertices);
  let any = false;
  for (let e = 0; e < table.nEdges && !any; e++) any = edgeDegree(table, e) > 2;
  // Without a crowded edge only a closed pair of repeats, apart from everything else, can remain; it is met as a shell without volume.
  if (!any) return triangles;
  for (let t = 0; t < nTriangles; t++) {
    const slot = slotOf(triangles[3 * t]!, triangles[3 * t + 1]!, triangles[3 * t + 2]!) & (nSlots - 1);
    first[t] = t;
    for (let s = head[slot]!; s >= 0; s = next[s]!) {
      if (sameVertices(triangles, s, t)) {
        first[t] = s;
        if (!sameTurn(triangles, s, t)) bothWays[s] = 1;
        break;
      }
    }
    copies[first[t]!]!++;
    if (first[t] === t) {
      next[t] = head[slot]!;
      head[slot] = t;
    }
  }
  const keepTwo = patchesToKeepTwice(table, first, copies, bothWays);
  const kept = new Uint32Array(nTriangles);
  return keepTriangles(triangles, (t) => ++kept[first[t]!]! <= (keepTwo[first[t]!] ? 2 : 1));
}

function patchesToKeepTwice(table: EdgeTable, first: Int32Array, copies: Uint32Array, bothWays: Uint8Array): Uint8Array {
  const nTriangles = first.length;
  const keepTwo = new Uint8Array(nTriangles);
  const seen = new Uint8Array(nTriangles);
  const isPair = (t: number): boolean => copies[first[t]!]! % 2 === 0;
  for (let seed = 0; seed < nTriangles; seed++) {
    if (seen[seed] || first[seed] !== seed || !isPair(seed)) continue;
    const patch = [seed];
    seen[seed] = 1;
    let odd = false;
    let bordered = false;
    for (let i = 0; i < patch.length; i++) {
      for (let k = 0; k < 3; k++) {
        const e = table.edgeOf[3 * patch[i]! + k]!;
        let single = 0;
        for (let j = table.start[e]!; j < table.start[e + 1]!; j++) {
          const t = Math.floor(table.halfEdges[j]! / 3);
          if (!isPair(t)) single++;
          else if (!seen[first[t]!]) {
            seen[first[t]!] = 1;
            patch.push(first[t]!);
          }
        }
        if (single % 2 === 1) odd = true;
        if (single > 0) bordered = true;
      }
    }
    // Two copies that face the same way cannot belong to two bodies.
    if (bordered && !odd && patch.every((t) => bothWays[t])) for (const t of patch) keepTwo[t] = 1;
  }
  return keepTwo;
}

/** The same for any order of the three. */
const slotOf = (a: number, b: number, c: number): number => {
  const h = Math.imul(a + b + c, 0x9e3779b1) ^ Math.imul(a ^ b ^ c, 0x85ebca6b);
  return (h ^ (h >>> 15)) >>> 0;
};

function sameTurn(triangles: Uint32Array, s: number, t: number): boolean {
  for (let k = 0; k < 3; k++)
    if (triangles[3 * s + k] === triangles[3 * t]) return triangles[3 * s + ((k + 1) % 3)] === triangles[3 * t + 1];
  return false;
}

function sameVertices(triangles: Uint32Array, s: number, t: number): boolean {
  for (let k = 0; k < 3; k++) {
    const v = triangles[3 * t + k];
    if (triangles[3 * s] !== v && triangles[3 * s + 1] !== v && triangles[3 * s + 2] !== v) return false;
  }
  return true;
}

/**
 * Removes slivers: triangles lower than `tolerance` over their longest edge. Each is turned out by handing its middle vertex to the
 * neighbour across that edge, which keeps T-junctions closed where dropping it would open a crack.
 *
 * @returns the triangles and how many slivers went; a sliver without a single neighbour there stays for the closing steps to judge
 */
export function turnOutSlivers(
  positions: Float64Array,
  triangles: Uint32Array,
  tolerance: number,
): { readonly triangles: Uint32Array; readonly count: number } {
  if (slivers({ positions, triangles }, tolerance).length === 0) return { triangles, count: 0 };
  let out: Uint32Array = triangles.slice();
  let count = 0;
  // Each round turns out slivers that share no triangle; a flip may make its neighbour the next round's sliver, on a shorter edge.
  for (let round = 0; round < 64; round++) {
    const table = edgeTable(out, positions.length / 3);
    const touched = new Uint8Array(out.length / 3);
    const gone = new Uint8Array(out.length / 3);
    let turned = 0;
    for (let t = 0; t < out.length / 3; t++) {
      const h = touched[t] ? -1 : longestEdgeOfSliver(positions, out, t, tolerance);
      if (h < 0) continue;
      const e = table.edgeOf[h]!;
      const isFree = (side: number): boolean => edgeDegree(table, table.edgeOf[side]!) === 1;
      // At an open border nothing leans on it: the border takes its two short edges over. Nor does anything on one left over at a whole edge.
      if (isFree(h) || (edgeDegree(table, e) > 2 && isFree(nextHalfEdge(h)) && isFree(previousHalfEdge(h)))) {
        gone[t] = 1;
        touched[t] = 1;
        turned++;
        continue;
      }
      if (edgeDegree(table, e) !== 2) continue;
      const g = table.halfEdges[table.start[e]!] === h ? table.halfEdges[table.start[e]! + 1]! : table.halfEdges[table.start[e]!]!;
      const other = Math.floor(g / 3);
      if (touched[other] || other === t) continue;
      const middle = out[previousHalfEdge(h)]!;
      const apex = out[previousHalfEdge(g)]!;
      const [a, b] = [out[g]!, out[nextHalfEdge(g)]!];
      if (middle === apex) {
        gone[t] = gone[other] = 1; // two slivers back to back cancel
      } else {
        out.set([a, middle, apex], 3 * other);
        out.set([middle, b, apex], 3 * t);
      }
      touched[t] = touched[other] = 1;
      turned++;
    }
    if (turned === 0) break;
    count += turned;
    const before = out;
    out = keepTriangles(before, (t) => !gone[t]);
  }
  return { triangles: out, count };
}

/** Triangles lower than the tolerance over their longest edge. */
export function slivers({ positions, triangles }: IndexedTriangles, tolerance: number): number[] {
  const found: number[] = [];
  for (let t = 0; t < triangles.length / 3; t++) if (longestEdgeOfSliver(positions, triangles, t, tolerance) >= 0) found.push(t);
  return found;
}

/** The longest half-edge of triangle t where the triangle is a sliver, else −1. */
function longestEdgeOfSliver(positions: Float64Array, triangles: Uint32Array, t: number, tolerance: number): number {
  const a = 3 * triangles[3 * t]!;
  const b = 3 * triangles[3 * t + 1]!;
  const c = 3 * triangles[3 * t + 2]!;
  const ux = positions[b]! - positions[a]!;
  const uy = positions[b + 1]! - positions[a + 1]!;
  const uz = positions[b + 2]! - positions[a + 2]!;
  const wx = positions[c]! - positions[a]!;
  const wy = positions[c + 1]! - positions[a + 1]!;
  const wz = positions[c + 2]! - positions[a + 2]!;
  const nx = uy * wz - uz * wy;
  const ny = uz * wx - ux * wz;
  const nz = ux * wy - uy * wx;
  const ab = ux * ux + uy * uy + uz * uz;
  const ca = wx * wx + wy * wy + wz * wz;
  const bc = (wx - ux) ** 2 + (wy - uy) ** 2 + (wz - uz) ** 2;
  const longest = Math.max(ab, bc, ca);
  if (nx * nx + ny * ny + nz * nz > tolerance * tolerance * longest) return -1;
  return 3 * t + (longest === ab ? 0 : longest === bc ? 1 : 2);
}

export function keepTriangles(triangles: Uint32Array, keep: (t: number) => boolean): Uint32Array {
  const out = new Uint32Array(triangles.length);
  let used = 0;
  for (let t = 0; t < triangles.length / 3; t++) {
    if (!keep(t)) continue;
    out[used++] = triangles[3 * t]!;
    out[used++] = triangles[3 * t + 1]!;
    out[used++] = triangles[3 * t + 2]!;
  }
  return used === out.length ? triangles : out.slice(0, used);
}
