/**
 * What stays when a full tank drains at a constant condition. Exact, and needs no history: the level falls until the lowest open fitting of
 * the pool, or splits at a saddle; a part without an open fitting keeps what it holds there. With outlets open this gives unusable fuel,
 * with drains open the water that sumping leaves, upside down with vents open the air that filling traps. Design §3.
 */
import type { Field } from '../basins/field.ts';
import { arcOfPlace, type Place } from '../fittings/opening.ts';
import { type PoolState, poolOfLevel } from '../surface/pool.ts';
import { areHeldApart } from './settle.ts';

/** A way out, named so that the answer can say which one emptied a pool. */
export interface WayOut {
  readonly id: string;
  readonly place: Place;
}

export interface Residue extends PoolState {
  /** The fitting that stopped the fall of this pool's level, or null for a pocket without one. */
  readonly drainedBy: string | null;
}

/**
 * @param noLowerThan - a level, local, m, at which every fall ends; none by default
 * @returns what stays, pool by pool; an emptied pool stays in the list at volume 0, so that its drain is known
 */
export function drainDown(field: Field, waysOut: readonly WayOut[], noLowerThan = Number.NEGATIVE_INFINITY): Residue[] {
  const { arcs, root } = field;
  const lowestIn = new Map<number, { level: number; id: string }>();
  const hasWayOut = new Uint8Array(arcs.length);
  for (const { id, place } of waysOut) {
    const arc = arcOfPlace(field, place);
    const level = Math.max(place.level, arcs[arc].birth);
    const known = lowestIn.get(arc);
    if (known === undefined || level < known.level) lowestIn.set(arc, { level, id });
    for (let over = arc; over >= 0 && hasWayOut[over] === 0; over = arcs[over].parent) hasWayOut[over] = 1;
  }
  const left: Residue[] = [];
  const stack = [root];
  while (stack.length > 0) {
    const arc = stack.pop()!;
    const { children, birth, death, holds } = arcs[arc];
    const fallsFurther = birth > noLowerThan && children.some((part) => hasWayOut[part] === 1);
    if (fallsFurther || areHeldApart(field, arc)) {
      for (let i = children.length - 1; i >= 0; i--) stack.push(children[i]);
      continue;
    }
    const own = lowestIn.get(arc);
    const isOpen = own !== undefined || hasWayOut[arc] === 1;
    if (!isOpen) left.push({ arc, level: death, volume: holds, drainedBy: null });
    else left.push({ ...poolOfLevel(field, arc, Math.max(own?.level ?? birth, noLowerThan)), drainedBy: own?.id ?? null });
  }
  return left;
}
