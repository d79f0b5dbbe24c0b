import { describe, expect, test } from 'vitest';
import { facetError } from '../../engine/mesh/facet-error.ts';
import { weldExact } from '../../engine/mesh/weld.ts';
import { assertWithin } from '../assert-within.ts';
import { box, corners, cylinder, type Face, moved, quad, sphere } from './shapes.ts';

const ofFaces = (faces: readonly Face[]): number => facetError(weldExact(corners(faces)));
/** What facetError adds for stored float32: √3 half-ulps at the largest coordinate. */
const rounding = (largest: number): number => Math.sqrt(3) * 2 ** -24 * largest;

describe('facetError', () => {
  for (const n of [12, 24, 100, 720]) {
    test(`cylinder of ${n} facets: the sagitta r(1 − cos π/n) itself`, () => {
      assertWithin(ofFaces(cylinder(0.3, 1, n)), 0.3 * (1 - Math.cos(Math.PI / n)) + rounding(1), 1e-9);
    });
  }
  for (const [levels, within] of [
    [3, 0.12],
    [4, 0.04],
    [5, 0.01],
  ] as const) {
    test(`sphere subdivided ${levels} times: the deepest facet, within ${within}`, () => {
      const faces = sphere(0.3, levels);
      const deepest = Math.max(...faces.map((f) => 0.3 - distanceOfPlane(f)));
      assertWithin(ofFaces(faces), deepest + rounding(0.3), within);
    });
  }
  test('a box has none: rounding alone, also far from the origin', () => {
    assertWithin(ofFaces(box([0, 0, 0], [1, 2, 3])), rounding(3), 1e-12);
    assertWithin(ofFaces(moved(box([0, 0, 0], [1, 2, 3]), [1e4, 0, 0])), rounding(10_001), 1e-9);
  });
  test('a floor with one shallow fold of 10° is two flats, not a facet', () => {
    const d = Math.tan((5 * Math.PI) / 180);
    const floor: Face[] = [...quad([0, 0, 0], [0, 2, 0], [1, 2, -d], [1, 0, -d]), ...quad([1, 0, -d], [1, 2, -d], [2, 2, 0], [2, 0, 0])];
    const roof = quad([0, 0, 1], [2, 0, 1], [2, 2, 1], [0, 2, 1]);
    const ends: Face[] = [
      [
        [0, 0, 0],
        [1, 0, -d],
        [2, 0, 0],
      ],
      ...quad([0, 0, 0], [2, 0, 0], [2, 0, 1], [0, 0, 1]),
    ];
    const far: Face[] = [
      [
        [0, 2, 0],
        [2, 2, 0],
        [1, 2, -d],
      ],
      ...quad([0, 2, 0], [0, 2, 1], [2, 2, 1], [2, 2, 0]),
    ];
    const sides = [...quad([0, 0, 0], [0, 0, 1], [0, 2, 1], [0, 2, 0]), ...quad([2, 0, 0], [2, 2, 0], [2, 2, 1], [2, 0, 1])];
    assertWithin(ofFaces([...floor, ...roof, ...ends, ...far, ...sides]), rounding(2), 1e-9);
  });
  test('falls by four when the facets are halved', () => {
    const errors = [24, 48, 96].map((n) => ofFaces(cylinder(1, 1, n)) - rounding(1));
    expect(errors[0]! / errors[1]!).toBeCloseTo(4, 1);
    expect(errors[1]! / errors[2]!).toBeCloseTo(4, 2);
  });
});

function distanceOfPlane([a, b, c]: Face): number {
  const u = b.map((x, i) => x - a[i]!);
  const w = c.map((x, i) => x - a[i]!);
  const n = [u[1]! * w[2]! - u[2]! * w[1]!, u[2]! * w[0]! - u[0]! * w[2]!, u[0]! * w[1]! - u[1]! * w[0]!];
  return (n[0]! * a[0] + n[1]! * a[1] + n[2]! * a[2]) / Math.hypot(...n);
}
