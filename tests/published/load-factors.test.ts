/** Load factors, flight conditions as attitude and n, and standard gravity. Sources beside each row. */
import { describe, expect, test } from 'vitest';
import { apparentGravity, attitudeOf, conditionOfTriple, STANDARD_GRAVITY } from '../../engine/gravity/condition.ts';
import { braking, coordinatedTurn, inverted, skid, speedingUp, steady, steadySlip } from '../../engine/gravity/presets.ts';
import type { Condition } from '../../shared/answers.ts';
import { fromSi } from '../../shared/units.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { assertWithin } from '../assert-within.ts';
import { box } from '../shapes.ts';
import { fieldAt, onePool } from '../tank.ts';

const gravityAt = (condition: Condition): Vector3 => {
  const made = apparentGravity(condition);
  if (!made.ok) throw new Error(made.error.code);
  return made.value.gravity;
};

test('standard gravity: 9.80665 m/s² (3rd CGPM 1901); 32.1740 ft/s² (NACA Report 824, symbols page)', () => {
  expect(STANDARD_GRAVITY).toBe(9.80665);
  assertWithin(fromSi(STANDARD_GRAVITY, 'ft'), 32.174, 0.0001, 1);
});

describe('level coordinated turn, n = 1/cos φ: FAA handbook load-factor chart', () => {
  // The chart cuts 30° and 70° instead of rounding, so a whole unit of its last place; its 80° figure, 5.747, is 0.2 % low and left out.
  test.each([
    [10, 1015],
    [30, 1154],
    [45, 1414],
    [60, 2000],
    [70, 2923],
    [85, 11473],
  ])('%d°: %d thousandths', (bank, printed) => {
    assertWithin(1000 * coordinatedTurn(bank).n, printed, 1, 1);
    assertWithin(1000 * coordinatedTurn(-bank).n, printed, 1, 1);
  });

  test('nothing goes sideways: the surface stays parallel to the wings-level one and the pool is the same (definition of coordinated)', () => {
    const tank = box([-1, -2, 0], [1, 2, 0.3]);
    for (const pitch of [0, 4, -7]) {
      const level = onePool(fieldAt(tank, steady(pitch)), 0.8);
      const turning = onePool(fieldAt(tank, coordinatedTurn(60, pitch)), 0.8);
      expect(turning).toEqual(level);
      expect(gravityAt(coordinatedTurn(60, pitch))[1]).toBe(0);
      assertWithin(Math.hypot(...gravityAt(coordinatedTurn(60, pitch))), 2 * STANDARD_GRAVITY, 1e-14);
    }
  });
});

