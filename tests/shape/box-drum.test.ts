import { describe, expect, test } from 'vitest';
import { openCascade } from '../opencascade.ts';
import { clippedBelow } from '../tank.ts';
import { facetShare, shapeTank } from './shape-tank.ts';

const judge = await openCascade();

describe('box', () => {
  test('length × width × height, from its corner', async () => {
    const { solid, repairs, notices } = await shapeTank({ kind: 'box', length_m: 0.6, width_m: 0.3, height_m: 0.2 });
    expect(Math.abs(solid.capacity / 0.036 - 1)).toBeLessThan(1e-12);
    expect([solid.triangles.length / 3, repairs, notices]).toEqual([12, [], []]);
    expect([solid.min, solid.max.map((x) => Math.round(x * 1e12) / 1e12)]).toEqual([
      [0, 0, 0],
      [0.6, 0.3, 0.2],
    ]);
  });
  test('agrees with OpenCascade', async () => {
    const { solid } = await shapeTank({ kind: 'box', length_m: 1.25, width_m: 0.5, height_m: 0.375 });
    expect(Math.abs(solid.capacity - judge.volume(judge.box([0, 0, 0], [1.25, 0.5, 0.375])))).toBeLessThan(1e-9);
  });
});

const drum = { kind: 'drum', diameter_m: 0.5, length_m: 0.8 };
const [R, L] = [0.25, 0.8];
const CYLINDER = Math.PI * R * R * L;
const CHORD_ERRORS = [0.0005, 0.0002, 0.00005];

/** Closed form of each end's volume, and the same body in OpenCascade about Z. */
const ENDS: Record<string, { end: object; volume: number; depth: number }> = {
  flat: { end: { kind: 'flat' }, volume: 0, depth: 0 },
  dished: { end: { kind: 'dished', depth_m: 0.1 }, volume: (2 / 3) * Math.PI * R * R * 0.1, depth: 0.1 },
  'dished beyond half a sphere': { end: { kind: 'dished', depth_m: 0.4 }, volume: (2 / 3) * Math.PI * R * R * 0.4, depth: 0.4 },
  spherical: { end: { kind: 'spherical', depth_m: 0.1 }, volume: (Math.PI * 0.1 * (3 * R * R + 0.1 * 0.1)) / 6, depth: 0.1 },
  'half a sphere': { end: { kind: 'spherical', depth_m: 0.25 }, volume: (2 / 3) * Math.PI * R ** 3, depth: 0.25 },
};

