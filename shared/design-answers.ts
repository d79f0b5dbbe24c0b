/** What the engine answers before the mould is cut: siting, tolerance, comparison and mould. Plain records, SI, keys end in their unit. */
import type { Condition } from './answers.ts';
import type { Vector3 } from './vector.ts';

export type SitedKind = 'outlet' | 'drain';

/** A condition that siting was judged at: a flight condition of the case, or ground that slopes. */
export interface SitingCondition extends Condition {
  readonly id: string;
  /** How steep the ground is and which way it falls; left out for flight conditions. */
  readonly slope_deg?: number;
  readonly downhill_deg?: number;
}

/** What stays in the tank at the worst condition, and which that is: a place in `conditions`. */
export interface SitingFigure {
  readonly left_m3: number;
  readonly worst: number;
}

export interface SitedPlace extends SitingFigure {
  readonly at_m: Vector3;
  /** To the nearest present fitting of the kind; null where the tank has none. */
  readonly toPresent_m: number | null;
}

/** One place, or two that are open together. */
export interface SitingChoice extends SitingFigure {
  readonly places: readonly SitedPlace[];
}

export interface SitingTank {
  readonly id: string;
  readonly capacity_m3: number;
  /** Places looked at: every corner of the wall, and points between them where a spacing was asked for. */
  readonly considered: number;
  /** With the fittings of the kind that the tank has now; null where it has none. */
  readonly present: (SitingFigure & { readonly fittings: readonly string[] }) | null;
  /** Best first. Of single places each lies at least `apart_m` from those before it; of pairs the best alone. */
  readonly choices: readonly SitingChoice[];
  readonly apart_m: number;
  /** Every place looked at with a single fitting there; xyz in a row, tank frame. */
  readonly map: { readonly at_m: readonly number[]; readonly left_m3: readonly number[]; readonly worst: readonly number[] };
}

export interface SitingAnswer {
  readonly kind: SitedKind;
  readonly count: 1 | 2;
  readonly spacing_m: number | null;
  readonly conditions: readonly SitingCondition[];
  /** For drains: the grid of slopes, and by how much halving it last changed the best choice's figure. */
  readonly grid: {
    readonly rampSlope_deg: number;
    readonly directionStep_deg: number;
    readonly slopeStep_deg: number;
    readonly change: number;
  } | null;
  readonly tanks: readonly SitingTank[];
  readonly notices: readonly string[];
}

/**
 * A figure as drawn, and what it can become. Turned: the tank installed up to the stated angle off, in any direction. Scaled: the whole tank
 * smaller or larger by the stated share, its fittings moved along, their bores as they are.
 */
export interface ToleranceFigure {
  readonly asDrawn_m3: number;
  readonly leastTurned_m3: number;
  readonly mostTurned_m3: number;
  readonly smaller_m3: number;
  readonly larger_m3: number;
}

export interface Tolerances {
  readonly tolerance_deg: number;
  readonly scaleShare: number;
}

export interface UnusableTolerance extends Tolerances {
  /** The worst over the conditions, each tank off by itself; `mostAt` is the condition of the most. */
  readonly worst: ToleranceFigure & { readonly mostAt: string };
  readonly conditions: readonly (ToleranceFigure & {
    readonly id: string;
    readonly tanks: readonly (ToleranceFigure & { readonly id: string })[];
  })[];
  /** By how much the finest search last changed a figure, at most; share of what is left. */
  readonly change: number;
  /** Whether the case's limit holds for every figure here; null without a limit. */
  readonly met: boolean | null;
}

export interface RampTolerance extends Tolerances {
  /** The tanks together. Least and most take each tank off by itself and at its own worst slope: bounds, where there are several tanks. */
  readonly worst: ToleranceFigure;
  /** Each tank at its own worst slope. */
  readonly tanks: readonly (ToleranceFigure & { readonly id: string })[];
  readonly met: boolean | null;
}

export type ComparedQuantity = 'volume' | 'length' | 'area' | 'angle' | 'share' | 'count';

/** One figure of every case, in the order of the cases; null where a case has none. */
export interface ComparedFigure {
  /** Ends in its unit; `unusable_m3:<id>` at one flight condition. */
  readonly key: string;
  readonly title: string;
  readonly quantity: ComparedQuantity;
  /** Which way is better; null where neither is. */
  readonly better: 'less' | 'more' | null;
  readonly values: readonly (number | null)[];
  /** Places of the best cases; none where all are the same or only one has a figure. */
  readonly best: readonly number[];
}

export interface ComparedLowPoint {
  readonly tank: string;
  readonly at_m: Vector3;
  readonly holds_m3: number;
  readonly drain: string | null;
}

export interface ComparedCase {
  readonly name: string;
  readonly parked: Condition;
  readonly rampSlope_deg: number;
  /** At the worst slope, those that keep most first. */
  readonly lowPoints: readonly ComparedLowPoint[];
}

export interface CompareAnswer {
  readonly cases: readonly ComparedCase[];
  readonly figures: readonly ComparedFigure[];
  readonly notices: readonly string[];
}

/** The smallest upright box about a tank with one side along the pull. */
export interface MouldStock {
  /** Along the pull, then the longer and the shorter side across it, m. */
  readonly along_m: number;
  readonly long_m: number;
  readonly short_m: number;
  /** Unit vectors of the two sides across the pull, tank frame. */
  readonly longSide: Vector3;
  readonly shortSide: Vector3;
}

export interface PartingLoop {
  readonly length_m: number;
  /** How far it departs from a plane square to the pull, m: 0 for a flat parting. */
  readonly rise_m: number;
  /** xyz in a row, tank frame; closed. */
  readonly at_m: readonly number[];
}

export interface MouldTank {
  readonly id: string;
  /** Unit vector; one half of the mould comes off along it, the other against it. */
  readonly pull: Vector3;
  readonly isSuggested: boolean;
  /** Directions tried for the suggestion, and the spacing between neighbouring ones; null where the pull was given. */
  readonly tried: { readonly directions: number; readonly spacing_deg: number } | null;
  readonly wallArea_m2: number;
  /** Least draft of a wall with more than a trace of area, and where. */
  readonly leastDraft_deg: number;
  readonly leastDraftAt_m: Vector3;
  readonly lowDraftArea_m2: number;
  /** Area that something of the tank itself keeps from leaving its half. */
  readonly undercutArea_m2: number;
  /** Area of triangles all of whose samples are hidden, and of those with any hidden: what lies between is told to the resolution alone. */
  readonly undercutFrom_m2: number;
  readonly undercutTo_m2: number;
  /** Samples lie no farther apart than this, m. */
  readonly resolution_m: number;
  /** Of every triangle: share of its area that is undercut, and its draft. */
  readonly undercutShare: readonly number[];
  readonly draft_deg: readonly number[];
  /** Longest first. */
  readonly parting: readonly PartingLoop[];
  readonly stock: MouldStock;
}

export interface MouldAnswer {
  readonly draft_deg: number;
  readonly tanks: readonly MouldTank[];
  readonly notices: readonly string[];
}
