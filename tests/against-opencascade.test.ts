/**
 * Volume and centroid of cut analytic solids against OpenCascade: the same solid, modelled there with its true curves, cut by a tilted
 * half-space, its properties by GProp. Flat-faced solids must agree to 1e-12; curved ones within the facets’ share, and within 1e-6 of the
 * capacity once the second-order part is removed from two meshes (what is left is the fourth order, and OpenCascade's own cut edges, held to
 * 1e-7 m).
 */
import type { Manifold, ManifoldToplevel } from 'manifold-3d';
import { describe, expect, test } from 'vitest';
import { makeField } from '../engine/basins/field.ts';
import { areHeldApart } from '../engine/fluid/settle.ts';
import { buildTankSolid, type SurfaceMesh, type TankSolid } from '../engine/mesh/tank-solid.ts';
import { measurePool, poolOfLevel } from '../engine/surface/pool.ts';
import type { Vector3 } from '../shared/vector.ts';
import { assertWithin } from './assert-within.ts';
import { type Judge, openCascade, type Shape } from './opencascade.ts';
import { manifoldKernel, randomUp, seeded, solidOf } from './random-solids.ts';
import { box, drum, revolved, wedge } from './shapes.ts';

const SEED = 20;
const kernel = await manifoldKernel();
const judge = await openCascade();

/** A shape as manifold-3d has it: corners are float32 there, so flat solids below keep theirs on a grid of 1/64. */
function manifoldOf({ Mesh, Manifold }: ManifoldToplevel, { positions, triangles }: SurfaceMesh): Manifold {
  return Manifold.ofMesh(new Mesh({ numProp: 3, vertProperties: Float32Array.from(positions), triVerts: triangles }));
}
const solid = (shape: SurfaceMesh): TankSolid => buildTankSolid(shape, 0);
const ofBox = (min: Vector3, max: Vector3): Manifold => manifoldOf(kernel, box(min, max));

/** All fuel below a level, and the same as a sum over the pools. */
function oursBelow(tank: TankSolid, up: Vector3, level: number) {
  const field = makeField(tank, up);
  const local = level - field.originLevel;
  const whole = measurePool(field, { arc: field.root, level: local });
  const pools = field.arcs.map((arc, i) =>
    arc.birth < local && (local < arc.death || arc.saddle < 0) && !areHeldApart(field, i) ? poolOfLevel(field, i, local).volume : 0,
  );
  assertWithin(
    pools.reduce((sum, volume) => sum + volume, 0),
    whole.volume,
    1e-12,
    tank.capacity,
  );
  return whole;
}

/** Seeded planes through a solid: direction, and level at a share of its height. */
function planes(tank: TankSolid, seed: number, count: number): { up: Vector3; level: number }[] {
  const random = seeded(seed);
  return Array.from({ length: count }, () => {
    const up = randomUp(random);
    const field = makeField(tank, up);
    const low = field.heights.reduce((a, b) => Math.min(a, b), Infinity);
    const high = field.heights.reduce((a, b) => Math.max(a, b), -Infinity);
    return { up, level: field.originLevel + low + (0.05 + 0.9 * random()) * (high - low) };
  });
}

/** In OpenCascade and here. */
type Pair = readonly [string, (oc: Judge) => Shape, () => TankSolid];
const uShape = (): Manifold => ofBox([0, 0, 0], [1, 0.5, 0.75]).subtract(ofBox([0.25, -1, 0.25], [0.75, 2, 2]));

