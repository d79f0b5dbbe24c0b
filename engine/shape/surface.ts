/** A solid's surface as a mesh file would say it: float32 corners, all in mm. */
import type { Manifold } from 'manifold-3d';
import { dropCollapsed, turnOutSlivers } from '../mesh/clean-triangles.ts';

export interface Surface {
  /** xyz, mm; shape (3·nVertices) */
  readonly positions: Float32Array;
  /** Counter-clockwise from outside; shape (3·nTriangles) */
  readonly triangles: Uint32Array;
}

/** mm: details smaller than this are smoothed away. Far below sheet metal or a mould, above float32 at 4 m (2.4e-4). */
export const FINEST = 0.001;

/** mm: rounding may draw two corners together or press a triangle flat; it is then taken out, and no corner moves. */
const FLAT = 1e-4;

/** The surface after rounding to float32; whether it is still sound is for the caller to prove. @param finest - mm */
export function roundedSurface(solid: Manifold, finest: number): Surface {
  const mesh = solid.simplify(finest).getMesh();
  const { positions, triangles } = weldSurface(mesh.vertProperties, mesh.triVerts);
  return { positions, triangles: turnOutSlivers(Float64Array.from(positions), dropCollapsed(triangles), FLAT).triangles };
}

/** Joins corners that are equal to the last bit. */
export function weldSurface(corners: Float32Array, triangles: ArrayLike<number>): Surface {
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
