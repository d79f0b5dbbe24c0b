/**
 * What the engine answers: plain records, SI, each key ending in its unit. The command line prints them with `--json`
 * and the window reads them as they are. Positions are in the tank frame; a level is a height along `up` from its origin.
 */
import type { CaseFitting, FittingKind } from './case.ts';
import type { Vector3 } from './vector.ts';

export interface Condition {
  readonly pitch_deg: number;
  readonly roll_deg: number;
  readonly n: number;
}

export type Cover = 'covered' | 'partly' | 'dry';

/** One thing done to a mesh to make it sound, in words a builder reads, with how often. */
export interface Repair {
  readonly kind: string;
  readonly count: number;
  readonly text: string;
}

export interface TankCheck {
  readonly id: string;
  readonly name: string;
  readonly capacity_m3: number;
  readonly triangles: number;
  readonly watertight: boolean;
  readonly repairs: readonly Repair[];
  /** Which space of the body holds the fuel: its skin's inside, or the cavity a thick wall encloses. */
  readonly space: 'skin' | 'cavity' | 'outer';
  readonly bounds_m: { readonly min: Vector3; readonly max: Vector3 };
  readonly surface_m2: number;
  /** The lowest point of the fuel space at the parked attitude. */
  readonly lowest_m: Vector3;
  readonly lowPoints: readonly { readonly at_m: Vector3; readonly holds_m3: number }[];
  /** The mesh's own chord error. */
  readonly facetError_m: number;
  readonly pocketTolerance: { readonly depth_m: number; readonly volume_m3: number };
  readonly notices: readonly string[];
}
export interface CheckAnswer {
  readonly case: string;
  readonly condition: Condition;
  readonly tanks: readonly TankCheck[];
  readonly capacity_m3: number;
}

export interface Pool {
  readonly volume_m3: number;
  readonly level_m: number;
  readonly surface_m2: number;
  readonly centroid_m: Vector3;
  readonly lowest_m: Vector3;
}
export interface FittingState {
  readonly id: string;
  readonly kind: FittingKind;
  /** Height of the level above the opening's centre, negative when the opening is above it; null where no fuel lies under it. */
  readonly depth_m: number | null;
  readonly cover: Cover;
}
export interface TankSettle {
  readonly id: string;
  readonly capacity_m3: number;
  readonly fuel_m3: number;
  readonly centroid_m: Vector3 | null;
  readonly pools: readonly Pool[];
  readonly fittings: readonly FittingState[];
  /** Pockets below the tolerance that were joined to their neighbour. */
  readonly mergedPockets: {
    readonly count: number;
    readonly volume_m3: number;
    /** Both must be undercut; the case's `pockets` sets them. */
    readonly depthTolerance_m: number;
    readonly volumeTolerance_m3: number;
  };
  /**
   * How the fuel came here: poured as parked and turned to the condition, poured at the condition, or carried from where it lay before.
   * `steps` is 0 where nothing was turned or one pool holds all, so that history cannot matter; `change` is the largest change of one pool
   * when the steps were last doubled, share of capacity, null where they were not. `recorded` is a row of a replay.
   */
  readonly history: {
    readonly from: 'parked' | 'here' | 'before' | 'recorded';
    readonly steps: number;
    readonly change: number | null;
  };
}
export interface SettleAnswer {
  readonly condition: Condition;
  readonly fuel_m3: number;
  readonly fuelCentroid_m: Vector3 | null;
  readonly tanks: readonly TankSettle[];
}

