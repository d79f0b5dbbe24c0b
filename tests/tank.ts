/** The engine as the program uses it, for tests of tanks whose answer is known: from a shape and a condition to its fuel. */
import { type Field, makeField } from '../engine/basins/field.ts';
import { settle } from '../engine/fluid/settle.ts';
import { apparentGravity } from '../engine/gravity/condition.ts';
import { buildTankSolid, type SurfaceMesh } from '../engine/mesh/tank-solid.ts';
import { measurePool, type PoolMeasure, type PoolState, poolOfLevel } from '../engine/surface/pool.ts';
import type { Condition } from '../shared/answers.ts';
import { dot, type Vector3 } from '../shared/vector.ts';

export const AT_REST: Condition = { pitch_deg: 0, roll_deg: 0, n: 1 };

export function fieldAt(shape: SurfaceMesh, condition: Condition = AT_REST): Field {
  const made = apparentGravity(condition);
  if (!made.ok) throw new Error(made.error.code);
  return makeField(buildTankSolid(shape, 0), made.value.up);
}

/** Fuel below a level of a tank that is one basin; `level` is along up from the tank frame's origin, m. */
export function fuelBelow(field: Field, level: number): PoolMeasure & { readonly state: PoolState } {
  if (field.arcs.length !== 1) throw new Error(`a tank of one basin was meant, this has ${field.arcs.length} arcs`);
  const state = poolOfLevel(field, field.root, level - field.originLevel);
  return { ...measurePool(field, state), volume: state.volume, state };
}

/** A given amount in a tank where it makes one pool. */
export function onePool(field: Field, volume: number): PoolMeasure & { readonly state: PoolState; readonly level: number } {
  const pools = settle(field, volume);
  if (pools.length !== 1) throw new Error(`one pool was meant, this gave ${pools.length}`);
  return { ...measurePool(field, pools[0]), state: pools[0], level: pools[0].level + field.originLevel };
}

/** Depth of a place under a level, measured along the tank's own Z as hand formulas do, m. */
export const depthAlongZ = (field: Field, level: number, at: Vector3): number => (level - dot(at, field.up)) / field.up[2];

/**
 * Volume and centroid of what a closed mesh holds below a level, by another road than the engine's: every triangle is clipped to the part
 * below, and the pyramids from a point of the level plane to the clipped parts are added up. The cap lies in that plane, so its pyramid
 * is flat. Exact for the polyhedron; slow.
 */
export function clippedBelow({ positions, triangles }: SurfaceMesh, up: Vector3, level: number): { volume: number; centroid: Vector3 } {
  const apex: Vector3 = [up[0] * level, up[1] * level, up[2] * level];
  let volume = 0;
  const moment = [0, 0, 0];
  for (let t = 0; t < triangles.length; t += 3) {
    const corners = [0, 1, 2].map((k): Vector3 => {
      const p = 3 * triangles[t + k];
      return [positions[p] - apex[0], positions[p + 1] - apex[1], positions[p + 2] - apex[2]];
    });
    const part = clip(corners, up);
    for (let i = 1; i + 1 < part.length; i++) {
      const [a, b, c] = [part[0], part[i], part[i + 1]];
      const six = a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0]);
      volume += six / 6;
      for (let k = 0; k < 3; k++) moment[k] += (six / 24) * (a[k] + b[k] + c[k]);
    }
  }
  return {
    volume,
    centroid: [apex[0] + moment[0] / volume, apex[1] + moment[1] / volume, apex[2] + moment[2] / volume],
  };
}

/** The part of a polygon on the lower side of the plane through the origin square to `up` (Sutherland and Hodgman 1974). */
function clip(corners: readonly Vector3[], up: Vector3): Vector3[] {
  const kept: Vector3[] = [];
  corners.forEach((a, i) => {
    const b = corners[(i + 1) % corners.length];
    const ha = dot(a, up);
    const hb = dot(b, up);
    if (ha <= 0) kept.push(a);
    if (ha < 0 !== hb < 0 && ha !== hb) {
      const share = ha / (ha - hb);
      kept.push([a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]), a[2] + share * (b[2] - a[2])]);
    }
  });
  return kept;
}
