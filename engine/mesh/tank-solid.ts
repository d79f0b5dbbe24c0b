/**
 * A tank's fuel space, made once and never changed: everything about the mesh that no condition changes.
 * Coordinates are kept about the bounding box's centre, so a tank far from the tank frame's origin keeps its digits.
 */
import type { Vector3 } from '../../shared/vector.ts';
import { POCKET_VOLUME } from '../tolerances.ts';
import { type Bvh, buildBvh } from './bvh.ts';

/** A closed, oriented, edge-manifold surface: the promise `soundMesh` keeps and `buildTankSolid` relies on. */
export interface SurfaceMesh {
  /** xyz, m, tank frame; shape (3·nVertices) */
  readonly positions: Float64Array;
  /** Vertex indices, counter-clockwise seen from outside the fuel space; shape (3·nTriangles) */
  readonly triangles: Uint32Array;
}

export interface TankSolid extends SurfaceMesh {
  /** Where the local origin of `positions` lies in the tank frame, m. */
  readonly origin: Vector3;
  /** Bounding-box diagonal, m. */
  readonly size: number;
  readonly min: Vector3;
  readonly max: Vector3;
  /** m³ */
  readonly capacity: number;
  /** m² */
  readonly wallArea: number;
  /** The mesh's own chord error, m; pockets shallower than it may be facets, not shape. */
  readonly facetError: number;
  /** A pocket shallower than the depth, m, and smaller than the volume, m³, is joined to its neighbour. */
  readonly pocketTolerance: { readonly depth: number; readonly volume: number };
  /** Outward area vector of each triangle, m²; shape (3·nTriangles) */
  readonly areas: Float64Array;
  /**
   * Angle-weighted outward normal of each vertex; shape (3·nVertices). Its sign against a direction tells on which side of the wall a
   * point lies whose nearest wall point is the vertex. Source: Bærentzen and Aanæs 2005, IEEE Trans. Vis. Comput. Graph. 11(3), 243–253.
   */
  readonly normals: Float64Array;
  /** Neighbours of vertex v are `neighbours[neighbourStart[v] … neighbourStart[v + 1])`. */
  readonly neighbourStart: Uint32Array;
  readonly neighbours: Uint32Array;
  readonly bvh: Bvh;
}

/**
 * @param mesh - closed, oriented, edge-manifold, every vertex one fan; m, tank frame
 * @param facetError - the mesh's chord error, m
 * @throws when the mesh is not what `soundMesh` promises (a directed edge met twice, or without its twin)
 */
export function buildTankSolid(mesh: SurfaceMesh, facetError: number): TankSolid {
  const nVertices = mesh.positions.length / 3;
  const { min, max } = bounds(mesh.positions);
  const origin: Vector3 = [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, (min[2] + max[2]) / 2];
  const positions = new Float64Array(mesh.positions.length);
  for (let i = 0; i < positions.length; i++) positions[i] = mesh.positions[i] - origin[i % 3];
  const triangles = mesh.triangles;
  const { areas, normals, capacity, wallArea } = measure(positions, triangles);
  const { neighbourStart, neighbours } = neighboursOf(triangles, nVertices);
  const size = Math.hypot(max[0] - min[0], max[1] - min[1], max[2] - min[2]);
  const bvh = buildBvh({ positions, triangles });
  const pocketTolerance = { depth: facetError, volume: POCKET_VOLUME * capacity };
  return {
    positions,
    triangles,
    origin,
    size,
    min,
    max,
    capacity,
    wallArea,
    facetError,
    pocketTolerance,
    areas,
    normals,
    neighbourStart,
    neighbours,
    bvh,
  };
}

function bounds(positions: Float64Array): { min: Vector3; max: Vector3 } {
  const min: [number, number, number] = [Infinity, Infinity, Infinity];
  const max: [number, number, number] = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i++) {
    const axis = i % 3;
    if (positions[i] < min[axis]) min[axis] = positions[i];
    if (positions[i] > max[axis]) max[axis] = positions[i];
  }
  return { min, max };
}

