import { describe, expect, test } from 'vitest';
import { loadCase } from '../../engine/case/load-case.ts';
import { readCase } from '../../engine/case/read-case.ts';
import { checkAnswer } from '../../engine/studies/check.ts';
import { facetShare, shapeTank } from './shape-tank.ts';

/** A rectangle about the middle. */
const rectangle = (a: number, b: number): [number, number][] => [
  [-a / 2, -b / 2],
  [a / 2, -b / 2],
  [a / 2, b / 2],
  [-a / 2, b / 2],
];
const loft = (low: [number, number], high: [number, number], h: number, axis = 'z') => ({
  kind: 'loft',
  axis,
  outlines: [
    { at_m: 0, points_m: rectangle(...low) },
    { at_m: h, points_m: rectangle(...high) },
  ],
});

describe('loft: closed forms', () => {
  test.each<[string, object, number]>([
    ['G27 frustum 4×4 to 2×2, h 3: h(A1 + A2 + √(A1·A2))/3', loft([4, 4], [2, 2], 3), 28],
    ['G29 prismatoid 10×6 to 4×2, h 9: h(A1 + 4Am + A2)/6', loft([10, 6], [4, 2], 9), 270],
    ['G29 prismatoid 6×4 to 3×2, h 5', loft([6, 4], [3, 2], 5), 70],
    ['the same along X', loft([6, 4], [3, 2], 5, 'x'), 70],
    ['the same along Y', loft([6, 4], [3, 2], 5, 'y'), 70],
  ])('%s', async (_, shape, volume) => {
    const { solid } = await shapeTank(shape);
    expect(Math.abs(solid.capacity / volume - 1)).toBeLessThan(1e-12);
  });
  test('G27 cone frustum of radii 3 and 2, h 4, by outlines of 360 points: 79.587014 less the polygon’s share', async () => {
    const ring = (r: number) =>
      Array.from({ length: 360 }, (_, i): [number, number] => [r * Math.cos((i * Math.PI) / 180), r * Math.sin((i * Math.PI) / 180)]);
    const { solid } = await shapeTank({
      kind: 'loft',
      axis: 'z',
      outlines: [
        { at_m: 0, points_m: ring(3) },
        { at_m: 4, points_m: ring(2) },
      ],
    });
    expect(Math.abs(solid.capacity / ((79.587014 * Math.sin(Math.PI / 180)) / (Math.PI / 180)) - 1)).toBeLessThan(1e-7);
  });
  test('G28 centroid height of the frustum', async () => {
    const { solid } = await shapeTank(loft([4, 4], [2, 2], 3));
    let moment = 0;
    for (let t = 0; t < solid.triangles.length; t += 3) {
      const [a, b, c] = [0, 1, 2].map((k) =>
        Array.from(solid.positions.subarray(3 * solid.triangles[t + k]!, 3 * solid.triangles[t + k]! + 3), (x, i) => x + solid.origin[i]!),
      );
      const six =
        a![0]! * (b![1]! * c![2]! - b![2]! * c![1]!) +
        a![1]! * (b![2]! * c![0]! - b![0]! * c![2]!) +
        a![2]! * (b![0]! * c![1]! - b![1]! * c![0]!);
      moment += (six / 24) * (a![2]! + b![2]! + c![2]!);
    }
    expect(moment / solid.capacity).toBeCloseTo(1.178571, 6);
  });
  test('a square twisted by 30°: the ruled body, to the chord error', async () => {
    const [c, s] = [Math.cos(Math.PI / 6), Math.sin(Math.PI / 6)];
    const turned = rectangle(1, 1).map(([x, y]): [number, number] => [c * x - s * y, s * x + c * y]);
    for (const chordError_m of [0.002, 0.0002]) {
      const tank = await shapeTank({
        kind: 'loft',
        axis: 'z',
        outlines: [
          { at_m: 0, points_m: rectangle(1, 1) },
          { at_m: 1, points_m: turned },
        ],
        chordError_m,
      });
      // The section half way is a square too, cos(15°) of the side; areas between run as a quadratic.
      const exact = (1 + 4 * Math.cos(Math.PI / 12) ** 2 + 1) / 6;
      expect(Math.abs(tank.solid.capacity - exact)).toBeLessThan(facetShare(tank, chordError_m));
    }
  });
  test('listed the other way round, it is the same body', async () => {
    const shape = loft([6, 4], [3, 2], 5);
    for (const outline of shape.outlines) outline.points_m.reverse();
    expect((await shapeTank(shape)).solid.capacity).toBeCloseTo(70, 9);
  });
});

