/**
 * Where a mesh's walls pass through each other or lie face on face: triangle against triangle, over a tree of boxes.
 *
 * Touching is the normal case in drawn shapes (a vertex on a plane, an edge along an edge), and so is a crossing that runs exactly
 * through vertices. To tell them apart the surface is tested a hair inside and a hair outside of itself: what only touches comes free in
 * one of the two, what crosses does so in both. A face on face overlap is found apart, in place, by separating axes.
 */
import type { Vector3 } from '../../shared/vector.ts';
import { type Bvh, buildBvh } from './bvh.ts';
import { centreOf } from './shells.ts';
import type { IndexedTriangles } from './weld.ts';

export interface Contact {
  /** The two shells, lower first; equal where a shell meets itself. */
  readonly shells: readonly [number, number];
  /** Through each other, lying on each other facing the same way, or back to back. */
  readonly kind: 'crossing' | 'double' | 'back-to-back';
  pairs: number;
  readonly at: Vector3;
}

/** @param tolerance - m: crossings shallower than four times this, and overlaps narrower than it, are touches
 * @returns null when more pairs of triangles lie near each other than can be compared in a few seconds
 */
export function findContacts(mesh: IndexedTriangles, shellOf: Int32Array, tolerance: number): Contact[] | null {
  const bvh = buildBvh(mesh);
  const flat = normalsOf(mesh.positions, mesh.triangles);
  const hair = 4 * tolerance;
  const contacts = new Map<string, Contact>();
  const note = (kind: Contact['kind'], i: number, j: number, into: Map<string, Contact>): void => {
    const shells: [number, number] = [Math.min(shellOf[i]!, shellOf[j]!), Math.max(shellOf[i]!, shellOf[j]!)];
    const key = `${kind} ${shells}`;
    const known = into.get(key);
    if (known) known.pairs++;
    else into.set(key, { shells, kind, pairs: 1, at: centreOf(mesh, spanOf(mesh, i) < spanOf(mesh, j) ? i : j) });
  };
  const inside = offset(mesh, flat, -hair);
  const insideNormals = normalsOf(inside, mesh.triangles);
  const crossings = new Map<string, Contact>();
  const compared = eachNearPair(bvh, 2 * hair, (i, j) => {
    const facing = flat[3 * i]! * flat[3 * j]! + flat[3 * i + 1]! * flat[3 * j + 1]! + flat[3 * i + 2]! * flat[3 * j + 2]!;
    if (Math.abs(facing) > 0.99 && overlapInPlane(mesh, flat, i, j, tolerance))
      note(facing > 0 ? 'double' : 'back-to-back', i, j, contacts);
    if (crosses(inside, mesh.triangles, insideNormals, i, j, tolerance)) note('crossing', i, j, crossings);
  });
  if (!compared) return null;
  if (crossings.size > 0) {
    const outside = offset(mesh, flat, hair);
    const outsideNormals = normalsOf(outside, mesh.triangles);
    const confirmed = new Map<string, Contact>();
    eachNearPair(bvh, 2 * hair, (i, j) => {
      if (crosses(outside, mesh.triangles, outsideNormals, i, j, tolerance)) note('crossing', i, j, confirmed);
    });
    for (const [key, contact] of confirmed) if (crossings.has(key)) contacts.set(key, contact);
  }
  return [...contacts.values()];
}

/** Comparisons allowed: tank meshes have some 20 to 40 near pairs for each triangle; the floor is room for a fan of 2,000 needles. */
const mostPairs = (nTriangles: number): number => Math.max(5e6, 100 * nTriangles);

/** Calls with every two triangles whose boxes come within `slack`. @returns false when there were too many */
function eachNearPair({ bounds, child, count, triangles }: Bvh, slack: number, visit: (i: number, j: number) => void): boolean {
  const most = mostPairs(triangles.length);
  let pairs = 0;
  let stack = new Int32Array(1024);
  let depth = 0;
  const push = (a: number, b: number): void => {
    if (depth + 2 > stack.length) {
      const larger = new Int32Array(2 * stack.length);
      larger.set(stack);
      stack = larger;
    }
    stack[depth++] = a;
    stack[depth++] = b;
  };
  const near = (a: number, b: number): boolean =>
    bounds[6 * a]! <= bounds[6 * b + 3]! + slack &&
    bounds[6 * b]! <= bounds[6 * a + 3]! + slack &&
    bounds[6 * a + 1]! <= bounds[6 * b + 4]! + slack &&
    bounds[6 * b + 1]! <= bounds[6 * a + 4]! + slack &&
    bounds[6 * a + 2]! <= bounds[6 * b + 5]! + slack &&
    bounds[6 * b + 2]! <= bounds[6 * a + 5]! + slack;
  push(0, 0);
  while (depth > 0) {
    if (pairs > most) return false;
    const b = stack[--depth]!;
    const a = stack[--depth]!;
    if (a === b) {
      if (count[a]! > 0) {
        const from = -1 - child[a]!;
        for (let i = from; i < from + count[a]!; i++) for (let j = i + 1; j < from + count[a]!; j++) visit(triangles[i]!, triangles[j]!);
      } else {
        const first = child[a]!;
        push(first, first);
        push(first + 1, first + 1);
        if (near(first, first + 1)) push(first, first + 1);
      }
    } else if (count[a]! > 0 && count[b]! > 0) {
      const fromA = -1 - child[a]!;
      const fromB = -1 - child[b]!;
      pairs += count[a]! * count[b]!;
      for (let i = fromA; i < fromA + count[a]!; i++) for (let j = fromB; j < fromB + count[b]!; j++) visit(triangles[i]!, triangles[j]!);
    } else {
      const splitA = count[a] === 0 && (count[b]! > 0 || extent(bounds, a) >= extent(bounds, b));
      const first = splitA ? child[a]! : child[b]!;
      const other = splitA ? b : a;
      if (near(first, other)) push(first, other);
      if (near(first + 1, other)) push(first + 1, other);
    }
  }
  return true;
}

