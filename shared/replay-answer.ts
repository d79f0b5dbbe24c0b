/** What a replay answers: plain records, SI. Lists by row have one entry per row of the history; see answers.ts for the rest. */
import type { Condition, Cover } from './answers.ts';
import type { Vector3 } from './vector.ts';

/** Air reaches an outlet: from the time the surface falls under its highest point until it stands over it again. */
export interface DryInterval {
  readonly tank: string;
  readonly outlet: string;
  /** True for an outlet that feeds the engine, false for one that a line starts at. */
  readonly isEngine: boolean;
  /** By interpolation of the depth between rows. */
  readonly from_s: number;
  readonly to_s: number;
  /** The history begins or ends with air at the outlet. */
  readonly isOpenStart: boolean;
  readonly isOpenEnd: boolean;
  /** False where some of the opening stayed under fuel at every row. */
  readonly isFullyDry: boolean;
  /** All tanks together, and the outlet's own tank, when it began. */
  readonly fuelOnBoard_m3: number;
  readonly fuelInTank_m3: number;
  /** At the row nearest its beginning inside it. */
  readonly row: number;
  readonly condition: Condition;
}

export interface ReplayOutlet {
  readonly id: string;
  readonly isEngine: boolean;
  /** By row: the level above the opening's centre, null where no fuel lies under it. */
  readonly depth_m: readonly (number | null)[];
  readonly cover: readonly Cover[];
}

export interface ReplayTank {
  readonly id: string;
  readonly capacity_m3: number;
  /** By row. */
  readonly fuel_m3: readonly number[];
  readonly outlets: readonly ReplayOutlet[];
  /** Pools of row r are entries `first[r]` to `first[r + 1]` of the lists; `lowPoint` counts in `lowPoints_m`. */
  readonly pools: {
    readonly first: readonly number[];
    readonly volume_m3: readonly number[];
    readonly level_m: readonly number[];
    readonly lowPoint: readonly number[];
  };
  readonly lowPoints_m: readonly Vector3[];
}

export interface ReplayAnswer {
  readonly start_m3: number;
  readonly drawn_m3: number;
  readonly left_m3: number;
  /** Asked for while the outlets were dry. */
  readonly notDrawn_m3: number;
  readonly dry: readonly DryInterval[];
  /** By row. */
  readonly time_s: readonly number[];
  readonly condition: { readonly pitch_deg: readonly number[]; readonly roll_deg: readonly number[]; readonly n: readonly number[] };
  readonly drawnTo_m3: readonly number[];
  readonly fuel_m3: readonly number[];
  readonly fuelCentroid_m: readonly (Vector3 | null)[];
  readonly tanks: readonly ReplayTank[];
  readonly steps: {
    /** Turns above this were carried out in equal parts, turns below it since the last field kept the field. */
    readonly mostTurn_deg: number;
    readonly keptTurn_deg: number;
    readonly largestTurn_deg: number;
    readonly fields: number;
    readonly kept: number;
  };
  readonly notices: readonly string[];
}
