/** A recorded figure over time as the path of a small plot: no peak is lost where rows are denser than pixels. */

export interface Frame {
  readonly from: number;
  readonly to: number;
  readonly low: number;
  readonly high: number;
}

/** Drawing units of the plot; it is stretched to its place. */
export const PLOT = { width: 1000, height: 100 } as const;
const COLUMNS = 500;

/**
 * @param values - one a time; null leaves a gap
 * @returns an SVG path; of each column the first, lowest, highest and last value
 */
export function traceOf(time: readonly number[], values: readonly (number | null)[], { from, to, low, high }: Frame): string {
  const x = (at: number): number => ((at - from) / (to - from || 1)) * PLOT.width;
  const y = (value: number): number => PLOT.height - ((value - low) / (high - low || 1)) * PLOT.height;
  const parts: string[] = [];
  let isOpen = false;
  const put = (i: number): void => {
    const value = values[i];
    if (value === null || value === undefined) {
      isOpen = false;
      return;
    }
    parts.push(`${isOpen ? 'L' : 'M'}${x(time[i]!).toFixed(1)} ${y(value).toFixed(1)}`);
    isOpen = true;
  };
  for (let i = 0; i < time.length; ) {
    const column = Math.floor((x(time[i]!) / PLOT.width) * COLUMNS);
    let last = i;
    let gap = -1;
    let [lowest, highest] = [i, i];
    for (let k = i; k < time.length && Math.floor((x(time[k]!) / PLOT.width) * COLUMNS) === column; k++) {
      last = k;
      const value = values[k];
      if (value === null || value === undefined) gap = k;
      else {
        if (value < (values[lowest] ?? Number.POSITIVE_INFINITY)) lowest = k;
        if (value > (values[highest] ?? Number.NEGATIVE_INFINITY)) highest = k;
      }
    }
    const chosen = new Set([i, lowest, highest, last]);
    if (gap >= 0) chosen.add(gap);
    for (const k of [...chosen].sort((a, b) => a - b)) put(k);
    i = last + 1;
  }
  return parts.join('');
}