const extent = (bounds: Float64Array, node: number): number =>
  bounds[6 * node + 3]! - bounds[6 * node]! + bounds[6 * node + 4]! - bounds[6 * node + 1]! + bounds[6 * node + 5]! - bounds[6 * node + 2]!;

/** Whether two triangles pass through each other by more than the tolerance. Source: the interval test of Möller 1997, J. Graphics Tools 2(2). */
function crosses(p: Float64Array, triangles: Uint32Array, normals: Float64Array, i: number, j: number, tolerance: number): boolean {
  const a0 = 3 * triangles[3 * i]!,
    a1 = 3 * triangles[3 * i + 1]!,
    a2 = 3 * triangles[3 * i + 2]!;
  const b0 = 3 * triangles[3 * j]!,
    b1 = 3 * triangles[3 * j + 1]!,
    b2 = 3 * triangles[3 * j + 2]!;
  const nx = normals[3 * i]!,
    ny = normals[3 * i + 1]!,
    nz = normals[3 * i + 2]!;
  const dn = nx * p[a0]! + ny * p[a0 + 1]! + nz * p[a0 + 2]!;
  const d0 = nx * p[b0]! + ny * p[b0 + 1]! + nz * p[b0 + 2]! - dn;
  const d1 = nx * p[b1]! + ny * p[b1 + 1]! + nz * p[b1 + 2]! - dn;
  const d2 = nx * p[b2]! + ny * p[b2 + 1]! + nz * p[b2 + 2]! - dn;
  if (!(d0 > tolerance || d1 > tolerance || d2 > tolerance) || !(d0 < -tolerance || d1 < -tolerance || d2 < -tolerance)) return false;
  const mx = normals[3 * j]!,
    my = normals[3 * j + 1]!,
    mz = normals[3 * j + 2]!;
  const dm = mx * p[b0]! + my * p[b0 + 1]! + mz * p[b0 + 2]!;
  const e0 = mx * p[a0]! + my * p[a0 + 1]! + mz * p[a0 + 2]! - dm;
  const e1 = mx * p[a1]! + my * p[a1 + 1]! + mz * p[a1 + 2]! - dm;
  const e2 = mx * p[a2]! + my * p[a2 + 1]! + mz * p[a2 + 2]! - dm;
  if (!(e0 > tolerance || e1 > tolerance || e2 > tolerance) || !(e0 < -tolerance || e1 < -tolerance || e2 < -tolerance)) return false;
  let lx = ny * mz - nz * my,
    ly = nz * mx - nx * mz,
    lz = nx * my - ny * mx;
  const length = Math.sqrt(lx * lx + ly * ly + lz * lz);
  lx /= length;
  ly /= length;
  lz /= length;
  const along = (v: number): number => lx * p[v]! + ly * p[v + 1]! + lz * p[v + 2]!;
  spanOnLine(along(a0), along(a1), along(a2), e0, e1, e2, SPAN_A);
  spanOnLine(along(b0), along(b1), along(b2), d0, d1, d2, SPAN_B);
  return Math.min(SPAN_A[1]!, SPAN_B[1]!) - Math.max(SPAN_A[0]!, SPAN_B[0]!) > tolerance;
}

const SPAN_A = new Float64Array(2);
const SPAN_B = new Float64Array(2);

/** Where a triangle meets the line of the two planes: from its corners' places along it and their signed distances to the other plane. */
function spanOnLine(s0: number, s1: number, s2: number, d0: number, d1: number, d2: number, out: Float64Array): void {
  let low = Infinity;
  let high = -Infinity;
  const meet = (s: number): void => {
    if (s < low) low = s;
    if (s > high) high = s;
  };
  if (d0 * d1 <= 0 && d0 !== d1) meet(s0 + ((s1 - s0) * d0) / (d0 - d1));
  if (d1 * d2 <= 0 && d1 !== d2) meet(s1 + ((s2 - s1) * d1) / (d1 - d2));
  if (d2 * d0 <= 0 && d2 !== d0) meet(s2 + ((s0 - s2) * d2) / (d2 - d0));
  out[0] = low;
  out[1] = high;
}

