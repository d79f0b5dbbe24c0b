/** Shares of the floor whose water ends at each low point: by hand, and by traced drops (water-path.test.ts holds those against an outside descent). */
import { describe, expect, test } from 'vitest';
import { catchmentShares, catchments } from '../../engine/basins/catchment.ts';
import { lowPoints, makeField } from '../../engine/basins/field.ts';
import { waterPath } from '../../engine/basins/water-path.ts';
import { buildTankSolid } from '../../engine/mesh/tank-solid.ts';
import { benchWingTank } from '../../sample-geometry/low-wing-solids.ts';
import { dot, normalize, type Vector3 } from '../../shared/vector.ts';
import { manifoldKernel, randomSolid, randomUp, seeded, solidOf } from '../random-solids.ts';
import { box } from '../shapes.ts';
import { dropsOnFloor, floorSolid, floorTank, sharesByPlace, turnAbout } from './water-shapes.ts';

const UP: Vector3 = [0, 0, 1];
const total = (shares: Float64Array): number => shares.reduce((a, b) => a + b, 0);
/** Share of the low points for which `at` holds. */
const shareWhere = (field: ReturnType<typeof makeField>, where: (at: Vector3) => boolean): number =>
  sharesByPlace(field, catchmentShares(field)).reduce((sum, { at, share }) => (where(at) ? sum + share : sum), 0);

describe('catchmentShares, by hand', () => {
  const ridged = (ridge: number) => floorSolid([0, ridge, 1], [0, 1], (x) => (x === ridge ? 0.25 : 0), 1);

  test('box floor with a ridge across the middle: half and half', () => {
    const field = makeField(ridged(0.5), UP);
    expect(lowPoints(field)).toHaveLength(2);
    expect(shareWhere(field, (at) => at[0] < 0.5)).toBeCloseTo(0.5, 14);
    expect(total(catchmentShares(field))).toBeCloseTo(1, 14);
  });

  test('ridge at a quarter, rolled: slopes and the wall that turned into floor, each by its projected width', () => {
    const turn = (5 * Math.PI) / 180;
    const [s, c] = [Math.sin(turn), Math.cos(turn)];
    const field = makeField(ridged(0.25), [s, 0, c]);
    // Along the level direction (c, 0, −s): the left slope spans 0.25·c − 0.25·s, the wall x = 0 (1 m high) s, the right slope 0.75·c + 0.25·s.
    const left = (0.25 * c - 0.25 * s + s) / (c + s);
    expect(shareWhere(field, (at) => at[0] < 0.25)).toBeCloseTo(left, 14);
    expect(shareWhere(field, (at) => at[0] > 0.25)).toBeCloseTo(1 - left, 14);
  });

  test('pyramid floor with a well in each corner: the four rectangles about its top', () => {
    const field = makeField(
      floorSolid([0, 0.25, 1], [0, 0.375, 1], (x, y) => 1 - Math.abs(x - 0.25) - Math.abs(y - 0.375), 2),
      UP,
    );
    expect(lowPoints(field)).toHaveLength(4);
    for (const [x, width] of [
      [0, 0.25],
      [1, 0.75],
    ]) {
      for (const [y, depth] of [
        [0, 0.375],
        [1, 0.625],
      ])
        expect(shareWhere(field, (at) => at[0] === x && at[1] === y)).toBeCloseTo(width * depth, 14);
    }
  });

  test('cone in a drum, point up: all of it ends in the one ring about it; point down: in the point', async () => {
    const { Manifold } = await manifoldKernel();
    const cone = Manifold.cylinder(0.3, 0.5, 0, 24);
    for (const tank of [Manifold.cylinder(1, 0.75, 0.75, 24).subtract(cone), cone.rotate([180, 0, 0])]) {
      const field = makeField(solidOf(tank), UP);
      expect([...catchmentShares(field)].filter((share) => share > 0)).toEqual([1]);
    }
  });

  /** A shelf's water over a floor with a ridge at x = 0.375: floor 1 m², left 0.375. */
  const shelved = async (profile: [number, number][], place: (shelf: import('manifold-3d').Manifold) => import('manifold-3d').Manifold) => {
    const { Manifold } = await manifoldKernel();
    const tank = floorTank([0, 0.375, 1], [0, 1], (x) => (x === 0.375 ? 0.125 : 0), 1);
    const { Mesh, CrossSection } = await manifoldKernel();
    const solid = Manifold.ofMesh(new Mesh({ numProp: 3, vertProperties: Float32Array.from(tank.positions), triVerts: tank.triangles }));
    return solidOf(solid.subtract(place(CrossSection.ofPolygons([profile]).extrude(0.5))));
  };

  test('gabled roof within a tank: each side drips on the floor on its own side', async () => {
    // In (x, z): eaves at 0.25 and 0.75, top at 0.5, level underside; from y = 0.25 to 0.75 (extruded along y).
    const solid = await shelved(
      [
        [0.25, 0.5],
        [0.75, 0.5],
        [0.5, 0.75],
      ],
      (shelf) => shelf.rotate([90, 0, 0]).translate([0, 0.75, 0]),
    );
    const field = makeField(solid, UP);
    // Roof in plan: 0.5 × 0.5 m, half to each side. The floor's ridge is at 0.375: the left eave drips left of it, the right one right.
    expect(shareWhere(field, (at) => at[0] < 0.3)).toBeCloseTo((0.375 + 0.125) / 1.25, 12);
    expect(total(catchmentShares(field))).toBeCloseTo(1, 14);
  });

  test('sloping shelf whose lip passes over a ridge: its water is split where the lip crosses the ridge', async () => {
    // In (y, z), extruded along x from 0.25 to 0.75: the top falls from y = 0.25 to a lip at y = 0.75, the underside is parallel to it.
    const solid = await shelved(
      [
        [0.25, 0.75],
        [0.25, 0.6875],
        [0.75, 0.5625],
        [0.75, 0.625],
      ],
      (shelf) => shelf.transform([0, 1, 0, 0, 0, 0, 1, 0, 1, 0, 0, 0, 0.25, 0, 0, 1]),
    );
    const field = makeField(solid, UP);
    // Of the lip's 0.5 m, 0.125 m lies left of the ridge: that strip of the shelf, 0.5 m deep, goes left.
    expect(shareWhere(field, (at) => at[0] < 0.3)).toBeCloseTo((0.375 + 0.125 * 0.5) / 1.25, 12);
  });

  test('level floor: one low point, all of it; upside down the roof is the floor', () => {
    for (const up of [UP, [0, 0, -1]] as Vector3[])
      expect([...catchmentShares(makeField(buildTankSolid(box([0, 0, 0], [2, 1, 1]), 0), up))].filter((share) => share > 0)).toEqual([1]);
  });
});

