/**
 * A fitting's opening under a condition: the levels of its highest, middle and lowest point, and the wall straight below each, which says
 * to which pool it belongs. An opening is a disc of `bore` about `at`, facing outward along `facing`; without a facing it is a point.
 */

import type { FittingKind } from '../../shared/case.ts';
import { add, dot, normalize, scale, subtract, type Vector3 } from '../../shared/vector.ts';
import { arcAtLevel, type Field } from '../basins/field.ts';
import { firstBelow, nearestWall } from '../mesh/bvh.ts';
import type { TankSolid } from '../mesh/tank-solid.ts';

/** A fitting as placed, tank frame, m. */
export interface Fitting {
  readonly id: string;
  readonly kind: FittingKind;
  readonly at: Vector3;
  readonly bore: number;
  /** Outward unit vector, or null for a point. */
  readonly facing: Vector3 | null;
}

/** A place of the fuel space under a condition. Levels are local to the solid's origin, m. */
export interface Place {
  /** Triangle on the way straight down, or the wall the place lies on. */
  readonly triangle: number;
  readonly level: number;
}

export interface Opening {
  readonly fitting: Fitting;
  readonly top: Place;
  readonly centre: Place;
  readonly bottom: Place;
}

export function openingAt(field: Field, fitting: Fitting): Opening {
  const rim = fitting.facing === null ? null : rimDirection(fitting.facing, field.up);
  const centre = placeOf(field, fitting.at);
  if (rim === null || fitting.bore <= 0) return { fitting, top: centre, centre, bottom: centre };
  const reach = scale(rim, fitting.bore / 2);
  return { fitting, top: placeOf(field, add(fitting.at, reach)), centre, bottom: placeOf(field, subtract(fitting.at, reach)) };
}

/** From an opening's centre to the highest point of its rim, per unit radius; null where the disc lies level. */
function rimDirection(facing: Vector3, up: Vector3): Vector3 | null {
  const f = normalize(facing);
  const rise = subtract(up, scale(f, dot(up, f)));
  const steepness = Math.hypot(...rise);
  if (steepness < 1e-12) return null;
  return scale(rise, 1 / steepness);
}

/**
 * Finds the wall that tells which pool a point belongs to: the nearest wall when it lies no higher than the point, else the first wall
 * straight down. A point a little outside the fuel space counts as the nearest point of its wall.
 */
function placeOf(field: Field, at: Vector3): Place {
  const { solid, up } = field;
  const point = subtract(at, solid.origin);
  const near = nearestWall(solid.bvh, solid, point);
  const level = dot(point, up);
  const nearLevel = dot(near.at, up);
  if (nearLevel <= level) return { triangle: near.triangle, level };
  const below = firstBelow(solid.bvh, solid, point, up);
  const leavesFuel = below !== null && areaAlong(solid, below.triangle, up) < 0;
  return leavesFuel ? { triangle: below.triangle, level } : { triangle: near.triangle, level: nearLevel };
}

const areaAlong = ({ areas }: TankSolid, triangle: number, up: Vector3): number =>
  areas[3 * triangle] * up[0] + areas[3 * triangle + 1] * up[1] + areas[3 * triangle + 2] * up[2];

/** The pool that holds a place when the fuel stands at its level (or at the lowest fuel there, when the place is lower). */
export function arcOfPlace(field: Field, { triangle, level }: Place): number {
  return arcAtLevel(field, field.lowArc[triangle], level);
}
