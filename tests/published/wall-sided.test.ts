/**
 * Wall-sided shift of a centroid: what a ship's immersed box and a box tank's fuel share, the volume under a tilted surface staying equal.
 * Sources: Derrett, Ship Stability for Masters and Mates, wall-sided chapter, p. 130, ex. 1 and 2, exercise 15.5 (salt water 1.025 t/m³);
 * Encyclopaedia Britannica 11th ed., Hydromechanics, BB1 = v·gg1/V.
 */
import { describe, test } from 'vitest';
import { assertWithin } from '../assert-within.ts';
import { box } from '../shapes.ts';
import { fieldAt, onePool } from '../tank.ts';

const SALT_WATER = 1.025; // t/m³
const rad = (angle: number): number => (angle * Math.PI) / 180;

interface Hull {
  readonly length: number;
  readonly breadth: number;
  readonly height: number;
  readonly draught: number;
}

/** Centroid of the immersed part at a heel: a box tank settled with the same volume at the same roll; keel at z = 0. */
function immersed({ length, breadth, height, draught }: Hull, heel_deg: number) {
  const shape = box([0, -breadth / 2, 0], [length, breadth / 2, height]);
  return onePool(fieldAt(shape, { pitch_deg: 0, roll_deg: heel_deg, n: 1 }), length * breadth * draught).centroid;
}

/** Righting lever, m: the buoyancy's line of action off the weight's, square to plumb. */
function lever(hull: Hull, kg: number, heel_deg: number): number {
  const [, y, z] = immersed(hull, heel_deg);
  return y * Math.cos(rad(heel_deg)) + (z - kg) * Math.sin(rad(heel_deg));
}
const moment = (hull: Hull, kg: number, heel_deg: number): number =>
  lever(hull, kg, heel_deg) * hull.length * hull.breadth * hull.draught * SALT_WATER;
/** ½BM tan²φ sin φ, the part a small-angle row leaves out. */
const wallSidedTerm = ({ breadth, draught }: Hull, heel_deg: number): number =>
  ((breadth ** 2 / (12 * draught)) * Math.tan(rad(heel_deg)) ** 2 * Math.sin(rad(heel_deg))) / 2;

describe('righting levers', () => {
  test('ex. 1: 6,000 t, KB 3, KM 6, KG 5.5, 25°: GZ 0.35 m, 2,100 t·m', () => {
    // KB 3 and BM 3 are those of a box with draught 6 and breadth √216.
    const hull = { length: 30, breadth: Math.sqrt(216), height: 12, draught: 6 };
    assertWithin(lever(hull, 5.5, 25), 0.35, 0.005, 1); // printed to two places
    assertWithin(lever(hull, 5.5, 25), 0.34915, 0.5e-5, 1); // the same formula, worked out here
    assertWithin(6000 * lever(hull, 5.5, 25), 2100, 30, 1); // they rounded GZ first: 0.005 m of 6,000 t
  });
  const example2 = { length: 65, breadth: 12, height: 8, draught: 4 };
  test('ex. 2(a): 65×12×8, draught 4, KG 4, 5°: 278.9 t·m by GM sin φ; 281.9 in full (worked out here)', () => {
    const full = moment(example2, 4, 5);
    assertWithin(full, 281.9, 0.05, 1);
    // Their sine or displacement is rounded in the fourth digit: 278.7 is what the formula gives.
    assertWithin(full - wallSidedTerm(example2, 5) * 3198, 278.9, 1e-3);
    assertWithin(full - wallSidedTerm(example2, 5) * 3198, 278.7, 0.05, 1);
  });
  test('the same at 25°: GZ 0.560461 m, 1,792.4 t·m (worked out here)', () => {
    assertWithin(lever(example2, 4, 25), 0.560461, 0.5e-6, 1);
    assertWithin(moment(example2, 4, 25), 1792.4, 0.05, 1);
  });
  const exercise = { length: 55, breadth: 7.5, height: 6, draught: 4 };
  test('exercise 15.5: 55×7.5×6, draught 4, KG 2.7: 83.42 t·m at 6° by GM sin φ, 404.498 t·m at 24°', () => {
    const displacement = 55 * 7.5 * 4 * SALT_WATER;
    assertWithin(moment(exercise, 2.7, 6) - wallSidedTerm(exercise, 6) * displacement, 83.42, 0.005, 1); // half the last place
    assertWithin(moment(exercise, 2.7, 24), 404.498, 0.0005, 1);
  });
});

describe('exact shift for a box whose surface meets both side walls: B² tan φ/(12 d) sideways, half of it times tan φ upward', () => {
  test.each([
    [12, 4, 25, 1.398923, 0.326164],
    [2, 1, 30, 0.19245, 0.055556],
  ])('B %d, d %d, %d°: %d and %d', (breadth, draught, heel_deg, sideways, upward) => {
    for (const sense of [1, -1]) {
      const [x, y, z] = immersed({ length: 3, breadth, height: 2 * draught + 1, draught }, sense * heel_deg);
      assertWithin(y, sense * sideways, 0.5e-6, 1); // printed to six places
      assertWithin(z - draught / 2, upward, 0.5e-6, 1);
      assertWithin(y, (sense * breadth ** 2 * Math.tan(rad(heel_deg))) / (12 * draught), 1e-12);
      assertWithin(z - draught / 2, (breadth ** 2 * Math.tan(rad(heel_deg)) ** 2) / (24 * draught), 1e-11);
      assertWithin(x, 1.5, 1e-12);
    }
  });
  test('small angle: BM = BB1 cot φ is I/V = B²/(12 d) at every angle, for sideways shift over tan φ', () => {
    for (const heel_deg of [1e-6, 1e-3, 0.1, 3]) {
      const [, y] = immersed({ length: 3, breadth: 12, height: 9, draught: 4 }, heel_deg);
      assertWithin(y / Math.tan(rad(heel_deg)), 3, 1e-13 / rad(heel_deg) + 1e-12, 3);
    }
  });
});
