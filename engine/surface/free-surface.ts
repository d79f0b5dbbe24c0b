/**
 * Pools with their free surfaces measured, all in one pass over the wall: enough to follow a pool through a small turn or a small loss
 * without asking the wall again.
 *
 * With p and q level coordinates, div(p·up) = 0, so over the surface ∫p dA = −Σ∫ p (up·n) dA over the wall below it, and the same for
 * 1, q, p², pq, q². Derivation: divergence theorem, as in below-level.ts.
 */

import { add, cross, dot, length, scale, type Vector3 } from '../../shared/vector.ts';
import type { Field } from '../basins/field.ts';
import type { PoolState } from './pool.ts';

/** Two level directions square to `up` and to one another. */
export interface LevelBasis {
  readonly p: Vector3;
  readonly q: Vector3;
}

export function levelBasis(up: Vector3): LevelBasis {
  const across: Vector3 = Math.abs(up[0]) < 0.6 ? [1, 0, 0] : [0, 1, 0];
  const q = cross(up, across);
  const unit = scale(q, 1 / length(q));
  return { p: cross(unit, up), q: unit };
}

/** Lengths in m, local frame; may be followed from row to row by its owner. */
export interface Body extends PoolState {
  level: number;
  volume: number;
  /** m² */
  readonly area: number;
  /** Centroid of the free surface. */
  readonly p: number;
  readonly q: number;
  /** Second moments of the free surface about its centroid, m⁴. */
  readonly pp: number;
  readonly pq: number;
  readonly qq: number;
  /** Volume times centroid, m⁴. */
  moment: Vector3;
  /** Taken off as layers since it was measured, m³. */
  drawn: number;
}

/** Sums of one pool, in the order of SUMS. */
const N_SUMS = 10;
const [AREA, P, Q, PP, PQ, QQ, VOLUME, SQUARE, MP, MQ] = Array.from({ length: N_SUMS }, (_, i) => i);

export function measureBodies(field: Field, pools: readonly PoolState[], { p: pAxis, q: qAxis }: LevelBasis): Body[] {
  const { solid, up, heights, lowArc, arcs } = field;
  const { triangles, positions, areas } = solid;
  const sums = new Float64Array(N_SUMS * pools.length);
  const poolOf = new Int32Array(arcs.length).fill(-1);
  pools.forEach(({ arc }, i) => {
    poolOf.fill(i, arcs[arc].nestedFrom, arc + 1);
  });
  const cp = new Float64Array(3); // level coordinates of a part's corners, and heights over the surface
  const cq = new Float64Array(3);
  const w = new Float64Array(3);
  const addPart = (at: number, area: number): void => {
    const sw = w[0] + w[1] + w[2];
    const sp = cp[0] + cp[1] + cp[2];
    const sq = cq[0] + cq[1] + cq[2];
    const twelfth = area / 12;
    sums[at + AREA] -= area;
    sums[at + P] -= (area * sp) / 3;
    sums[at + Q] -= (area * sq) / 3;
    sums[at + PP] -= twelfth * (cp[0] * cp[0] + cp[1] * cp[1] + cp[2] * cp[2] + sp * sp);
    sums[at + PQ] -= twelfth * (cp[0] * cq[0] + cp[1] * cq[1] + cp[2] * cq[2] + sp * sq);
    sums[at + QQ] -= twelfth * (cq[0] * cq[0] + cq[1] * cq[1] + cq[2] * cq[2] + sq * sq);
    sums[at + VOLUME] += (area * sw) / 3;
    sums[at + SQUARE] += twelfth * (w[0] * w[0] + w[1] * w[1] + w[2] * w[2] + sw * sw);
    sums[at + MP] += twelfth * (cp[0] * (sw + w[0]) + cp[1] * (sw + w[1]) + cp[2] * (sw + w[2]));
    sums[at + MQ] += twelfth * (cq[0] * (sw + w[0]) + cq[1] * (sw + w[1]) + cq[2] * (sw + w[2]));
  };
  const level = pools.map((pool) => pool.level);
  for (let t = 0, k = 0; t < lowArc.length; t++, k += 3) {
    const pool = poolOf[lowArc[t]];
    if (pool < 0) continue;
    let a = triangles[k];
    let b = triangles[k + 1];
    let c = triangles[k + 2];
    if (heights[b] < heights[a]) [a, b] = [b, a];
    if (heights[c] < heights[b]) [b, c] = [c, b];
    if (heights[b] < heights[a]) [a, b] = [b, a];
    const wa = heights[a] - level[pool];
    if (wa >= 0) continue;
    const wb = heights[b] - level[pool];
    const wc = heights[c] - level[pool];
    const area = areas[k] * up[0] + areas[k + 1] * up[1] + areas[k + 2] * up[2];
    const [pa, qa] = [along(positions, a, pAxis), along(positions, a, qAxis)];
    const [pb, qb] = [along(positions, b, pAxis), along(positions, b, qAxis)];
    const [pc, qc] = [along(positions, c, pAxis), along(positions, c, qAxis)];
    const at = N_SUMS * pool;
    cp[0] = pa;
    cq[0] = qa;
    w[0] = wa;
    if (wb >= 0) {
      const toB = wa / (wa - wb);
      const toC = wa / (wa - wc);
      cp[1] = pa + toB * (pb - pa);
      cq[1] = qa + toB * (qb - qa);
      cp[2] = pa + toC * (pc - pa);
      cq[2] = qa + toC * (qc - qa);
      w[1] = w[2] = 0;
      addPart(at, area * toB * toC);
      continue;
    }
    cp[1] = pb;
    cq[1] = qb;
    w[1] = wb;
    cp[2] = pc;
    cq[2] = qc;
    w[2] = wc;
    addPart(at, area);
    if (wc <= 0) continue;
    // The corner above the surface, taken away again.
    const toA = wc / (wc - wa);
    const toB = wc / (wc - wb);
    cp[0] = pc + toA * (pa - pc);
    cq[0] = qc + toA * (qa - qc);
    cp[1] = pc + toB * (pb - pc);
    cq[1] = qc + toB * (qb - qc);
    w[0] = w[1] = 0;
    addPart(at, -area * toA * toB);
  }
  return pools.map((pool, i) => bodyOf(pool, sums.subarray(N_SUMS * i, N_SUMS * (i + 1)), up, pAxis, qAxis));
}

