/** Closed shapes with closed-form volumes, for tests: as surfaces (m, outward) and as STL files. */
import earcut from 'earcut';
import type { SurfaceMesh } from '../engine/mesh/tank-solid.ts';
import type { Vector3 } from '../shared/vector.ts';

/** A box from one corner to the other. */
export function box(min: Vector3, max: Vector3): SurfaceMesh {
  const [x0, y0, z0] = min;
  const [x1, y1, z1] = max;
  return prism(
    [
      [x0, y0],
      [x1, y0],
      [x1, y1],
      [x0, y1],
    ],
    z0,
    z1,
  );
}

/** A wedge: the floor rises from z = 0 at x = 0 to z = height at x = length, the top is level at z = height. Volume ½·length·width·height. */
export function wedge(length: number, width: number, height: number): SurfaceMesh {
  // The triangle (x, z) = (0,0), (length, height), (0, height), drawn out along y.
  const flat = prism(
    [
      [0, 0],
      [length, height],
      [0, height],
    ],
    0,
    width,
  );
  return { positions: swapped(flat.positions), triangles: flat.triangles.slice().reverse() };
}

/** A polygon with `sides` corners on the circle, standing from z0 to z1. Volume ½·sides·r²·sin(2π/sides)·(z1 − z0). */
export function drum(radius: number, z0: number, z1: number, sides: number): SurfaceMesh {
  const corners = Array.from({ length: sides }, (_, i): [number, number] => {
    const angle = (2 * Math.PI * i) / sides;
    return [radius * Math.cos(angle), radius * Math.sin(angle)];
  });
  return prism(corners, z0, z1);
}

/** A polygon in plan, counter-clockwise and convex, between two heights. */
export function prism(plan: readonly (readonly [number, number])[], z0: number, z1: number): SurfaceMesh {
  const n = plan.length;
  const positions = new Float64Array([...plan.flatMap(([x, y]) => [x, y, z0]), ...plan.flatMap(([x, y]) => [x, y, z1])]);
  const triangles: number[] = [];
  for (let i = 1; i + 1 < n; i++) triangles.push(0, i + 1, i, n, n + i, n + i + 1);
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    triangles.push(i, j, n + j, i, n + j, n + i);
  }
  return { positions, triangles: Uint32Array.from(triangles) };
}

/**
 * A surface of revolution about Z, faceted: `sides` corners on every ring.
 * @param profile - (z, radius) from one end to the other, enclosed space on the axis' side when z rises; a radius of 0 only at an end
 */
export function revolved(profile: readonly (readonly [number, number])[], sides: number, turn = 0): SurfaceMesh {
  const positions: number[] = [];
  const rings = profile.map(([z, radius]) => {
    const first = positions.length / 3;
    const n = radius === 0 ? 1 : sides;
    for (let i = 0; i < n; i++) {
      const angle = turn + (2 * Math.PI * i) / sides;
      positions.push(radius * Math.cos(angle), radius * Math.sin(angle), z);
    }
    return { first, n };
  });
  const triangles: number[] = [];
  for (let r = 0; r + 1 < rings.length; r++) {
    const low = rings[r];
    const high = rings[r + 1];
    for (let i = 0; i < sides; i++) {
      const j = (i + 1) % sides;
      if (low.n > 1) triangles.push(low.first + i, low.first + j, high.first + (high.n > 1 ? j : 0));
      if (high.n > 1) triangles.push(low.first + (low.n > 1 ? i : 0), high.first + j, high.first + i);
    }
  }
  const [bottom, top] = [rings[0], rings[rings.length - 1]];
  for (let i = 1; i + 1 < bottom.n; i++) triangles.push(bottom.first, bottom.first + i + 1, bottom.first + i);
  for (let i = 1; i + 1 < top.n; i++) triangles.push(top.first, top.first + i, top.first + i + 1);
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
}

