/** One row of a replay as a settled case, to be drawn: the pools of the row laid out at the row's own attitude. */
import type { ReplayAnswer } from '../../shared/replay-answer.ts';
import { subtract, type Vector3 } from '../../shared/vector.ts';
import type { LoadedTanks } from '../case/load-case.ts';
import { settleAmounts } from '../fluid/settle.ts';
import type { Turned } from '../fluid/turn.ts';
import { exactWays } from '../fluid/ways.ts';
import type { TankSolid } from '../mesh/tank-solid.ts';
import { fieldsOfCase } from './parked.ts';
import { type SettledCase, settledAs } from './settle-case.ts';

/**
 * Each recorded pool stands over its own low point; pools that meet are one, and what a pocket cannot hold spills. Where the replay kept the
 * field over a small turn, the levels here are the exact ones of the row.
 *
 * @param row - 0 to the last
 */
export function settledRow(loaded: LoadedTanks, replay: ReplayAnswer, row: number): SettledCase {
  const { pitch_deg, roll_deg, n } = replay.condition;
  const condition = { pitch_deg: pitch_deg[row], roll_deg: roll_deg[row], n: n[row] };
  const fields = fieldsOfCase(loaded, condition);
  const standing = fields.map((field, i): Turned => {
    const { pools, lowPoints_m } = replay.tanks[i];
    const amounts = new Float64Array(field.arcs.length);
    for (let k = pools.first[row]; k < pools.first[row + 1]; k++) {
      const vertex = nearestVertex(field.solid, lowPoints_m[pools.lowPoint[k]]);
      amounts[exactWays.drop(field, vertex)] += pools.volume_m3[k];
    }
    return { field, pools: settleAmounts(field, amounts, exactWays.spill), steps: 0, change: 0 };
  });
  return settledAs(loaded, condition, standing, 'recorded');
}

function nearestVertex({ positions, origin }: TankSolid, at: Vector3): number {
  const [x, y, z] = subtract(at, origin);
  let nearest = 0;
  let least = Number.POSITIVE_INFINITY;
  for (let v = 0, k = 0; k < positions.length; v++, k += 3) {
    const away = Math.hypot(positions[k] - x, positions[k + 1] - y, positions[k + 2] - z);
    if (away >= least) continue;
    nearest = v;
    least = away;
  }
  return nearest;
}
