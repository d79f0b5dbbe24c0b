/** Gives one index to corners at the same place. */

export interface IndexedTriangles {
  /** xyz, m; shape (3·nVertices) */
  readonly positions: Float64Array;
  /** shape (3·nTriangles) */
  readonly triangles: Uint32Array;
}

/** Welds corners that are equal to the bit (−0 counts as 0), by hashing. */
export function weldExact(corners: Float64Array): IndexedTriangles {
  const nCorners = corners.length / 3;
  let capacity = 16;
  while (capacity < 2 * nCorners) capacity *= 2;
  const slots = new Int32Array(capacity).fill(-1);
  const positions = new Float64Array(corners.length);
  const triangles = new Uint32Array(nCorners);
  const point = new Float64Array(3);
  const bits = new Uint32Array(point.buffer);
  let nVertices = 0;
  for (let c = 0; c < nCorners; c++) {
    const x = corners[3 * c]! + 0;
    const y = corners[3 * c + 1]! + 0;
    const z = corners[3 * c + 2]! + 0;
    point[0] = x;
    point[1] = y;
    point[2] = z;
    let h = 0;
    for (let k = 0; k < 6; k++) {
      h = Math.imul(h ^ bits[k]!, 0x9e3779b1);
      h ^= h >>> 15;
    }
    let slot = (h >>> 0) & (capacity - 1);
    for (;;) {
      const vertex = slots[slot]!;
      if (vertex < 0) {
        slots[slot] = nVertices;
        positions.set(point, 3 * nVertices);
        triangles[c] = nVertices++;
        break;
      }
      if (positions[3 * vertex] === x && positions[3 * vertex + 1] === y && positions[3 * vertex + 2] === z) {
        triangles[c] = vertex;
        break;
      }
      slot = (slot + 1) & (capacity - 1);
    }
  }
  return { positions: positions.slice(0, 3 * nVertices), triangles };
}

/**
 * Moves each chosen vertex onto the first chosen one within `tolerance`, and renames it in the triangles. Fixed representatives, no
 * chains, so no vertex moves further than the tolerance.
 *
 * @returns how many vertices were moved; `triangles` is changed in place
 */
export function weldNear(positions: Float64Array, triangles: Uint32Array, chosen: readonly number[], tolerance: number): number {
  const cells = new Map<number, number[]>();
  const target = new Map<number, number>();
  const cell = (v: number, axis: number): number => Math.floor(positions[3 * v + axis]! / tolerance);
  const key = (i: number, j: number, k: number): number => (Math.imul(i, 73856093) ^ Math.imul(j, 19349663) ^ Math.imul(k, 83492791)) >>> 0;
  for (const v of chosen) {
    const [i, j, k] = [cell(v, 0), cell(v, 1), cell(v, 2)];
    let best = -1;
    let bestDistance = tolerance;
    for (let n = 0; n < 27; n++) {
      for (const w of cells.get(key(i + (n % 3) - 1, j + (Math.floor(n / 3) % 3) - 1, k + Math.floor(n / 9) - 1)) ?? []) {
        const distance = Math.hypot(
          positions[3 * v]! - positions[3 * w]!,
          positions[3 * v + 1]! - positions[3 * w + 1]!,
          positions[3 * v + 2]! - positions[3 * w + 2]!,
        );
        if (distance <= bestDistance) {
          best = w;
          bestDistance = distance;
        }
      }
    }
    if (best >= 0) target.set(v, best);
    else {
      const home = key(i, j, k);
      const there = cells.get(home);
      if (there) there.push(v);
      else cells.set(home, [v]);
    }
  }
  if (target.size > 0) for (let c = 0; c < triangles.length; c++) triangles[c] = target.get(triangles[c]!) ?? triangles[c]!;
  return target.size;
}