const flat: readonly Pair[] = [
  ['box', (oc) => oc.box([-0.25, 0, 0.5], [1, 0.5, 1.25]), () => solid(box([-0.25, 0, 0.5], [1, 0.5, 1.25]))],
  [
    'wedge',
    (oc) =>
      oc.prismAlongY(
        [
          [0, 0],
          [1, 0.5],
          [0, 0.5],
        ],
        0.75,
      ),
    () => solid(wedge(1, 0.75, 0.5)),
  ],
  [
    'two boxes fused to an L',
    (oc) => oc.fuse(oc.box([0, 0, 0], [1, 0.5, 0.25]), oc.box([0, 0, 0], [0.25, 0.5, 1])),
    () => solidOf(ofBox([0, 0, 0], [1, 0.5, 0.25]).add(ofBox([0, 0, 0], [0.25, 0.5, 1]))),
  ],
  [
    'box with a slot: two basins',
    (oc) => oc.cut(oc.box([0, 0, 0], [1, 0.5, 0.75]), oc.box([0.25, -1, 0.25], [0.75, 2, 2])),
    () => solidOf(uShape()),
  ],
  [
    'the same slot with a baffle and a limber hole',
    (oc) =>
      oc.cut(
        oc.cut(oc.box([0, 0, 0], [1, 0.5, 0.75]), oc.box([0.25, 0, 0.25], [0.75, 0.5, 0.75])),
        oc.box([0.109375, 0.125, 0], [0.140625, 0.5, 0.5]),
      ),
    () => solidOf(uShape().subtract(ofBox([0.109375, 0.125, -1], [0.140625, 0.75, 0.5]))),
  ],
  [
    'box with a block hung in it (a cavity of the fuel space)',
    (oc) => oc.cut(oc.box([0, 0, 0], [1, 1, 1]), oc.box([0.25, 0.25, 0.375], [0.5, 0.75, 0.625])),
    () => solidOf(ofBox([0, 0, 0], [1, 1, 1]).subtract(ofBox([0.25, 0.25, 0.375], [0.5, 0.75, 0.625]))),
  ],
];

const CUTS_FLAT = 6;
let cuts = 0;
let worstFlat = 0;
describe(`flat faces, ${CUTS_FLAT} cuts each, from seed ${SEED}`, () => {
  test.each(flat)('%s', (_name, there, here) => {
    const shape = there(judge);
    const tank = here();
    for (const { up, level } of planes(tank, SEED, CUTS_FLAT)) {
      const expected = judge.below(shape, up, level);
      const got = oursBelow(tank, up, level);
      assertWithin(got.volume, expected.volume, 1e-12);
      for (const axis of [0, 1, 2]) assertWithin(got.centroid[axis], expected.centroid[axis], 1e-12, tank.size);
      worstFlat = Math.max(worstFlat, Math.abs(got.volume / expected.volume - 1));
      cuts++;
    }
  });
});

/** A ring about Z, `sides` round the axis and half as many round the tube. */
function ring(major: number, minor: number, sides: number): SurfaceMesh {
  const around = sides / 2;
  const positions: number[] = [];
  const triangles: number[] = [];
  for (let i = 0; i < sides; i++) {
    for (let j = 0; j < around; j++) {
      const [a, b] = [(2 * Math.PI * i) / sides, (2 * Math.PI * j) / around];
      const r = major + minor * Math.cos(b);
      positions.push(r * Math.cos(a), r * Math.sin(a), minor * Math.sin(b));
      const [p, q] = [i * around, ((i + 1) % sides) * around];
      const k = (j + 1) % around;
      triangles.push(p + j, q + j, q + k, p + j, q + k, p + k);
    }
  }
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
}
const ball = (radius: number, sides: number): SurfaceMesh =>
  revolved(
    Array.from({ length: sides / 2 + 1 }, (_, i): [number, number] => {
      const angle = (2 * Math.PI * i) / sides;
      return [-radius * Math.cos(angle), i === 0 || i === sides / 2 ? 0 : radius * Math.sin(angle)];
    }),
    sides,
  );

