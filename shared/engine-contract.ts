/**
 * What the window may ask of the engine. `engine/worker.ts` implements it, `renderer/engine-link.ts` starts the worker; every call
 * answers an Outcome, so no fact of an error is lost on the way. Arrays move by transfer. All figures SI, tank frame.
 */
import type { CheckAnswer, Condition, FillAnswer, Finding, LowPoint, RampAnswer, Repair, SettleAnswer, UnusableAnswer } from './answers.ts';
import type { CaseFile, MeshUnit } from './case.ts';
import type { EngineError } from './errors.ts';
import type { Outcome } from './outcome.ts';
import type { ReplayAnswer } from './replay-answer.ts';
import type { Vector3 } from './vector.ts';

/** A mesh as read, before a unit is known: enough to ask for the unit with the size it would give. */
export interface MeshGlance {
  readonly format: 'stl-binary' | 'stl-ascii';
  readonly triangles: number;
  /** Bounding box size in file units. */
  readonly size: Vector3;
  /** Fuel space in cubic file units, null where the mesh cannot be closed. */
  readonly volume: number | null;
  readonly likelyUnit: MeshUnit;
  readonly repairs: readonly Repair[];
  readonly notices: readonly string[];
}

/** Triangles to draw: xyz in metres, tank frame, and vertex indices. */
export interface DrawnMesh {
  readonly positions: Float32Array;
  readonly triangles: Uint32Array;
}

export interface DrawnTank extends DrawnMesh {
  readonly id: string;
}

export interface LoadedCase {
  readonly tanks: readonly DrawnTank[];
  readonly check: CheckAnswer;
  readonly notices: readonly string[];
}

/** How much fuel: the same share of every tank's capacity, or a volume for the whole case spread at equal share. */
export type FuelAmount = { readonly fill: number } | { readonly fuel_m3: number };

export interface DrawnPool {
  readonly tank: string;
  /** The wetted wall below the level, and the free surface, cut exactly. */
  readonly wall: DrawnMesh;
  readonly surface: DrawnMesh;
}

export interface SettledView {
  readonly settle: SettleAnswer;
  readonly up: Vector3;
  readonly pools: readonly DrawnPool[];
  /** Low points at this condition, and the water that stays there with the drains open. */
  readonly lowPoints: readonly (LowPoint & { readonly tank: string })[];
  readonly water: readonly DrawnPool[];
}

/** How fuel comes to a condition. */
export interface HowFuelComes {
  /** Poured as parked and turned; or turned from where it last rested, which is the last answer that was not `live`: of the same case and amount, else as parked. */
  readonly from: 'parked' | 'now';
  /** While a hand moves: few steps, not doubled, and no shares of floor. A steady answer is asked for once the hand rests. */
  readonly live: boolean;
}

/** Where a water drop runs from a point. */
export interface WaterPathView {
  readonly tank: string;
  readonly condition: Condition;
  readonly points_m: readonly Vector3[];
  /** Along the walls, falls left out. */
  readonly length_m: number;
  /** Null where it nowhere runs; below 0 where it fills a joined pit and goes over its rim. */
  readonly leastSlope_deg: number | null;
  /** Stretches that slope by less than this are flats: common practice, no source. */
  readonly leastDrainSlope_deg: number;
  /** By index of points. */
  readonly flats: readonly { readonly from: number; readonly to: number; readonly length_m: number; readonly leastSlope_deg: number }[];
  readonly falls: readonly { readonly from: number; readonly drop_m: number }[];
  readonly lowPoint_m: Vector3;
  /** The drain that empties the low point's pocket, or null. */
  readonly drain: string | null;
}

/** The tanks filled as far as they go: what `fill` says, and the fuel and air it says it of. */
export interface FillView {
  readonly fill: FillAnswer;
  readonly up: Vector3;
  readonly fuel: readonly DrawnPool[];
  readonly air: readonly (DrawnPool & { readonly kind: 'trapped' | 'expansion' })[];
}

export interface EngineContract {
  glanceAtMesh(name: string, bytes: ArrayBuffer): Promise<Outcome<MeshGlance, EngineError>>;
  /** The one door for case files: unknown keys, wrong values and newer versions come back as an error with their place. */
  readCase(text: string): Promise<Outcome<CaseFile, EngineError>>;
  /** Makes a case current. Meshes by the name the case gives them. On failure the case before stays current. */
  loadCase(caseFile: CaseFile, meshes: Record<string, ArrayBuffer>): Promise<Outcome<LoadedCase, EngineError>>;
  settle(condition: Condition, fuel: FuelAmount, how: HowFuelComes): Promise<Outcome<SettledView, EngineError>>;
  /** @param point_m - in a tank or on its wall; which tank, the point says */
  waterPath(point_m: Vector3, condition: Condition): Promise<Outcome<WaterPathView, EngineError>>;
  fill(): Promise<Outcome<FillView, EngineError>>;
  /** A recorded manoeuvre, as CSV text, through the current case; it stays in the worker for `replayRow`. */
  replay(text: string, fuel: FuelAmount, progress: (share: number) => void): Promise<Outcome<ReplayAnswer, EngineError>>;
  /** The pools of one row of the last replay, to draw. */
  replayRow(row: number): Promise<Outcome<SettledView, EngineError>>;
  ramp(progress: (share: number) => void): Promise<Outcome<RampAnswer, EngineError>>;
  unusable(): Promise<Outcome<UnusableAnswer, EngineError>>;
  /** Findings for the outlet, drains and low points of the current case; runs ramp and unusable. */
  findings(progress: (share: number) => void): Promise<Outcome<readonly Finding[], EngineError>>;
}
