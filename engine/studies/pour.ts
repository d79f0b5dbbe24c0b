/** Fuel poured into a tank as it stands: where it runs to, and the pools it makes. */
import type { Field } from '../basins/field.ts';
import { waterPath } from '../basins/water-path.ts';
import type { LoadedTank } from '../case/load-case.ts';
import { openingAt } from '../fittings/opening.ts';
import { lowestUnder, settleAmounts } from '../fluid/settle.ts';
import type { Standing } from '../fluid/turn.ts';
import { exactWays } from '../fluid/ways.ts';

/** @param volume - m³, 0 to the capacity */
export function poured(tank: LoadedTank, field: Field, volume: number): Standing {
  const amounts = new Float64Array(field.arcs.length);
  amounts[pourPoint(tank, field)] = volume;
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
