/** How far a mesh's flat triangles stand off the smooth surface they were cut from, judged from the mesh alone. */
import { edgeTable, nextHalfEdge, previousHalfEdge } from './edge-table.ts';
import { FLOAT32_ROUNDING } from './mesh-tolerances.ts';
import type { SurfaceMesh } from './tank-solid.ts';

/** An edge that turns more than this, 35°, is drawn so and is no facet of a curve: common practice, no source. */
const DESIGN_EDGE = (35 * Math.PI) / 180;

/**
 * The chord error of the mesh's facets plus the rounding of its stored coordinates.
 *
 * Derivation. Let the mesh's vertices lie on a smooth surface, n being its unit normal at a vertex (here the mean of the
 * triangles around it, weighted by angle and area, not past a design edge: the area keeps a long flat that runs into a narrow fillet flat). An edge of length l with unit direction e is a chord of the normal section through it; on a
 * circular arc that turns by a between the ends, n·e is −sin(a/2) at one end and +sin(a/2) at the other, and the arc stands off the chord by
 * (l/2)·tan(a/4). With q = 4·l·tan(a/4) for each side of a triangle, a quadratic surface stands off the triangle at barycentric (i, j, k) by
 * ½(jk·qᵢ + ki·qⱼ + ij·q_k), which is exact for a cylinder's rectangles (q/8) and for a sphere's triangles to second order (q/6 equilateral);
 * its greatest value is taken. A curve turns at both ends of a facet: the smaller of the two counts, and none where they do not bend alike,
 * so a flat with one shallow design edge is no facet.
 *
 * @param mesh - closed and oriented, m
 * @returns m; 0 facets give the rounding alone: √3 half-ulps of float32 at the largest coordinate, as STL stores no more
 */
export function facetError(mesh: SurfaceMesh): number {
  const { positions, triangles } = mesh;
  const normals = cornerNormals(mesh);
  const q = [0, 0, 0];
  let worst = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    for (let k = 0; k < 3; k++) q[k] = bend(positions, triangles, normals, t + ((k + 1) % 3));
    const off = greatest(q[0]!, q[1]!, q[2]!);
    if (off > worst) worst = off;
  }
  let largest = 0;
  for (const x of positions) largest = Math.max(largest, Math.abs(x));
  return worst + Math.sqrt(3) * FLOAT32_ROUNDING * largest;
}

/** q of one side of a triangle, m: eight times the arc's height over it, negative where it bends inward. */
function bend(p: Float64Array, triangles: Uint32Array, normals: Float64Array, h: number): number {
  const u = 3 * triangles[h]!;
  const w = 3 * triangles[nextHalfEdge(h)]!;
  const x = p[w]! - p[u]!,
    y = p[w + 1]! - p[u + 1]!,
    z = p[w + 2]! - p[u + 2]!;
  const length = Math.sqrt(x * x + y * y + z * z);
  const a = 3 * h;
  const b = 3 * nextHalfEdge(h);
  const start = -(normals[a]! * x + normals[a + 1]! * y + normals[a + 2]! * z) / length;
  const end = (normals[b]! * x + normals[b + 1]! * y + normals[b + 2]! * z) / length;
  if (start * end <= 0) return 0;
  const half = Math.asin(Math.min(1, Math.abs(start), Math.abs(end)));
  return Math.sign(end) * 4 * length * Math.tan(half / 2);
}

/** Greatest magnitude of ½(jk·q0 + ki·q1 + ij·q2) over the triangle: on a side it is q/8, inside it is where the gradient vanishes. */
function greatest(q0: number, q1: number, q2: number): number {
  const onSide = Math.max(Math.abs(q0), Math.abs(q1), Math.abs(q2)) / 8;
  // With k = 1 − i − j the gradient is linear: solve it for i, j.
  const a = -2 * q1,
    b = q2 - q0 - q1,
    c = -2 * q0;
  const determinant = a * c - b * b;
  if (determinant === 0) return onSide;
  const i = (-q1 * c + q0 * b) / determinant;
  const j = (-q0 * a + q1 * b) / determinant;
  const k = 1 - i - j;
  if (!(i > 0 && j > 0 && k > 0)) return onSide;
  return Math.max(onSide, Math.abs(j * k * q0 + k * i * q1 + i * j * q2) / 2);
}

