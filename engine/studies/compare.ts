/** Two to four cases side by side: the same figures of each, by the studies that each has by itself, and which is best. */
import type { FillAnswer, RampAnswer, UnusableAnswer } from '../../shared/answers.ts';
import type { CompareAnswer, ComparedCase, ComparedFigure, ComparedQuantity } from '../../shared/design-answers.ts';
import type { Vector3 } from '../../shared/vector.ts';
import type { LoadedTanks } from '../case/load-case.ts';
import { cosDeg } from '../gravity/condition.ts';
import { fillStudy } from './fill.ts';
import { type FloorSlope, floorSlope } from './floor-slope.ts';
import { fieldsOfCase, plain } from './parked.ts';
import { rampStudy, type Watch } from './ramp.ts';
import { settleCase } from './settle-case.ts';
import { flightConditions, unusableStudy } from './unusable.ts';

export interface NamedCase {
  readonly name: string;
  readonly loaded: LoadedTanks;
}

/** Shares of each tank's capacity at which the fuel's centroid is looked at. */
const FILLS = [0.1, 0.25, 0.5, 0.75, 1] as const;
/** Of the larger figure: closer than this two cases are equal. */
const SAME = 1e-9;

interface Studied {
  readonly name: string;
  readonly loaded: LoadedTanks;
  readonly unusable: UnusableAnswer;
  readonly ramp: RampAnswer;
  readonly fill: FillAnswer;
  readonly travel: Vector3;
  readonly floor: FloorSlope;
}

/** @returns null when cancelled */
export async function compareStudy(cases: readonly NamedCase[], watch: Watch): Promise<CompareAnswer | null> {
  const studied: Studied[] = [];
  for (const { name, loaded } of cases) {
    const part = { ...watch, progress: (share: number) => watch.progress((studied.length + 0.9 * share) / cases.length) };
    const ramp = await rampStudy(loaded, part, { shares: false });
    if (ramp === null) return null;
    const floor = floorSlope(fieldsOfCase(loaded, ramp.parked));
    studied.push({
      name,
      loaded,
      unusable: unusableStudy(loaded),
      ramp,
      fill: fillStudy(loaded),
      travel: centroidTravel(loaded),
      floor,
    });
    await watch.progress(studied.length / cases.length);
  }
  return { cases: studied.map(comparedCase), figures: figuresOf(studied), notices: noticesOf(studied) };
}

function comparedCase({ name, ramp }: Studied): ComparedCase {
  const worst = ramp.slopes.find(({ pitch_deg, roll_deg }) => pitch_deg === ramp.worst.pitch_deg && roll_deg === ramp.worst.roll_deg)!;
  const lowPoints = worst.tanks
    .flatMap(({ id, lowPoints: all }) => all.map(({ at_m, holds_m3, drain }) => ({ tank: id, at_m, holds_m3, drain })))
    .sort((a, b) => b.holds_m3 - a.holds_m3);
  return { name, parked: ramp.parked, rampSlope_deg: ramp.rampSlope_deg, lowPoints };
}

/**
 * How far the fuel's centroid moves along X, Y and Z, m: over the flight conditions and the fills of `FILLS`, poured at each condition and the
 * same share in every tank.
 */
export function centroidTravel(loaded: LoadedTanks): Vector3 {
  const low = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const high = low.map((value) => -value);
  for (const condition of flightConditions(loaded)) {
    for (const fill of FILLS) {
      const settled = settleCase(loaded, plain(condition), { fill }, 'here');
      if (!settled.ok) throw new Error(`a checked condition gave ${settled.error.code}`);
      settled.value.fuelCentroid_m!.forEach((at, axis) => {
        low[axis] = Math.min(low[axis], at);
        high[axis] = Math.max(high[axis], at);
      });
    }
  }
  return [high[0] - low[0], high[1] - low[1], high[2] - low[2]];
}

/**
 * Share of the slopes at which the water left is within a limit. Each place of the grid counts by the solid angle of the ground nearest to
 * it: the ring half a step either side of its slope (the rim's ends there), level ground by the small cap about it.
 */
export function shareWithin({ map, grid, rampSlope_deg }: Pick<RampAnswer, 'map' | 'grid' | 'rampSlope_deg'>, limit: number): number {
  if (rampSlope_deg === 0) return map[0].left_m3 <= limit ? 1 : 0;
  const half = grid.slopeStep_deg / 2;
  const cap = (angle: number): number => 1 - cosDeg(Math.max(0, Math.min(angle, rampSlope_deg)));
  let within = 0;
  let all = 0;
  for (const { slope_deg, left_m3 } of map) {
    const nOfRing = slope_deg === 0 ? 1 : 360 / grid.directionStep_deg;
    const weight = (cap(slope_deg + half) - cap(slope_deg - half)) / nOfRing;
    all += weight;
    if (left_m3 <= limit) within += weight;
  }
  return within / all;
}

/** What the cases were asked alike: a figure is marked best only where it was. */
interface Alike {
  readonly slopes: boolean;
  readonly limits: boolean;
  readonly conditions: boolean;
  readonly condition: (id: string) => boolean;
}

