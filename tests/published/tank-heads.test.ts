/**
 * Horizontal tanks with heads and vertical tanks with bottoms.
 * Source: D. Jones, "Calculating Tank Volume" and "Compute Fluid Volumes in Vertical Tanks", Chemical Processing, 2003, in inches and US
 * gallons; figures as the manual of an open fluid-mechanics library prints them. Rows at 84 in and 60 in were worked out for this project
 * by double integration over the cross-section and are given to 0.01 gal.
 *
 * The meshes are faceted, so a row's tolerance is its printed last place plus the facets' share, which the second-order test bounds: the
 * error at twice the facets is a quarter, so a third of the difference between two meshes is the finer one's error.
 */
import { describe, test } from 'vitest';
import type { SurfaceMesh } from '../../engine/mesh/tank-solid.ts';
import { fromSi, toSi } from '../../shared/units.ts';
import { assertSecondOrder, assertWithin } from '../assert-within.ts';
import { laidAlongX, obliqueCone, revolved } from '../shapes.ts';
import { clippedBelow, fieldAt, fuelBelow } from '../tank.ts';

type Profile = (readonly [number, number])[];
const inches = (amount: number): number => toSi(amount, 'in');

/** Points of an arc in the (z, radius) plane, from one angle to another, about a centre. */
const arc = (z: number, radius: number, r: number, from: number, to: number, n: number): Profile =>
  Array.from({ length: n + 1 }, (_, i) => {
    const angle = from + ((to - from) * i) / n;
    return [z + r * Math.cos(angle), radius + r * Math.sin(angle)];
  });

/** A head's profile from its pole at z = −a to the rim at z = 0; the last point is the rim. `n` facets. */
const heads = {
  conical: (R: number, a: number, _n: number): Profile => [
    [-a, 0],
    [0, R],
  ],
  ellipsoidal: (R: number, a: number, n: number): Profile => arc(0, 0, 1, Math.PI, Math.PI / 2, n).map(([z, r]) => [a * z, R * r]),
  spherical: (R: number, a: number, n: number): Profile => {
    const r = (R * R + a * a) / (2 * a);
    const half = Math.asin(R / r);
    return arc(r - a, 0, r, Math.PI, Math.PI - half, n);
  },
  /** Dish radius f·D with f = 1, knuckle radius k·D with k = 0.06. */
  torispherical: (R: number, _a: number, n: number): Profile => {
    const [dish, knuckle] = [2 * R, 0.12 * R];
    const depth = dish - Math.sqrt((dish - knuckle) ** 2 - (R - knuckle) ** 2);
    const meet = Math.asin((R - knuckle) / (dish - knuckle));
    return [
      ...arc(dish - depth, 0, dish, Math.PI, Math.PI - meet, n),
      ...arc(0, R - knuckle, knuckle, Math.PI - meet, Math.PI / 2, n).slice(1),
    ];
  },
};

/** Poles of a profile lie on the axis: rounding may leave 1e-17 there. */
const closed = (profile: Profile): Profile => profile.map(([z, r], i) => [z, i === 0 ? 0 : r]);

function horizontalTank(head: keyof typeof heads, facets: number): SurfaceMesh {
  const [R, length, a] = [inches(54), inches(156), inches(42)];
  const left = closed(heads[head](R, a, facets));
  const right = [...left].reverse().map(([z, r]): readonly [number, number] => [length - z, r]);
  return laidAlongX(revolved([...left, ...right], 4 * facets));
}

function verticalTank(head: keyof typeof heads, facets: number): SurfaceMesh {
  const [R, a] = [inches(66), inches(33)];
  const bottom = closed(heads[head](R, a, facets));
  const low = bottom[0][0];
  return revolved([...bottom.map(([z, r]): readonly [number, number] => [z - low, r]), [inches(120), R]], 4 * facets);
}

const gallons = (shape: SurfaceMesh, level: number): number => fromSi(fuelBelow(fieldAt(shape), level).volume, 'US gal');

