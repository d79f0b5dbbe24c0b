/** Every tolerance of the engine: what it is relative to, and why it has that size. What falls under one is counted and reported. */

/** Of the solid's size (bounding-box diagonal): two heights closer than this are the same height. Rounding of a rotated double is 1e-16. */
export const SAME_HEIGHT = 1e-12;

/** Of the solid's size: how far inside the fuel space a plumb ray starts. Far above rounding, far below what an STL's float32 can say (6e-8). */
export const HAIR_INSIDE = 1e-10;

/** Of the solid's size: walls nearer than this touch. Below what float32 can tell apart. */
export const TOUCHING = 1e-8;

/** Of the tank's capacity: a pocket is joined to its neighbour when it holds less than this and is shallower than the facet error. 0.1 mL of 100 L. */
export const POCKET_VOLUME = 1e-6;

/** Of the tank's capacity: how exactly a level meets the volume it was asked for. */
export const LEVEL_VOLUME = 1e-14;

/**
 * How far outside the fuel space a fitting may lie: a drain below the skin, a boss on it. The larger of a length (m) and a share of the
 * solid's size; beyond it the mesh's unit or placement is wrong more likely than the fitting.
 */
export const FITTING_REACH = { length: 5e-3, ofSize: 1e-2 } as const;

/** m³; a light aircraft's tanks hold between these. Outside them a unit is wrong more likely than not, and that is said. Common practice, no source. */
export const USUAL_CAPACITY = { least: 1e-5, most: 10 } as const;

/** Sine of a wall's slope: below it the wall is level, and water spreads on it. Above the rounding of a turned wall's slope, below what float32 can say. */
export const LEVEL_WALL = 1e-9;

/** Sine of a wall's lean out over the fuel: below it the wall is upright, and water runs down it instead of dripping off above it. */
export const UPRIGHT = 1e-9;

/** Of the solid's size: a point this near a wall is on it. A view's float32 can say no better. */
export const ON_WALL = 1e-6;

/** Of the solid's size: two points of a path this close are one. Far above a double's rounding, far below float32's. */
export const SAME_PLACE = 1e-12;

/** Of the tank's capacity: how closely the pools of a field must add up to it; anything more is a fault of the program. Rounding is 1e-13. */
export const WHOLE = 1e-9;

/** Sine of a wall's draft: below it the wall is upright to the pull of a mould. What float32 can say of a wall 1/100 of the tank's size long. */
export const NO_DRAFT = 1e-5;
