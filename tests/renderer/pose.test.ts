import fc from 'fast-check';
import { Quaternion, Vector3 } from 'three';
import { expect, test } from 'vitest';
import { apparentGravity } from '../../engine/gravity/condition.ts';
import { levelPose } from '../../renderer/view/pose.ts';

const angle = fc.double({ min: -180, max: 180, noNaN: true });

/** A direction of the tank frame as it stands in the level frame. */
const turned = (direction: readonly [number, number, number], pitch_deg: number, roll_deg: number, n: number): Vector3 =>
  new Vector3(...direction).applyQuaternion(new Quaternion(...levelPose({ pitch_deg, roll_deg, n })));

test('levelPose: apparent up of the engine is up on the screen, at any attitude, upright and inverted (500 attitudes)', () => {
  fc.assert(
    fc.property(angle, angle, fc.constantFrom(1, -1, 0.3, -2.5), (pitch_deg, roll_deg, n) => {
      const gravity = apparentGravity({ pitch_deg, roll_deg, n });
      if (!gravity.ok) return false;
      return turned([...gravity.value.up], pitch_deg, roll_deg, n).distanceTo(new Vector3(0, 0, 1)) < 1e-12;
    }),
    { seed: 31, numRuns: 500 },
  );
});

test('levelPose: nose up lifts the nose and leaves it forward; right side down lowers the right side', () => {
  const nose = turned([-1, 0, 0], 10, 0, 1);
  expect(nose.z).toBeCloseTo(Math.sin(Math.PI / 18), 12);
  expect(nose.x).toBeLessThan(0);
  expect(nose.y).toBeCloseTo(0, 12);
  expect(turned([0, 1, 0], 0, 10, 1).z).toBeCloseTo(-Math.sin(Math.PI / 18), 12);
});

test('levelPose: level is no turn at all', () => {
  expect(turned([1, 2, 3], 0, 0, 1).toArray()).toEqual([1, 2, 3]);
});
