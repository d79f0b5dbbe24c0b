/**
 * A tree of bounding boxes over a mesh's triangles, in doubles and flat arrays: which wall lies straight below a point, and which is nearest.
 *
 * Why our own: heights decide which pools join, so the plumb ray has to be watertight (an edge shared by two triangles is never
 * slipped through) and must not round to float32 as general-purpose trees do.
 */
import type { Vector3 } from '../../shared/vector.ts';
import type { SurfaceMesh } from './tank-solid.ts';

export interface Bvh {
  /** Six per node: min xyz, max xyz, m. Children of node i are `child[i]` and `child[i] + 1`. */
  readonly bounds: Float64Array;
  /** First child of an inner node; for a leaf, −1 − its first place in `triangles`. */
  readonly child: Int32Array;
  /** Triangles in a leaf, 0 for an inner node. */
  readonly count: Uint8Array;
  readonly triangles: Uint32Array;
}

const LEAF = 4;

export function buildBvh({ positions, triangles }: SurfaceMesh): Bvh {
  const nTriangles = triangles.length / 3;
  const centres = new Float64Array(triangles.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t];
    const b = 3 * triangles[t + 1];
    const c = 3 * triangles[t + 2];
    for (let axis = 0; axis < 3; axis++) centres[t + axis] = positions[a + axis] + positions[b + axis] + positions[c + axis];
  }
  const order = new Uint32Array(nTriangles);
  for (let t = 0; t < nTriangles; t++) order[t] = t;
  const most = Math.max(1, 2 * Math.ceil(nTriangles / (LEAF / 2)));
  const bounds = new Float64Array(6 * most);
  const child = new Int32Array(most);
  const count = new Uint8Array(most);
  let nNodes = 1;

  const fill = (node: number, from: number, to: number): void => {
    let cx0 = Infinity,
      cy0 = Infinity,
      cz0 = Infinity,
      cx1 = -Infinity,
      cy1 = -Infinity,
      cz1 = -Infinity; // box of the centres
    for (let i = from; i < to; i++) {
      const c = 3 * order[i];
      const x = centres[c],
        y = centres[c + 1],
        z = centres[c + 2];
      if (x < cx0) cx0 = x;
      if (x > cx1) cx1 = x;
      if (y < cy0) cy0 = y;
      if (y > cy1) cy1 = y;
      if (z < cz0) cz0 = z;
      if (z > cz1) cz1 = z;
    }
    if (to - from <= LEAF) {
      child[node] = -1 - from;
      count[node] = to - from;
      boundLeaf(node, from, to);
      return;
    }
    const dx = cx1 - cx0,
      dy = cy1 - cy0,
      dz = cz1 - cz0;
    const axis = dx >= dy && dx >= dz ? 0 : dy >= dz ? 1 : 2;
    const middle = (from + to) >> 1;
    selectMiddle(order, centres, axis, from, to - 1, middle);
    const first = nNodes;
    nNodes += 2;
    child[node] = first;
    fill(first, from, middle);
    fill(first + 1, middle, to);
    for (let k = 0; k < 3; k++) {
      bounds[6 * node + k] = Math.min(bounds[6 * first + k], bounds[6 * first + 6 + k]);
      bounds[6 * node + 3 + k] = Math.max(bounds[6 * first + 3 + k], bounds[6 * first + 9 + k]);
    }
  };
  const boundLeaf = (node: number, from: number, to: number): void => {
    for (let k = 0; k < 3; k++) {
      let low = Infinity,
        high = -Infinity;
      for (let i = from; i < to; i++) {
        for (let corner = 0; corner < 3; corner++) {
          const value = positions[3 * triangles[3 * order[i] + corner] + k];
          if (value < low) low = value;
          if (value > high) high = value;
        }
      }
      bounds[6 * node + k] = low;
      bounds[6 * node + 3 + k] = high;
    }
  };
  fill(0, 0, nTriangles);
  return { bounds: bounds.slice(0, 6 * nNodes), child: child.slice(0, nNodes), count: count.slice(0, nNodes), triangles: order };
}

/** Puts the triangle of middle rank along `axis` at `middle`, smaller ones before it (Hoare's selection; ties stop both scans, so level floors stay n log n). */
function selectMiddle(order: Uint32Array, centres: Float64Array, axis: number, from: number, to: number, middle: number): void {
  let left = from;
  let right = to;
  while (left < right) {
    const pivot = centres[3 * order[(left + right) >> 1] + axis];
    let i = left;
    let j = right;
    while (i <= j) {
      while (centres[3 * order[i] + axis] < pivot) i++;
      while (centres[3 * order[j] + axis] > pivot) j--;
      if (i <= j) {
        const swap = order[i];
        order[i++] = order[j];
        order[j--] = swap;
      }
    }
    if (middle <= j) right = j;
    else if (middle >= i) left = i;
    else return;
  }
}

