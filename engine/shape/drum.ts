/** A cylinder at any lie between two ends, each flat, dished (half an ellipsoid), spherical or torispherical. In mm. */
import type { Manifold, Vec2 } from 'manifold-3d';
import type { DrumEnd, DrumShape } from '../../shared/shapes.ts';
import { cosDeg, sinDeg } from '../gravity/condition.ts';
import { type Curve, circleSides, sample, steps } from './curve.ts';
import { within } from './shape-fault.ts';
import { type Kernel, revolve } from './solids.ts';

export function drum(kernel: Kernel, shape: DrumShape): Manifold {
  const radius = shape.diameter_m * 500;
  const half = shape.length_m * 500;
  // Facets bend both along the profile and around the axis: half the error for each.
  const error = shape.chordError_m * 500;
  const front = endProfile(shape.frontEnd, radius, error, 'frontEnd').map(([r, z]): Vec2 => [r, z - half]);
  const rear = endProfile(shape.rearEnd, radius, error, 'rearEnd').map(([r, z]): Vec2 => [r, half - z]);
  const body = revolve(kernel, [...front, ...rear.reverse()], circleSides(radius, error));
  const [cu, su, ct, st] = [cosDeg(shape.axisUp_deg), sinDeg(shape.axisUp_deg), cosDeg(shape.axisTurn_deg), sinDeg(shape.axisTurn_deg)];
  // The axis, along Z so far, to its lie; the ring's first corner goes to the bottom, so that a lying drum's low line is a true one.
  return body.transform([su * ct, su * st, -cu, 0, -st, ct, 0, 0, cu * ct, cu * st, su, 0, 0, 0, 0, 1]);
}

/** From the axis at the end's depth (0, −depth) to the rim (radius, 0), as radius and height pairs. */
export function endProfile(end: DrumEnd, radius: number, error: number, key: string): Vec2[] {
  const cut = (curve: Curve): Vec2[] => sample(curve, steps(curve, error, 2000) ?? 2000);
  switch (end.kind) {
    case 'flat':
      return [
        [0, 0],
        [radius, 0],
      ];
    case 'dished': {
      const depth = end.depth_m * 1000;
      return onAxis(cut((t) => [radius * Math.sin((t * Math.PI) / 2), -depth * Math.cos((t * Math.PI) / 2)]));
    }
    case 'spherical': {
      within(`${key}.depth_m`, end.depth_m, null, radius / 1000, 'a spherical end is at most half a sphere');
      const depth = end.depth_m * 1000;
      const sphere = (radius ** 2 + depth ** 2) / (2 * depth);
      const rim = depth >= radius ? Math.PI / 2 : Math.asin(radius / sphere);
      return onAxis(cut((t) => [sphere * Math.sin(t * rim), sphere - depth - sphere * Math.cos(t * rim)]));
    }
    case 'torispherical': {
      within(`${key}.knuckle_share`, end.knuckle_share, null, end.dish_share, 'the knuckle is no larger than the dish');
      const [dish, knuckle] = [2 * radius * end.dish_share, 2 * radius * end.knuckle_share];
      if (dish - knuckle < 1e-9 * radius) return endProfile({ kind: 'spherical', depth_m: radius / 1000 }, radius, error, key);
      // Dish and knuckle touch where the line through both centres meets them; the knuckle touches the cylinder at the rim.
      const touch = Math.asin(Math.min(1, (radius - knuckle) / (dish - knuckle)));
      const centre = (dish - knuckle) * Math.cos(touch);
      const crown = cut((t) => [dish * Math.sin(t * touch), centre - dish * Math.cos(t * touch)]);
      const turn = Math.PI / 2 - touch;
      const bend = cut((t) => [radius - knuckle + knuckle * Math.sin(touch + t * turn), -knuckle * Math.cos(touch + t * turn)]);
      return onAxis([...crown, ...bend.slice(1)]);
    }
  }
}

/** The two ends of a profile to the digit: on the axis, and on the rim's plane. */
function onAxis(profile: Vec2[]): Vec2[] {
  profile[0][0] = 0;
  profile[profile.length - 1][1] = 0;
  return profile;
}
