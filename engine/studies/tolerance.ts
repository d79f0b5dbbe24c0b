/**
 * How the worst figures change when a tank is installed a little off, or its mesh is a little too large or too small.
 *
 * **Turned.** The fittings turn with the tank, so in the tank's own frame only apparent gravity turns: by up to the stated angle, in any
 * direction. At a flight condition the figure's least and most over that cap of directions are searched on rings, of half the step each time
 * until they are steady. On the ramp the slopes themselves are a cap about the parked direction, and a cap turned by up to an angle covers the
 * cap wider by that angle, and holds the one narrower by it: so the most is the worst on ground that much steeper, and the least is no less
 * than the worst on ground that much gentler (0 where there is none). Each tank is off by itself.
 *
 * **Scaled.** A tank larger by a share e, its fittings moved along, holds and keeps (1 + e)³ times what it would with bores smaller by 1 + e:
 * so it is worked out on the mesh as it is, with those bores.
 */
import type { Condition, RampAnswer, RampFigure, UnusableAnswer } from '../../shared/answers.ts';
import type { RampTolerance, ToleranceFigure, Tolerances, UnusableTolerance } from '../../shared/design-answers.ts';
import { add, scale, type Vector3 } from '../../shared/vector.ts';
import { type Field, makeField } from '../basins/field.ts';
import type { LoadedTank, LoadedTanks } from '../case/load-case.ts';
import { apparentGravity, cosDeg, sinDeg } from '../gravity/condition.ts';
import { levelBasis } from '../surface/free-surface.ts';
import { drainResidues, rampStudy, STEADY, upOnSlope, type Watch } from './ramp.ts';
import { flightConditions, tankLeft, waysOut } from './unusable.ts';

/** Coarsest rings of the search about a flight condition. */
const FIRST_RINGS = { directions: 12, rings: 1 } as const;
const HALVINGS = 3;

/** @returns null when cancelled */
export async function unusableTolerance(
  loaded: LoadedTanks,
  { requirement }: Pick<UnusableAnswer, 'requirement'>,
  tolerances: Tolerances,
  watch: Watch,
): Promise<UnusableTolerance | null> {
  const conditions: UnusableTolerance['conditions'][number][] = [];
  let change = 0;
  const own = flightConditions(loaded);
  for (const condition of own) {
    const apparent = apparentGravity(condition);
    if (!apparent.ok) throw new Error(`a checked condition gave ${apparent.error.code}`);
    const tanks: (ToleranceFigure & { id: string })[] = [];
    for (const [t, tank] of loaded.tanks.entries()) {
      if (watch.cancelled()) return null;
      const left = (one: LoadedTank, field: Field): number => tankLeft(one, field, waysOut(one)).left_m3;
      const field = makeField(tank.solid, apparent.value.up);
      const asDrawn_m3 = left(tank, field);
      const turned = leastAndMost(tank, apparent.value.up, tolerances.tolerance_deg, asDrawn_m3, left);
      change = Math.max(change, turned.change);
      tanks.push({
        id: tank.id,
        asDrawn_m3,
        leastTurned_m3: turned.least,
        mostTurned_m3: turned.most,
        ...scaledFigures(tank, tolerances.scaleShare, (one) => left(one, field)),
      });
      await watch.progress((conditions.length + (t + 1) / loaded.tanks.length) / own.length);
    }
    conditions.push({ id: condition.id, ...sumOf(tanks), tanks });
  }
  const worst = mostOf(conditions);
  const mostAt = conditions.find(({ mostTurned_m3 }) => mostTurned_m3 === worst.mostTurned_m3)!.id;
  return { ...tolerances, worst: { ...worst, mostAt }, conditions, change, met: isMet(worst, requirement?.unusableFuel_m3) };
}

/**
 * @param ramp - the study's answer for the same tanks; each tank's own is worked out on ground as steep, steeper and gentler
 * @returns null when cancelled
 */
export async function rampTolerance(
  loaded: LoadedTanks,
  ramp: RampAnswer,
  tolerances: Tolerances,
  watch: Watch,
): Promise<RampTolerance | null> {
  const { rampSlope_deg, parked, worst, requirement } = ramp;
  const { tolerance_deg, scaleShare } = tolerances;
  const tanks: (ToleranceFigure & { id: string })[] = [];
  const nStudies = 3 * loaded.tanks.length;
  for (const [t, tank] of loaded.tanks.entries()) {
    const alone = { ...loaded, tanks: [tank] };
    const studyAt = (slope_deg: number, place: number): Promise<RampAnswer | null> =>
      rampStudy(alone, { ...watch, progress: (share) => watch.progress((3 * t + place + share) / nStudies) }, { slope_deg, shares: false });
    const drawn = loaded.tanks.length === 1 ? ramp : await studyAt(rampSlope_deg, 0);
    const steeper = drawn === null || tolerance_deg === 0 ? drawn : await studyAt(rampSlope_deg + tolerance_deg, 1);
    if (drawn === null || steeper === null) return null;
    const gentler = tolerance_deg === 0 ? drawn : rampSlope_deg < tolerance_deg ? 'none' : await studyAt(rampSlope_deg - tolerance_deg, 2);
    if (gentler === null) return null;
    const asDrawn_m3 = drawn.worst.left_m3;
    tanks.push({
      id: tank.id,
      asDrawn_m3,
      leastTurned_m3: gentler === 'none' ? 0 : Math.min(asDrawn_m3, gentler.worst.left_m3),
      mostTurned_m3: Math.max(asDrawn_m3, steeper.worst.left_m3),
      ...scaledOnSlopes(alone, parked, [...drawn.map, ...drawn.slopes], scaleShare),
    });
  }
  await watch.progress(1);
  const { leastTurned_m3, mostTurned_m3 } = sumOf(tanks);
  const together = {
    asDrawn_m3: worst.left_m3,
    leastTurned_m3: Math.min(leastTurned_m3, worst.left_m3),
    mostTurned_m3: Math.max(mostTurned_m3, worst.left_m3),
    ...scaledOnSlopes(loaded, parked, [...ramp.map, ...ramp.slopes], scaleShare),
  };
  return { ...tolerances, worst: together, tanks, met: isMet(together, requirement?.waterLeft_m3) };
}