/** Holds the figure against print: the finest mesh's error is at most half the last step between meshes, and the steps fall by 4. */
function check(volume: (facets: number) => number, printed: number, places: number): void {
  const [coarse, middle, fine] = [volume(20), volume(40), volume(80)];
  const facetError = Math.abs(fine - middle) / 2;
  assertWithin(fine, printed, facetError + 0.5 * 10 ** -places, 1);
  // Richardson's step removes the second-order part: what remains is of the fourth order, and the facet that the level cuts.
  assertWithin(fine + (fine - middle) / 3, printed, 1e-6 * printed + 0.5 * 10 ** -places, 1);
  assertSecondOrder([coarse - printed, middle - printed, fine - printed]);
}

describe('horizontal, D 108 in, L 156 in, both heads alike, a 42 in', () => {
  test.each([
    ['conical', 36, 2041.1923581, 7],
    ['ellipsoidal', 36, 2380.9565416, 7],
    ['spherical', 36, 2303.9615117, 7],
    ['torispherical', 36, 2028.62667, 5],
    ['conical', 84, 6180.54, 2],
    ['ellipsoidal', 84, 7103.45, 2],
    ['spherical', 84, 6935.16, 2],
    ['torispherical', 84, 5939.9, 2],
  ] as const)('%s at %d in: %d US gal', (head, depth, printed, places) => {
    check((facets) => gallons(horizontalTank(head, facets), inches(depth - 54)), printed, places);
  });

  test.each([
    [36, 1931.7208029, 7],
    [84, 5954.11, 2],
  ])('slanted cone with its apex level with the tank top at %d in: %d US gal', (depth, printed, places) => {
    const R = inches(54);
    // Two slanted cones and the drum between them, each a tank of its own.
    check(
      (facets) => {
        const sides = 16 * facets;
        const drum = laidAlongX(
          revolved(
            [
              [0, R],
              [inches(156), R],
            ],
            sides,
          ),
        );
        const cone = obliqueCone(R, [0, R, inches(42)], sides);
        return gallons(drum, inches(depth - 54)) + 2 * gallons(laidAlongX(cone), inches(depth - 54));
      },
      printed,
      places,
    );
  });
});

describe('vertical, D 132 in, a 33 in, bottom head only', () => {
  test.each([
    ['conical', 24, 250.67461381, 8],
    ['ellipsoidal', 24, 783.35816817, 8],
    ['spherical', 24, 583.60183529, 8],
    ['torispherical', 24, 904.06882838, 8],
    ['conical', 60, 2251.18, 2],
    ['ellipsoidal', 60, 2902.83, 2],
    ['spherical', 60, 2658.46, 2],
    ['torispherical', 60, 3036.76, 2],
  ] as const)('%s at %d in: %d US gal', (head, depth, printed, places) => {
    check((facets) => gallons(verticalTank(head, facets), inches(depth)), printed, places);
  });

  test('inward cone, D 113 in, a −33 in, at 15 in: 251.15825566 US gal, a ring of fuel about the cone', () => {
    const R = inches(56.5);
    check(
      (facets) =>
        gallons(
          revolved(
            [
              [inches(33), 0],
              [0, R],
              [inches(60), R],
            ],
            16 * facets,
          ),
          inches(15),
        ),
      251.15825566,
      8,
    );
  });
});

describe('the polyhedra themselves, tilted, by clipping them', () => {
  test.each(Object.keys(heads) as (keyof typeof heads)[])('%s heads at 9 attitudes', (head) => {
    const shape = horizontalTank(head, 6);
    for (const pitch_deg of [-90, 17, 60]) {
      for (const roll_deg of [0, 90, 203]) {
        const field = fieldAt(shape, { pitch_deg, roll_deg, n: 1 });
        const level = field.originLevel + 0.3;
        const fuel = fuelBelow(field, level);
        const expected = clippedBelow(shape, field.up, level);
        assertWithin(fuel.volume, expected.volume, 1e-12);
        for (const axis of [0, 1, 2]) assertWithin(fuel.centroid[axis], expected.centroid[axis], 1e-12, field.solid.size);
      }
    }
  });
});
