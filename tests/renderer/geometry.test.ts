import { expect, test } from 'vitest';
import { enclosed, rimOf } from '../../renderer/view/geometry.ts';

/** A unit square in a plane, as two triangles. */
const positions = Float32Array.of(0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0);

function perimeter(rim: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < rim.length; i += 6) sum += Math.hypot(rim[i + 3]! - rim[i]!, rim[i + 4]! - rim[i + 1]!, rim[i + 5]! - rim[i + 2]!);
  return sum;
}

test('rimOf: a square has its four sides and not its diagonal', () => {
  const rim = rimOf({ positions, triangles: Uint32Array.of(0, 1, 2, 0, 2, 3) });
  expect(rim.length / 6).toBe(4);
  expect(perimeter(rim)).toBe(4);
});

test('rimOf: the same square with repeated vertices has the same rim', () => {
  const repeated = Float32Array.of(0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 0, 0, 1, 1, 0, 0, 1, 0);
  const rim = rimOf({ positions: repeated, triangles: Uint32Array.of(0, 1, 2, 3, 4, 5) });
  expect(perimeter(rim)).toBe(4);
});

test('rimOf: a closed surface has none', () => {
  const corners = Float32Array.of(0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1);
  expect(rimOf({ positions: corners, triangles: Uint32Array.of(0, 2, 1, 0, 1, 3, 1, 2, 3, 0, 3, 2) })).toEqual([]);
});

test('enclosed: the parts of a corner tetrahedron add up to a sixth, wherever it lies', () => {
  for (const shift of [0, 3]) {
    const corners = Float32Array.of(0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1).map((value) => value + shift);
    const floor = enclosed({ positions: corners, triangles: Uint32Array.of(0, 2, 1) });
    const walls = enclosed({ positions: corners, triangles: Uint32Array.of(0, 1, 3, 1, 2, 3, 0, 3, 2) });
    expect(floor + walls).toBeCloseTo(1 / 6, 6);
  }
});