/** Two unit vectors square to `up`, the same for every vertex of one ray, so a shared edge is judged alike from both its sides. */
export function planBasis(up: Vector3): readonly [Vector3, Vector3] {
  const [x, y, z] = up;
  const ax = Math.abs(x),
    ay = Math.abs(y),
    az = Math.abs(z);
  const e: Vector3 = ax <= ay && ax <= az ? [0, z, -y] : ay <= az ? [-z, 0, x] : [y, -x, 0];
  const norm = 1 / Math.hypot(e[0], e[1], e[2]);
  const e1: Vector3 = [e[0] * norm, e[1] * norm, e[2] * norm];
  return [e1, [y * e1[2] - z * e1[1], z * e1[0] - x * e1[2], x * e1[1] - y * e1[0]]];
}

export interface PlumbHit {
  readonly triangle: number;
  /** How far below the start, m; above 0. */
  readonly drop: number;
}

/**
 * First wall straight below a point.
 *
 * @param start - m, same frame as the mesh
 * @param up - unit vector; the ray runs against it
 * @returns the nearest triangle met strictly below the start, or null. Walls that contain the ray are not met themselves; their upper neighbours are.
 *
 * Source: edge tests as in Woop, Benthin, Wald 2013, J. Computer Graphics Techniques 2(1): a shared edge gives exactly opposite values on
 * its two sides, so an inclusive sign test leaves no gap.
 */
export function firstBelow(bvh: Bvh, mesh: SurfaceMesh, start: Vector3, up: Vector3, basis = planBasis(up)): PlumbHit | null {
  const { positions, triangles } = mesh;
  const { bounds, child, count } = bvh;
  const [px, py, pz] = start;
  const dx = -up[0],
    dy = -up[1],
    dz = -up[2];
  const [[ux, uy, uz], [vx, vy, vz]] = basis;
  const stack = new Int32Array(128);
  const u = [0, 0, 0],
    v = [0, 0, 0],
    s = [0, 0, 0];
  let depth = 1;
  let best = Infinity;
  let hit = -1;
  while (depth > 0) {
    const node = stack[--depth];
    if (enters(bounds, 6 * node, px, py, pz, dx, dy, dz) >= best) continue;
    if (count[node] === 0) {
      stack[depth++] = child[node];
      stack[depth++] = child[node] + 1;
      continue;
    }
    const from = -1 - child[node];
    for (let i = from; i < from + count[node]; i++) {
      const t = bvh.triangles[i];
      for (let corner = 0; corner < 3; corner++) {
        const p = 3 * triangles[3 * t + corner];
        const x = positions[p] - px,
          y = positions[p + 1] - py,
          z = positions[p + 2] - pz;
        u[corner] = x * ux + y * uy + z * uz;
        v[corner] = x * vx + y * vy + z * vz;
        s[corner] = x * dx + y * dy + z * dz;
      }
      const a = u[1] * v[2] - v[1] * u[2];
      const b = u[2] * v[0] - v[2] * u[0];
      const c = u[0] * v[1] - v[0] * u[1];
      if ((a < 0 || b < 0 || c < 0) && (a > 0 || b > 0 || c > 0)) continue;
      const sum = a + b + c;
      if (sum === 0) continue;
      const drop = (a * s[0] + b * s[1] + c * s[2]) / sum;
      if (drop > 0 && (drop < best || (drop === best && t < hit))) {
        best = drop;
        hit = t;
      }
    }
  }
  return hit < 0 ? null : { triangle: hit, drop: best };
}

/** Distance along the ray at which it enters the box, Infinity when it misses; the box is widened by rounding, so none is missed. */
function enters(bounds: Float64Array, at: number, px: number, py: number, pz: number, dx: number, dy: number, dz: number): number {
  const slack =
    1e-14 *
    (Math.abs(px) +
      Math.abs(py) +
      Math.abs(pz) +
      bounds[at + 3] -
      bounds[at] +
      bounds[at + 4] -
      bounds[at + 1] +
      bounds[at + 5] -
      bounds[at + 2]);
  let near = 0;
  let far = Infinity;
  for (let axis = 0; axis < 3; axis++) {
    const p = axis === 0 ? px : axis === 1 ? py : pz;
    const d = axis === 0 ? dx : axis === 1 ? dy : dz;
    const low = bounds[at + axis] - slack - p;
    const high = bounds[at + 3 + axis] + slack - p;
    if (Math.abs(d) < 1e-300) {
      if (low > 0 || high < 0) return Infinity;
      continue;
    }
    const t0 = low / d;
    const t1 = high / d;
    const enter = Math.min(t0, t1);
    const leave = Math.max(t0, t1);
    if (enter > near) near = enter;
    if (leave < far) far = leave;
  }
  // Near-parallel axes divide by small numbers: allow for their rounding.
  return near <= far * (1 + 1e-12) + slack ? near * (1 - 1e-12) - slack : Infinity;
}

