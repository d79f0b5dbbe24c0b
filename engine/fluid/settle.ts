/**
 * Where fuel comes to rest at a condition, once it is known into which low points it runs. A pocket that is given more than it holds spills
 * over its saddle into the neighbour; pools on both sides of a saddle that are full become one.
 */
import type { Field } from '../basins/field.ts';
import { type PoolState, poolOfVolume } from '../surface/pool.ts';

/** Where what spills from a full arc over its saddle comes to rest: a low point of a neighbour. */
export type SpillTarget = (field: Field, arc: number) => number;

/** The lowest low point across the saddle; exact where the neighbour has one only. */
export const lowestAcross: SpillTarget = (field, arc) => {
  const { parent } = field.arcs[arc];
  const neighbour = field.arcs[parent].children.find((part) => part !== arc)!;
  return lowestUnder(field, neighbour);
};

/** The lowest low point under an arc: its first parts all the way down. */
export function lowestUnder(field: Field, arc: number): number {
  while (field.arcs[arc].children.length > 0) arc = field.arcs[arc].children[0];
  return arc;
}

/** A given amount poured into the lowest low point. @param volume - m³, 0 to the capacity */
export function settle(field: Field, volume: number, spill: SpillTarget = lowestAcross): PoolState[] {
  const amounts = new Float64Array(field.arcs.length);
  amounts[lowestUnder(field, field.root)] = volume;
  return settleAmounts(field, amounts, spill);
}

/**
 * @param amounts - m³ that run into each low point, 0 for other arcs; shape (arcs). Overwritten.
 * @returns the pools, lowest low point first; their volumes add up to the amounts
 */
export function settleAmounts(field: Field, amounts: Float64Array, spill: SpillTarget): PoolState[] {
  const { arcs, root } = field;
  // From here on an arc's entry is the sum over its parts.
  for (let arc = 0; arc < arcs.length; arc++) if (arcs[arc].parent >= 0) amounts[arcs[arc].parent] += amounts[arc];
  const pools: PoolState[] = [];
  const stack = [root];
  while (stack.length > 0) {
    const arc = stack.pop()!;
    const { children } = arcs[arc];
    if (amounts[arc] <= 0) continue;
    const held = children.reduce((sum, part) => sum + arcs[part].holds, 0);
    if (children.length === 0 || (amounts[arc] >= held && !areHeldApart(field, arc))) {
      pools.push(poolOfVolume(field, arc, Math.min(amounts[arc], arcs[arc].holds)));
      continue;
    }
    spillBetween(field, children, amounts, spill);
    for (let i = children.length - 1; i >= 0; i--) stack.push(children[i]);
  }
  return pools;
}

/** Moves what parts of an arc hold too much to the parts that have room; together they have. */
function spillBetween(field: Field, parts: readonly number[], amounts: Float64Array, spill: SpillTarget): void {
  const { arcs } = field;
  for (let over = parts.find(isOverfull); over !== undefined; over = parts.find(isOverfull)) {
    const excess = amounts[over] - arcs[over].holds;
    amounts[over] = arcs[over].holds;
    let target = spill(field, over);
    let side = parts.find((part) => target <= part && target >= arcs[part].nestedFrom);
    if (side === undefined || amounts[side] >= arcs[side].holds) {
      // The way down leads into a part that is full too: it passes on to the lowest with room.
      side = parts.find((part) => amounts[part] < arcs[part].holds);
      if (side === undefined) return; // full to the last bit of rounding
      target = lowestUnder(field, side);
    }
    for (let arc = target; ; arc = arcs[arc].parent) {
      amounts[arc] += excess;
      if (arc === side) break;
    }
  }
  function isOverfull(part: number): boolean {
    return amounts[part] > arcs[part].holds;
  }
}

/** True when an arc's parts are bodies that never meet: one only in name. */
export const areHeldApart = (field: Field, arc: number): boolean => field.arcs[arc].children.some((part) => field.arcs[part].saddle < 0);
