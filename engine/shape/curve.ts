/** How finely a curve must be cut so that no chord stands off it by more than a stated error. */

export type Curve = (t: number) => readonly [number, number];

/** @param error - m or mm, as the radius. @returns sides of a full circle, at least 12, a multiple of four */
export function circleSides(radius: number, error: number): number {
  const half = error >= radius ? Math.PI / 2 : Math.acos(1 - error / radius);
  return Math.max(12, 4 * Math.ceil(Math.PI / half / 4 - 1e-9));
}

/** Looked at between its ends, where a chord of a smooth curve stands off the most. */
const BETWEEN = [0.25, 0.5, 0.75];

/** @returns the fewest equal steps of t from 0 to 1 that keep every chord within the error, or null where `most` are not enough */
export function steps(curve: Curve, error: number, most: number): number | null {
  for (let n = 1; n <= most; n = Math.ceil(n * 1.25)) if (standOff(curve, n) <= error) return n;
  return null;
}

function standOff(curve: Curve, n: number): number {
  let worst = 0;
  for (let i = 0; i < n; i++) {
    const [x0, y0] = curve(i / n);
    const [x1, y1] = curve((i + 1) / n);
    const length = Math.hypot(x1 - x0, y1 - y0);
    for (const share of BETWEEN) {
      const [x, y] = curve((i + share) / n);
      const off = length === 0 ? Math.hypot(x - x0, y - y0) : Math.abs((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / length;
      worst = Math.max(worst, off);
    }
  }
  return worst;
}

export const sample = (curve: Curve, n: number): [number, number][] => Array.from({ length: n + 1 }, (_, i) => [...curve(i / n)]);
