/** The verb `export`: one tank's fuel space, after repairs and placement, as a mesh file. */
import { dirname, extname, resolve } from 'node:path';
// biome-ignore lint/style/noRestrictedImports: one way to save whole or not at all, for window and command line (tests/layers.ts)
import { saveAtomically } from '../../electron/atomic-save.ts';
import type { MeshUnit } from '../../shared/case.ts';
import { describeError } from '../../shared/errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { describeShellError } from '../../shared/shell-errors.ts';
import { suggest } from '../../shared/suggest.ts';
import { fromSi, showNumber } from '../../shared/units.ts';
import { type LoadedTank, type LoadedTanks, loadCase } from '../case/load-case.ts';
import { describeWriteError, type WriteFormat, writeMesh } from '../mesh/write-mesh.ts';
import { openFile } from './open-file.ts';
import type { Answered } from './run.ts';

export interface ExportOptions {
  readonly out: string;
  readonly tank?: string;
  readonly unit: MeshUnit;
  readonly meshUnit?: MeshUnit;
  readonly json?: boolean;
}

/** @returns the failure as the one line to print */
export async function runExport(path: string, { out, tank: id, unit, meshUnit }: ExportOptions): Promise<Outcome<Answered, string>> {
  const format = extname(out).slice(1).toLowerCase();
  if (format !== 'stl' && format !== '3mf') return failed(`${out} ends in neither .stl nor .3mf. Name the file to write by its kind.`);
  if (meshUnit !== undefined && extname(path).toLowerCase() === '.json')
    return failed(`--mesh-unit is for a bare mesh; ${path} says each mesh's unit itself. Leave it out.`);
  const opened = await openFile(path, meshUnit);
  if (!opened.ok) return opened;
  const sources = [path, ...[...opened.value.meshes.keys()].map((name) => resolve(dirname(path), name))];
  if (sources.some((source) => resolve(source) === resolve(out))) return failed(`${out} is what is read. Write to another file.`);
  const loaded = await loadCase(opened.value.file, opened.value.meshes);
  if (!loaded.ok) return failed(`${path}: ${describeError(loaded.error)}`);
  const chosen = chooseTank(loaded.value, id);
  if (!chosen.ok) return chosen;
  const tank = chosen.value;
  const written = await writeMesh(tank.solid, { format, unit, title: `${loaded.value.file.name}, ${tank.name}, fuel space, ${unit}` });
  if (!written.ok) return failed(describeWriteError(written.error));
  const saved = await saveAtomically(resolve(out), written.value);
  return saved.ok ? done(answerOf(tank, out, format, unit, written.value.length)) : failed(describeShellError(saved.error));
}

function chooseTank({ tanks }: LoadedTanks, id: string | undefined): Outcome<LoadedTank, string> {
  const ids = tanks.map((tank) => tank.id);
  if (id === undefined)
    return tanks.length === 1 ? done(tanks[0]) : failed(`The case has ${tanks.length} tanks. Say which with --tank: ${ids.join(', ')}.`);
  const found = tanks.find((tank) => tank.id === id);
  if (found !== undefined) return done(found);
  const near = suggest(id, ids);
  return failed(`The case has no tank "${id}". ${near === null ? `It has ${ids.join(', ')}.` : `Did you mean "${near}"?`}`);
}

function answerOf({ id, solid, notices }: LoadedTank, file: string, format: WriteFormat, unit: MeshUnit, bytes: number): Answered {
  const triangles = solid.triangles.length / 3;
  const litres = showNumber(fromSi(solid.capacity, 'L'), 6);
  return {
    answer: { file, format, unit, tank: id, triangles, capacity_m3: solid.capacity, bytes },
    table: `${file}: the fuel space of ${id}, ${litres} L, ${showNumber(triangles, 9)} triangles, in ${unit}.\n`,
    notices,
    isMet: true,
  };
}