function alike(studied: readonly Studied[]): Alike {
  const same = (pick: (one: Studied) => unknown): boolean => new Set(studied.map((one) => JSON.stringify(pick(one)) ?? '')).size === 1;
  const attitudes = ({ unusable }: Studied) => unusable.conditions.map((one) => [one.id, plain(one)]);
  return {
    slopes: same(({ ramp }) => [ramp.rampSlope_deg, ramp.parked]),
    limits: same(({ ramp }) => ramp.requirement?.waterLeft_m3),
    conditions: idsOf(studied).every((id) => same((one) => attitudes(one).filter(([own]) => own === id))),
    condition: (id) => same((one) => attitudes(one).filter(([own]) => own === id)),
  };
}

function figuresOf(studied: readonly Studied[]): ComparedFigure[] {
  const figure = (
    key: string,
    title: string,
    quantity: ComparedQuantity,
    better: ComparedFigure['better'],
    pick: (one: Studied) => number | null,
  ): ComparedFigure => {
    const values = studied.map(pick);
    return { key, title, quantity, better, values, best: bestOf(values, better) };
  };
  const asked = alike(studied);
  const ifAlike = (is: boolean, better: 'less' | 'more'): ComparedFigure['better'] => (is ? better : null);
  const inFlight = ifAlike(asked.conditions, 'less');
  const lowPoints = new Map(studied.map((one) => [one, comparedCase(one).lowPoints]));
  return [
    figure('capacity_m3', 'capacity', 'volume', 'more', ({ unusable }) => unusable.capacity_m3),
    figure('unusable_m3', 'unusable fuel, worst', 'volume', inFlight, ({ unusable }) => unusable.unusable_m3),
    figure('unusableShare', 'unusable, of the capacity', 'share', inFlight, ({ unusable }) => unusable.unusable_m3 / unusable.capacity_m3),
    ...idsOf(studied).map((id) =>
      figure(
        `unusable_m3:${id}`,
        `unusable at ${id}`,
        'volume',
        ifAlike(asked.condition(id), 'less'),
        ({ unusable }) => unusable.conditions.find((condition) => condition.id === id)?.unusable_m3 ?? null,
      ),
    ),
    figure('waterLeft_m3', 'water left on the ramp, worst', 'volume', ifAlike(asked.slopes, 'less'), ({ ramp }) => ramp.worst.left_m3),
    figure('slopesWithinShare', 'slopes within the requirement', 'share', ifAlike(asked.slopes && asked.limits, 'more'), ({ ramp }) =>
      ramp.requirement === null ? null : shareWithin(ramp, ramp.requirement.waterLeft_m3),
    ),
    figure('lowPoints', 'low points at the worst slope', 'count', ifAlike(asked.slopes, 'less'), (one) => lowPoints.get(one)!.length),
    figure('lowPointsWithoutDrain', 'of them without a drain', 'count', ifAlike(asked.slopes, 'less'), (one) => {
      return lowPoints.get(one)!.filter(({ drain }) => drain === null).length;
    }),
    figure('trappedAir_m3', 'air trapped on filling', 'volume', 'less', ({ fill }) => fill.trappedAir_m3),
    figure('mostFuel_m3', 'most fuel that fits', 'volume', 'more', ({ fill }) => fill.mostFuel_m3),
    ...(['X', 'Y', 'Z'] as const).map((name, axis) =>
      figure(`centroidTravel${name}_m`, `fuel centroid travel along ${name}`, 'length', inFlight, ({ travel }) => travel[axis]),
    ),
    figure('floorSlope_deg', 'floor slope as parked, mean', 'angle', 'more', ({ floor }) => floor.mean_deg),
    figure('flatFloorShare', 'floor flatter than 1°', 'share', 'less', ({ floor }) => floor.flatShare),
    figure('wallArea_m2', 'wall area', 'area', null, ({ loaded }) => loaded.tanks.reduce((sum, { solid }) => sum + solid.wallArea, 0)),
  ];
}

function bestOf(values: readonly (number | null)[], better: ComparedFigure['better']): number[] {
  const known = values.filter((value) => value !== null);
  if (better === null || known.length < 2) return [];
  const best = better === 'less' ? Math.min(...known) : Math.max(...known);
  const close = SAME * Math.max(...known.map(Math.abs));
  const places = values.flatMap((value, i) => (value !== null && Math.abs(value - best) <= close ? [i] : []));
  return places.length === known.length ? [] : places;
}

const idsOf = (studied: readonly Studied[]): string[] => [
  ...new Set(studied.flatMap(({ unusable }) => unusable.conditions.map(({ id }) => id))),
];

/** What was not asked alike is said. */
function noticesOf(studied: readonly Studied[]): string[] {
  const asked = alike(studied);
  const notices: string[] = [];
  if (!asked.slopes) {
    const each = studied.map(
      ({ name, ramp: { rampSlope_deg, parked } }) =>
        `${name} up to ${rampSlope_deg}° about pitch ${parked.pitch_deg}°, roll ${parked.roll_deg}°`,
    );
    notices.push(`The cases are parked differently (${each.join('; ')}): their figures on the ramp are shown, none is marked best.`);
  }
  if (!asked.limits)
    notices.push('The cases allow different amounts of water, or state none: their shares of slopes are each by its own limit.');
  if (!asked.conditions) {
    const ids = idsOf(studied).filter((id) => !asked.condition(id));
    notices.push(
      `The flight conditions are not the same in every case (${ids.join(', ')}): figures over all of them are shown, none is marked best.`,
    );
  }
  return notices;
}
