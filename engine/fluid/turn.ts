/**
 * Fuel that remembers: pools carried from one attitude to the next. Each pool stays in its place while the tank turns a little; what stood
 * over a floor goes where that floor now drains, so a pool that splits shares by what stands on each side (at the moment of the split that
 * is what each side holds at the saddle), and a pocket that tips too far spills.
 */
import { cross, dot, length, scale, type Vector3 } from '../../shared/vector.ts';
import { type Field, isUnder, makeField } from '../basins/field.ts';
import { shareBelow } from '../surface/below-level.ts';
import type { PoolState } from '../surface/pool.ts';
import { type SpillTarget, settleAmounts } from './settle.ts';

/** A tank's fuel as it stands: the field it came to rest under, and its pools. */
export interface Standing {
  readonly field: Field;
  readonly pools: readonly PoolState[];
}

/** Where a drop let go at a vertex of the wall comes to rest: a low point. */
export type DropTarget = (field: Field, vertex: number) => number;

export interface Ways {
  readonly spill: SpillTarget;
  readonly drop: DropTarget;
}

/** One step: the same fuel under a new field of the same tank, a little turned. Volume is conserved to rounding. */
export function carry(standing: Standing, field: Field, ways: Ways): Standing {
  const amounts = new Float64Array(field.arcs.length);
  const stood = columnsByPool(standing, field);
  standing.pools.forEach((pool, i) => {
    if (pool.volume > 0) shareOut(standing.field, pool, field, stood[i], amounts, ways.drop);
  });
  return { field, pools: settleAmounts(field, amounts, ways.spill) };
}

/**
 * Adds a pool's volume to the low points it now belongs to, by the fuel that stood over each one's floor.
 *
 * @param stood - the pool's columns by new arc; summed over parts here
 */
function shareOut(old: Field, pool: PoolState, field: Field, stood: Float64Array, amounts: Float64Array, drop: DropTarget): void {
  for (let arc = 0; arc < stood.length; arc++) {
    stood[arc] = Math.max(0, stood[arc]);
    const { parent } = field.arcs[arc];
    if (parent >= 0) stood[parent] += stood[arc];
  }
  const share = new Float64Array(stood.length);
  share[field.root] = pool.volume;
  for (let arc = field.root; arc >= 0; arc--) {
    if (share[arc] === 0) continue;
    const { children } = field.arcs[arc];
    if (children.length === 0) {
      amounts[arc] += share[arc];
      continue;
    }
    const whole = children.reduce((sum, part) => sum + stood[part], 0);
    if (whole > 0) for (const part of children) share[part] = (share[arc] * stood[part]) / whole;
    // It stood only where no pocket is now: all of it runs down from where it lay deepest.
    else amounts[drop(field, old.arcs[pool.arc].lowest)] += share[arc];
  }
}

/**
 * What stood under each pool's level over the wall of each new arc, m³: columns over floors less columns over ceilings. In one pass, since
 * no two pools share a wall. A list of one figure per arc of the new field, for each pool.
 */
function columnsByPool({ field: old, pools }: Standing, field: Field): Float64Array[] {
  const { solid, up, heights, lowArc } = old;
  const { triangles, areas } = solid;
  const stood = pools.map(() => new Float64Array(field.arcs.length));
  const poolOf = new Int32Array(old.arcs.length).fill(-1);
  pools.forEach(({ arc }, i) => {
    poolOf.fill(i, old.arcs[arc].nestedFrom, arc + 1);
  });
  for (let t = 0, k = 0; t < lowArc.length; t++, k += 3) {
    const pool = poolOf[lowArc[t]];
    if (pool < 0) continue;
    const { level } = pools[pool];
    const a = heights[triangles[k]];
    const b = heights[triangles[k + 1]];
    const c = heights[triangles[k + 2]];
    const low = Math.min(a, b, c);
    if (low >= level) continue;
    const area = areas[k] * up[0] + areas[k + 1] * up[1] + areas[k + 2] * up[2];
    stood[pool][field.lowArc[t]] += area * shareBelow(low, Math.max(Math.min(a, b), Math.min(Math.max(a, b), c)), Math.max(a, b, c), level);
  }
  return stood;
}

/**
 * From one direction of up to another in equal steps of one turn. Opposite directions turn about the X axis, as a roll does.
 * @returns unit vectors, the last one `to`; none when there is nothing to turn
 */
export function turnSteps(from: Vector3, to: Vector3, nSteps: number): Vector3[] {
  const axis = cross(from, to);
  const sine = length(axis);
  const angle = Math.atan2(sine, dot(from, to));
  if (angle === 0) return [];
  const about = sine > 1e-9 ? scale(axis, 1 / sine) : squareTo(from);
  return Array.from({ length: nSteps }, (_, i) => (i === nSteps - 1 ? to : turned(from, about, (angle * (i + 1)) / nSteps)));
}

