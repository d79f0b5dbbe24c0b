/** Kinds and units of mesh files. Apart from the case schema, so that the command line's help starts without it. */

export const MESH_UNITS = ['mm', 'cm', 'm', 'in', 'ft'] as const;
export type MeshUnit = (typeof MESH_UNITS)[number];

/** Kinds of mesh files that are read. */
export const MESH_ENDINGS = ['.stl', '.obj', '.3mf'] as const;

/** Units a 3MF file may state of itself, in metres. Source: 3MF Core Specification, ST_Unit (from memory); inch and foot exact by definition. */
export const UNIT_METRES_3MF: ReadonlyMap<string, number> = new Map([
  ['micron', 1e-6],
  ['millimeter', 1e-3],
  ['centimeter', 1e-2],
  ['inch', 0.0254],
  ['foot', 0.3048],
  ['meter', 1],
]);
