/**
 * Drums made from parameters against handbook volumes of tanks with heads.
 * Source: D. Jones, "Calculating Tank Volume" and "Compute Fluid Volumes in Vertical Tanks", Chemical Processing, 2003, in inches and US
 * gallons, as in tank-heads.test.ts; rows at 84 in and 60 in were worked out for this project, to 0.01 gal.
 *
 * Tolerance: the printed last place, plus what the facets can hide: the wall's area times the chord error, all of it missing, none added.
 */
import { describe, expect, test } from 'vitest';
import { toSi } from '../../shared/units.ts';
import { shapeTank } from '../shape/shape-tank.ts';
import { clippedBelow } from '../tank.ts';

const inches = (amount: number): number => toSi(amount, 'in');
const CHORD_ERRORS = [0.0008, 0.0002] as const;

async function gallonsBelow(
  drum: object,
  height: (min: number) => number,
  chordError_m: number,
): Promise<{ gallons: number; hidden: number }> {
  const { solid } = await shapeTank({ kind: 'drum', ...drum, chordError_m });
  const positions = Float64Array.from(solid.positions, (x, i) => x + solid.origin[i % 3]!);
  const { volume } = clippedBelow({ positions, triangles: solid.triangles }, [0, 0, 1], height(solid.min[2]));
  const toGallons = 1 / toSi(1, 'US gal');
  return { gallons: volume * toGallons, hidden: solid.wallArea * chordError_m * toGallons };
}

const horizontal = (end: object): object => ({ diameter_m: inches(108), length_m: inches(156), frontEnd: end, rearEnd: end });
const vertical = (end: object): object => ({ diameter_m: inches(132), length_m: inches(100), axisUp_deg: 90, frontEnd: end });
const DISHED = { kind: 'dished', depth_m: inches(42) };
const SPHERICAL = { kind: 'spherical', depth_m: inches(42) };
const TORISPHERICAL = { kind: 'torispherical', dish_share: 1, knuckle_share: 0.06 };

test.each<[string, object, number, number, number]>([
  ['G12 ellipsoidal', horizontal(DISHED), 36, 2380.9565416, 5e-8],
  ['G14 spherical', horizontal(SPHERICAL), 36, 2303.9615117, 5e-8],
  ['G15 torispherical', horizontal(TORISPHERICAL), 36, 2028.62667, 5e-6],
  ['G16 ellipsoidal', horizontal(DISHED), 84, 7103.45, 0.01],
  ['G16 spherical', horizontal(SPHERICAL), 84, 6935.16, 0.01],
  ['G16 torispherical', horizontal(TORISPHERICAL), 84, 5939.9, 0.01],
  ['G18 ellipsoidal', vertical({ kind: 'dished', depth_m: inches(33) }), 24, 783.35816817, 5e-9],
  ['G19 spherical', vertical({ kind: 'spherical', depth_m: inches(33) }), 24, 583.60183529, 5e-9],
  ['G20 torispherical', vertical(TORISPHERICAL), 24, 904.06882838, 5e-9],
  ['G21 ellipsoidal', vertical({ kind: 'dished', depth_m: inches(33) }), 60, 2902.83, 0.01],
  ['G21 spherical', vertical({ kind: 'spherical', depth_m: inches(33) }), 60, 2658.46, 0.01],
  ['G21 torispherical', vertical(TORISPHERICAL), 60, 3036.76, 0.01],
])('%s', { timeout: 60_000 }, async (_, drum, depth, printed, lastPlace) => {
  const missing: number[] = [];
  for (const chordError_m of CHORD_ERRORS) {
    const { gallons, hidden } = await gallonsBelow(drum, (min) => min + inches(depth), chordError_m);
    expect(printed - gallons).toBeGreaterThan(-lastPlace);
    expect(printed - gallons).toBeLessThan(hidden + lastPlace);
    missing.push(printed - gallons);
  }
  // Four times finer: about a quarter is missing, so what both meshes run towards is the printed figure.
  const limit = missing[1]! - (missing[0]! - missing[1]!) / 3;
  expect(Math.abs(limit)).toBeLessThan(1e-4 * printed);
});

describe('torispherical depth', () => {
  test('the depth of a dish of the diameter with a knuckle of 6 % is 0.1693 of the diameter', async () => {
    // Closed form: D − √((D − 0.06 D)² − (D/2 − 0.06 D)²) = 0.169 35 D.
    const { solid } = await shapeTank({ kind: 'drum', diameter_m: 1, length_m: 1, axisUp_deg: 90, frontEnd: TORISPHERICAL });
    expect(-0.5 - solid.min[2]).toBeCloseTo(1 - Math.sqrt(0.94 ** 2 - 0.44 ** 2), 6);
  });
});
