/** Every expected failure of the engine, and the one place that puts them in words: what, where, what to do, in one line. */
import { type CaseError, describeCaseError } from './case-errors.ts';
import { describeHistoryError, type HistoryError } from './history-errors.ts';
import { describeMeshError, type MeshError } from './mesh-errors.ts';
import { describeShapeError, type ShapeError } from './shapes.ts';

export type ConditionError =
  | { readonly code: 'no-gravity' }
  | { readonly code: 'condition-not-finite'; readonly key: 'pitch_deg' | 'roll_deg' | 'n'; readonly value: number };

export type AmountError =
  | { readonly code: 'more-than-fits'; readonly asked_m3: number; readonly capacity_m3: number }
  | { readonly code: 'amount-not-valid'; readonly key: string; readonly value: number }
  | { readonly code: 'pour-outside'; readonly at_m: readonly [number, number, number] };

/** The engine could not go on: a fault of the program, kept apart from bad input. */
export interface EngineFault {
  readonly code: 'engine-fault';
  readonly text: string;
}

/** A mesh or case error that names the tank and the file it was found in. */
export interface TankMeshError {
  readonly code: 'tank-mesh';
  readonly tank: string;
  readonly file: string;
  readonly error: MeshError;
}

/** Parameters of a tank's shape that do not go together, or a shape that does not come out sound. */
export interface TankShapeError {
  readonly code: 'tank-shape';
  readonly tank: string;
  readonly error: ShapeError | MeshError;
}

export type EngineError =
  | CaseError
  | MeshError
  | TankMeshError
  | TankShapeError
  | ConditionError
  | AmountError
  | HistoryError
  | EngineFault;

/** One line for a person. */
export function describeError(error: EngineError): string {
  switch (error.code) {
    case 'no-gravity':
      return 'Load factor n is 0: without apparent gravity there is no free surface. Give an n above or below zero.';
    case 'condition-not-finite':
      return `Condition ${error.key} is ${error.value}, not a number. Give a finite number.`;
    case 'more-than-fits':
      return `Fuel ${litres(error.asked_m3)} L is more than the ${litres(error.capacity_m3)} L that fit. Ask for less.`;
    case 'amount-not-valid':
      return `${error.key} is ${error.value}. Give a number of zero or more${error.key === 'fill' ? ', at most 1' : ''}.`;
    case 'pour-outside':
      return `No tank holds the point ${error.at_m.join(', ')} m. Give a point inside a tank: X aft, Y right, Z up.`;
    case 'engine-fault':
      return `The engine stopped: ${error.text.replace(/[.\s]+$/, '')}. The case is kept; try again, and report it if it happens twice.`;
    case 'tank-shape':
      return `Tank "${error.tank}", its shape: ${'key' in error.error ? describeShapeError(error.error) : describeMeshError(error.error)}`;
    case 'tank-mesh':
      return `Tank "${error.tank}", ${error.file}: ${describeMeshError(error.error)}`;
    default:
      if (error.code.startsWith('history-')) return describeHistoryError(error as HistoryError);
      return error.code.startsWith('mesh-') ? describeMeshError(error as MeshError) : describeCaseError(error as CaseError);
  }
}

const litres = (volume: number): string => String(Number((volume * 1000).toPrecision(6)));
