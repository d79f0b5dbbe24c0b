/**
 * Where a given amount comes to rest at a condition: poured into the lowest pocket; a full pocket spills into the lowest pocket across its
 * saddle, and pockets merge when both are full.
 */
import type { Field } from '../basins/field.ts';
import { type PoolState, poolOfVolume } from '../surface/pool.ts';

/**
 * @param volume - m³, 0 to the capacity
 * @returns the pools that hold it, lowest low point first; their volumes add up to `volume`
 */
export function settle(field: Field, volume: number): PoolState[] {
  const pools: PoolState[] = [];
  if (volume > 0) pour(field, field.root, Math.min(volume, field.arcs[field.root].holds), pools);
  return pools;
}

function pour(field: Field, arc: number, volume: number, pools: PoolState[]): void {
  const { children } = field.arcs[arc];
  if (volume <= 0) return;
  const held = children.reduce((sum, part) => sum + field.arcs[part].holds, 0);
  if (children.length === 0 || (volume >= held && !areHeldApart(field, arc))) {
    pools.push(poolOfVolume(field, arc, volume));
    return;
  }
  let left = volume;
  for (const part of children) {
    const share = Math.min(left, field.arcs[part].holds);
    pour(field, part, share, pools);
    left -= share;
  }
}

/** True when an arc's parts are bodies that never meet: one only in name. */
export const areHeldApart = (field: Field, arc: number): boolean => field.arcs[arc].children.some((part) => field.arcs[part].saddle < 0);
