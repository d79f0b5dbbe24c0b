/** Cases side by side: figures as the studies give them, what is best, and closed forms of what only the comparison works out. */
import { describe, expect, test } from 'vitest';
import { centroidTravel, compareStudy, shareWithin } from '../../engine/studies/compare.ts';
import { floorSlope } from '../../engine/studies/floor-slope.ts';
import { rampStudy } from '../../engine/studies/ramp.ts';
import { unusableStudy } from '../../engine/studies/unusable.ts';
import type { CaseCondition, CaseFitting } from '../../shared/case.ts';
import { assertWithin } from '../assert-within.ts';
import { loadedOf } from '../loaded.ts';
import { loadSample } from '../sample-cases.ts';
import { box, drum, together, wedge } from '../shapes.ts';
import { fieldAt } from '../tank.ts';

const watch = { progress: () => {}, cancelled: () => false };
const [L, W, H] = [1, 0.5, 0.3];
const flight = (id: string, pitch_deg: number): CaseCondition => ({ id, phase: 'flight', pitch_deg, roll_deg: 0, n: 1 });
const fittings: CaseFitting[] = [
  { id: 'out', kind: 'outlet', at_m: [0, W / 2, 0] },
  { id: 'low', kind: 'drain', at_m: [L / 2, W / 2, 0] },
  { id: 'filler', kind: 'filler', at_m: [L / 2, W / 2, H] },
  { id: 'vent', kind: 'vent', at_m: [L / 2, W / 2, H] },
];
const boxCase = (length: number, conditions = [flight('level', 0), flight('climb', 5)], requirements = {}) =>
  loadedOf([{ id: 'a', shape: box([0, 0, 0], [length, W, H]), fittings }], { conditions, requirements });

describe('compare', () => {
  test('each figure is the study’s own, differences mark the best, equals mark none', async () => {
    const cases = [
      { name: 'short', loaded: boxCase(L) },
      { name: 'long', loaded: boxCase(1.2) },
    ];
    const { figures, notices } = (await compareStudy(cases, watch))!;
    const figure = (key: string) => figures.find((one) => one.key === key)!;
    expect(figure('capacity_m3')).toMatchObject({ better: 'more', best: [1] });
    assertWithin(figure('capacity_m3').values[1]!, 1.2 * W * H, 1e-14);
    for (const [i, { loaded }] of cases.entries()) {
      expect(figure('unusable_m3').values[i]).toBe(unusableStudy(loaded).unusable_m3);
      expect(figure('waterLeft_m3').values[i]).toBe((await rampStudy(loaded, watch, { shares: false }))!.worst.left_m3);
    }
    expect(figure('unusable_m3').best).toEqual([0]);
    expect(figure('unusable_m3:climb').values).toEqual(figure('unusable_m3').values);
    expect(figure('slopesWithinShare')).toMatchObject({ values: [null, null], best: [] });
    expect(figure('floorSlope_deg')).toMatchObject({ values: [0, 0], best: [] });
    expect(figure('flatFloorShare').values).toEqual([1, 1]);
    assertWithin(figure('wallArea_m2').values[0]!, 2 * (L * W + L * H + W * H), 1e-14);
    expect(figure('lowPointsWithoutDrain').values).toEqual([0, 0]);
    expect(notices).toEqual([]);
  });
  test('what was not asked alike is shown and said, and never marked best', async () => {
    const cases = [
      { name: 'a', loaded: boxCase(L, [flight('level', 0), flight('climb', 5)], { rampSlope_deg: 2, waterLeft_m3: 0.001 }) },
      { name: 'b', loaded: boxCase(L, [flight('level', 0), flight('climb', 8), flight('glide', -4)]) },
    ];
    const { figures, notices } = (await compareStudy(cases, watch))!;
    const figure = (key: string) => figures.find((one) => one.key === key)!;
    for (const key of ['unusable_m3', 'unusable_m3:climb', 'unusable_m3:glide', 'waterLeft_m3', 'slopesWithinShare', 'centroidTravelX_m']) {
      expect(figure(key).best).toEqual([]);
    }
    expect(figure('unusable_m3:glide').values[0]).toBeNull();
    expect(notices).toHaveLength(3);
    expect(notices.join(' ')).toMatch(/a up to 2°.*b up to 5°.*climb, glide/s);
    expect(await compareStudy(cases, { ...watch, cancelled: () => true })).toBeNull();
  });
  test('the samples: three at once, a case beside itself is the same in everything', async () => {
    const loaded = await loadSample('aerobatic-drum');
    const same = (await compareStudy(
      ['one', 'two', 'three'].map((name) => ({ name, loaded })),
      watch,
    ))!;
    expect(same.notices).toEqual([]);
    for (const { values, best } of same.figures) {
      expect(best).toEqual([]);
      expect(new Set(values).size).toBe(1);
    }
  });
});

describe('closed forms', () => {
  test('share of slopes within a limit: a drum drained at its middle leaves ⅔·r³·tan(slope) whichever way the ground falls', async () => {
    const [r, sides] = [0.5, 360];
    const loaded = loadedOf([{ id: 'a', shape: drum(r, 0, 1, sides), fittings: [{ id: 'low', kind: 'drain', at_m: [0, 0, 0] }] }]);
    const ramp = (await rampStudy(loaded, watch, { slope_deg: 4, shares: false }))!;
    const sine = (angle: number): number => Math.sin((angle * Math.PI) / 180);
    const step = ramp.grid.slopeStep_deg;
    for (const rings of [0.5, 2.5, 5.5]) {
      const slope = rings * step; // half way between two slopes of the grid, where the limit divides the solid angle exactly
      const limit = (2 / 3) * r ** 3 * Math.tan((slope * Math.PI) / 180);
      assertWithin(shareWithin(ramp, limit), (sine(slope / 2) / sine(2)) ** 2, 1e-9);
    }
    expect(shareWithin(ramp, 1)).toBe(1);
    expect(shareWithin(ramp, -1)).toBe(0);
  });
  test('floor slope: a wedge rises by atan(height/length); beside a level box half the floor is flat', () => {
    const rising = fieldAt(wedge(1, 0.5, 0.1));
    const slope = (Math.atan(0.1) * 180) / Math.PI;
    assertWithin(floorSlope([rising]).mean_deg, slope, 1e-13);
    expect(floorSlope([rising]).flatShare).toBe(0);
    const both = fieldAt(together(wedge(1, 0.5, 0.1), box([2, 0, 0], [3, 0.5, 0.1])));
    assertWithin(floorSlope([both]).mean_deg, slope / 2, 1e-13);
    assertWithin(floorSlope([both]).flatShare, 0.5, 1e-13);
  });
  test('centroid travel: a level box moves only up, by (1 − 0.1)·H/2; pitched, X by what two wedges and prisms say', () => {
    const level = centroidTravel(boxCase(L, [flight('level', 0)]));
    expect(level[0]).toBeCloseTo(0, 12);
    assertWithin(level[2], 0.45 * H, 1e-10);
    // Nose up by p, surface over the whole floor: x̄ = L/2 + L² tan p / (12·mean depth); least mean depth with the floor covered at 50 %.
    const p = 2;
    const pitched = centroidTravel(boxCase(L, [flight('up', p), flight('down', -p)]));
    const tan = Math.tan((p * Math.PI) / 180);
    // At 10 % the mean depth is 0.03 m and the surface falls by 0.035 m over the length: the floor is still covered.
    assertWithin(pitched[0], (2 * L * L * tan) / (12 * 0.1 * H), 1e-9);
  });
});