const along = (positions: Float64Array, v: number, axis: Vector3): number =>
  positions[3 * v] * axis[0] + positions[3 * v + 1] * axis[1] + positions[3 * v + 2] * axis[2];

function bodyOf({ arc, level, volume }: PoolState, sums: Float64Array, up: Vector3, pAxis: Vector3, qAxis: Vector3): Body {
  const area = Math.max(0, sums[AREA]);
  const p = area > 0 ? sums[P] / area : 0;
  const q = area > 0 ? sums[Q] / area : 0;
  const moment = add(add(scale(pAxis, sums[MP]), scale(qAxis, sums[MQ])), scale(up, level * sums[VOLUME] + sums[SQUARE] / 2));
  return {
    arc,
    level,
    volume,
    area,
    p,
    q,
    pp: sums[PP] - p * p * area,
    pq: sums[PQ] - p * q * area,
    qq: sums[QQ] - q * q * area,
    moment,
    drawn: 0,
  };
}

/** How a body's fuel and surface stand once gravity has turned a little and its field has not: the surface turns about its own centroid. */
export interface Tilt {
  /** Rise of the surface per length along p and along q. */
  readonly alongP: number;
  readonly alongQ: number;
  /** Cosine of the turn. */
  readonly cosine: number;
}

export function tiltOf(fieldUp: Vector3, { p, q }: LevelBasis, up: Vector3): Tilt {
  const cosine = dot(fieldUp, up);
  return { alongP: -dot(p, up) / cosine, alongQ: -dot(q, up) / cosine, cosine };
}

/** Volume times centroid under the turned surface: the wedge that moved has first moments of the surface's second ones. */
export function tiltedMoment({ moment, pp, pq, qq }: Body, { p, q }: LevelBasis, fieldUp: Vector3, { alongP, alongQ }: Tilt): Vector3 {
  const mp = pp * alongP + pq * alongQ;
  const mq = pq * alongP + qq * alongQ;
  return add(add(add(moment, scale(p, mp)), scale(q, mq)), scale(fieldUp, (mp * alongP + mq * alongQ) / 2));
}

/** Depth of a point under the turned surface, along the turned gravity. @param level - the point's height in the field */
export const tiltedDepth = (body: Body, { alongP, alongQ, cosine }: Tilt, p: number, q: number, level: number): number =>
  (body.level - level + (p - body.p) * alongP + (q - body.q) * alongQ) * cosine;
