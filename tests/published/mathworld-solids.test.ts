/**
 * Sphere cap, frusta, prismatoids, cylindrical hoofs and wedges, tetrahedra.
 * Sources beside each; "worked out here" where the source prints a formula and no figure.
 */
import { describe, test } from 'vitest';
import { buildTankSolid } from '../../engine/mesh/tank-solid.ts';
import { assertSecondOrder, assertWithin } from '../assert-within.ts';
import { drum, rectangularFrustum, revolved } from '../shapes.ts';
import { AT_REST, clippedBelow, fieldAt, fuelBelow } from '../tank.ts';

/** What a sum of a few doubles keeps: for bodies whose corners are exact. */
const CLOSED_FORM = 1e-13;
/** For printed figures: half their last place. */
const printedTo = (places: number): number => 0.5 * 10 ** -places;

const degrees = (angle: number): number => (angle * 180) / Math.PI;

describe('sphere cap, πh²(3R − h)/3: encycl.opentopia.com Spherical_cap; value for D = 1, h = 0.7 from the manual of an open fluid-mechanics library', () => {
  const R = 0.5;
  const h = 0.7;
  const published = 0.4105014400690663;
  const ball = (stacks: number) =>
    revolved(
      Array.from({ length: stacks + 1 }, (_, i): [number, number] => {
        const angle = (Math.PI * i) / stacks;
        return i === 0 || i === stacks ? [i === 0 ? -R : R, 0] : [-R * Math.cos(angle), R * Math.sin(angle)];
      }),
      2 * stacks,
    );
  const level = h - R;

  test('the smooth value within the facets’ share', () => {
    const stacks = 400;
    const fuel = fuelBelow(fieldAt(ball(stacks)), level);
    // Wetted wall 2πRh times the two sagittas, R(1 − cos δ/2) each way.
    const sagitta = R * (1 - Math.cos(Math.PI / (2 * stacks)));
    assertWithin(fuel.volume, published, 2 * Math.PI * R * h * 2 * sagitta, 1);
    // Centroid 3(2R − h)²/(4(3R − h)) from the centre (any mechanics handbook, from memory; for the cap on the bottom, downward).
    assertWithin(fuel.centroid[2], (-3 * (2 * R - h) ** 2) / (4 * (3 * R - h)), 1e-4);
  });
  test('second order', () => assertSecondOrder([64, 128, 256].map((stacks) => published - fuelBelow(fieldAt(ball(stacks)), level).volume)));
  test.each([
    [0, 0],
    [37, 0],
    [0, 145],
    [-90, 0],
    [12, -71],
  ])('the polyhedron itself at pitch %d°, roll %d°, by clipping it', (pitch_deg, roll_deg) => {
    const shape = ball(20);
    const field = fieldAt(shape, { pitch_deg, roll_deg, n: 1 });
    const fuel = fuelBelow(field, level);
    const expected = clippedBelow(shape, field.up, level);
    assertWithin(fuel.volume, expected.volume, CLOSED_FORM);
    for (const axis of [0, 1, 2]) assertWithin(fuel.centroid[axis], expected.centroid[axis], CLOSED_FORM, 1);
  });
});

describe('frustum h(A1 + A2 + √(A1A2))/3: MathWorld PyramidalFrustum, rows worked out here', () => {
  test('4×4 to 2×2, h = 3: volume 28, centroid 1.178571 up (eq. 3)', () => {
    const fuel = fuelBelow(fieldAt(rectangularFrustum([4, 4], [2, 2], 3)), 3);
    assertWithin(fuel.volume, 28, CLOSED_FORM);
    assertWithin(fuel.centroid[2], 33 / 28, CLOSED_FORM);
    assertWithin(fuel.centroid[2], 1.178571, printedTo(6), 1);
  });
  test('the same, filled to 1.2: sides 3.2 at the surface', () => {
    const fuel = fuelBelow(fieldAt(rectangularFrustum([4, 4], [2, 2], 3)), 1.2);
    assertWithin(fuel.surface, 3.2 ** 2, CLOSED_FORM);
    assertWithin(fuel.volume, (1.2 * (16 + 3.2 ** 2 + 4 * 3.2)) / 3, CLOSED_FORM);
  });
  test('cone, r 3 to 2, h = 4: 79.587014', () => {
    const sides = 8192;
    const cone = (n: number) =>
      revolved(
        [
          [0, 3],
          [4, 2],
        ],
        n,
      );
    // A regular polygon holds sin δ/δ ≈ 1 − δ²/6 of its circle's area, at every height alike.
    assertWithin(fuelBelow(fieldAt(cone(sides)), 4).volume, 79.587014, printedTo(6) + (79.6 * ((2 * Math.PI) / sides) ** 2) / 6, 1);
    const share = (n: number): number => Math.sin((2 * Math.PI) / n) / ((2 * Math.PI) / n);
    for (const n of [5, 12, 360]) assertWithin(fuelBelow(fieldAt(cone(n)), 4).volume, ((76 * Math.PI) / 3) * share(n), CLOSED_FORM);
  });
});

describe('prismatoid h(A1 + 4Am + A2)/6: CRC Concise Encyclopedia of Mathematics p. 643 (definition), formula from memory, rows worked out here', () => {
  test.each([
    [[10, 6], [4, 2], 9, 270],
    [[6, 4], [3, 2], 5, 70],
  ] as const)('%j to %j, h = %d holds %d', (bottom, top, height, volume) => {
    assertWithin(fuelBelow(fieldAt(rectangularFrustum(bottom, top, height)), height).volume, volume, CLOSED_FORM);
    // Inverted the same space is full at the level of its own new top.
    assertWithin(fuelBelow(fieldAt(rectangularFrustum(bottom, top, height), { ...AT_REST, n: -1 }), 0).volume, volume, CLOSED_FORM);
  });
});

