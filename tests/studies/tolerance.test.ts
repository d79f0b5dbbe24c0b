/** Tolerances of installation and scale: boxes by hand, and against the studies of a case that is really turned or scaled. */
import { describe, expect, test } from 'vitest';
import { rampStudy } from '../../engine/studies/ramp.ts';
import { rampTolerance, unusableTolerance } from '../../engine/studies/tolerance.ts';
import { unusableStudy } from '../../engine/studies/unusable.ts';
import type { CaseCondition, CaseFitting } from '../../shared/case.ts';
import { assertWithin } from '../assert-within.ts';
import { loadedOf } from '../loaded.ts';
import { loadSample } from '../sample-cases.ts';
import { box } from '../shapes.ts';

const watch = { progress: () => {}, cancelled: () => false };
const [L, W, H] = [1, 0.5, 0.3];
const tan = (angle: number): number => Math.tan((angle * Math.PI) / 180);
const flight = (id: string, pitch_deg: number, roll_deg = 0): CaseCondition => ({ id, phase: 'flight', pitch_deg, roll_deg, n: 1 });
const boxWith = (fittings: CaseFitting[], conditions: CaseCondition[], factor = 1, requirements = {}) =>
  loadedOf([{ id: 'a', shape: box([0, 0, 0], [L * factor, W * factor, H * factor]), fittings }], { conditions, requirements });

describe('unusable, box with an outlet in the middle of the forward wall’s foot', () => {
  // Nose up by p: fuel runs aft, and ½L²W·tan p stays. Turned by 1° along pitch: tan(p ± 1°). A roll of r° adds a wedge at the far side.
  const outlet: CaseFitting = { id: 'out', kind: 'outlet', at_m: [0, W / 2, 0] };
  test('turned by 1° the most is on the rim, the least no more than as drawn', async () => {
    const loaded = boxWith([outlet], [flight('climb', 5), flight('level', 0)], 1, { unusableFuel_m3: 0.0222 });
    const unusable = unusableStudy(loaded);
    const answer = (await unusableTolerance(loaded, unusable, { tolerance_deg: 1, scaleShare: 0 }, watch))!;
    const [climb, level] = answer.conditions;
    assertWithin(climb.asDrawn_m3, (L * L * W * tan(5)) / 2, 1e-12);
    expect(climb.asDrawn_m3).toBe(unusable.unusable_m3);
    expect(climb.mostTurned_m3).toBeGreaterThanOrEqual(((L * L * W) / 2) * tan(6) * (1 - 1e-12));
    expect(climb.mostTurned_m3).toBeLessThan(((L * L * W) / 2) * tan(6) * 1.03); // the sideways part of the turn adds a little
    assertWithin(climb.leastTurned_m3, ((L * L * W) / 2) * tan(4), 1e-12);
    // At rest: the plane through the outlet in the middle of the short side, falling aft by 1°, is the most but for the sideways part.
    expect(level.asDrawn_m3).toBeCloseTo(0, 14);
    expect(level.mostTurned_m3).toBeGreaterThanOrEqual(((L * L * W) / 2) * tan(1) * (1 - 1e-12));
    expect(answer.worst).toMatchObject({ mostAt: 'climb', mostTurned_m3: climb.mostTurned_m3 });
    expect(unusable.requirement!.met).toBe(true);
    expect(answer.met).toBe(false);
    expect(answer.change).toBeLessThan(0.02);
  });
  test('scaled: figures of the box really made larger and smaller, bores as they are', async () => {
    const fitting = (factor: number): CaseFitting => ({
      ...outlet,
      at_m: [0, (W / 2) * factor, 0.02 * factor],
      bore_m: 0.03,
      facing: [-1, 0, 0],
    });
    const conditions = [flight('climb', 5, 2), flight('glide', -3)];
    const e = 0.01;
    const answer = (await unusableTolerance(
      boxWith([fitting(1)], conditions),
      { requirement: null },
      { tolerance_deg: 0, scaleShare: e },
      watch,
    ))!;
    for (const [i, { smaller_m3, larger_m3, asDrawn_m3, mostTurned_m3 }] of answer.conditions.entries()) {
      assertWithin(larger_m3, unusableStudy(boxWith([fitting(1 + e)], conditions, 1 + e)).conditions[i].unusable_m3, 1e-11);
      assertWithin(smaller_m3, unusableStudy(boxWith([fitting(1 - e)], conditions, 1 - e)).conditions[i].unusable_m3, 1e-11);
      expect(mostTurned_m3).toBe(asDrawn_m3);
    }
    expect(answer.met).toBeNull();
  });
});

