/** From a path on the command line to tanks that can be asked. */
import { describeError } from '../../shared/errors.ts';
import type { MeshUnit } from '../../shared/mesh-units.ts';
import { failed, type Outcome } from '../../shared/outcome.ts';
import { type LoadedTanks, loadCase } from '../case/load-case.ts';
import { openFile } from './open-file.ts';

/** @returns the failure as the one line to print */
export async function openLoaded(path: string, unit: string | boolean | undefined): Promise<Outcome<LoadedTanks, string>> {
  const opened = await openFile(path, unit as MeshUnit | undefined);
  if (!opened.ok) return opened;
  const loaded = await loadCase(opened.value.file, opened.value.meshes);
  return loaded.ok ? loaded : failed(`${path}: ${describeError(loaded.error)}`);
}
