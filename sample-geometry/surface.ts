/** A solid's surface as an STL file says it: float32 corners. Writing, reading back, and the proof that it is closed. All in mm. */
import type { Manifold } from 'manifold-3d';
import { dropCollapsed, turnOutSlivers } from '../engine/mesh/clean-triangles.ts';
import { stlBytes as meshStlBytes } from '../engine/mesh/write-mesh.ts';
import { type Kernel, loadKernel } from '../engine/shape/solids.ts';

export interface Surface {
  /** xyz, mm; shape (3·nVertices) */
  readonly positions: Float32Array;
  /** Counter-clockwise from outside; shape (3·nTriangles) */
  readonly triangles: Uint32Array;
}

/** mm: details smaller than this are smoothed away. Far below sheet metal or a mould, above float32 at 4 m (2.4e-4). */
const FINEST = 0.001;

/** mm: rounding may draw two corners together or press a triangle flat; it is then taken out, and no corner moves. */
const FLAT = 1e-4;

/**
 * The surface after rounding to float32, proved closed.
 * @throws where it is not: the shape is then badly made
 */
export function surfaceOf(kernel: Kernel, solid: Manifold): Surface {
  const mesh = solid.simplify(FINEST).getMesh();
  const { positions, triangles } = weld(mesh.vertProperties, mesh.triVerts);
  const surface = { positions, triangles: turnOutSlivers(Float64Array.from(positions), dropCollapsed(triangles), FLAT).triangles };
  proveSound(kernel, surface);
  return surface;
}

/** Joins corners that are equal to the last bit. */
function weld(corners: Float32Array, triangles: ArrayLike<number>): Surface {
  const place = new Map<string, number>();
  const positions: number[] = [];
  const became = Array.from({ length: corners.length / 3 }, (_, v) => {
    const key = `${corners[3 * v]} ${corners[3 * v + 1]} ${corners[3 * v + 2]}`;
    const known = place.get(key);
    if (known !== undefined) return known;
    place.set(key, place.size);
    positions.push(corners[3 * v], corners[3 * v + 1], corners[3 * v + 2]);
    return place.size - 1;
  });
  return { positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles, (v) => became[v]) };
}

/** @throws with what is wrong */
export function proveSound(kernel: Kernel, surface: Surface): void {
  const fault = faultOf(kernel, surface);
  if (fault !== null) throw new Error(fault);
}

/** @returns null when the surface is closed, wound one way, one body that faces outward, without a triangle of no area; else why not */
function faultOf(kernel: Kernel, { positions, triangles }: Surface): string | null {
  const nVertices = positions.length / 3;
  const edges = new Set<number>();
  for (let t = 0; t < triangles.length; t += 3) {
    if (area(positions, triangles, t) === 0) return `triangle ${t / 3} has no area`;
    for (let corner = 0; corner < 3; corner++) {
      const edge = triangles[t + corner] * nVertices + triangles[t + ((corner + 1) % 3)];
      if (edges.has(edge)) return `edge ${edge} is used twice the same way`;
      edges.add(edge);
    }
  }
  for (const edge of edges) {
    const back = (edge % nVertices) * nVertices + Math.floor(edge / nVertices);
    if (!edges.has(back)) return `edge ${edge} is open`;
  }
  const solid = kernel.Manifold.ofMesh(new kernel.Mesh({ numProp: 3, vertProperties: positions.slice(), triVerts: triangles.slice() }));
  if (solid.status() !== 'NoError') return `the kernel refuses the surface: ${solid.status()}`;
  if (!(solid.volume() > 0)) return 'the surface faces inward';
  const nParts = solid.decompose().length;
  return nParts === 1 ? null : `the fuel space is in ${nParts} parts`;
}

function area(p: Float32Array, triangles: Uint32Array, t: number): number {
  const [a, b, c] = [3 * triangles[t], 3 * triangles[t + 1], 3 * triangles[t + 2]];
  const u = [p[b] - p[a], p[b + 1] - p[a + 1], p[b + 2] - p[a + 2]];
  const v = [p[c] - p[a], p[c + 1] - p[a + 1], p[c + 2] - p[a + 2]];
  return Math.hypot(u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]) / 2;
}

/** mm³ */
export function enclosedVolume({ positions: p, triangles }: Surface): number {
  let six = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [3 * triangles[t], 3 * triangles[t + 1], 3 * triangles[t + 2]];
    const [ax, ay, az] = [p[a] - p[0], p[a + 1] - p[1], p[a + 2] - p[2]];
    const [bx, by, bz] = [p[b] - p[0], p[b + 1] - p[1], p[b + 2] - p[2]];
    const [cx, cy, cz] = [p[c] - p[0], p[c + 1] - p[1], p[c + 2] - p[2]];
    six += ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
  }
  return six / 6;
}

/** Binary STL in mm. */
export const stlBytes = ({ positions, triangles }: Surface, title: string): Uint8Array => meshStlBytes(positions, triangles, title);

/** Reads back what `stlBytes` wrote, by the corners alone, and proves it sound. */
export async function readBack(bytes: Uint8Array): Promise<Surface> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const nTriangles = view.getUint32(80, true);
  const corners = new Float32Array(9 * nTriangles);
  for (let i = 0; i < corners.length; i++) corners[i] = view.getFloat32(84 + 50 * Math.floor(i / 9) + 12 + 4 * (i % 9), true);
  const surface = weld(
    corners,
    Array.from({ length: 3 * nTriangles }, (_, i) => i),
  );
  proveSound(await loadKernel(), surface);
  return surface;
}
