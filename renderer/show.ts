/** Figures in the units the person chose. Each reads the unit signals, so a view that calls them follows a switch at once. */
import type { Condition, Cover, FittingState, TankSettle } from '../shared/answers.ts';
import type { FittingKind } from '../shared/case.ts';
import { showNumber, showQuantity, UNITS, type UnitName } from '../shared/units.ts';
import { density_kg_m3, fuelUnitInUse, lengthUnit } from './state.ts';

export const isMass = (unit: UnitName): boolean => UNITS[unit].quantity === 'mass';

/** A tenth of a millilitre is two drops: less than that is told as less, not as a figure of noise. */
export const DROPS_m3 = 1e-7;

/** @param volume_m3 - shown as a mass where a mass unit is chosen, by the case's own density */
export function showFuel(volume_m3: number, significant = 3): string {
  const unit = fuelUnitInUse.value;
  if (isMass(unit) && volume_m3 >= DROPS_m3) return showQuantity(volume_m3 * (density_kg_m3.value ?? Number.NaN), unit, significant);
  return showVolume(volume_m3, isMass(unit) ? 'L' : unit, significant);
}

/** What stays in a low point or a pocket is always a volume: it may be water or air, and the case's density is the fuel's. */
export function showWater(volume_m3: number): string {
  return showVolume(volume_m3, isMass(fuelUnitInUse.value) ? 'L' : fuelUnitInUse.value, 3, 1e-3);
}

/** @param small_m3 - litres below this are told in millilitres */
function showVolume(volume_m3: number, unit: UnitName, significant = 3, small_m3 = 1e-4): string {
  if (volume_m3 !== 0 && Math.abs(volume_m3) < DROPS_m3) return `under ${showQuantity(DROPS_m3, 'mL')}`;
  const isSmall = unit === 'L' && volume_m3 !== 0 && Math.abs(volume_m3) < small_m3;
  return showQuantity(volume_m3, isSmall ? 'mL' : unit, significant);
}

export const showLength = (length_m: number): string => showQuantity(length_m, lengthUnit.value);

export const showShare = (share: number): string => `${showNumber(share * 100, 3)}\u00a0%`;

export function showAngle(angle_deg: number): string {
  return `${showNumber(angle_deg, 3)}°`;
}

/** @param slope_deg - below 0 where water fills a small pit and goes over its rim */
export const showSlope = (slope_deg: number): string => (Math.abs(slope_deg) < 0.005 ? 'level' : showAngle(slope_deg));

/** A condition as a person says it: "12° nose up, 5° right side down, n 1". */
export function showCondition({ pitch_deg, roll_deg, n }: Condition): string {
  const pitch = pitch_deg === 0 ? '' : `${showAngle(Math.abs(pitch_deg))} nose ${pitch_deg > 0 ? 'up' : 'down'}`;
  const roll = roll_deg === 0 ? '' : `${showAngle(Math.abs(roll_deg))} ${roll_deg > 0 ? 'right' : 'left'} side down`;
  const attitude = [pitch, roll].filter((each) => each !== '').join(', ') || 'level';
  return n === 1 ? attitude : `${attitude}, n ${showNumber(n, 4)}`;
}

export const COVER_WORD: Record<Cover, string> = { covered: 'Covered', partly: 'Partly covered', dry: 'Dry' };

export const KIND_WORD: Record<FittingKind, string> = {
  outlet: 'Outlet',
  drain: 'Drain',
  vent: 'Vent',
  filler: 'Filler',
  gauge: 'Gauge',
  line: 'Line end',
};

/** The kind's word beside a name that does not say it already; else nothing. */
export function kindBeside(name: string, kind: FittingKind): string {
  const word = KIND_WORD[kind].toLowerCase();
  const says = name.toLowerCase().includes(word) || (kind === 'outlet' && name.toLowerCase().includes('pickup'));
  return says ? '' : KIND_WORD[kind];
}

/** Where the fuel stands against an opening's centre: "12 mm above", "12 mm below", "not below it". */
export function showDepth({ depth_m }: Pick<FittingState, 'depth_m'>): string {
  if (depth_m === null) return 'not below it';
  return `${showLength(Math.abs(depth_m))} ${depth_m >= 0 ? 'above' : 'below'}`;
}

/** States a person should look at: air at an outlet, fuel at a vent. */
export function needsLook(state: Pick<FittingState, 'kind' | 'cover'>): boolean {
  return (state.kind === 'outlet' && state.cover !== 'covered') || (state.kind === 'vent' && state.cover !== 'dry');
}

/** How the fuel came to where it lies, from all tanks together. */
export function showHistory(tanks: readonly Pick<TankSettle, 'history'>[]): string {
  const from = tanks[0]?.history.from;
  if (from === undefined || from === 'recorded') return from === undefined ? '' : 'Fuel as the recording left it.';
  const steps = Math.max(...tanks.map(({ history }) => history.steps));
  const start = from === 'before' ? 'where it lay' : 'parked';
  if (steps === 0)
    return from === 'before' ? 'Fuel lies as it came here.' : 'Poured as parked. How the fuel came here makes no difference.';
  const changes = tanks.flatMap(({ history: { change } }) => (change === null ? [] : [change]));
  if (changes.length < tanks.length) return `Fuel followed from ${start} in ${steps} steps, while you move.`;
  const most = Math.max(...changes);
  const figure = most < 1e-5 ? 'under 0.001\u00a0%' : `at most ${showShare(most)}`;
  return `Fuel followed from ${start} in ${steps} steps. Half as many change a pool by ${figure} of its tank.`;
}