/** A box-like body between a rectangle at z = 0 and one at z = height, both centred on the Z axis. */
export function rectangularFrustum(bottom: readonly [number, number], top: readonly [number, number], height: number): SurfaceMesh {
  const half = (sides: readonly [number, number], z: number): number[] =>
    [
      [-1, -1],
      [1, -1],
      [1, 1],
      [-1, 1],
    ].flatMap(([x, y]) => [(x * sides[0]) / 2, (y * sides[1]) / 2, z]);
  return { positions: Float64Array.from([...half(bottom, 0), ...half(top, height)]), triangles: box([0, 0, 0], [1, 1, 1]).triangles };
}

/** A circle of radius `radius` about the Z axis at z = 0, drawn to a point. Volume as a cone's, by the polygon's area. */
export function obliqueCone(radius: number, apex: Vector3, sides: number): SurfaceMesh {
  const flat = drum(radius, 0, 1, sides);
  const triangles: number[] = [];
  for (let i = 0; i < sides; i++) triangles.push(i, (i + 1) % sides, sides);
  for (let i = 1; i + 1 < sides; i++) triangles.push(0, i + 1, i);
  return { positions: Float64Array.from([...flat.positions.slice(0, 3 * sides), ...apex]), triangles: Uint32Array.from(triangles) };
}

/** The same shape with Z laid along X, X along Y, Y along Z. */
export function laidAlongX({ positions, triangles }: SurfaceMesh): SurfaceMesh {
  const out = positions.slice();
  for (let p = 0; p < out.length; p += 3) [out[p], out[p + 1], out[p + 2]] = [positions[p + 2], positions[p], positions[p + 1]];
  return { positions: out, triangles };
}

/** An upright profile in the X–Z plane, counter-clockwise seen with Z up and X to the right, drawn out along y from 0 to `width`; need not be convex. */
export function profileAlongY(profile: readonly (readonly [number, number])[], width: number): SurfaceMesh {
  const n = profile.length;
  const positions = new Float64Array([...profile.flatMap(([x, z]) => [x, 0, z]), ...profile.flatMap(([x, z]) => [x, width, z])]);
  const cap = earcut(profile.flat());
  const triangles: number[] = [];
  for (let t = 0; t < cap.length; t += 3) {
    const [a, b, c] = isLeftTurn(profile, cap[t], cap[t + 1], cap[t + 2])
      ? [cap[t], cap[t + 1], cap[t + 2]]
      : [cap[t], cap[t + 2], cap[t + 1]];
    triangles.push(a, b, c, n + a, n + c, n + b);
  }
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    triangles.push(i, n + j, j, i, n + i, n + j);
  }
  return { positions, triangles: Uint32Array.from(triangles) };
}

function isLeftTurn(plan: readonly (readonly [number, number])[], a: number, b: number, c: number): boolean {
  const [p, q, r] = [plan[a], plan[b], plan[c]];
  return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]) > 0;
}

/** Several shapes in one: bodies that touch nowhere. */
export function together(...shapes: readonly SurfaceMesh[]): SurfaceMesh {
  const positions = shapes.flatMap((shape) => [...shape.positions]);
  let before = 0;
  const triangles = shapes.flatMap((shape) => {
    const moved = [...shape.triangles].map((vertex) => vertex + before);
    before += shape.positions.length / 3;
    return moved;
  });
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
}

/** Y and Z exchanged: a mirroring, so the caller reverses the winding. */
function swapped(positions: Float64Array): Float64Array {
  const out = positions.slice();
  for (let p = 0; p < out.length; p += 3) [out[p + 1], out[p + 2]] = [out[p + 2], out[p + 1]];
  return out;
}

/** @returns a binary STL; coordinates times `perMetre` (1000: a file in mm), as float32 */
export function binaryStl({ positions, triangles }: SurfaceMesh, perMetre = 1000): Uint8Array<ArrayBuffer> {
  const bytes = new Uint8Array(84 + (50 * triangles.length) / 3);
  const view = new DataView(bytes.buffer);
  view.setUint32(80, triangles.length / 3, true);
  for (let t = 0; t < triangles.length; t++) {
    const at = 84 + 50 * Math.floor(t / 3) + 12 + 12 * (t % 3);
    for (let axis = 0; axis < 3; axis++) view.setFloat32(at + 4 * axis, positions[3 * triangles[t] + axis] * perMetre, true);
  }
  return bytes;
}
