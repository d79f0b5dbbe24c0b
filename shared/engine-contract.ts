/**
 * What the window may ask of the engine. `engine/worker.ts` implements it, `renderer/engine-link.ts` starts the worker; every call
 * answers an Outcome, so no fact of an error is lost on the way. Arrays move by transfer. All figures SI, tank frame.
 */
import type { CheckAnswer, Condition, Finding, LowPoint, RampAnswer, Repair, SettleAnswer, UnusableAnswer } from './answers.ts';
import type { CaseFile, MeshUnit } from './case.ts';
import type { EngineError } from './errors.ts';
import type { Outcome } from './outcome.ts';
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

export interface EngineContract {
  glanceAtMesh(name: string, bytes: ArrayBuffer): Promise<Outcome<MeshGlance, EngineError>>;
  /** The one door for case files: unknown keys, wrong values and newer versions come back as an error with their place. */
  readCase(text: string): Promise<Outcome<CaseFile, EngineError>>;
  /** Makes a case current. Meshes by the name the case gives them. On failure the case before stays current. */
  loadCase(caseFile: CaseFile, meshes: Record<string, ArrayBuffer>): Promise<Outcome<LoadedCase, EngineError>>;
  settle(condition: Condition, fuel: FuelAmount): Promise<Outcome<SettledView, EngineError>>;
  ramp(progress: (share: number) => void): Promise<Outcome<RampAnswer, EngineError>>;
  unusable(): Promise<Outcome<UnusableAnswer, EngineError>>;
  /** Findings for the outlet, drains and low points of the current case; runs ramp and unusable. */
  findings(progress: (share: number) => void): Promise<Outcome<readonly Finding[], EngineError>>;
}
