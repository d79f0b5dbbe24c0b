/** Plots of recorded figures: ends and peaks stay, gaps stay open. */
import { describe, expect, test } from 'vitest';
import { PLOT, traceOf } from '../../renderer/trace.ts';

const points = (path: string): [string, number, number][] =>
  [...path.matchAll(/([ML])(-?[\d.]+) (-?[\d.]+)/g)].map(([, move, x, y]) => [move!, Number(x), Number(y)]);

describe('the trace of a recorded figure', () => {
  test('a straight line runs from corner to corner', () => {
    const path = points(traceOf([0, 1, 2], [0, 5, 10], { from: 0, to: 2, low: 0, high: 10 }));
    expect(path).toEqual([
      ['M', 0, PLOT.height],
      ['L', PLOT.width / 2, PLOT.height / 2],
      ['L', PLOT.width, 0],
    ]);
  });

  test('a peak of one row among twenty thousand is there', () => {
    const time = Array.from({ length: 20_000 }, (_, i) => i);
    const values = time.map((i) => (i === 12_345 ? 1 : 0));
    const path = points(traceOf(time, values, { from: 0, to: 19_999, low: 0, high: 1 }));
    expect(path.filter(([, , y]) => y === 0).map(([, x]) => x)).toEqual([Number(((12_345 / 19_999) * PLOT.width).toFixed(1))]);
    expect(path.length).toBeLessThan(2500);
  });

  test('where there is no figure the line is broken', () => {
    const path = points(traceOf([0, 1, 2, 3, 4], [1, 1, null, 1, 1], { from: 0, to: 4, low: 0, high: 1 }));
    expect(path.map(([move]) => move)).toEqual(['M', 'L', 'M', 'L']);
  });
});
