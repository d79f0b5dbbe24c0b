/** How the tank stands when apparent gravity is straight down the screen: the attitude a tilting stand would hold. */
import type { Condition } from '../../shared/answers.ts';

/** A unit quaternion x, y, z, w. */
export type Quaternion = readonly [number, number, number, number];

/**
 * Turns vectors of the tank frame (X aft, Y right, Z up) into a level frame whose Z is up against apparent gravity, the nose still
 * forward. Roll first about X, then pitch about Y; a negative load factor turns the whole over about X, as an inverted stand would.
 */
export function levelPose({ pitch_deg, roll_deg, n }: Condition): Quaternion {
  const half = Math.PI / 360;
  const [sp, cp] = [Math.sin(pitch_deg * half), Math.cos(pitch_deg * half)];
  const [sr, cr] = [Math.sin(-roll_deg * half), Math.cos(-roll_deg * half)];
  // Ry(pitch)·Rx(−roll)
  const [x, y, z, w] = [cp * sr, sp * cr, -sp * sr, cp * cr];
  // Rx(180°) = (1, 0, 0, 0) from the left
  return n < 0 ? [w, -z, y, -x] : [x, y, z, w];
}
