/**
 * Horizontal cylinder: area, surface width and centroid of a circular segment.
 * Source: table after Chow, Open-Channel Hydraulics, 1959, Table 2-2, as given at engdatabase.com/data/open-channel-geometry/circular
 * (rows h/D 0.05 to 0.15 and 0.55 to 0.80); the rows 0.20 to 0.40 are worked out here from the same formula, A/D² = (θ − sin θ)/8,
 * θ = 2 arccos(1 − 2h/D). Printed to six places, so half a unit of the sixth place is the tolerance, plus the facets' share.
 */
import { describe, test } from 'vitest';
import { assertSecondOrder, assertWithin } from '../assert-within.ts';
import { drum, laidAlongX } from '../shapes.ts';
import { clippedBelow, fieldAt, fuelBelow } from '../tank.ts';

const D = 0.4;
const LENGTH = 1.5;
const HALF_LAST_PLACE = 0.5e-6;

/** h/D, A/D², surface width over D (null: not printed) */
const rows: readonly (readonly [number, number, number | null])[] = [
  [0.05, 0.014681, 0.43589],
  [0.1, 0.040875, 0.6],
  [0.15, 0.073875, 0.714143],
  [0.2, 0.111824, null],
  [0.25, 0.153546, null],
  [0.3, 0.198168, null],
  [0.4, 0.29337, null],
  [0.55, 0.442616, 0.994987],
  [0.6, 0.492028, 0.979796],
  [0.65, 0.540418, 0.953939],
  [0.7, 0.58723, 0.916515],
  [0.75, 0.631852, 0.866025],
  [0.8, 0.673574, null],
];

const lying = (sides: number) => laidAlongX(drum(D / 2, 0, LENGTH, sides));

/** Segment area over D² and its centroid's height over the invert over D, smooth. Centroid: 4 r sin³(θ/2) / (3 (θ − sin θ)) from the centre. */
function smooth(share: number) {
  const theta = 2 * Math.acos(1 - 2 * share);
  const area = (theta - Math.sin(theta)) / 8;
  return { area, theta, centroid: 0.5 - Math.sin(theta / 2) ** 3 / (12 * area) };
}

describe.each(rows)('h/D = %d, Chow Table 2-2', (share, area, width) => {
  const level = D * (share - 0.5);
  const { theta, centroid, area: exact } = smooth(share);

  test('volume, surface and centroid at 4,096 sides', () => {
    const sides = 4096;
    const facet = (2 * Math.PI) / sides;
    const fuel = fuelBelow(fieldAt(lying(sides)), level);
    // A facet of angle δ takes r²δ³/12 off the area; the wetted arc θ holds θ/δ of them, and one more may be cut.
    const facetError = ((theta + facet) * facet ** 2) / 48;
    assertWithin(fuel.volume / (LENGTH * D ** 2), area, HALF_LAST_PLACE + facetError, 1);
    // At the level the chord's ends lie within a sagitta r δ²/8 of the circle, square to it.
    if (width !== null) assertWithin(fuel.surface / (LENGTH * D), width, HALF_LAST_PLACE + facet ** 2 / (8 * Math.sin(theta / 2)), 1);
    // The missing area lies within D of the centroid.
    assertWithin(fuel.centroid[2] / D + 0.5, centroid, (2 * facetError) / exact, 1);
    assertWithin(fuel.centroid[0], LENGTH / 2, 1e-12);
    assertWithin(fuel.centroid[1], 0, 1e-12, D);
  });

  test('the polyhedron of 24 sides itself, by clipping it', () => {
    const shape = lying(24);
    const expected = clippedBelow(shape, [0, 0, 1], level);
    const fuel = fuelBelow(fieldAt(shape), level);
    assertWithin(fuel.volume, expected.volume, 1e-12);
    for (const axis of [0, 1, 2]) assertWithin(fuel.centroid[axis], expected.centroid[axis], 1e-12, D);
  });

  test('rolled by 31° about its own axis the segment is the same', () => {
    const sides = 4096;
    const fuel = fuelBelow(fieldAt(lying(sides), { pitch_deg: 0, roll_deg: 31, n: 1 }), level);
    assertWithin(fuel.volume / (LENGTH * D ** 2), area, HALF_LAST_PLACE + ((theta + 0.01) * ((2 * Math.PI) / sides) ** 2) / 48, 1);
  });

  test('second order in the facet angle', () => {
    const errors = [512, 1024, 2048].map((sides) => exact - fuelBelow(fieldAt(lying(sides)), level).volume / (LENGTH * D ** 2));
    assertSecondOrder(errors);
  });
});