const [A, B, H] = [0.4, 0.3, 0.1];
const corner = (radius_m = 0) => rectangle(A, B).map(([x_m, y_m]) => ({ x_m, y_m, radius_m }));
const collector = { kind: 'collector', corners: corner(), height_m: H };
const tan = (deg: number): number => Math.tan((deg * Math.PI) / 180);

describe('collector: closed forms', () => {
  test.each<[string, object, number]>([
    ['a plain box', {}, A * B * H],
    ['corners in the other order', { corners: corner().reverse() }, A * B * H],
    [
      'an L in plan',
      {
        corners: [
          [0, 0],
          [0.4, 0],
          [0.4, 0.1],
          [0.2, 0.1],
          [0.2, 0.3],
          [0, 0.3],
        ].map(([x_m, y_m]) => ({ x_m, y_m })),
      },
      0.08 * H,
    ],
    ['a floor that falls to the front', { lowPoint: { kind: 'front' }, floorAlong_deg: 3 }, A * B * (H - (A / 2) * tan(3))],
    ['a floor that falls to the rear', { lowPoint: { kind: 'rear' }, floorAlong_deg: 3 }, A * B * (H - (A / 2) * tan(3))],
    ['to both ends', { lowPoint: { kind: 'bothEnds' }, floorAlong_deg: 3 }, A * B * (H - (A / 4) * tan(3))],
    ['to the centre, along and across', { floorAlong_deg: 3, floorAcross_deg: 5 }, A * B * (H - (A / 4) * tan(3) - (B / 4) * tan(5))],
    [
      'to a place of its own',
      { lowPoint: { kind: 'at', x_m: 0.1, y_m: -0.05 }, floorAlong_deg: 3, floorAcross_deg: 5 },
      A * B * H - ((B * (0.3 ** 2 + 0.1 ** 2)) / 2) * tan(3) - ((A * (0.1 ** 2 + 0.2 ** 2)) / 2) * tan(5),
    ],
    ['a sloped lid through the middle', { lidAlong_deg: 4, lidAcross_deg: -6 }, A * B * H],
    // A frustum of a pyramid's kind: prismatoid of the plan and the smaller floor.
    [
      'drafted walls',
      { draft_deg: 5 },
      (H / 6) * (A * B + 4 * (A - H * tan(5)) * (B - H * tan(5)) + (A - 2 * H * tan(5)) * (B - 2 * H * tan(5))),
    ],
  ])('%s', async (_, more, volume) => {
    const { solid, repairs } = await shapeTank({ ...collector, ...more });
    expect(Math.abs(solid.capacity / volume - 1)).toBeLessThan(2e-6);
    expect(repairs).toEqual([]);
    expect(solid.min[2]).toBeCloseTo(0, 6);
  });
  test('the lid rises aft and to the right where its slopes are positive', async () => {
    for (const [key, axis] of [
      ['lidAlong_deg', 0],
      ['lidAcross_deg', 1],
    ] as const) {
      for (const slope of [4, -4]) {
        const { solid } = await shapeTank({ ...collector, [key]: slope });
        let top = 0;
        for (let p = 0; p < solid.positions.length; p += 3) if (solid.positions[p + 2]! > solid.positions[top + 2]!) top = p;
        expect(Math.sign(solid.positions[top + axis]! + solid.origin[axis])).toBe(Math.sign(slope));
        expect(solid.max[2]).toBeCloseTo(H + ([A, B][axis]! / 2) * tan(4), 6);
      }
    }
  });
  test('drafted walls lean out upward', async () => {
    const { solid } = await shapeTank({ ...collector, draft_deg: 5 });
    const floor = Array.from({ length: solid.positions.length / 3 }, (_, i) => i).filter(
      (i) => solid.positions[3 * i + 2]! + solid.origin[2] < 0.001,
    );
    expect(Math.max(...floor.map((i) => solid.positions[3 * i]! + solid.origin[0]))).toBeCloseTo(A / 2 - H * tan(5), 6);
    expect(solid.max[0]).toBeCloseTo(A / 2, 6);
  });
  test('rounded corners take (4 − π)·r² from the plan', async () => {
    const tank = await shapeTank({ ...collector, corners: corner(0.05) });
    const exact = (A * B - (4 - Math.PI) * 0.05 ** 2) * H;
    expect(exact - tank.solid.capacity).toBeGreaterThan(0);
    expect(exact - tank.solid.capacity).toBeLessThan(2 * Math.PI * 0.05 * H * 0.0002);
  });
  test('rounded and drafted: the corners are cones', async () => {
    const tank = await shapeTank({ ...collector, corners: corner(0.05), draft_deg: 5, chordError_m: 0.000_02 });
    const plan = (inward: number): number => (A - 2 * inward) * (B - 2 * inward) - (4 - Math.PI) * (0.05 - inward) ** 2;
    const exact = (H / 6) * (plan(0) + 4 * plan((H * tan(5)) / 2) + plan(H * tan(5)));
    expect(Math.abs(exact - tank.solid.capacity)).toBeLessThan(2 * Math.PI * 0.05 * H * 0.000_02);
  });
  test('a well in a level floor adds half an ellipsoid', async () => {
    const tank = await shapeTank({
      ...collector,
      wells: [{ x_m: 0.1, y_m: 0.05, diameter_m: 0.06, depth_m: 0.02 }],
      chordError_m: 0.000_05,
    });
    const added = (2 / 3) * Math.PI * 0.03 ** 2 * 0.02;
    expect(added - (tank.solid.capacity - A * B * H)).toBeGreaterThan(0);
    expect(added - (tank.solid.capacity - A * B * H)).toBeLessThan(2 * Math.PI * 0.03 ** 2 * 0.000_05);
    expect(tank.solid.min[2]).toBeCloseTo(-0.02, 6);
  });
  test.each<[string, object, [number, number][]]>([
    ['front', { lowPoint: { kind: 'front' } }, [[-0.2, 0]]],
    ['rear', { lowPoint: { kind: 'rear' } }, [[0.2, 0]]],
    [
      'both ends',
      { lowPoint: { kind: 'bothEnds' } },
      [
        [-0.2, 0],
        [0.2, 0],
      ],
    ],
    ['centre', { lowPoint: { kind: 'centre' } }, [[0, 0]]],
    ['anywhere', { lowPoint: { kind: 'at', x_m: 0.1, y_m: -0.05 } }, [[0.1, -0.05]]],
  ])('the low points are where it says: %s', async (_, more, places) => {
    const geometry = { ...collector, floorAlong_deg: 3, floorAcross_deg: 4, ...more };
    const file = readCase(JSON.stringify({ format: 'lowpoint-case', version: 1, name: 'a', tanks: [{ id: 'a', geometry }] }));
    const loaded = file.ok ? await loadCase(file.value, new Map()) : file;
    if (!loaded.ok) throw new Error(loaded.error.code);
    const found = checkAnswer(loaded.value).tanks[0]!.lowPoints.map(({ at_m: [x, y] }) => [x, y].map((v) => Math.round(v * 1e4) / 1e4 + 0));
    expect(found.sort((a, b) => a[0]! - b[0]!)).toEqual(places);
  });
});
