/** Where a given amount of fuel comes to rest in every tank of a case. */
import type { Condition, Pool, SettleAnswer, TankSettle } from '../../shared/answers.ts';
import type { FuelAmount } from '../../shared/engine-contract.ts';
import type { AmountError, ConditionError } from '../../shared/errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { add, scale, type Vector3 } from '../../shared/vector.ts';
import type { Field } from '../basins/field.ts';
import { distanceOutside, type LoadedTank, type LoadedTanks } from '../case/load-case.ts';
import { coverOf } from '../fittings/cover.ts';
import { type Standing, type Turned, turnOnce, turnUntilSteady } from '../fluid/turn.ts';
import { exactWays } from '../fluid/ways.ts';
import { measurePool, type PoolState, vertexAt } from '../surface/pool.ts';
import { fieldsAt, fieldsOfCase, parkedCondition, plain } from './parked.ts';
import { poured } from './pour.ts';

/** A settled case with what it was worked out from, for a caller that goes on with the same fields. */
export interface SettledCase {
  readonly answer: SettleAnswer;
  /** Per tank, in the case's order. */
  readonly fields: readonly Field[];
  readonly pools: readonly (readonly PoolState[])[];
}

/**
 * Where fuel was before it came to rest at the condition: poured as parked and turned, poured at the condition itself, or as it lay in a
 * case settled before, of the same tanks and the same amount.
 */
export type StartOfFuel = 'parked' | 'here' | SettledCase;

/**
 * @param fuel - the same share of each tank's capacity, or a total in m³, which is spread at an equal share too
 * @param pourAt - m, tank frame: where the tank that holds this point is poured into, instead of its filler
 * @param isQuick - turned in one go of few steps, not doubled: while a hand moves the attitude
 * @returns `more-than-fits`, `amount-not-valid`, `pour-outside`, `no-gravity` or `condition-not-finite`
 */
export function settledCase(
  loaded: LoadedTanks,
  condition: Condition,
  fuel: FuelAmount,
  from: StartOfFuel = 'parked',
  pourAt: Vector3 | null = null,
  isQuick = false,
): Outcome<SettledCase, ConditionError | AmountError> {
  const fields = fieldsAt(loaded, condition);
  if (!fields.ok) return fields;
  const share = shareOf(loaded, fuel);
  if (!share.ok) return share;
  if (pourAt !== null && loaded.tanks.every(({ solid }) => distanceOutside(solid, pourAt) > 0)) {
    return failed({ code: 'pour-outside', at_m: pourAt });
  }
  const parked = from === 'parked' ? fieldsOfCase(loaded, parkedCondition(loaded.file)) : [];
  const turn = isQuick ? turnOnce : turnUntilSteady;
  const settled = loaded.tanks.map((tank, i): Turned => {
    const volume = share.value * tank.solid.capacity;
    const field = fields.value[i];
    if (from === 'here') return { ...poured(tank, field, volume, pourAt), steps: 0, change: 0 };
    const before = from === 'parked' ? poured(tank, parked[i], volume, pourAt) : { field: from.fields[i], pools: from.pools[i] };
    return turn(before, field, exactWays);
  });
  return done(settledAs(loaded, condition, settled, typeof from === 'string' ? from : 'before'));
}

/** The record of fuel that stands in each tank at a condition. */
export function settledAs(
  loaded: LoadedTanks,
  condition: Condition,
  standing: readonly Turned[],
  from: TankSettle['history']['from'],
): SettledCase {
  const tanks = loaded.tanks.map((tank, i) => {
    const { steps, change } = standing[i];
    return settledTank(tank, standing[i], { from, steps, change });
  });
  const fuel_m3 = tanks.reduce((sum, tank) => sum + tank.fuel_m3, 0);
  const bodies = tanks.flatMap(({ fuel_m3: volume, centroid_m }) => (centroid_m === null ? [] : [{ volume, centroid: centroid_m }]));
  const answer = { condition: plain(condition), fuel_m3, fuelCentroid_m: centroidOf(bodies), tanks };
  return { answer, fields: standing.map(({ field }) => field), pools: standing.map(({ pools }) => pools) };
}

/** `settledCase`, its answer alone. */
export function settleCase(...asked: Parameters<typeof settledCase>): Outcome<SettleAnswer, ConditionError | AmountError> {
  const settled = settledCase(...asked);
  return settled.ok ? done(settled.value.answer) : settled;
}

/** @returns the share of every tank's capacity, 0 to 1 */
export function shareOf({ tanks }: LoadedTanks, fuel: FuelAmount): Outcome<number, AmountError> {
  if ('fill' in fuel) {
    const { fill } = fuel;
    return fill >= 0 && fill <= 1 ? done(fill) : failed({ code: 'amount-not-valid', key: 'fill', value: fill });
  }
  const { fuel_m3 } = fuel;
  if (!(fuel_m3 >= 0)) return failed({ code: 'amount-not-valid', key: 'fuel_m3', value: fuel_m3 });
  const capacity_m3 = tanks.reduce((sum, { solid }) => sum + solid.capacity, 0);
  const share = fuel_m3 / capacity_m3;
  // The capacity itself, printed to fewer digits and typed back, still fits.
  if (share > 1 + 1e-9) return failed({ code: 'more-than-fits', asked_m3: fuel_m3, capacity_m3 });
  return done(Math.min(1, share));
}

function settledTank({ id, solid, fittings }: LoadedTank, { field, pools: states }: Standing, history: TankSettle['history']): TankSettle {
  const pools = states.map((state) => poolRecord(field, state));
  return {
    id,
    capacity_m3: solid.capacity,
    fuel_m3: states.reduce((sum, { volume }) => sum + volume, 0),
    centroid_m: centroidOf(pools.map((pool) => ({ volume: pool.volume_m3, centroid: pool.centroid_m }))),
    pools,
    fittings: fittings.map((fitting) => coverOf(field, fitting, states)),
    mergedPockets: {
      count: field.merged.count,
      volume_m3: field.merged.volume,
      depthTolerance_m: field.tolerance.depth,
      volumeTolerance_m3: field.tolerance.volume,
    },
    history,
  };
}

/** A pool for an answer: tank frame, level from the tank frame's origin. */
export function poolRecord(field: Field, state: PoolState): Pool {
  const { surface, centroid } = measurePool(field, state);
  return {
    volume_m3: state.volume,
    level_m: state.level + field.originLevel,
    surface_m2: surface,
    centroid_m: centroid,
    lowest_m: add(vertexAt(field, field.arcs[state.arc].lowest), field.solid.origin),
  };
}

export function centroidOf(bodies: readonly { readonly volume: number; readonly centroid: Vector3 }[]): Vector3 | null {
  const whole = bodies.reduce((sum, { volume }) => sum + volume, 0);
  if (whole === 0) return null;
  return bodies.reduce<Vector3>((sum, { volume, centroid }) => add(sum, scale(centroid, volume / whole)), [0, 0, 0]);
}
