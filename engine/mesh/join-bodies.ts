/** The union of bodies that overlap, by manifold-3d. */
import type { MeshError } from '../../shared/mesh-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { kernel } from './kernel.ts';
import type { IndexedTriangles } from './weld.ts';

/**
 * @param bodies - each closed and oriented, m, about the mesh's centre (the kernel exchanges float32)
 * @returns the corners of their union, m; error `mesh-union-failed`
 */
export async function joinBodies(bodies: readonly IndexedTriangles[]): Promise<Outcome<Float64Array, MeshError>> {
  const refused = (reason: string): Outcome<never, MeshError> => failed({ code: 'mesh-union-failed', bodies: bodies.length, reason });
  const { Manifold, Mesh } = await kernel();
  const solids: InstanceType<typeof Manifold>[] = [];
  try {
    for (const { positions, triangles } of bodies) {
      solids.push(new Manifold(new Mesh({ numProp: 3, vertProperties: Float32Array.from(positions), triVerts: triangles })));
    }
    const union = Manifold.union(solids);
    solids.push(union);
    const status = union.status();
    if (status !== 'NoError') return refused(status);
    const { vertProperties, triVerts } = union.getMesh();
    const corners = new Float64Array(3 * triVerts.length);
    for (let c = 0; c < triVerts.length; c++) for (let k = 0; k < 3; k++) corners[3 * c + k] = vertProperties[3 * triVerts[c]! + k]!;
    return corners.length > 0 ? done(corners) : refused('nothing is left');
  } catch (reason) {
    return refused(reason instanceof Error ? reason.message.split('\n')[0]! : String(reason));
  } finally {
    for (const solid of solids) solid.delete();
  }
}
