/** Cuts a plane polygon into triangles and keeps every corner, those on a straight side too, so that no neighbour's corner is left hanging. */

/**
 * At the leftmost corner either the ear is free, or the corner inside it farthest from its base is seen from there: cut along that line.
 * Source: Meisters 1975, Am. Math. Monthly 82(6), 648–651 (two ears; the cut is its proof's).
 *
 * @param flat - xy of the corners, counter-clockwise
 * @returns corner numbers, three a triangle, counter-clockwise; null where the polygon crosses or touches itself or has no area
 */
export function cutPolygon(flat: ArrayLike<number>): number[] | null {
  const n = flat.length / 2;
  const out: number[] = [];
  let covered = 0;
  const open: number[][] = [Array.from({ length: n }, (_, i) => i)];
  for (let ring = open.pop(); ring !== undefined; ring = open.pop()) {
    while (ring.length > 2) {
      const i: number = leftmost(flat, ring);
      const at = (step: number): number => ring![(i + step + ring!.length) % ring!.length];
      const [u, v, w] = [at(-1), at(0), at(1)];
      const size = area(flat, u, v, w);
      if (!(size > 0)) return null;
      const inside = farthestInside(flat, ring, u, v, w);
      if (inside < 0) {
        out.push(u, v, w);
        covered += size;
        ring.splice(i, 1);
      } else {
        const j: number = ring.indexOf(inside);
        const [low, high]: [number, number] = i < j ? [i, j] : [j, i];
        open.push(ring.slice(low, high + 1));
        ring = [...ring.slice(0, low + 1), ...ring.slice(high)];
      }
    }
  }
  let whole = 0;
  for (let i = 1; i + 1 < n; i++) whole += area(flat, 0, i, i + 1);
  return out.length === 3 * (n - 2) && Math.abs(covered - whole) <= 1e-9 * covered ? out : null;
}

/** Twice the signed area. */
export const area = (flat: ArrayLike<number>, a: number, b: number, c: number): number =>
  (flat[2 * b] - flat[2 * a]) * (flat[2 * c + 1] - flat[2 * a + 1]) - (flat[2 * b + 1] - flat[2 * a + 1]) * (flat[2 * c] - flat[2 * a]);

function leftmost(flat: ArrayLike<number>, ring: readonly number[]): number {
  let best = 0;
  for (let i = 1; i < ring.length; i++) {
    const [p, q] = [2 * ring[i], 2 * ring[best]];
    if (flat[p] < flat[q] || (flat[p] === flat[q] && flat[p + 1] < flat[q + 1])) best = i;
  }
  return best;
}

function farthestInside(flat: ArrayLike<number>, ring: readonly number[], u: number, v: number, w: number): number {
  let best = -1;
  let height = 0;
  for (const p of ring) {
    if (p === u || p === v || p === w) continue;
    const above = area(flat, w, u, p);
    if (above < 0 || area(flat, u, v, p) < 0 || area(flat, v, w, p) < 0) continue;
    if (best < 0 || above > height) [best, height] = [p, above];
  }
  return best;
}
