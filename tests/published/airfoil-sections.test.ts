/**
 * Wing tanks of NACA 4-digit sections: ordinates, section areas, and the bay between two spars.
 * Source: thickness law as at aerofoilengineering.com/Help/HelpNaca4.htm (program report NASA TM 4741); ordinates of 0006 and 0010 from
 * the NACA table in kanaankebriti/libfastact (github.com), thousandths of the chord; areas by integrating the law here (no printed ones).
 */
import { describe, test } from 'vitest';
import { halfThickness } from '../../engine/shape/airfoil.ts';
import { assertSecondOrder, assertWithin } from '../assert-within.ts';
import { prism } from '../shapes.ts';
import { clippedBelow, fieldAt, fuelBelow } from '../tank.ts';

const CHORD = 1.4;
const SPAN = 2.5;

/** Stations from one share of the chord to another, spaced so that the nose's square root is met evenly. */
const stations = (from: number, to: number, n: number): number[] =>
  Array.from({ length: n + 1 }, (_, i) => (Math.sqrt(from) + ((Math.sqrt(to) - Math.sqrt(from)) * i) / n) ** 2);

/** A bay of constant section along the span, standing on its root rib: X aft along the chord, Y across it, Z along the span. */
function bay(xs: readonly number[], half: (x: number) => number) {
  const lower = xs.map((x): [number, number] => [CHORD * x, -CHORD * half(x)]);
  const upper = [...xs].reverse().map((x): [number, number] => [CHORD * x, CHORD * half(x)]);
  const plan = [...lower, ...upper].filter(([, y], i) => y !== 0 || i === 0);
  return prism(plan, 0, SPAN);
}

const NOSE_DOWN = { pitch_deg: -90, roll_deg: 0, n: 1 };
const area0006 = [
  [12.5, 9.47],
  [25, 13.07],
  [50, 17.77],
  [75, 21.0],
  [100, 23.41],
  [150, 26.73],
  [200, 28.69],
  [250, 29.71],
  [300, 30.01],
  [400, 29.02],
  [500, 26.47],
  [600, 22.82],
  [700, 18.32],
  [800, 13.12],
  [900, 7.24],
  [950, 4.03],
  [1000, 0.63],
] as const;

describe('ordinates: what the thickness law gives, and what a tank of it shows as its surface, nose down', () => {
  // Printed to 0.01 thousandths: half of that, and what a double rounds in deciding which way a printed half was rounded.
  const HALF_LAST_PLACE = 0.005e-3 + 1e-12;
  test.each(area0006)('0006 at %d thousandths: %d', (x, printed) => {
    assertWithin(halfThickness(0.06, x / 1000), printed / 1000, HALF_LAST_PLACE, 1);
    const xs = stations(0, 1, 2000);
    const fuel = fuelBelow(
      fieldAt(
        bay(xs, (s) => halfThickness(0.06, s)),
        NOSE_DOWN,
      ),
      CHORD * Math.min(x / 1000, 1 - 1e-12),
    );
    // Facets: half thickness is smooth in √x, so a chord of Δ√x = 1/2000 leaves Δ²/8 of its second derivative there (below 0.5).
    assertWithin(fuel.surface / (2 * SPAN * CHORD), printed / 1000, HALF_LAST_PLACE + 0.5 / 8 / 2000 ** 2, 1);
  });
  test.each([
    [100, 39.02],
    [300, 50.02],
    [500, 44.12],
    [700, 30.53],
    [900, 12.07],
  ])('0010 at %d thousandths: %d', (x, printed) => {
    // The old table differs from the law by up to 0.012 thousandths (worked out in this project's references).
    assertWithin(halfThickness(0.1, x / 1000), printed / 1000, 0.0121e-3, 1);
  });
});

describe('areas', () => {
  const capacity = (thickness: number, from: number, to: number, n: number): number =>
    fieldAt(bay(stations(from, to, n), (x) => halfThickness(thickness, x))).solid.capacity / (SPAN * CHORD ** 2);
  test.each([
    [0.12, 0.08221],
    [0.06, 0.041105],
    [0.1, 0.0685083],
  ])('whole section at t = %d: 0.68508333 t c² (exact integral of the law)', (thickness, area) => {
    assertWithin(0.68508333 * thickness, area, 0.5e-7, 1);
    assertWithin(capacity(thickness, 0, 1, 4000), 0.68508333333333 * thickness, 1e-7);
    assertSecondOrder([200, 400, 800].map((n) => 0.68508333333333 * thickness - capacity(thickness, 0, 1, n)));
  });
  test('0012 between spars at 15 % and 65 % of the chord: 0.0546413 c² (integral)', () => {
    assertWithin(capacity(0.12, 0.15, 0.65, 2000), 0.0546413, 0.5e-7 + 1e-8, 1);
    const primitive = (x: number): number =>
      1.2 * (0.2969 * (2 / 3) * x ** 1.5 - 0.063 * x ** 2 - 0.1172 * x ** 3 + 0.071075 * x ** 4 - 0.0203 * x ** 5);
    const exact = primitive(0.65) - primitive(0.15);
    assertSecondOrder([50, 100, 200].map((n) => exact - capacity(0.12, 0.15, 0.65, n)));
  });
  test('0006 through its printed ordinates alone: within the chords’ share of the exact area, from below', () => {
    const half = new Map<number, number>(area0006.map(([x, y]) => [x / 1000, y / 1000]));
    const xs = [0, ...half.keys()];
    const polygon = fieldAt(bay(xs, (x) => half.get(x) ?? 0)).solid.capacity / (SPAN * CHORD ** 2);
    let byHand = 0;
    xs.slice(1).forEach((x, i) => {
      byHand += (x - xs[i]) * ((half.get(x) ?? 0) + (half.get(xs[i]) ?? 0));
    });
    assertWithin(polygon, byHand, 1e-12);
    assertWithin(polygon, 0.041105, 0.012);
    if (polygon >= 0.041105) throw new Error('chords of a convex section lie inside it');
  });
});

describe('the bay itself, tilted, by clipping it', () => {
  const shape = bay(stations(0.15, 0.65, 12), (x) => halfThickness(0.12, x));
  test.each([
    [0, 0],
    [-90, 3],
    [80, 10],
    [5, 90],
    [-4, 170],
  ])('pitch %d°, roll %d°', (pitch_deg, roll_deg) => {
    const field = fieldAt(shape, { pitch_deg, roll_deg, n: 1 });
    for (const share of [0.1, 0.4, 0.8]) {
      const { birth, death } = field.arcs[field.root];
      const level = field.originLevel + birth + share * (death - birth);
      const expected = clippedBelow(shape, field.up, level);
      const fuel = fuelBelow(field, level);
      assertWithin(fuel.volume, expected.volume, 1e-12);
      for (const axis of [0, 1, 2]) assertWithin(fuel.centroid[axis], expected.centroid[axis], 1e-12, field.solid.size);
    }
  });
});
