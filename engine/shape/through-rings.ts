/** A solid through rings of corresponding points, straight from each ring to the next, its two ends flat. All in mm. */
import type { Manifold } from 'manifold-3d';
import type { Vector3 } from '../../shared/vector.ts';
import { cutPolygon } from '../mesh/cut-polygon.ts';
import { type Kernel, snap } from './solids.ts';

export interface Ring {
  readonly points: readonly Vector3[];
  /** The same points in the ring's own plane: both ends are cut into triangles there. */
  readonly flat: readonly (readonly [number, number])[];
}

/** @returns null where an end's outline crosses itself or has no area */
export function throughRings(kernel: Kernel, rings: readonly Ring[]): Manifold | null {
  const n = rings[0].points.length;
  const ends = [rings[0], rings[rings.length - 1]].map(({ flat }) => {
    const isLeft = signedArea(flat) > 0;
    const cut = cutPolygon((isLeft ? flat : [...flat].reverse()).flatMap((p) => [...p]));
    return cut === null ? null : { isLeft, cut: isLeft ? cut : cut.map((corner) => n - 1 - corner) };
  });
  if (ends[0] === null || ends[1] === null || ends[0].isLeft !== ends[1].isLeft) return null;
  const triangles: number[] = [];
  const last = (rings.length - 1) * n;
  for (let t = 0; t < ends[0].cut.length; t += 3) triangles.push(ends[0].cut[t], ends[0].cut[t + 2], ends[0].cut[t + 1]);
  for (const corner of ends[1].cut) triangles.push(last + corner);
  for (let r = 0; r + 1 < rings.length; r++) {
    for (let i = 0; i < n; i++) {
      const [a, b] = [r * n + i, r * n + ((i + 1) % n)];
      const quad = ends[0].isLeft ? [a, b, b + n, a, b + n, a + n] : [a, b + n, b, a, a + n, b + n];
      triangles.push(...quad);
    }
  }
  const positions = Float32Array.from(
    rings.flatMap(({ points }) => points.flatMap((p) => [...p])),
    snap,
  );
  // Which way the plane's two axes turn against the direction of the rings decides which side is out.
  if (signedVolume(positions, triangles) < 0)
    for (let t = 0; t < triangles.length; t += 3) [triangles[t + 1], triangles[t + 2]] = [triangles[t + 2], triangles[t + 1]];
  const solid = kernel.Manifold.ofMesh(new kernel.Mesh({ numProp: 3, vertProperties: positions, triVerts: Uint32Array.from(triangles) }));
  return solid.status() === 'NoError' && !solid.isEmpty() ? solid : null;
}

function signedArea(flat: Ring['flat']): number {
  const [ox, oy] = flat[0];
  let twice = 0;
  for (let i = 1; i + 1 < flat.length; i++) twice += (flat[i][0] - ox) * (flat[i + 1][1] - oy) - (flat[i][1] - oy) * (flat[i + 1][0] - ox);
  return twice / 2;
}

function signedVolume(p: Float32Array, triangles: readonly number[]): number {
  let six = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [3 * triangles[t], 3 * triangles[t + 1], 3 * triangles[t + 2]];
    const [ax, ay, az] = [p[a] - p[0], p[a + 1] - p[1], p[a + 2] - p[2]];
    const [bx, by, bz] = [p[b] - p[0], p[b + 1] - p[1], p[b + 2] - p[2]];
    const [cx, cy, cz] = [p[c] - p[0], p[c + 1] - p[1], p[c + 2] - p[2]];
    six += ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
  }
  return six;
}

/** How many parts a straight run between two rings needs, so that its twisted quads, drawn as triangles, stay within the error. */
export function ruledParts(from: Ring, to: Ring, error: number): number {
  // A bilinear quad's middle stands off its diagonal by a quarter of p00 − p10 − p01 + p11; cut in k parts, each has a k-th of it.
  let worst = 0;
  const n = from.points.length;
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const u = [0, 1, 2].map((k) => from.points[j][k] - from.points[i][k]);
    const d = [0, 1, 2].map((k) => from.points[i][k] - from.points[j][k] - to.points[i][k] + to.points[j][k]);
    const w = [0, 1, 2].map((k) => to.points[i][k] - from.points[i][k]);
    // Only what leaves the quad's plane bends it.
    const normal = [u[1] * w[2] - u[2] * w[1], u[2] * w[0] - u[0] * w[2], u[0] * w[1] - u[1] * w[0]];
    const length = Math.hypot(...normal);
    if (length > 0) worst = Math.max(worst, Math.abs(normal[0] * d[0] + normal[1] * d[1] + normal[2] * d[2]) / length / 4);
  }
  return Math.max(1, Math.ceil(worst / error));
}

/** The ring a share of the way. */
export function between(from: Ring, to: Ring, share: number): Ring {
  const mix = (a: number, b: number): number => a + (b - a) * share;
  return {
    points: from.points.map(([x, y, z], i): Vector3 => [mix(x, to.points[i][0]), mix(y, to.points[i][1]), mix(z, to.points[i][2])]),
    flat: from.flat.map(([x, y], i) => [mix(x, to.flat[i][0]), mix(y, to.flat[i][1])] as const),
  };
}
