/**
 * From a condition (pitch, roll, load factor) to apparent gravity in the tank frame and back. Design §2: nose-up and right-side-down are
 * positive, and apparent gravity is `n·g0·(sin pitch, cos pitch·sin roll, −cos pitch·cos roll)`.
 */
import type { Condition } from '../../shared/answers.ts';
import type { ConditionError } from '../../shared/errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { length, scale, type Vector3 } from '../../shared/vector.ts';

/** Standard gravity, m/s². Source: 3rd CGPM 1901, exact by definition (SI Brochure, 9th ed.). */
export const STANDARD_GRAVITY = 9.80665;

export interface ApparentGravity {
  /** m/s², tank frame: gravity minus acceleration, as the fuel feels it. */
  readonly gravity: Vector3;
  /** Unit vector against it. */
  readonly up: Vector3;
  /** m/s², above zero. */
  readonly strength: number;
}

/**
 * @param condition - degrees and load factor; n below zero puts the fuel on the ceiling
 * @returns `no-gravity` when n is 0, `condition-not-finite` when a number is not one
 */
export function apparentGravity(condition: Condition): Outcome<ApparentGravity, ConditionError> {
  for (const key of ['pitch_deg', 'roll_deg', 'n'] as const) {
    if (!Number.isFinite(condition[key])) return failed({ code: 'condition-not-finite', key, value: condition[key] });
  }
  if (condition.n === 0) return failed({ code: 'no-gravity' });
  const down = plumbDirection(condition.pitch_deg, condition.roll_deg);
  const gravity = scale(down, condition.n * STANDARD_GRAVITY);
  return done({ gravity, up: scale(down, condition.n > 0 ? -1 : 1), strength: Math.abs(condition.n) * STANDARD_GRAVITY });
}

/** Direction of gravity at rest, a unit vector in the tank frame; exact at right angles. */
function plumbDirection(pitch_deg: number, roll_deg: number): Vector3 {
  const cosPitch = cosDeg(pitch_deg);
  const down: Vector3 = [sinDeg(pitch_deg), cosPitch * sinDeg(roll_deg), -cosPitch * cosDeg(roll_deg)];
  return scale(down, 1 / length(down));
}

/** The attitude with pitch within ±90° and n above zero whose apparent gravity points against `up`. */
export function attitudeOf(up: Vector3): { readonly pitch_deg: number; readonly roll_deg: number } {
  const [x, y, z] = up;
  const pitch_deg = degrees(Math.atan2(-x, Math.hypot(y, z)));
  return { pitch_deg, roll_deg: y === 0 && z === 0 ? 0 : degrees(Math.atan2(-y, z)) + 0 };
}

/** The three numbers a tilting stand needs for an accelerometer triple, in units of g0: forward nx, right ny, up nz (1 at rest). */
export function conditionOfTriple(nx: number, ny: number, nz: number): Outcome<Condition, ConditionError> {
  for (const value of [nx, ny, nz]) if (!Number.isFinite(value)) return failed({ code: 'condition-not-finite', key: 'n', value });
  const n = Math.hypot(nx, ny, nz);
  if (n === 0) return failed({ code: 'no-gravity' });
  return done({ ...attitudeOf([-nx / n, ny / n, nz / n]), n });
}

const degrees = (angle: number): number => (angle * 180) / Math.PI;

/** Sine of an angle in degrees, exact at multiples of 90°. */
export function sinDeg(angle: number): number {
  const turn = angle % 360;
  if (turn % 180 === 0) return 0;
  if (turn % 90 === 0) return turn === 90 || turn === -270 ? 1 : -1;
  return Math.sin((turn * Math.PI) / 180);
}

/** Cosine of an angle in degrees, exact at multiples of 90°. */
export function cosDeg(angle: number): number {
  const turn = Math.abs(angle % 360);
  if (turn === 90 || turn === 270) return 0;
  return Math.cos((turn * Math.PI) / 180);
}
