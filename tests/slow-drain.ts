/**
 * What stays in a tank when it drains, by brute force on solids: manifold-3d cuts the fuel lower and lower and parts it into bodies.
 *
 * Shares nothing with the engine but the fact that bodies below a falling level part or vanish at vertex heights only. So each slab between
 * two vertex heights of a body is looked at once, halfway: when the body has come apart there, it did so at the slab's upper height. Parts
 * with an opening fall on; parts without keep what they hold.
 */
import type { Manifold, ManifoldToplevel } from 'manifold-3d';
import { dot, type Vector3 } from '../shared/vector.ts';
import { turnedOut } from './random-solids.ts';

/** Of the tank's size: heights closer than this are one height; bodies are cut this far below the height at which they part. */
const NEAR = 1e-7;
/** Of the tank's size: rounding of a height. */
const SAME = 1e-9;
/** Edge of the cube that tells in which body an opening lies, of the tank's size. */
const PROBE = 1e-6;

/** Two bodies touch an opening alike, or it lies within a hair of a parting height: no judge. */
export class Ambiguous extends Error {}

/**
 * @param openings - points on the wall, frame of the solid
 * @returns volumes of the bodies that stay, m³, emptied ones left out, largest first
 */
export function slowDrain(kernel: ManifoldToplevel, tank: Manifold, up: Vector3, openings: readonly Vector3[]): number[] {
  const { min, max } = tank.boundingBox();
  const size = Math.hypot(max[0] - min[0], max[1] - min[1], max[2] - min[2]);
  const left: number[] = [];
  const bodies = bodiesBelow(tank, up, Infinity);
  const whole = shareOut(kernel, bodies, openings, size);
  bodies.forEach((body, i) => void fall(kernel, body, up, whole[i], size, left));
  return left.filter((volume) => volume > 1e-12).sort((a, b) => b - a);
}

function fall(kernel: ManifoldToplevel, body: Manifold, up: Vector3, openings: readonly Vector3[], size: number, left: number[]): void {
  if (openings.length === 0) {
    left.push(body.volume());
    body.delete();
    return;
  }
  const stop = Math.min(...openings.map((at) => dot(at, up)));
  const heights = heightsOf(body, up, NEAR * size);
  let now = body;
  for (let i = heights.length - 1; i > 0; i--) {
    const [upper, lower] = [heights[i], heights[i - 1]];
    if (stop >= upper - NEAR * size) break;
    const parts = bodiesBelow(now, up, (upper + lower) / 2);
    if (parts.length < 2) {
      if (parts.length === 1) {
        // One body, and so it was since the height above: go on with the smaller one, unless the opening stops it in this slab.
        if (stop > lower) {
          parts[0].delete();
          break;
        }
        now.delete();
        now = parts[0];
      }
      continue;
    }
    for (const part of parts) part.delete();
    const apart = bodiesBelow(now, up, upper - NEAR * size);
    // An opening at the parting height or above has run dry by now.
    const under = openings.filter((at) => dot(at, up) < upper - SAME * size);
    if (under.some((at) => dot(at, up) > upper - 4 * PROBE * size)) throw new Ambiguous('an opening a hair under a parting height');
    const shares = shareOut(kernel, apart, under, size);
    apart.forEach((part, k) => void fall(kernel, part, up, shares[k], size, left));
    now.delete();
    return;
  }
  const rest = cutBelow(now, up, stop);
  left.push(rest.volume());
  rest.delete();
  now.delete();
}

/** Distinct vertex heights of a body, ascending. */
function heightsOf(body: Manifold, up: Vector3, near: number): number[] {
  const { vertProperties, numProp } = body.getMesh();
  const all: number[] = [];
  for (let p = 0; p < vertProperties.length; p += numProp) {
    all.push(vertProperties[p] * up[0] + vertProperties[p + 1] * up[1] + vertProperties[p + 2] * up[2]);
  }
  all.sort((a, b) => a - b);
  return all.filter((height, i) => i === 0 || height - all[i - 1] > near);
}

const cutBelow = (solid: Manifold, up: Vector3, level: number): Manifold => solid.trimByPlane([-up[0], -up[1], -up[2]], -level);

/** The connected bodies below a level; an obstacle that floats in one is taken out of it again. */
function bodiesBelow(solid: Manifold, up: Vector3, level: number): Manifold[] {
  const below = level === Infinity ? solid : cutBelow(solid, up, level);
  const parts = below.decompose();
  if (below !== solid) below.delete();
  const bodies = parts.filter((part) => part.volume() > 0);
  for (const hole of parts.filter((part) => part.volume() <= 0)) {
    if (hole.volume() < 0) {
      const { solid: obstacle, volume } = turnedOut(hole);
      const holder = bodies.findIndex((body) => volumeOf(body.intersect(obstacle)) > 0.5 * volume);
      if (holder < 0) throw new Error('a floating obstacle lies in no body');
      const emptied = bodies[holder].subtract(obstacle);
      bodies[holder].delete();
      bodies[holder] = emptied;
      obstacle.delete();
    }
    hole.delete();
  }
  return bodies;
}

/** Each opening goes to the body that fills most of a tiny cube about it. */
function shareOut(
  { Manifold: Solid }: ManifoldToplevel,
  bodies: readonly Manifold[],
  openings: readonly Vector3[],
  size: number,
): Vector3[][] {
  const shares: Vector3[][] = bodies.map(() => []);
  if (bodies.length === 1) return [[...openings]];
  for (const at of openings) {
    const fills = bodies.map((body) => {
      const { min, max } = body.boundingBox();
      const reach = PROBE * size;
      if (at.some((x, axis) => x < min[axis] - reach || x > max[axis] + reach)) return 0;
      const probe = Solid.cube(PROBE * size, true);
      const moved = probe.translate([...at]);
      const volume = volumeOf(body.intersect(moved));
      probe.delete();
      moved.delete();
      return volume / (PROBE * size) ** 3;
    });
    const order = fills.map((_, i) => i).sort((a, b) => fills[b] - fills[a]);
    if (fills[order[0]] < 1e-3 || fills[order[1]] > 1e-4) throw new Ambiguous(`an opening in ${fills}`);
    shares[order[0]].push(at);
  }
  return shares;
}

function volumeOf(solid: Manifold): number {
  const volume = solid.volume();
  solid.delete();
  return volume;
}
