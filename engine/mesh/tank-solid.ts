/** A closed, oriented, edge-manifold surface: the promise `soundMesh` keeps and `buildTankSolid` relies on. */
export interface SurfaceMesh {
  /** xyz, m, tank frame; shape (3·nVertices) */
  readonly positions: Float64Array;
  /** Vertex indices, counter-clockwise seen from outside the fuel space; shape (3·nTriangles) */
  readonly triangles: Uint32Array;
}