describe('ramp, box with a drain in the middle of the floor', () => {
  const drain: CaseFitting = { id: 'low', kind: 'drain', at_m: [L / 2, W / 2, 0] };
  test('slope 3°, turned by 1°: between L²W tan 2°/8 and L²W tan 4°/8', async () => {
    const loaded = boxWith([drain], [], 1, { rampSlope_deg: 3, waterLeft_m3: 0.0035 });
    const ramp = (await rampStudy(loaded, watch, { shares: false }))!;
    const answer = (await rampTolerance(loaded, ramp, { tolerance_deg: 1, scaleShare: 0.001 }, watch))!;
    const wedge = (angle: number): number => (L * L * W * tan(angle)) / 8;
    assertWithin(answer.worst.asDrawn_m3, wedge(3), 1e-12);
    assertWithin(answer.worst.mostTurned_m3, wedge(4), 1e-12);
    assertWithin(answer.worst.leastTurned_m3, wedge(2), 1e-12);
    assertWithin(answer.worst.larger_m3, wedge(3) * 1.001 ** 3, 1e-12);
    assertWithin(answer.worst.smaller_m3, wedge(3) * 0.999 ** 3, 1e-12);
    expect(ramp.requirement!.met).toBe(true);
    expect(answer.met).toBe(false);
    expect(answer.tanks).toEqual([{ id: 'a', ...answer.worst }]);
  });
  test('the low-wing sample: no drawn figure lies outside its margins, and the whole agrees with ramp', async () => {
    const loaded = await loadSample('low-wing');
    const ramp = (await rampStudy(loaded, watch, { slope_deg: 2, shares: false }))!;
    const answer = (await rampTolerance(loaded, ramp, { tolerance_deg: 1, scaleShare: 0.002 }, watch))!;
    expect(answer.worst.asDrawn_m3).toBe(ramp.worst.left_m3);
    for (const { asDrawn_m3, leastTurned_m3, mostTurned_m3, smaller_m3, larger_m3 } of [answer.worst, ...answer.tanks]) {
      expect(leastTurned_m3).toBeLessThanOrEqual(asDrawn_m3);
      expect(mostTurned_m3).toBeGreaterThanOrEqual(asDrawn_m3);
      assertWithin(larger_m3 / 1.002 ** 3, smaller_m3 / 0.998 ** 3, 0.02);
    }
    // Really parked a degree off, the worst stays within.
    for (const [pitch, roll] of [
      [1, 0],
      [0, -1],
    ]) {
      const parked = { ...ramp.parked, id: 'parked', phase: 'ground' as const };
      const file = { ...loaded.file, conditions: [{ ...parked, pitch_deg: parked.pitch_deg + pitch, roll_deg: parked.roll_deg + roll }] };
      const off = (await rampStudy({ ...loaded, file }, watch, { slope_deg: 2, shares: false }))!;
      expect(off.worst.left_m3).toBeLessThanOrEqual(answer.worst.mostTurned_m3 * 1.02);
      expect(off.worst.left_m3).toBeGreaterThanOrEqual(answer.worst.leastTurned_m3 * 0.98);
    }
  });
  test('cancelled: nothing', async () => {
    const loaded = boxWith([drain], [flight('climb', 5)]);
    const ramp = (await rampStudy(loaded, watch, { shares: false }))!;
    const cancelled = { ...watch, cancelled: () => true };
    expect(await rampTolerance(loaded, ramp, { tolerance_deg: 1, scaleShare: 0 }, cancelled)).toBeNull();
    expect(await unusableTolerance(loaded, { requirement: null }, { tolerance_deg: 1, scaleShare: 0 }, cancelled)).toBeNull();
  });
});
