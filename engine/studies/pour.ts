/** Fuel poured into a tank as it stands: where it runs to, and the pools it makes. */
import type { Vector3 } from '../../shared/vector.ts';
import type { Field } from '../basins/field.ts';
import { waterPath } from '../basins/water-path.ts';
import type { LoadedTank } from '../case/load-case.ts';
import { openingAt } from '../fittings/opening.ts';
import { lowestUnder, settleAmounts } from '../fluid/settle.ts';
import type { Standing } from '../fluid/turn.ts';
import { exactWays } from '../fluid/ways.ts';

/**
 * @param volume - m³, 0 to the capacity
 * @param at - where it is poured, m, tank frame; a tank that does not hold the point is filled through its filler
 */
export function poured(tank: LoadedTank, field: Field, volume: number, at: Vector3 | null = null): Standing {
  const amounts = new Float64Array(field.arcs.length);
  const stated = at === null ? null : waterPath(field, at);
  amounts[stated?.endsAt ?? pourPoint(tank, field)] = volume;
  return { field, pools: settleAmounts(field, amounts, exactWays.spill) };
}

/** The low point that fuel from the tank's first filler runs to; the lowest where it has no filler. */
function pourPoint({ fittings }: LoadedTank, field: Field): number {
  const filler = fittings.find(({ kind }) => kind === 'filler');
  if (filler === undefined) return lowestUnder(field, field.root);
  const path = waterPath(field, filler.at);
  if (path !== null) return path.endsAt;
  // A filler drawn a little outside the tank: from the wall it lies over.
  const { triangles } = field.solid;
  const k = 3 * openingAt(field, filler).centre.triangle;
  return exactWays.drop(field, Math.min(triangles[k], triangles[k + 1], triangles[k + 2]));
}