/** Unit normal at each corner: over the triangles around its vertex that are joined to it without a design edge. */
function cornerNormals({ positions: p, triangles }: SurfaceMesh): Float64Array {
  const nHalf = triangles.length;
  const face = new Float64Array(nHalf);
  const area = new Float64Array(nHalf / 3);
  for (let t = 0; t < nHalf; t += 3) {
    const a = 3 * triangles[t]!,
      b = 3 * triangles[t + 1]!,
      c = 3 * triangles[t + 2]!;
    const ux = p[b]! - p[a]!,
      uy = p[b + 1]! - p[a + 1]!,
      uz = p[b + 2]! - p[a + 2]!;
    const wx = p[c]! - p[a]!,
      wy = p[c + 1]! - p[a + 1]!,
      wz = p[c + 2]! - p[a + 2]!;
    const x = uy * wz - uz * wy,
      y = uz * wx - ux * wz,
      z = ux * wy - uy * wx;
    const length = Math.sqrt(x * x + y * y + z * z);
    area[t / 3] = length / 2;
    face[t] = x / length;
    face[t + 1] = y / length;
    face[t + 2] = z / length;
  }
  const group = new Uint32Array(nHalf); // corners that share a normal, as a forest
  for (let c = 0; c < nHalf; c++) group[c] = c;
  const root = (c: number): number => {
    let r = c;
    while (group[r] !== r) {
      group[r] = group[group[r]!]!;
      r = group[r]!;
    }
    return r;
  };
  const table = edgeTable(triangles, p.length / 3);
  const smooth = Math.cos(DESIGN_EDGE);
  for (let e = 0; e < table.nEdges; e++) {
    const h = table.halfEdges[table.start[e]!]!;
    const g = table.halfEdges[table.start[e]! + 1]!;
    const s = h - (h % 3);
    const t = g - (g % 3);
    if (face[s]! * face[t]! + face[s + 1]! * face[t + 1]! + face[s + 2]! * face[t + 2]! < smooth) continue;
    group[root(h)] = root(nextHalfEdge(g));
    group[root(nextHalfEdge(h))] = root(g);
  }
  const sums = new Float64Array(3 * nHalf);
  for (let c = 0; c < nHalf; c++) {
    const t = c - (c % 3);
    const r = 3 * root(c);
    const weight = area[t / 3]! * angleAt(p, triangles[previousHalfEdge(c)]!, triangles[c]!, triangles[nextHalfEdge(c)]!);
    for (let k = 0; k < 3; k++) sums[r + k]! += weight * face[t + k]!;
  }
  const normals = new Float64Array(3 * nHalf);
  for (let c = 0; c < nHalf; c++) {
    const r = 3 * root(c);
    const length = Math.sqrt(sums[r]! ** 2 + sums[r + 1]! ** 2 + sums[r + 2]! ** 2);
    if (length === 0) continue;
    for (let k = 0; k < 3; k++) normals[3 * c + k] = sums[r + k]! / length;
  }
  return normals;
}

function angleAt(p: Float64Array, before: number, at: number, after: number): number {
  const ux = p[3 * before]! - p[3 * at]!,
    uy = p[3 * before + 1]! - p[3 * at + 1]!,
    uz = p[3 * before + 2]! - p[3 * at + 2]!;
  const wx = p[3 * after]! - p[3 * at]!,
    wy = p[3 * after + 1]! - p[3 * at + 1]!,
    wz = p[3 * after + 2]! - p[3 * at + 2]!;
  const area = Math.sqrt((uy * wz - uz * wy) ** 2 + (uz * wx - ux * wz) ** 2 + (ux * wy - uy * wx) ** 2);
  return Math.atan2(area, ux * wx + uy * wy + uz * wz);
}
