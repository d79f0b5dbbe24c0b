/** How steep a tank's floor is: the walls on which water can rest, weighed by their area seen along apparent gravity. */
import type { Field } from '../basins/field.ts';
import { LEAST_DRAIN_SLOPE_DEG } from '../basins/water-path.ts';

export interface FloorSlope {
  /** Mean slope, degrees from level. */
  readonly mean_deg: number;
  /** Share that slopes by less than the least drain slope (1°). */
  readonly flatShare: number;
}

/** @param fields - of all tanks, at one condition */
export function floorSlope(fields: readonly Pick<Field, 'solid' | 'up'>[]): FloorSlope {
  let floor = 0;
  let turned = 0;
  let flat = 0;
  for (const { solid, up } of fields) {
    const { areas } = solid;
    for (let k = 0; k < areas.length; k += 3) {
      const plan = -(areas[k] * up[0] + areas[k + 1] * up[1] + areas[k + 2] * up[2]);
      if (plan <= 0) continue;
      // By the tangent: a cosine near 1 has no digits left for a gentle slope.
      const [x, y, z] = [areas[k] + plan * up[0], areas[k + 1] + plan * up[1], areas[k + 2] + plan * up[2]];
      const slope = (Math.atan2(Math.hypot(x, y, z), plan) * 180) / Math.PI;
      floor += plan;
      turned += plan * slope;
      if (slope < LEAST_DRAIN_SLOPE_DEG) flat += plan;
    }
  }
  return { mean_deg: turned / floor, flatShare: flat / floor };
}
