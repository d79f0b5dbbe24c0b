/** Why a mesh file cannot bound a fuel space. Facts only. */
export type MeshError = { readonly code: 'mesh-empty' };

export function describeMeshError(error: MeshError): string {
  switch (error.code) {
    case 'mesh-empty':
      return 'The file holds no triangles. Export the surface again.';
    default:
      return error.code satisfies never;
  }
}
