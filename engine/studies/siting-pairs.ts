/**
 * The best two places to open together, exactly: of all pairs the one that leaves least at its worst condition.
 *
 * Not every pair is worked out at every condition. Places that a neighbour beats are left out beforehand (siting-places.ts). A pair is
 * dropped at the first condition at which it leaves more than the best pair known, and that condition is asked first for the next one: most
 * pairs end after one or two. Whole places are dropped by a bound: with the best possible partner at each condition by itself, which the
 * tree gives at once, a place leaves at least so much. What is dropped cannot be better, so the answer is that of trying all.
 */
import type { Field } from '../basins/field.ts';
import { type Beside, leftByPair, type PairRule, pairRule } from '../fluid/one-way-out.ts';

/** One condition of a tank, for the places that count. */
export interface PairCondition {
  readonly rule: PairRule;
  /** Arc of each place, and what it leaves alone, m³. */
  readonly arcs: Int32Array;
  readonly left: Float64Array;
  /** What each place leaves with the best partner for this condition alone, m³. */
  readonly least: Float64Array;
}

export function pairCondition(field: Field, beside: Beside, arcs: Int32Array, left: Float64Array): PairCondition {
  return { rule: pairRule(field, beside), arcs, left, least: leastWithPartner(field, beside, arcs, left) };
}

/**
 * A partner under the place's own arc counts alone; one beside its line saves what it drains under the arc where they part.
 */
function leastWithPartner({ arcs, root }: Field, { atBirth }: Beside, arcOf: Int32Array, left: Float64Array): Float64Array {
  const under = new Float64Array(arcs.length).fill(Number.POSITIVE_INFINITY);
  for (let i = 0; i < arcOf.length; i++) under[arcOf[i]] = Math.min(under[arcOf[i]], left[i]);
  for (let arc = 0; arc < root; arc++) under[arcs[arc].parent] = Math.min(under[arcs[arc].parent], under[arc]);
  const saved = new Float64Array(arcs.length);
  for (let arc = root; arc >= 0; arc--) {
    const { children } = arcs[arc];
    for (const part of children) {
      const best = children.reduce((least, other) => (other === part ? least : Math.min(least, under[other])), Number.POSITIVE_INFINITY);
      saved[part] = Math.max(saved[arc], atBirth[arc] - best);
    }
  }
  return Float64Array.from(arcOf, (arc, i) => Math.min(under[arc], left[i] - saved[arc]));
}

export interface BestPair {
  /** Two places, the lower number first. */
  readonly places: readonly [number, number];
  readonly left: number;
  readonly worst: number;
  /** Pairs asked at one condition at least. */
  readonly asked: number;
}

/**
 * @param nPlaces - at least 1; one place alone pairs with itself
 * @param same - m³; figures closer than this are the same, and the first found stays
 */
export function bestPair(conditions: readonly PairCondition[], nPlaces: number, same: number): BestPair {
  const bound = new Float64Array(nPlaces);
  for (const { least } of conditions) for (let p = 0; p < nPlaces; p++) bound[p] = Math.max(bound[p], least[p]);
  const order = Array.from(bound, (_, p) => p).sort((p, q) => bound[p] - bound[q] || p - q);
  const at = (k: number, p: number, q: number): number => {
    const { rule, arcs, left } = conditions[k];
    return leftByPair(rule, arcs[p], left[p], arcs[q], left[q]);
  };
  let best: [number, number] = [order[0], order[0]];
  let { left, worst } = worstOf(conditions.length, (k) => at(k, order[0], order[0]));
  let asked = 0;
  const first = conditions.map((_, k) => k); // conditions, those that dropped a pair last first
  const drops = (p: number, q: number): boolean => {
    for (let i = 0; i < first.length; i++) {
      if (at(first[i], p, q) < left - same) continue;
      if (i > 0) first.unshift(...first.splice(i, 1));
      return true;
    }
    return false;
  };
  const ask = (p: number, q: number): void => {
    asked++;
    if (drops(p, q)) return;
    best = [p, q];
    ({ left, worst } = worstOf(conditions.length, (k) => at(k, p, q)));
  };
  // A good pair early drops most others: the best partner of a place, then the best partner of that one, until nothing gains.
  for (let p = order[0], before = Number.POSITIVE_INFINITY; left < before; p = best[0] === p ? best[1] : best[0]) {
    before = left;
    for (const q of order) ask(p, q);
  }
  for (let i = 0; i < order.length && bound[order[i]] < left - same; i++) {
    for (let j = 0; j < i && bound[order[j]] < left - same; j++) ask(order[i], order[j]);
  }
  return { places: best[0] < best[1] ? best : [best[1], best[0]], left, worst, asked };
}

/** The largest of a figure over conditions; ties but for rounding go to the first. */
export function worstOf(n: number, figure: (condition: number) => number): { left: number; worst: number } {
  let left = Number.NEGATIVE_INFINITY;
  let worst = 0;
  for (let k = 0; k < n; k++) {
    const value = figure(k);
    if (value <= left * (1 + 1e-9)) continue;
    left = value;
    worst = k;
  }
  return { left, worst };
}
