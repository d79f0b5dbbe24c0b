/** Makes the triangles of a file into the closed, outward-facing surface of a fuel space, or says why that cannot be. */
import type { Repair } from '../../shared/answers.ts';
import type { MeshError } from '../../shared/mesh-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { closeSurface } from './close-surface.ts';
import { fuelSpace } from './fuel-space.ts';
import { meshTolerances } from './mesh-tolerances.ts';
import type { SurfaceMesh } from './tank-solid.ts';

export interface SoundMesh {
  /** m, mesh frame */
  readonly mesh: SurfaceMesh;
  readonly repairs: readonly Repair[];
  readonly space: 'skin' | 'cavity' | 'outer';
  readonly notices: readonly string[];
}

export interface SoundMeshOptions {
  readonly unitToMetre: number;
  /** `outer` takes the outer skin as the fuel space even where the body encloses a cavity. */
  readonly space: 'auto' | 'outer';
}

/** Beyond this, m, a coordinate is a wrong unit or a broken file; below it, cubes of coordinates stay far from overflow. */
const LARGEST_COORDINATE = 1e6;
/** A mesh less than this across, m, is no tank in any unit. */
const SMALLEST_SIZE = 1e-5;

/**
 * The sound surface of a fuel space. On success every edge is shared by exactly two triangles in opposite directions, every vertex has
 * one fan, no triangle is repeated or without area, no two walls cross, and the fuel is inside. A fault that cannot be mended with its
 * meaning certain is an error; what was mended is counted in `repairs`.
 *
 * @param corners - xyz of each triangle's corners, file units; shape (9·nTriangles)
 * @returns error codes `mesh-…` (shared/mesh-errors.ts), positions in metres, mesh frame
 *
 * Accuracy: a clean mesh is not moved at all. Where repairs were needed no vertex moves further than the tolerance the repair states.
 */
export async function soundMesh(corners: Float64Array, { unitToMetre, space }: SoundMeshOptions): Promise<Outcome<SoundMesh, MeshError>> {
  const centred = recentre(corners, unitToMetre);
  if (!centred.ok) return centred;
  const { local, centre, diagonal, largest } = centred.value;
  const tolerances = meshTolerances(diagonal, largest);
  let closed = closeSurface(local, tolerances);
  if (!closed.ok) return failed(moved(closed.error, centre));
  let repairs: Repair[] = [...closed.value.repairs];
  // Once joined, bodies do not overlap; twice is once more than needed.
  for (let round = 0; round < 2; round++) {
    const found = await fuelSpace(closed.value.mesh, closed.value.across, space, tolerances);
    if (!found.ok) {
      const { error } = found; // counts the caps too, where the file's own number is what helps
      return failed(error.code === 'mesh-no-volume' ? { ...error, triangles: corners.length / 9 } : moved(error, centre));
    }
    repairs = [...repairs, ...found.value.repairs];
    if ('mesh' in found.value) {
      const { mesh, notices } = found.value;
      const positions = mesh.positions.map((x, i) => x + centre[i % 3]!);
      return done({ mesh: { positions, triangles: mesh.triangles }, repairs, space: found.value.space, notices });
    }
    closed = closeSurface(found.value.joined, tolerances);
    if (!closed.ok) return failed(moved(closed.error, centre));
    // What touched may be joined now.
    repairs = [...repairs.filter((r) => r.kind !== 'touching'), ...closed.value.repairs.filter((r) => r.kind === 'touching')];
  }
  return failed({ code: 'mesh-union-failed', bodies: repairs.find((r) => r.kind === 'joined')?.count ?? 0, reason: 'they still overlap' });
}

function recentre(corners: Float64Array, unitToMetre: number) {
  if (corners.length === 0) return failed<MeshError>({ code: 'mesh-empty' });
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < corners.length; i++) {
    const x = corners[i]!;
    if (!Number.isFinite(x)) return failed<MeshError>({ code: 'mesh-not-finite', triangle: Math.floor(i / 9) + 1 });
    if (Math.abs(x) * unitToMetre > LARGEST_COORDINATE)
      return failed<MeshError>({ code: 'mesh-out-of-range', triangle: Math.floor(i / 9) + 1 });
    const axis = i % 3;
    if (x < low[axis]!) low[axis] = x;
    if (x > high[axis]!) high[axis] = x;
  }
  const diagonal = Math.hypot(...high.map((x, k) => x - low[k]!)) * unitToMetre;
  if (diagonal < SMALLEST_SIZE) return failed<MeshError>({ code: 'mesh-too-small', size_m: diagonal });
  const middle = low.map((x, k) => (x + high[k]!) / 2);
  const local = new Float64Array(corners.length);
  for (let i = 0; i < corners.length; i++) local[i] = (corners[i]! - middle[i % 3]!) * unitToMetre;
  return done({
    local,
    centre: middle.map((x) => x * unitToMetre) as unknown as Vector3,
    diagonal,
    largest: Math.max(...low.map(Math.abs), ...high.map(Math.abs)) * unitToMetre,
  });
}

/** The error with its positions back in the mesh frame. */
function moved(error: MeshError, [x, y, z]: Vector3): MeshError {
  if (error.code === 'mesh-open-loops') return { ...error, first_m: error.first_m.map((p): Vector3 => [p[0] + x, p[1] + y, p[2] + z]) };
  if (!('first_m' in error)) return error;
  return { ...error, first_m: [error.first_m[0] + x, error.first_m[1] + y, error.first_m[2] + z] };
}