/** A unit vector square to `v`: the X axis where that serves, else Y. */
function squareTo(v: Vector3): Vector3 {
  const along = Math.abs(v[0]) < 0.9 ? ([1, 0, 0] as const) : ([0, 1, 0] as const);
  const level: Vector3 = [along[0] - v[0] * dot(along, v), along[1] - v[1] * dot(along, v), along[2] - v[2] * dot(along, v)];
  return scale(level, 1 / length(level));
}

/** Source: Rodrigues' rotation formula, `axis` square to `v`. */
function turned(v: Vector3, axis: Vector3, angle: number): Vector3 {
  const side = cross(axis, v);
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const out: Vector3 = [v[0] * c + side[0] * s, v[1] * c + side[1] * s, v[2] * c + side[2] * s];
  return scale(out, 1 / length(out));
}

/** Carries fuel to a field of another direction of up in a given number of steps. */
export function turnTo(standing: Standing, to: Field, nSteps: number, ways: Ways): Standing {
  let now = standing;
  const ups = turnSteps(standing.field.up, to.up, nSteps);
  ups.forEach((up, i) => {
    now = carry(now, i === ups.length - 1 ? to : makeField(to.solid, up, to.tolerance), ways);
  });
  return now;
}

/** Largest angle of one step of the first try, rad. */
const FIRST_STEP = (2 * Math.PI) / 180;
/** Of the capacity: doubling the steps may move a pool by no more than this. */
const STEADY = 1e-3;
const MOST_STEPS = 1024;

/** Steps of a turn that has to be answered while the hand moves; larger than 2° where the turn is wider than 32°. */
const MOST_QUICK_STEPS = 16;

export interface Turned extends Standing {
  readonly steps: number;
  /**
   * Largest change of one pool when the steps were last doubled, share of capacity; 0 where one pool holds all and history cannot matter,
   * null where they were not doubled.
   */
  readonly change: number | null;
}

/** Carries fuel to the field of another attitude of its tank, doubling the steps until no pool moves by more than 0.1 % of the capacity. */
export function turnUntilSteady(standing: Standing, to: Field, ways: Ways): Turned & { readonly change: number } {
  const angle = angleBetween(standing, to);
  const unturned = withoutHistory(standing, to, angle, ways);
  if (unturned !== null) return unturned;
  let steps = Math.ceil(angle / FIRST_STEP);
  let last = turnTo(standing, to, steps, ways);
  for (;;) {
    const finer = turnTo(standing, to, 2 * steps, ways);
    steps *= 2;
    const change = largestChange(last, finer);
    last = finer;
    if (change <= STEADY || steps >= MOST_STEPS) return { ...last, steps, change };
  }
}

/** The same in one go, steps not doubled: for a picture that a steady answer will follow. */
export function turnOnce(standing: Standing, to: Field, ways: Ways): Turned {
  const angle = angleBetween(standing, to);
  const unturned = withoutHistory(standing, to, angle, ways);
  if (unturned !== null) return unturned;
  const steps = Math.min(MOST_QUICK_STEPS, Math.ceil(angle / FIRST_STEP));
  return { ...turnTo(standing, to, steps, ways), steps, change: null };
}

const angleBetween = ({ field: { up } }: Standing, to: Field): number => Math.atan2(length(cross(up, to.up)), dot(up, to.up));

/** The answer where nothing turns or one pool holds all; else null. */
function withoutHistory(standing: Standing, to: Field, angle: number, ways: Ways): (Turned & { readonly change: number }) | null {
  if (angle === 0) return { ...standing, steps: 0, change: 0 };
  const volume = standing.pools.reduce((sum, pool) => sum + pool.volume, 0);
  const only = soleArc(to, volume);
  return only === null ? null : { field: to, pools: settleAmounts(to, only, ways.spill), steps: 0, change: 0 };
}

/** Amounts for a volume that overfills every pocket of a tank in one piece: one pool holds all, however it came there. Else null. */
function soleArc(field: Field, volume: number): Float64Array | null {
  const { children } = field.arcs[field.root];
  const isOneBody = children.every((part) => field.arcs[part].saddle >= 0);
  const held = children.reduce((sum, part) => sum + field.arcs[part].holds, 0);
  if (!isOneBody || volume < held) return null;
  const amounts = new Float64Array(field.arcs.length);
  let low = field.root;
  while (field.arcs[low].children.length > 0) low = field.arcs[low].children[0];
  amounts[low] = volume;
  return amounts;
}

/** Pools of two results under the same field, compared low point by low point; share of capacity. */
export function largestChange(a: Standing, b: Standing): number {
  const inPool = ({ field, pools }: Standing, other: PoolState): number =>
    pools.reduce((sum, pool) => (isUnder(field, pool.arc, other.arc) || isUnder(field, other.arc, pool.arc) ? sum + pool.volume : sum), 0);
  const changes = [...b.pools.map((pool) => inPool(a, pool) - pool.volume), ...a.pools.map((pool) => inPool(b, pool) - pool.volume)];
  return Math.max(0, ...changes.map(Math.abs)) / a.field.solid.capacity;
}
