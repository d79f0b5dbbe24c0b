/** Units a mesh file may be in. Apart from the case schema, so that the command line's help starts without it. */
export const MESH_UNITS = ['mm', 'cm', 'm', 'in', 'ft'] as const;
export type MeshUnit = (typeof MESH_UNITS)[number];
