/** How far fuel stands above or below a fitting's opening. */
import type { Cover, FittingState } from '../../shared/answers.ts';
import { arcAtLevel, type Field, isUnder } from '../basins/field.ts';
import type { PoolState } from '../surface/pool.ts';
import { arcOfPlace, type Fitting, type Opening, openingAt } from './opening.ts';

/**
 * @param pools - the pools of the fitting's tank
 * @returns covered: the level is at or above the opening's highest point; dry: at or below its lowest; partly: between
 */
export function coverOf(field: Field, fitting: Fitting, pools: readonly PoolState[]): FittingState {
  const opening = openingAt(field, fitting);
  const pool = poolAtOpening(field, opening, pools);
  if (pool === null) return { id: fitting.id, kind: fitting.kind, depth_m: null, cover: 'dry' };
  return {
    id: fitting.id,
    kind: fitting.kind,
    depth_m: pool.level - opening.centre.level,
    cover: coverAt(pool.level, opening.top.level, opening.bottom.level),
  };
}

/** The pool that stands over or under an opening, null where no fuel lies under it. */
export const poolAtOpening = <Pool extends PoolState>(field: Field, { centre }: Opening, pools: readonly Pool[]): Pool | null =>
  poolAt(field, arcOfPlace(field, centre), field.lowArc[centre.triangle], pools);

function coverAt(level: number, top: number, bottom: number): Cover {
  if (level >= top) return 'covered';
  return level > bottom ? 'partly' : 'dry';
}

/**
 * The pool that stands over a place, else the one that lies under it: first the pool over the wall straight below, else the highest of
 * those that would reach the place if they rose.
 */
function poolAt<Pool extends PoolState>(field: Field, arc: number, floor: number, pools: readonly Pool[]): Pool | null {
  let found: Pool | null = null;
  for (const pool of pools) {
    if (isUnder(field, arcAtLevel(field, floor, pool.level), pool.arc) && field.arcs[floor].bottom <= pool.level) return pool;
    if (isUnder(field, pool.arc, arc) && (found === null || pool.level > found.level)) found = pool;
  }
  return found;
}