/** Whether two triangles lie in one plane, within the tolerance, and overlap there by more than it in every direction. */
function overlapInPlane(mesh: IndexedTriangles, normals: Float64Array, i: number, j: number, tolerance: number): boolean {
  return (
    liesInPlane(mesh, normals, i, j, tolerance) &&
    liesInPlane(mesh, normals, j, i, tolerance) &&
    reachesOver(mesh, normals, i, j, tolerance) &&
    reachesOver(mesh, normals, j, i, tolerance)
  );
}

function liesInPlane(
  { positions: p, triangles }: IndexedTriangles,
  normals: Float64Array,
  s: number,
  t: number,
  tolerance: number,
): boolean {
  const o = 3 * triangles[3 * s]!;
  const nx = normals[3 * s]!,
    ny = normals[3 * s + 1]!,
    nz = normals[3 * s + 2]!;
  for (let k = 0; k < 3; k++) {
    const v = 3 * triangles[3 * t + k]!;
    if (Math.abs(nx * (p[v]! - p[o]!) + ny * (p[v + 1]! - p[o + 1]!) + nz * (p[v + 2]! - p[o + 2]!)) > tolerance) return false;
  }
  return true;
}

/** Whether triangle t reaches past every side of triangle s to its inside. */
function reachesOver(
  { positions: p, triangles }: IndexedTriangles,
  normals: Float64Array,
  s: number,
  t: number,
  tolerance: number,
): boolean {
  const nx = normals[3 * s]!,
    ny = normals[3 * s + 1]!,
    nz = normals[3 * s + 2]!;
  for (let k = 0; k < 3; k++) {
    const u = 3 * triangles[3 * s + k]!;
    const w = 3 * triangles[3 * s + (k === 2 ? 0 : k + 1)]!;
    const ex = p[w]! - p[u]!,
      ey = p[w + 1]! - p[u + 1]!,
      ez = p[w + 2]! - p[u + 2]!;
    const x = ny * ez - nz * ey,
      y = nz * ex - nx * ez,
      z = nx * ey - ny * ex; // inward, in the plane
    let most = -Infinity;
    for (let m = 0; m < 3; m++) {
      const v = 3 * triangles[3 * t + m]!;
      const reach = x * (p[v]! - p[u]!) + y * (p[v + 1]! - p[u + 1]!) + z * (p[v + 2]! - p[u + 2]!);
      if (reach > most) most = reach;
    }
    if (most <= tolerance * Math.sqrt(x * x + y * y + z * z)) return false;
  }
  return true;
}

function normalsOf(p: Float64Array, triangles: Uint32Array): Float64Array {
  const out = new Float64Array(triangles.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t]!,
      b = 3 * triangles[t + 1]!,
      c = 3 * triangles[t + 2]!;
    const ux = p[b]! - p[a]!,
      uy = p[b + 1]! - p[a + 1]!,
      uz = p[b + 2]! - p[a + 2]!;
    const wx = p[c]! - p[a]!,
      wy = p[c + 1]! - p[a + 1]!,
      wz = p[c + 2]! - p[a + 2]!;
    const nx = uy * wz - uz * wy,
      ny = uz * wx - ux * wz,
      nz = ux * wy - uy * wx;
    const length = Math.sqrt(nx * nx + ny * ny + nz * nz);
    out[t] = nx / length;
    out[t + 1] = ny / length;
    out[t + 2] = nz / length;
  }
  return out;
}

/** Vertices moved along their outward normals, weighted by area so that slivers have no say. */
function offset({ positions, triangles }: IndexedTriangles, normals: Float64Array, distance: number): Float64Array {
  const sums = new Float64Array(positions.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const weight = areaOf(positions, triangles, t);
    for (let k = 0; k < 3; k++) {
      const v = 3 * triangles[t + k]!;
      sums[v]! += weight * normals[t]!;
      sums[v + 1]! += weight * normals[t + 1]!;
      sums[v + 2]! += weight * normals[t + 2]!;
    }
  }
  const out = positions.slice();
  for (let v = 0; v < out.length; v += 3) {
    const length = Math.sqrt(sums[v]! ** 2 + sums[v + 1]! ** 2 + sums[v + 2]! ** 2);
    if (length === 0) continue;
    for (let k = 0; k < 3; k++) out[v + k]! += (distance * sums[v + k]!) / length;
  }
  return out;
}

function areaOf(p: Float64Array, triangles: Uint32Array, t: number): number {
  const a = 3 * triangles[t]!,
    b = 3 * triangles[t + 1]!,
    c = 3 * triangles[t + 2]!;
  const ux = p[b]! - p[a]!,
    uy = p[b + 1]! - p[a + 1]!,
    uz = p[b + 2]! - p[a + 2]!;
  const wx = p[c]! - p[a]!,
    wy = p[c + 1]! - p[a + 1]!,
    wz = p[c + 2]! - p[a + 2]!;
  return Math.sqrt((uy * wz - uz * wy) ** 2 + (uz * wx - ux * wz) ** 2 + (ux * wy - uy * wx) ** 2);
}

function spanOf({ positions, triangles }: IndexedTriangles, t: number): number {
  return areaOf(positions, triangles, 3 * t);
}