function measure(positions: Float64Array, triangles: Uint32Array) {
  const areas = new Float64Array(triangles.length);
  const normals = new Float64Array(positions.length);
  let volume = 0,
    lost = 0,
    wallArea = 0; // `lost` is what rounding dropped from the running sum (Neumaier)
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t],
      b = 3 * triangles[t + 1],
      c = 3 * triangles[t + 2];
    const ax = positions[a],
      ay = positions[a + 1],
      az = positions[a + 2];
    const ux = positions[b] - ax,
      uy = positions[b + 1] - ay,
      uz = positions[b + 2] - az;
    const vx = positions[c] - ax,
      vy = positions[c + 1] - ay,
      vz = positions[c + 2] - az;
    const nx = (uy * vz - uz * vy) / 2,
      ny = (uz * vx - ux * vz) / 2,
      nz = (ux * vy - uy * vx) / 2;
    areas[t] = nx;
    areas[t + 1] = ny;
    areas[t + 2] = nz;
    const term = ax * nx + ay * ny + az * nz;
    const next = volume + term;
    lost += Math.abs(volume) >= Math.abs(term) ? volume - next + term : term - next + volume;
    volume = next;
    const area = Math.hypot(nx, ny, nz);
    wallArea += area;
    if (area === 0) continue;
    const wx = vx - ux,
      wy = vy - uy,
      wz = vz - uz;
    const uv = ux * vx + uy * vy + uz * vz,
      uw = -(ux * wx + uy * wy + uz * wz);
    const atA = Math.atan2(2 * area, uv),
      atB = Math.atan2(2 * area, uw),
      atC = Math.PI - atA - atB;
    addScaled(normals, a, nx / area, ny / area, nz / area, atA);
    addScaled(normals, b, nx / area, ny / area, nz / area, atB);
    addScaled(normals, c, nx / area, ny / area, nz / area, atC);
  }
  return { areas, normals, capacity: (volume + lost) / 3, wallArea };
}

function addScaled(out: Float64Array, at: number, x: number, y: number, z: number, factor: number): void {
  out[at] += factor * x;
  out[at + 1] += factor * y;
  out[at + 2] += factor * z;
}

/** In a closed oriented mesh each neighbour is the end of exactly one directed edge from the vertex. */
function neighboursOf(triangles: Uint32Array, nVertices: number) {
  const neighbourStart = new Uint32Array(nVertices + 1);
  for (let t = 0; t < triangles.length; t++) neighbourStart[triangles[t] + 1]++;
  for (let v = 0; v < nVertices; v++) neighbourStart[v + 1] += neighbourStart[v];
  const next = neighbourStart.slice(0, nVertices);
  const neighbours = new Uint32Array(triangles.length);
  for (let t = 0; t < triangles.length; t += 3) {
    for (let corner = 0; corner < 3; corner++) neighbours[next[triangles[t + corner]]++] = triangles[t + ((corner + 1) % 3)];
  }
  proveClosed(neighbourStart, neighbours);
  return { neighbourStart, neighbours };
}

function proveClosed(neighbourStart: Uint32Array, neighbours: Uint32Array): void {
  const nVertices = neighbourStart.length - 1;
  for (let v = 0; v < nVertices; v++) neighbours.subarray(neighbourStart[v], neighbourStart[v + 1]).sort();
  for (let v = 0; v < nVertices; v++) {
    for (let i = neighbourStart[v]; i < neighbourStart[v + 1]; i++) {
      const w = neighbours[i];
      const twice = i > neighbourStart[v] && neighbours[i - 1] === w;
      if (twice || !holds(neighbours, neighbourStart[w], neighbourStart[w + 1], v))
        throw new Error(`edge ${v}–${w} is not shared by two triangles`);
    }
  }
}

function holds(sorted: Uint32Array, from: number, to: number, value: number): boolean {
  let low = from;
  let high = to;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (sorted[middle] < value) low = middle + 1;
    else high = middle;
  }
  return low < to && sorted[low] === value;
}