describe('drum', () => {
  for (const [name, { end, volume, depth }] of Object.entries(ENDS)) {
    test(`${name} ends: the closed form, from inside, within the chord error`, async () => {
      const off: number[] = [];
      for (const chordError_m of CHORD_ERRORS) {
        const tank = await shapeTank({ ...drum, frontEnd: end, rearEnd: end, axisUp_deg: 90, chordError_m });
        const missing = CYLINDER + 2 * volume - tank.solid.capacity;
        expect(missing).toBeGreaterThan(0);
        expect(missing).toBeLessThan(facetShare(tank, chordError_m));
        expect(tank.repairs).toEqual([]);
        expect(tank.solid.max[2] - tank.solid.min[2]).toBeCloseTo(L + 2 * depth, 6);
        // What the mesh itself shows of its facets is what was asked for: no more, and not needlessly less.
        expect(tank.solid.facetError).toBeLessThan(1.05 * chordError_m);
        off.push(missing);
      }
      expect(off[0] / off[2]).toBeGreaterThan(5); // ten times finer, in whole facets
    });
  }
  test('unlike ends: each adds its own', async () => {
    const tank = await shapeTank({ ...drum, frontEnd: ENDS['dished']!.end, rearEnd: ENDS['half a sphere']!.end });
    expect(Math.abs(tank.solid.capacity - CYLINDER - ENDS['dished']!.volume - ENDS['half a sphere']!.volume)).toBeLessThan(
      facetShare(tank, 0.0002),
    );
    expect([tank.solid.min[0], tank.solid.max[0]].map((x) => Math.round(x * 1e6) / 1e6)).toEqual([-0.5, 0.65]);
  });
  test.each<[number, number, number, [number, number, number]]>([
    [0, 0, 0, [1, 0, 0]],
    [90, 0, 2, [0, 0, 1]],
    [0, 90, 1, [0, 1, 0]],
    [0, 180, 0, [-1, 0, 0]],
    [-90, 0, 2, [0, 0, -1]],
  ])('axis up %d°, turned %d°: the rear end is where it should be', async (axisUp_deg, axisTurn_deg, axis, direction) => {
    const { solid } = await shapeTank({ ...drum, rearEnd: { kind: 'dished', depth_m: 0.1 }, axisUp_deg, axisTurn_deg });
    const [low, high] = direction[axis] > 0 ? [-0.4, 0.5] : [-0.5, 0.4];
    expect(solid.min[axis]).toBeCloseTo(low, 6);
    expect(solid.max[axis]).toBeCloseTo(high, 6);
  });
  test('a lying drum has its lowest line at the bottom exactly', async () => {
    const { solid } = await shapeTank(drum);
    expect([solid.min[2], solid.max[2]].map((x) => Math.round(x * 1e9) / 1e9)).toEqual([-0.25, 0.25]);
  });

  describe('the same body made by OpenCascade agrees to the chord error', () => {
    const lie = { axisUp_deg: 20, axisTurn_deg: -35 };
    const [up, turn] = [lie.axisUp_deg, lie.axisTurn_deg].map((d) => (d * Math.PI) / 180);
    const axis = [Math.cos(up) * Math.cos(turn), Math.cos(up) * Math.sin(turn), Math.sin(up)] as const;
    const at = (z: number): [number, number, number] => [axis[0] * z, axis[1] * z, axis[2] * z];
    const cylinder = judge.cylinder(at(-0.4), axis, R, L);
    const high: readonly [number, number, number] = [0.3, -0.2, 0.9327379053088815];
    const UP = high.map((x) => x / Math.hypot(...high)) as unknown as readonly [number, number, number];

    test.each<[string, object, () => ReturnType<typeof judge.box>]>([
      ['flat', {}, () => cylinder],
      [
        'half spheres',
        { frontEnd: ENDS['half a sphere']!.end, rearEnd: ENDS['half a sphere']!.end },
        () => judge.fuse(judge.fuse(cylinder, judge.sphere(at(0.4), R)), judge.sphere(at(-0.4), R)),
      ],
    ])('%s', async (_, ends, shape) => {
      const tank = await shapeTank({ ...drum, ...lie, ...ends });
      const theirs = shape();
      expect(Math.abs(tank.solid.capacity - judge.volume(theirs))).toBeLessThan(facetShare(tank, 0.0002));
      // The lie too: below a tilted plane both hold the same, at three levels.
      for (const level of [-0.2, 0, 0.15]) {
        const mine = belowPlane(tank.solid, UP, level);
        expect(Math.abs(mine - judge.below(theirs, UP, level).volume)).toBeLessThan(facetShare(tank, 0.0002));
      }
    });
    test('dished and spherical ends, standing', async () => {
      const tank = await shapeTank({ ...drum, axisUp_deg: 90, frontEnd: ENDS['dished']!.end, rearEnd: ENDS['spherical']!.end });
      // A cap of depth d belongs to a sphere of radius (R² + d²) / 2d.
      const big = (R * R + 0.01) / 0.2;
      const body = judge.cylinder([0, 0, -0.4], [0, 0, 1], R, L);
      const dished = judge.spheroid([0, 0, -0.4], R, 0.1);
      const cap = judge.above(judge.sphere([0, 0, 0.4 + 0.1 - big], big), 0.4);
      const whole = judge.fuse(judge.fuse(body, dished), cap);
      expect(Math.abs(tank.solid.capacity - judge.volume(whole))).toBeLessThan(facetShare(tank, 0.0002));
    });
  });
});

function belowPlane(
  solid: Parameters<typeof clippedBelow>[0] & { origin: readonly number[] },
  up: readonly [number, number, number],
  level: number,
): number {
  const positions = Float64Array.from(solid.positions, (x, i) => x + solid.origin[i % 3]!);
  return clippedBelow({ positions, triangles: solid.triangles }, up, level).volume;
}
