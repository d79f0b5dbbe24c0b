/** A shape by its parameters as the program makes it: through the case's door, so defaults and ranges are the real ones. */
import { type LoadedTank, loadCase } from '../../engine/case/load-case.ts';
import { readCase } from '../../engine/case/read-case.ts';
import { describeError } from '../../shared/errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';

/** @returns the failure as the line a person sees */
export async function tryShape(geometry: object): Promise<Outcome<LoadedTank, string>> {
  const file = readCase(JSON.stringify({ format: 'lowpoint-case', version: 1, name: 'a shape', tanks: [{ id: 'a', geometry }] }));
  if (!file.ok) return failed(describeError(file.error));
  const loaded = await loadCase(file.value, new Map());
  return loaded.ok ? done(loaded.value.tanks[0]) : failed(describeError(loaded.error));
}

export async function shapeTank(geometry: object): Promise<LoadedTank> {
  const made = await tryShape(geometry);
  if (!made.ok) throw new Error(made.error);
  return made.value;
}

/**
 * The most by which a faceted body may differ in volume from the true one: its walls move by the chord error at most, and float32 in mm
 * moves corners by 6e-8 of the farthest.
 */
export const facetShare = ({ solid }: LoadedTank, chordError_m: number): number =>
  solid.wallArea * (chordError_m + 1e-7 * Math.max(...solid.max.map(Math.abs), ...solid.min.map(Math.abs)));
