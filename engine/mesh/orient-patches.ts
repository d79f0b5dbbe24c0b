/** Makes neighbouring triangles face the same way, patch by patch: a patch is what hangs together over edges of exactly two triangles. */
import type { MeshError } from '../../shared/mesh-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { type EdgeTable, edgeDegree } from './edge-table.ts';

export interface Patches {
  /** Patch of each triangle. */
  readonly patchOf: Int32Array;
  /** Triangles that faced against the most of their patch. */
  readonly turned: number;
  /** Whether any triangle was turned over, so that half-edges have new places. */
  readonly changed: boolean;
}

/**
 * Turns triangles in place until all of a patch agree; the greater number keeps its way.
 *
 * @returns error `mesh-one-sided` where a walk around the patch comes back facing the other way
 */
export function orientPatches(positions: Float64Array, triangles: Uint32Array, table: EdgeTable): Outcome<Patches, MeshError> {
  const nTriangles = triangles.length / 3;
  const patchOf = new Int32Array(nTriangles).fill(-1);
  const against = new Uint8Array(nTriangles);
  const queue = new Uint32Array(nTriangles);
  let nPatches = 0;
  let turned = 0;
  let changed = false;
  for (let seed = 0; seed < nTriangles; seed++) {
    if (patchOf[seed]! >= 0) continue;
    patchOf[seed] = nPatches;
    queue[0] = seed;
    let end = 1;
    let nAgainst = 0;
    for (let i = 0; i < end; i++) {
      const t = queue[i]!;
      for (let h = 3 * t; h < 3 * t + 3; h++) {
        const e = table.edgeOf[h]!;
        if (edgeDegree(table, e) !== 2) continue;
        const s = table.start[e]!;
        const g = table.halfEdges[s] === h ? table.halfEdges[s + 1]! : table.halfEdges[s]!;
        const other = Math.floor(g / 3);
        const wanted = against[t]! ^ (triangles[h] === triangles[g] ? 1 : 0);
        if (patchOf[other]! < 0) {
          patchOf[other] = nPatches;
          against[other] = wanted;
          nAgainst += wanted;
          queue[end++] = other;
        } else if (against[other] !== wanted) {
          return failed({ code: 'mesh-one-sided', first_m: vertexAt(positions, triangles[h]!) });
        }
      }
    }
    const turn = 2 * nAgainst > end ? 0 : 1;
    for (let i = 0; i < end; i++) {
      if (against[queue[i]!] !== turn) continue;
      flip(triangles, queue[i]!);
      changed = true;
    }
    turned += Math.min(nAgainst, end - nAgainst);
    nPatches++;
  }
  return done({ patchOf, turned, changed });
}

/** Turns triangle t over, keeping its first corner. */
export function flip(triangles: Uint32Array, t: number): void {
  const second = triangles[3 * t + 1]!;
  triangles[3 * t + 1] = triangles[3 * t + 2]!;
  triangles[3 * t + 2] = second;
}

export const vertexAt = (positions: Float64Array, v: number): Vector3 => [positions[3 * v]!, positions[3 * v + 1]!, positions[3 * v + 2]!];