describe('cylindrical hoof: MathWorld CylindricalWedge eq. 10, V = (2/3) r² h; centroid by integration here', () => {
  const hoof = (r: number, h: number, sides: number) => {
    const shape = drum(r, 0, 1.5 * h, sides);
    const field = fieldAt(shape, { pitch_deg: degrees(Math.atan(h / r)), roll_deg: 0, n: 1 });
    return { fuel: fuelBelow(field, 0), shape, field };
  };
  test.each([
    [1, 1, 2 / 3],
    [3, 5, 30],
    [12, 7.5, 720],
  ])('r = %d, h = %d: %d', (r, h, volume) => {
    const sides = 4096;
    const { fuel } = hoof(r, h, sides);
    const sagitta = r * (1 - Math.cos(Math.PI / sides));
    assertWithin(fuel.volume, volume, (2 * r * h * sagitta) / volume); // wetted wall 2rh times the sagitta
    assertWithin(fuel.centroid[0], (3 * Math.PI * r) / 16, 1e-5);
    assertWithin(fuel.centroid[2], (3 * Math.PI * h) / 32, 1e-5);
    assertWithin(fuel.centroid[1], 0, 1e-12, r);
    assertSecondOrder([128, 256, 512].map((n) => volume - hoof(r, h, n).fuel.volume));
    const coarse = hoof(r, h, 24);
    assertWithin(coarse.fuel.volume, clippedBelow(coarse.shape, coarse.field.up, 0).volume, CLOSED_FORM);
  });
});

describe('cylindrical wedge: MathWorld eq. 9, hR²(3 sin φ − 3φ cos φ − sin³φ)/(3(1 − cos φ)), R = h = 1, rows worked out here', () => {
  const wedgeOf = (phi: number, sides: number): number => {
    const rise = 1 / (1 - Math.cos(phi));
    const field = fieldAt(drum(1, 0, 1.25, sides), { pitch_deg: degrees(Math.atan(rise)), roll_deg: 0, n: 1 });
    return fuelBelow(field, Math.cos(phi) * field.up[0]).volume; // the surface meets the floor at x = R cos φ
  };
  test.each([
    [60, 0.2518406],
    [90, 0.6666667],
    [120, 1.1311444],
    [180, Math.PI / 2],
  ])('φ = %d°: %d', (phi_deg, volume) => {
    const phi = (phi_deg * Math.PI) / 180;
    const sides = 6144; // a multiple of 12, so that the chord's ends are corners
    const smooth = (3 * Math.sin(phi) - 3 * phi * Math.cos(phi) - Math.sin(phi) ** 3) / (3 * (1 - Math.cos(phi)));
    assertWithin(smooth, volume, printedTo(7), 1);
    // Wetted wall at most 2φ·R·h, times the sagitta.
    assertWithin(wedgeOf(phi, sides), smooth, 2 * phi * (1 - Math.cos(Math.PI / sides)), 1);
    assertSecondOrder([192, 384, 768].map((n) => smooth - wedgeOf(phi, n)));
  });
});

describe('tetrahedra', () => {
  const faces = Uint32Array.of(0, 2, 1, 0, 1, 3, 1, 2, 3, 0, 3, 2);
  test('F. Tonon, J. Math. Stat. 1(1) 8–11, 2005: centroid 15.92492, 0.78281, 3.72962; volume worked out here', () => {
    const corners = Float64Array.of(8.3322, -11.86875, 0.93355, 0.75523, 5, 16.37072, 52.61236, 5, -5.3858, 2, 5, 3);
    const turned = buildTankSolid({ positions: corners, triangles: faces }, 0).capacity > 0 ? faces : faces.slice().reverse();
    const shape = { positions: corners, triangles: turned };
    for (const n of [1, -1]) {
      const field = fieldAt(shape, { ...AT_REST, n });
      const fuel = fuelBelow(field, 20);
      assertWithin(fuel.volume, 1873.23336, printedTo(5), 1);
      for (const axis of [0, 1, 2]) {
        // The paper's x is 2.75 units of its last place below the mean of its own printed corners, (8.3322 + 0.75523 + 52.61236 + 2) / 4.
        assertWithin(fuel.centroid[axis], [15.92492, 0.78281, 3.72962][axis], axis === 0 ? 2.76e-5 : printedTo(5), 1);
        assertWithin(fuel.centroid[axis], [15.9249475, 0.7828125, 3.7296175][axis], CLOSED_FORM, 50);
      }
    }
  });
  test('unit corner: 1/6 (mjoldfield.com/atelier/2011/03/tetra-moi.html); the part below z: (1 − (1 − z)³)/6', () => {
    const field = fieldAt({ positions: Float64Array.of(0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1), triangles: faces });
    assertWithin(fuelBelow(field, 1).volume, 1 / 6, CLOSED_FORM);
    for (const z of [1e-3, 0.1, 0.5, 0.99]) assertWithin(fuelBelow(field, z).volume, (1 - (1 - z) ** 3) / 6, 1e-12);
    for (const axis of [0, 1, 2]) assertWithin(fuelBelow(field, 1).centroid[axis], 0.25, CLOSED_FORM);
  });
});
