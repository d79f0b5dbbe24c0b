import { expect, test } from 'vitest';
import { assertSecondOrder, assertWithin } from './assert-within.ts';

test.each([
  [1, 1, 0],
  [1.0009, 1, 1e-3],
  [0.9991, 1, 1e-3],
  [-2.001, -2, 1e-3],
  [1e-9, 0, 1e-8, 1],
  [0, 0, 0],
])('assertWithin passes: %d for %d within %d', (actual, expected, relative, of?: number) => {
  expect(() => assertWithin(actual, expected, relative, of)).not.toThrow();
});

test.each([
  [1.0011, 1, 1e-3],
  [0.9989, 1, 1e-3],
  [2, -2, 1e-3],
  [1e-300, 0, 1],
  [1e-7, 0, 1e-8, 1],
  [Number.NaN, 1, 1],
  [1, Number.NaN, 1],
  [Number.NaN, Number.NaN, 1],
  [1, 1, Number.NaN],
  [Infinity, 1, 1],
  [Infinity, Infinity, 1],
  [1, 1, 1, Number.NaN],
])('assertWithin fails: %d for %d within %d', (actual, expected, relative, of?: number) => {
  expect(() => assertWithin(actual, expected, relative, of)).toThrow('should be');
});

test('assertSecondOrder passes 16, 4, 1 and fails first order, third order, no fall, NaN and a single figure', () => {
  expect(() => assertSecondOrder([16, 4, 1])).not.toThrow();
  for (const errors of [[4, 2, 1], [64, 8, 1], [1, 1], [16, 4, Number.NaN], [Number.NaN, 4], [1], [0, 0]]) {
    expect(() => assertSecondOrder(errors)).toThrow('should fall');
  }
});