/** The worst of tanks made smaller and larger, over slopes that hold the worst of the tanks as drawn. */
function scaledOnSlopes(
  { tanks }: LoadedTanks,
  parked: Condition,
  slopes: readonly RampFigure[],
  share: number,
): { smaller_m3: number; larger_m3: number } {
  const most = { smaller_m3: 0, larger_m3: 0 };
  for (const node of slopes) {
    const sum = { smaller_m3: 0, larger_m3: 0 };
    for (const tank of tanks) {
      const field = makeField(tank.solid, upOnSlope(parked, node));
      const scaled = scaledFigures(tank, share, (one) => drainResidues(one, field).reduce((total, { volume }) => total + volume, 0));
      sum.smaller_m3 += scaled.smaller_m3;
      sum.larger_m3 += scaled.larger_m3;
    }
    most.smaller_m3 = Math.max(most.smaller_m3, sum.smaller_m3);
    most.larger_m3 = Math.max(most.larger_m3, sum.larger_m3);
  }
  return most;
}

function scaledFigures(tank: LoadedTank, share: number, left: (tank: LoadedTank) => number): { smaller_m3: number; larger_m3: number } {
  const scaled = (factor: number): number =>
    factor ** 3 * left({ ...tank, fittings: tank.fittings.map((fitting) => ({ ...fitting, bore: fitting.bore / factor })) });
  return { smaller_m3: scaled(1 - share), larger_m3: scaled(1 + share) };
}

/** Least and most of a figure over all directions up to an angle from `up`. */
function leastAndMost(
  tank: LoadedTank,
  up: Vector3,
  angle_deg: number,
  asDrawn: number,
  left: (tank: LoadedTank, field: Field) => number,
): { least: number; most: number; change: number } {
  const { p, q } = levelBasis(up);
  const known = new Map<string, number>();
  const figure = (off_deg: number, towards_deg: number): number => {
    const key = `${off_deg} ${towards_deg}`;
    let value = known.get(key);
    if (value === undefined) {
      const lean = add(scale(p, cosDeg(towards_deg)), scale(q, sinDeg(towards_deg)));
      const turned = add(scale(up, cosDeg(off_deg)), scale(lean, sinDeg(off_deg)));
      value = left(tank, makeField(tank.solid, scale(turned, 1 / Math.hypot(...turned))));
      known.set(key, value);
    }
    return value;
  };
  let least = asDrawn;
  let most = asDrawn;
  for (let pass = 0; ; pass++) {
    const before = { least, most };
    const [nDirections, nRings] = [FIRST_RINGS.directions * 2 ** pass, FIRST_RINGS.rings * 2 ** pass];
    for (let ring = 1; ring <= nRings && angle_deg > 0; ring++) {
      for (let d = 0; d < nDirections; d++) {
        const value = figure((angle_deg * ring) / nRings, (360 * d) / nDirections);
        least = Math.min(least, value);
        most = Math.max(most, value);
      }
    }
    const moved = Math.max(most - before.most, before.least - least) / Math.max(most, 1e-9 * tank.solid.capacity);
    if (pass > 0 && (moved < STEADY || pass === HALVINGS)) return { least, most, change: moved };
  }
}

const KEYS = ['asDrawn_m3', 'leastTurned_m3', 'mostTurned_m3', 'smaller_m3', 'larger_m3'] as const;

const gather = (figures: readonly ToleranceFigure[], fold: (a: number, b: number) => number): ToleranceFigure =>
  Object.fromEntries(KEYS.map((key) => [key, figures.map((figure) => figure[key]).reduce(fold)])) as unknown as ToleranceFigure;

const sumOf = (figures: readonly ToleranceFigure[]): ToleranceFigure => gather(figures, (a, b) => a + b);
const mostOf = (figures: readonly ToleranceFigure[]): ToleranceFigure => gather(figures, (a, b) => Math.max(a, b));

const isMet = (worst: ToleranceFigure, limit: number | undefined): boolean | null =>
  limit === undefined ? null : KEYS.every((key) => worst[key] <= limit);