type CurvedPair = readonly [string, (oc: Judge) => Shape, (sides: number) => TankSolid];
const curved: readonly CurvedPair[] = [
  ['cylinder', (oc) => oc.cylinder([0, 0, -0.5], [0, 0, 1], 0.5, 1.25), (n) => solid(drum(0.5, -0.5, 0.75, n))],
  [
    'cone',
    (oc) => oc.cone(0, 0.5, 0.75),
    (n) =>
      solid(
        revolved(
          [
            [0, 0],
            [0.75, 0.5],
          ],
          n,
        ),
      ),
  ],
  [
    'cone frustum',
    (oc) => oc.cone(0.5, 0.25, 0.75),
    (n) =>
      solid(
        revolved(
          [
            [0, 0.5],
            [0.75, 0.25],
          ],
          n,
        ),
      ),
  ],
  ['sphere', (oc) => oc.sphere([0, 0, 0], 0.5), (n) => solid(ball(0.5, n))],
  ['torus', (oc) => oc.torus(0.5, 0.25), (n) => solid(ring(0.5, 0.25, n))],
  [
    'cylinder with a box slot',
    (oc) => oc.cut(oc.cylinder([0, 0, -0.5], [0, 0, 1], 0.5, 1.25), oc.box([-0.125, -1, -0.25], [0.125, 1, 1])),
    (n) => solidOf(manifoldOf(kernel, drum(0.5, -0.5, 0.75, n)).subtract(ofBox([-0.125, -1, -0.25], [0.125, 1, 1]))),
  ],
  [
    'box with a half ball taken out of its floor',
    (oc) => oc.cut(oc.box([-0.75, -0.75, 0], [0.75, 0.75, 0.75]), oc.sphere([0, 0, 0], 0.5)),
    (n) => solidOf(ofBox([-0.75, -0.75, 0], [0.75, 0.75, 0.75]).subtract(manifoldOf(kernel, ball(0.5, n)))),
  ],
  [
    'box and cylinder fused: a sump under a tank',
    (oc) => oc.fuse(oc.box([-0.75, -0.5, 0], [0.75, 0.5, 0.5]), oc.cylinder([0, 0, -0.25], [0, 0, 1], 0.25, 0.5)),
    (n) => solidOf(ofBox([-0.75, -0.5, 0], [0.75, 0.5, 0.5]).add(manifoldOf(kernel, drum(0.25, -0.25, 0.25, n)))),
  ],
];

const CUTS_CURVED = 4;
const SIDES = 192;
let worstCurved = 0;
describe(`curved faces, ${CUTS_CURVED} cuts each, from seed ${SEED}`, () => {
  test.each(curved)('%s', (_name, there, here) => {
    const shape = there(judge);
    const coarse = here(SIDES / 2);
    const fine = here(SIDES);
    // Every chord lies within a sagitta of its arc, no arc's radius is above 0.75 m, and an arc runs each way.
    const facetError = 2 * 0.75 * (1 - Math.cos(Math.PI / (SIDES / 2))) * fine.wallArea;
    for (const { up, level } of planes(fine, SEED + 1, CUTS_CURVED)) {
      const expected = judge.below(shape, up, level);
      const [rough, got] = [oursBelow(coarse, up, level), oursBelow(fine, up, level)];
      assertWithin(got.volume, expected.volume, facetError, 1);
      const exact = got.volume + (got.volume - rough.volume) / 3;
      assertWithin(exact, expected.volume, 1e-6, fine.capacity);
      for (const axis of [0, 1, 2]) {
        const centroid = got.centroid[axis] + (got.centroid[axis] - rough.centroid[axis]) / 3;
        assertWithin(centroid, expected.centroid[axis], 2e-6, fine.size);
      }
      worstCurved = Math.max(worstCurved, Math.abs(exact - expected.volume) / fine.capacity);
      cuts++;
    }
  });
});

test('at least 40 cuts were judged', () => {
  console.log(`${cuts} cuts: flat within ${worstFlat.toExponential(1)}, curved within ${worstCurved.toExponential(1)} of the capacity`);
  expect(cuts).toBeGreaterThanOrEqual(40);
});
