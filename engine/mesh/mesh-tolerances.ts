/** Every tolerance of reading and mending a mesh, in one place: lengths in metres, from the mesh's size and its coordinates' rounding. */

/** Half an ulp of float32, relative: what STL's storage (and the seven digits of its text form) leaves unknown of a coordinate. */
export const FLOAT32_ROUNDING = 2 ** -24;

export interface MeshTolerances {
  /** Half-ulp of float32 at the largest stored coordinate. */
  readonly rounding: number;
  /** Below this two points are the same, and a crossing is only a touch: four roundings (two points, √3 each, rounded up) and 1e-7 of the size. */
  readonly touch: number;
  /** Open edges less than this apart are zipped: 1e-4 of the size (0.1 mm on a metre), which is finer than sheet work and wider than export cracks. */
  readonly crack: number;
  /** A triangle lower than this over its longest edge has no area in double precision: 1e-13 of the size. */
  readonly sliver: number;
}

/** How flat an opening must be to be capped: its depth over its width. Keeps the capped volume within 1e-4 of opening area × width. */
export const FLAT_OPENING = 1e-4;

/**
 * Mean thickness over the narrowest side of the box: below it a body may be a tank's wall without a lid, and that is said. A 5 mm wall is
 * 0.05 of a 100 mm sump; fuel spaces met, ribs and dihedral included, are 0.2 and more.
 */
export const THIN_BODY = 0.1;

/**
 * @param diagonal - of the bounding box, m
 * @param largest - largest magnitude of a coordinate as stored (before recentring), m
 */
export function meshTolerances(diagonal: number, largest: number): MeshTolerances {
  const rounding = FLOAT32_ROUNDING * largest;
  const touch = 4 * rounding + 1e-7 * diagonal;
  return { rounding, touch, crack: Math.max(1e-4 * diagonal, touch), sliver: 1e-13 * diagonal };
}
