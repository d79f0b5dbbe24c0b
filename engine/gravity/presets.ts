/**
 * Flight and ground situations as the three numbers (pitch, roll, n) a tilting stand would need to show the same free surface. Design §2.
 * Each preset is steady: what the fuel feels once it has come to rest against the wall.
 */

import type { Condition } from '../../shared/answers.ts';
import type { CaseCondition } from '../../shared/case.ts';
import { conditionOfTriple, cosDeg, sinDeg } from './condition.ts';

/** Standing or flying without acceleration at an attitude. */
export const steady = (pitch_deg: number, roll_deg = 0): Condition => ({ pitch_deg, roll_deg, n: 1 });

/**
 * A level coordinated turn: no sideways component, so the surface stays as with wings level and only n grows.
 * Source: n = 1/cos(bank), FAA-H-8083-25 load-factor chart; the lateral component is zero by the definition of coordinated.
 * @param bank_deg - below 90°
 */
export const coordinatedTurn = (bank_deg: number, pitch_deg = 0): Condition => ({ pitch_deg, roll_deg: 0, n: 1 / cosDeg(bank_deg) });

/** A steady slip on a constant heading: the wing is held down and nothing turns, so the fuel feels the bank. Right wing down is positive. */
export const steadySlip = (bank_deg: number, pitch_deg = 0): Condition => ({ pitch_deg, roll_deg: bank_deg, n: 1 });

/**
 * A skid with wings level: the turn's sideways pull throws fuel outward, as a roll of atan(lateral) would.
 * @param lateral_g - sideways acceleration towards the left in g0; the fuel goes to the right, as in a roll to the right
 */
export const skid = (lateral_g: number, pitch_deg = 0): Condition => fromTriple(sinDeg(pitch_deg), -lateral_g, cosDeg(pitch_deg));

/** Speeding up along the fuselage at an attitude: fuel goes aft. Source: tan θ = a/g, free surface of an accelerated liquid (any fluid-mechanics text). */
export const speedingUp = (forward_g: number, pitch_deg = 0): Condition => fromTriple(forward_g + sinDeg(pitch_deg), 0, cosDeg(pitch_deg));

/** Slowing down along the fuselage: fuel goes forward. */
export const braking = (deceleration_g: number, pitch_deg = 0): Condition => speedingUp(-deceleration_g, pitch_deg);

/** Inverted, steady: hanging in the straps at n = −1. */
export const inverted = (pitch_deg = 0): Condition => ({ pitch_deg, roll_deg: 0, n: -1 });

function fromTriple(nx: number, ny: number, nz: number): Condition {
  const made = conditionOfTriple(nx, ny, nz);
  if (!made.ok) throw new Error(`a preset gave no condition: ${made.error.code}`);
  return made.value;
}

/**
 * Flight conditions used when a case names none. The states follow the unusable-fuel practice: level flight, climb, glide, slips and
 * skids in each, take-off run, braking and a coordinated turn. Local rules and a licensed person decide which apply.
 */
export const DEFAULT_FLIGHT_CONDITIONS: readonly CaseCondition[] = [
  flight('level', 'Level flight', steady(0), '14 CFR 23.959 (amdt 51): every intended operation; attitude common practice, no source'),
  flight('climb', 'Climb, 12° nose up', steady(12), '14 CFR 23.959; 12° common practice, no source'),
  flight('glide', 'Glide, 6° nose down', steady(-6), '14 CFR 23.959; 6° common practice, no source'),
  flight('descent', 'Steep descent, 10° nose down', steady(-10), '14 CFR 23.959; 10° common practice, no source'),
  flight('slip-right', 'Steady slip, 10° right wing down', steadySlip(10), '14 CFR 23.177(b)(3): slip of at least 10° bank'),
  flight('slip-left', 'Steady slip, 10° left wing down', steadySlip(-10), '14 CFR 23.177(b)(3): slip of at least 10° bank'),
  flight('climb-slip-right', 'Climb with slip, right wing down', steadySlip(10, 12), '14 CFR 23.177(b)(3) with 23.959'),
  flight('climb-slip-left', 'Climb with slip, left wing down', steadySlip(-10, 12), '14 CFR 23.177(b)(3) with 23.959'),
  flight('glide-slip-right', 'Glide with slip, right wing down', steadySlip(10, -6), '14 CFR 23.177(b)(3) with 23.959'),
  flight('glide-slip-left', 'Glide with slip, left wing down', steadySlip(-10, -6), '14 CFR 23.177(b)(3) with 23.959'),
  flight('turn', 'Coordinated turn, 60° bank', coordinatedTurn(60), '14 CFR 91.307(c): 60° bank; n = 1/cos(bank)'),
  flight('take-off', 'Take-off run at 0.3 g', speedingUp(0.3), 'tan θ = a/g; 0.3 g common practice, no source'),
  flight('braking', 'Braking at 0.3 g', braking(0.3), 'tan θ = a/g; 0.3 g common practice, no source'),
];

function flight(id: string, name: string, condition: Condition, source: string): CaseCondition {
  return { id, name, phase: 'flight', ...condition, source };
}