/** Traced drops against shares: each a binomial count, within 4 standard deviations (and 3 drops, where a share is too small for them). */
function expectTraced(field: ReturnType<typeof makeField>, drops: number, random: () => number): void {
  const shares = catchmentShares(field);
  const counts = new Float64Array(shares.length);
  for (const drop of dropsOnFloor(field, drops, random)) {
    const path = waterPath(field, drop)!;
    counts[path.endsAt]++;
    const heights = path.points.map((point) => dot(point, field.up));
    const rise = Math.max(...heights.slice(1).map((height, i) => height - heights[i]), 0);
    expect(rise).toBeLessThan(field.tolerance.depth + 1e-9);
  }
  shares.forEach((share, arc) => {
    const sigma = Math.sqrt((share * (1 - share)) / drops);
    expect(Math.abs(counts[arc] / drops - share), `arc ${arc}: share ${share}`).toBeLessThan(4 * sigma + 3 / drops);
  });
}

const SOLIDS = Number(process.env['LOWPOINT_SOLIDS'] ?? 40);
const SEED = Number(process.env['LOWPOINT_SEED'] ?? 1);

describe(`catchmentShares, ${SOLIDS} random solids from seed ${SEED}`, () => {
  test('shares add to 1, belong to low points, and agree with 2,000 traced drops', async () => {
    const kernel = await manifoldKernel();
    for (let seed = SEED; seed < SEED + SOLIDS; seed++) {
      const manifold = randomSolid(kernel, seed);
      const solid = solidOf(manifold);
      manifold.delete();
      const random = seeded(seed + 200_000);
      const field = makeField(solid, randomUp(random));
      const { shares, assigned } = catchments(field);
      expect(total(shares)).toBeCloseTo(1, 12);
      expect(assigned).toBeLessThan(1e-6);
      shares.forEach((share, arc) => {
        if (field.arcs[arc].children.length > 0) expect(share).toBe(0);
        else expect(share).toBeGreaterThanOrEqual(0);
      });
      expectTraced(field, 2000, random);
    }
  });

  test('solids 4, 44, 193 and 295: faces that drain in a circle are closed without a rule', async () => {
    const kernel = await manifoldKernel();
    for (const [seed, turn] of [
      [4, 0],
      [44, 3],
      [193, 1],
      [295, 3],
    ]) {
      const manifold = randomSolid(kernel, seed);
      const solid = solidOf(manifold);
      manifold.delete();
      const random = seeded(seed + 9);
      for (let k = 0; k < turn; k++) randomUp(random);
      const field = makeField(solid, randomUp(random));
      const { shares, assigned } = catchments(field);
      expect(total(shares)).toBeCloseTo(1, 12);
      expect(assigned).toBe(0);
      expectTraced(field, 4000, random);
    }
  });

  test('solids that broke it: drops on a saddle, on the line between strips, at the level of a weir, on touching walls, at hanging corners', async () => {
    const kernel = await manifoldKernel();
    for (const [seed, base] of [
      [3013, 200_000], // steepest both ways from a saddle that a valley runs into
      [3381, 200_000],
      [3381, 300_000], // a gutter that meets the line between two strips
      [3166, 200_000], // a corner as high as the saddle
      [3374, 200_000], // a wall of no thickness: floor and overhang in one place
      [3046, 200_000], // corners over fuel whose normal points into a wall
      [3149, 300_000],
      [3246, 200_000],
      [3478, 300_000],
    ]) {
      const manifold = randomSolid(kernel, seed);
      const solid = solidOf(manifold);
      manifold.delete();
      const random = seeded(seed + base);
      const field = makeField(solid, randomUp(random));
      expect(total(catchmentShares(field))).toBeCloseTo(1, 12);
      expectTraced(field, 2000, random);
    }
  });

  test('the tank and gravity turned together: the same shares', async () => {
    const kernel = await manifoldKernel();
    for (let seed = SEED + 500; seed < SEED + 500 + SOLIDS / 2; seed++) {
      const manifold = randomSolid(kernel, seed);
      const { positions, triangles } = solidOf(manifold);
      manifold.delete();
      const random = seeded(seed);
      // A general direction: where levels tie, rounding would choose for us.
      const up = normalize([random() - 0.5, random() - 0.5, random() - 0.5]);
      const turn = turnAbout(normalize([random() - 0.5, random() - 0.5, random() - 0.5]), 6 * random());
      const turned = positions.slice();
      for (let p = 0; p < turned.length; p += 3) turned.set(turn([positions[p], positions[p + 1], positions[p + 2]]), p);
      const before = makeField(buildTankSolid({ positions, triangles }, 0), up);
      const after = makeField(buildTankSolid({ positions: turned, triangles }, 0), turn(up));
      if (before.doubts + after.doubts > 0) continue; // walls that cross by rounding (solid 1524): which pool a corner hangs over is a matter of rounding
      const byVertex = (field: typeof before): Map<number, number> =>
        new Map([...catchmentShares(field)].flatMap((share, arc) => (share > 1e-9 ? [[field.arcs[arc].lowest, share]] : [])));
      const [a, b] = [byVertex(before), byVertex(after)];
      expect([...b.keys()].sort()).toEqual([...a.keys()].sort());
      for (const [vertex, share] of a) expect(b.get(vertex)).toBeCloseTo(share, 9);
    }
  });
});

test('catchmentShares: ribbed wing tank of 2,000 triangles on four slopes against 2,000 traced drops each', async () => {
  const solid = buildTankSolid(await benchWingTank(2000), 1e-4);
  const random = seeded(7);
  for (const up of [UP, [0.05, 0.03, 1], [-0.06, -0.04, 1], [0.02, -0.08, 1]] as Vector3[]) {
    const field = makeField(solid, normalize(up));
    expect(lowPoints(field).length).toBeGreaterThan(5);
    expectTraced(field, 2000, random);
  }
});