describe('conditions as apparent gravity, n·g0·(sin pitch, cos pitch·sin roll, −cos pitch·cos roll); X aft, Y right, Z up (design)', () => {
  const g0 = STANDARD_GRAVITY;
  test.each<[string, Condition, Vector3]>([
    ['at rest', steady(0), [0, 0, -1]],
    ['nose up 90°: fuel aft', steady(90), [1, 0, 0]],
    ['nose down 90°: fuel forward', steady(-90), [-1, 0, 0]],
    ['right wing down 90°: fuel right', steady(0, 90), [0, 1, 0]],
    ['left wing down 90°: fuel left', steady(0, -90), [0, -1, 0]],
    ['rolled over: fuel on the ceiling', steady(0, 180), [0, 0, 1]],
    ['n = −1: fuel on the ceiling', inverted(), [0, 0, 1]],
    ['slip at 30° bank', steadySlip(30), [0, 0.5, -Math.sqrt(0.75)]],
    ['take-off at 0.3 g: fuel aft', speedingUp(0.3), [0.3, 0, -1]],
    ['braking at 0.3 g: fuel forward', braking(0.3), [-0.3, 0, -1]],
    ['skid at 0.2 g to the left: fuel right', skid(0.2), [0, 0.2, -1]],
    ['climbing at 30° and speeding up at 0.25 g', speedingUp(0.25, 30), [0.75, 0, -Math.sqrt(0.75)]],
    ['gliding at 30° and braking at 0.25 g', braking(0.25, -30), [-0.75, 0, -Math.sqrt(0.75)]],
    ['skid to the right at 0.2 g, 30° nose up', skid(-0.2, 30), [0.5, -0.2, -Math.sqrt(0.75)]],
    ['slip at 30° bank, 30° nose up', steadySlip(30, 30), [0.5, Math.sqrt(3) / 4, -0.75]],
    ['3, 4, 12 g: 13 g', { ...speedingUp(0), ...tripleOf(3, -4, 12) }, [3, 4, -12]],
  ])('%s', (_name, condition, expected) => {
    const gravity = gravityAt(condition);
    for (const axis of [0, 1, 2]) assertWithin(gravity[axis], g0 * expected[axis], 1e-14, g0 * Math.hypot(...expected));
  });

  test('take-off at 0.3 g is pitch atan 0.3 at n = √1.09 (design)', () => {
    assertWithin(speedingUp(0.3).pitch_deg, (Math.atan(0.3) * 180) / Math.PI, 1e-15);
    assertWithin(speedingUp(0.3).n, Math.sqrt(1.09), 1e-15);
  });

  test('right angles are exact', () => {
    for (const pitch of [-360, -270, -180, -90, 0, 90, 180, 270, 360]) {
      for (const roll of [-270, -180, -90, 0, 90, 180, 270]) {
        for (const figure of gravityAt(steady(pitch, roll))) expect([0, g0, -g0]).toContain(figure + 0);
      }
    }
  });

  test('attitude, n → accelerometer triple → attitude, n', () => {
    for (const pitch_deg of [-80, -12, 0, 3, 45]) {
      for (const roll_deg of [-170, -90, -20, 0, 10, 135]) {
        const [x, y, z] = gravityAt({ pitch_deg, roll_deg, n: 1.7 });
        const back = tripleOf(x / g0, -y / g0, -z / g0);
        assertWithin(back.pitch_deg, pitch_deg, 1e-12, 1);
        assertWithin(back.roll_deg, roll_deg, 1e-12, 1);
        assertWithin(back.n, 1.7, 1e-14);
        const { pitch_deg: p, roll_deg: r } = attitudeOf([-x / (1.7 * g0), -y / (1.7 * g0), -z / (1.7 * g0)]);
        assertWithin(p, pitch_deg, 1e-12, 1);
        assertWithin(r, roll_deg, 1e-12, 1);
      }
    }
  });
});

describe('no free surface, no guess', () => {
  test('n = 0 and a triple of zeros: no-gravity', () => {
    expect(apparentGravity({ pitch_deg: 3, roll_deg: 4, n: 0 })).toEqual({ ok: false, error: { code: 'no-gravity' } });
    expect(apparentGravity({ pitch_deg: 3, roll_deg: 4, n: -0 })).toEqual({ ok: false, error: { code: 'no-gravity' } });
    expect(conditionOfTriple(0, 0, 0)).toEqual({ ok: false, error: { code: 'no-gravity' } });
  });
  test.each([Number.NaN, Infinity, -Infinity])('%d anywhere: condition-not-finite', (bad) => {
    for (const key of ['pitch_deg', 'roll_deg', 'n'] as const) {
      const made = apparentGravity({ ...steady(1, 2), [key]: bad });
      expect(made).toEqual({ ok: false, error: { code: 'condition-not-finite', key, value: bad } });
    }
    expect(conditionOfTriple(bad, 0, 1).ok).toBe(false);
    expect(conditionOfTriple(0, bad, 1).ok).toBe(false);
    expect(conditionOfTriple(0, 0, bad).ok).toBe(false);
  });
});

function tripleOf(nx: number, ny: number, nz: number): Condition {
  const made = conditionOfTriple(nx, ny, nz);
  if (!made.ok) throw new Error(made.error.code);
  return made.value;
}
