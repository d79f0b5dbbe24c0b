/** Numbers and choices typed on the command line, read strictly: one decimal mark, a unit after the number where it has one. */

import type { MeshUnit } from '../../shared/case.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { describeNumberError, readNumber, type UnitName } from '../../shared/units.ts';
import type { Vector3 } from '../../shared/vector.ts';

export interface Amounts {
  readonly unit: MeshUnit | undefined;
  readonly condition: string | undefined;
  readonly pitch_deg: number | undefined;
  readonly roll_deg: number | undefined;
  readonly n: number | undefined;
  readonly fill: number | undefined;
  readonly fuel_m3: number | undefined;
  readonly slope_deg: number | undefined;
  readonly tolerance_deg: number | undefined;
  readonly scaleShare: number | undefined;
  readonly pourHere: boolean;
  readonly pourAt: Vector3 | null;
}

const NUMBERS = {
  pitch: { key: 'pitch_deg', unit: '°' },
  roll: { key: 'roll_deg', unit: '°' },
  n: { key: 'n', unit: null },
  fill: { key: 'fill', unit: null },
  fuel_m3: { key: 'fuel_m3', unit: 'm³' },
  slope: { key: 'slope_deg', unit: '°' },
  tolerance_deg: { key: 'tolerance_deg', unit: '°' },
  scale_share: { key: 'scaleShare', unit: null },
} as const satisfies Record<string, { key: keyof Amounts; unit: UnitName | null }>;

/** @returns the failure as the one line to print */
export function readAmounts(options: Readonly<Record<string, string | boolean | undefined>>): Outcome<Amounts, string> {
  const numbers: Partial<Record<keyof Amounts, number>> = {};
  for (const [option, { key, unit }] of Object.entries(NUMBERS)) {
    const typed = options[option];
    if (typeof typed !== 'string') continue;
    const isPercent = (option === 'fill' || option === 'scale_share') && typed.trimEnd().endsWith('%');
    const read = readNumber(isPercent ? typed.trimEnd().slice(0, -1) : typed, unit);
    if (!read.ok) return failed(`--${option}: ${describeNumberError(read.error)}`);
    numbers[key] = isPercent ? read.value.value / 100 : read.value.value;
  }
  const { pitch_deg, roll_deg, n, fill, fuel_m3, slope_deg, tolerance_deg, scaleShare } = numbers;
  const condition = options['condition'] as string | undefined;
  for (const [option, angle] of [
    ['pitch', pitch_deg],
    ['roll', roll_deg],
  ] as const) {
    if (angle !== undefined && Math.abs(angle) > 360) return failed(`--${option} is ${angle}°. Give an angle from -360 to 360.`);
  }
  if (slope_deg !== undefined && !(slope_deg >= 0 && slope_deg <= 45))
    return failed(`--slope is ${slope_deg}°. Give an angle from 0 to 45.`);
  if (tolerance_deg !== undefined && !(tolerance_deg >= 0 && tolerance_deg <= 10))
    return failed(`--tolerance_deg is ${tolerance_deg}°. Give an angle from 0 to 10.`);
  if (scaleShare !== undefined && !(scaleShare >= 0 && scaleShare <= 0.1))
    return failed(`--scale_share is ${scaleShare}. Give a share from 0 to 0.1, such as 0.001 or 0.1%.`);
  if (fill !== undefined && fuel_m3 !== undefined) return failed('--fill and --fuel_m3 both say how much. Give one of them.');
  if (condition !== undefined && (pitch_deg ?? roll_deg ?? n) !== undefined) {
    return failed('--condition and --pitch, --roll or --n both say the attitude. Give one of them.');
  }
  const pourHere = options['pourHere'] === true;
  const pourAt = readPoint(options['pourAt']);
  if (!pourAt.ok) return pourAt;
  return done({
    unit: options['unit'] as MeshUnit | undefined,
    condition,
    pitch_deg,
    roll_deg,
    n,
    fill,
    fuel_m3,
    slope_deg,
    tolerance_deg,
    scaleShare,
    pourHere,
    pourAt: pourAt.value,
  });
}

/** `x,y,z` in metres. */
function readPoint(typed: string | boolean | undefined): Outcome<Vector3 | null, string> {
  if (typeof typed !== 'string') return done(null);
  const parts = typed.split(',');
  if (parts.length !== 3)
    return failed(`--pour-at is "${typed}". Give three lengths in metres with a point as the decimal mark: 1.83,-1.55,0.79.`);
  const point: number[] = [];
  for (const part of parts) {
    const read = readNumber(part, 'm');
    if (!read.ok) return failed(`--pour-at: ${describeNumberError(read.error)}`);
    point.push(read.value.value);
  }
  return done([point[0], point[1], point[2]]);
}

/**
 * One typed number of a verb that reads its own options.
 * @param unit - the unit meant where none is typed; a length must be above zero
 * @returns undefined where the option was not given; the failure as the one line to print
 */
export function readDesignNumber(
  options: Readonly<Record<string, string | boolean | undefined>>,
  option: string,
  unit: UnitName | null,
  least: number,
  most: number,
): Outcome<number | undefined, string> {
  const typed = options[option];
  if (typeof typed !== 'string') return done(undefined);
  const read = readNumber(typed, unit);
  if (!read.ok) return failed(`--${option}: ${describeNumberError(read.error)}`);
  const { value } = read.value;
  const isLength = unit === 'mm';
  if (value < least || value > most || (isLength && value === 0)) {
    const range = isLength ? 'a length above zero' : `a number from ${least} to ${most}`;
    return failed(`--${option} is ${typed}. Give ${range}.`);
  }
  return done(value);
}