export interface NearestWall {
  readonly triangle: number;
  readonly at: Vector3;
  readonly distance: number;
}

/**
 * The point of the wall nearest to a point; ties go to the lower triangle index.
 * @param skip - triangles to pass over
 * @returns triangle −1 and distance Infinity when all were passed over
 * Source: Ericson 2005, Real-Time Collision Detection §5.1.5.
 */
export function nearestWall(bvh: Bvh, mesh: SurfaceMesh, point: Vector3, skip?: (triangle: number) => boolean): NearestWall {
  const { positions, triangles } = mesh;
  const { bounds, child, count } = bvh;
  const stack = new Int32Array(128);
  let depth = 1;
  let best = Infinity;
  let hit = -1;
  let at: Vector3 = point;
  const away = (node: number): number => {
    let sum = 0;
    for (let axis = 0; axis < 3; axis++) {
      const gap = Math.max(bounds[6 * node + axis] - point[axis], 0, point[axis] - bounds[6 * node + 3 + axis]);
      sum += gap * gap;
    }
    return sum;
  };
  while (depth > 0) {
    const node = stack[--depth];
    if (away(node) > best) continue;
    if (count[node] === 0) {
      const first = child[node];
      const nearFirst = away(first) <= away(first + 1);
      stack[depth++] = nearFirst ? first + 1 : first;
      stack[depth++] = nearFirst ? first : first + 1;
      continue;
    }
    const from = -1 - child[node];
    for (let i = from; i < from + count[node]; i++) {
      const t = bvh.triangles[i];
      if (skip?.(t)) continue;
      const corner = (k: number): Vector3 => {
        const p = 3 * triangles[3 * t + k];
        return [positions[p], positions[p + 1], positions[p + 2]];
      };
      const q = nearestOnTriangle(point, corner(0), corner(1), corner(2));
      const distance = (q[0] - point[0]) ** 2 + (q[1] - point[1]) ** 2 + (q[2] - point[2]) ** 2;
      if (distance < best || (distance === best && t < hit)) {
        best = distance;
        hit = t;
        at = q;
      }
    }
  }
  return { triangle: hit, at, distance: Math.sqrt(best) };
}

function nearestOnTriangle(p: Vector3, a: Vector3, b: Vector3, c: Vector3): Vector3 {
  const along = (from: Vector3, to: Vector3, share: number): Vector3 => [
    from[0] + share * (to[0] - from[0]),
    from[1] + share * (to[1] - from[1]),
    from[2] + share * (to[2] - from[2]),
  ];
  const d = (x: Vector3, from: Vector3, y: Vector3, origin: Vector3): number =>
    (x[0] - from[0]) * (y[0] - origin[0]) + (x[1] - from[1]) * (y[1] - origin[1]) + (x[2] - from[2]) * (y[2] - origin[2]);
  const d1 = d(b, a, p, a),
    d2 = d(c, a, p, a);
  if (d1 <= 0 && d2 <= 0) return a;
  const d3 = d(b, a, p, b),
    d4 = d(c, a, p, b);
  if (d3 >= 0 && d4 <= d3) return b;
  const vc = d1 * d4 - d3 * d2;
  if (vc <= 0 && d1 >= 0 && d3 <= 0) return along(a, b, d1 / (d1 - d3));
  const d5 = d(b, a, p, c),
    d6 = d(c, a, p, c);
  if (d6 >= 0 && d5 <= d6) return c;
  const vb = d5 * d2 - d1 * d6;
  if (vb <= 0 && d2 >= 0 && d6 <= 0) return along(a, c, d2 / (d2 - d6));
  const va = d3 * d6 - d5 * d4;
  if (va <= 0 && d4 - d3 >= 0 && d5 - d6 >= 0) return along(b, c, (d4 - d3) / (d4 - d3 + (d5 - d6)));
  const whole = va + vb + vc;
  const v = vb / whole,
    w = vc / whole;
  return [
    a[0] + v * (b[0] - a[0]) + w * (c[0] - a[0]),
    a[1] + v * (b[1] - a[1]) + w * (c[1] - a[1]),
    a[2] + v * (b[2] - a[2]) + w * (c[2] - a[2]),
  ];
}