/** Where liquid comes to rest at a condition, and what stays there once the open fittings have drained all they can. */
export interface LowPoint {
  readonly at_m: Vector3;
  readonly holds_m3: number;
  /** Share of the tank's plan area, seen along apparent gravity, whose water ends here; left out where it was not worked out. */
  readonly share?: number;
  /** The drain that empties this low point's pocket, or null. */
  readonly drain: string | null;
}
export interface RampTank {
  readonly id: string;
  readonly left_m3: number;
  readonly lowPoints: readonly LowPoint[];
}
/** Water left on one slope of ground. */
export interface RampFigure {
  /** How steep the ground is, and which way it falls: 0 towards the nose, 90 to the right, 180 aft. */
  readonly slope_deg: number;
  readonly downhill_deg: number;
  readonly pitch_deg: number;
  readonly roll_deg: number;
  readonly left_m3: number;
}
export interface RampSlope extends RampFigure {
  readonly tanks: readonly RampTank[];
}
export interface RampAnswer {
  readonly rampSlope_deg: number;
  readonly parked: Condition;
  readonly grid: { readonly directionStep_deg: number; readonly slopeStep_deg: number; readonly change: number };
  readonly worst: { readonly pitch_deg: number; readonly roll_deg: number; readonly left_m3: number };
  /** Level ground, every 15° of direction at half and full slope, and the worst. */
  readonly slopes: readonly RampSlope[];
  /** The finest grid, level first. */
  readonly map: readonly RampFigure[];
  readonly requirement: { readonly waterLeft_m3: number; readonly met: boolean } | null;
  readonly notices: readonly string[];
}

export interface UnusableTank {
  readonly id: string;
  /** The outlet whose unporting sets the figure; null where the tank has none and keeps all it holds. */
  readonly outlet: string | null;
  readonly left_m3: number;
}
export interface UnusableCondition {
  readonly id: string;
  readonly name: string;
  readonly pitch_deg: number;
  readonly roll_deg: number;
  readonly n: number;
  readonly source: string;
  readonly unusable_m3: number;
  readonly tanks: readonly UnusableTank[];
}
export interface UnusableAnswer {
  readonly unusable_m3: number;
  /** Id of the condition that sets it. */
  readonly worst: string;
  readonly capacity_m3: number;
  readonly conditions: readonly UnusableCondition[];
  readonly requirement: { readonly unusableFuel_m3: number; readonly met: boolean } | null;
  readonly notices: readonly string[];
}

export interface TankFill {
  readonly id: string;
  readonly capacity_m3: number;
  /** What fits when filling through the filler at the fuelling attitude. */
  readonly mostFuel_m3: number;
  readonly trappedAir_m3: number;
  /** Air above the fuel that a vent still serves, as a share of capacity. */
  readonly expansionShare: number;
  /** False for a tank without filler and vent, which breathes through its lines into others. */
  readonly isJudged: boolean;
  /** Trapped air, largest first, each at its highest point. */
  readonly pockets: readonly { readonly at_m: Vector3; readonly volume_m3: number }[];
}
export interface CoveredVent {
  readonly tank: string;
  readonly vent: string;
  /** Its id, and its three numbers. */
  readonly condition: string;
  readonly at: Condition;
  readonly cover: Cover;
  readonly depth_m: number | null;
}
export interface FillAnswer {
  /** The fuelling attitude. */
  readonly condition: Condition;
  readonly capacity_m3: number;
  readonly mostFuel_m3: number;
  readonly trappedAir_m3: number;
  readonly expansionShare: number;
  readonly pockets: readonly { readonly tank: string; readonly at_m: Vector3; readonly volume_m3: number }[];
  readonly tanks: readonly TankFill[];
  /** Vents that fuel reaches with the tanks as full as they go. */
  readonly coveredVents: readonly CoveredVent[];
  /** Least expansion space in every tank. */
  readonly requirement: { readonly expansionShare: number; readonly met: boolean };
  readonly notices: readonly string[];
}

/** One line of the findings: a requirement or practice, its number, its source, met or not, and the condition to look at. */
export interface Finding {
  readonly id: string;
  readonly title: string;
  readonly state: 'met' | 'not met' | 'not shown';
  /** The figure in SI and the sentence around it uses the unit the person chose; null where there is none. */
  readonly value: { readonly amount: number; readonly quantity: 'volume' | 'length' | 'share' } | null;
  readonly limit: { readonly amount: number; readonly quantity: 'volume' | 'length' | 'share' } | null;
  readonly text: string;
  readonly source: string;
  readonly show: Condition | null;
}

export type { CaseFitting };
