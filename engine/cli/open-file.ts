/** From a path on the command line to a case and the bytes of its meshes. A mesh a case names must lie in the case's folder. */
import { constants } from 'node:fs';
import { open, realpath, stat } from 'node:fs/promises';
import { basename, dirname, extname, isAbsolute, relative, resolve } from 'node:path';
import type { CaseFile, MeshUnit } from '../../shared/case.ts';
import type { CaseError, MeshMissing } from '../../shared/case-errors.ts';
import { describeError } from '../../shared/errors.ts';
import { MESH_ENDINGS } from '../../shared/mesh-units.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { describeShellError, type ShellError } from '../../shared/shell-errors.ts';
import { caseOfMesh } from '../case/case-of-mesh.ts';
import { CASE_LIMITS, readCase } from '../case/read-case.ts';
import { HISTORY_LIMITS, type History, readHistory } from '../case/read-history.ts';

export interface OpenedFile {
  readonly file: CaseFile;
  /** Mesh bytes by the name the case gives them. */
  readonly meshes: ReadonlyMap<string, ArrayBuffer>;
}

const MESH_BYTES = 1024 ** 3;
const isMeshName = (path: string): boolean => MESH_ENDINGS.some((ending) => extname(path).toLowerCase() === ending);

/**
 * @param unit - for a bare mesh; a case carries its own units
 * @returns the failure as the one line to print
 */
export async function openFile(path: string, unit: MeshUnit | undefined): Promise<Outcome<OpenedFile, string>> {
  const ending = extname(path).toLowerCase();
  if (ending !== '.json' && !isMeshName(path)) {
    const there = await stat(path).catch(() => null);
    if (there === null) return failed(describeShellError({ code: 'file-missing', name: path }));
    if (!there.isFile()) return failed(describeShellError({ code: 'file-not-a-file', name: path }));
    return failed(`${path} is of a kind Lowpoint does not open. Give a case (.json) or a mesh (.stl, .obj, .3mf).`);
  }
  const read = await readBytes(path, ending === '.json' ? CASE_LIMITS.size_bytes : MESH_BYTES);
  if (!read.ok) return failed(describeShellError(read.error));
  if (isMeshName(path)) {
    const name = basename(path);
    return done({ file: caseOfMesh(name, unit), meshes: new Map([[name, read.value]]) });
  }
  if (unit !== undefined) return failed(`--unit is for a bare mesh; ${path} says each mesh's unit itself. Leave --unit out.`);
  const text = decode(read.value);
  if (text === null) return failed(`${path} is not UTF-8 text. Save the case as UTF-8.`);
  const file = readCase(text);
  if (!file.ok) return failed(`${path}: ${describeError(file.error)}`);
  const meshes = await readMeshes(file.value, path);
  return meshes.ok ? done({ file: file.value, meshes: meshes.value }) : failed(`${path}: ${describeError(meshes.error)}`);
}

/** A recorded history, read and checked. @returns the failure as the one line to print */
export async function openHistory(path: string): Promise<Outcome<History, string>> {
  const ending = extname(path).toLowerCase();
  if (ending === '.json' || isMeshName(path)) return failed(`${path} is no history. Give the case first, then the history (.csv).`);
  const read = await readBytes(path, HISTORY_LIMITS.size_bytes);
  if (!read.ok) return failed(describeShellError(read.error));
  const text = decode(read.value);
  if (text === null) return failed(`${path} is not UTF-8 text. Save the history as CSV in UTF-8.`);
  const history = readHistory(text);
  return history.ok ? history : failed(`${path}: ${describeError(history.error)}`);
}

async function readMeshes(file: CaseFile, casePath: string): Promise<Outcome<Map<string, ArrayBuffer>, CaseError>> {
  const meshes = new Map<string, ArrayBuffer>();
  const folder = dirname(await realpath(casePath));
  for (const { id, geometry } of file.tanks) {
    if (geometry.kind !== 'mesh' || meshes.has(geometry.file)) continue;
    const missing = (why: MeshMissing) => failed({ code: 'case-mesh-missing' as const, tank: id, file: geometry.file, why });
    const path = resolve(folder, geometry.file);
    if (!isInside(folder, path)) return missing('outside-folder');
    const real = await realpath(path).catch((fault: NodeJS.ErrnoException) => fault.code ?? 'unreadable');
    if (real === 'ENOENT' || real === 'ENOTDIR' || real === 'ENAMETOOLONG') return missing('not-found');
    if (!isAbsolute(real)) return missing('unreadable');
    if (!isInside(folder, real)) return missing('outside-folder');
    const read = await readBytes(real, MESH_BYTES);
    if (!read.ok) return missing(WHY[read.error.code] ?? 'unreadable');
    if (!isMeshName(real)) return missing('not-stl');
    meshes.set(geometry.file, read.value);
  }
  return done(meshes);
}

const WHY: Partial<Record<ShellError['code'], MeshMissing>> = {
  'file-missing': 'not-found',
  'file-not-a-file': 'not-a-file',
  'file-too-large': 'too-big',
};

function isInside(folder: string, path: string): boolean {
  const way = relative(folder, path);
  return way !== '' && way !== '..' && !way.startsWith('../') && !way.startsWith('..\\') && !isAbsolute(way);
}

/** Opened without waiting, looked at by its handle, then read: a pipe or a device must not hang or be read without end. */
async function readBytes(path: string, most_bytes: number): Promise<Outcome<ArrayBuffer, ShellError>> {
  const name = path;
  let handle: Awaited<ReturnType<typeof open>> | undefined;
  try {
    handle = await open(path, constants.O_RDONLY | (constants.O_NONBLOCK ?? 0));
    const about = await handle.stat();
    if (!about.isFile()) return failed({ code: 'file-not-a-file', name });
    if (about.size > most_bytes) return failed({ code: 'file-too-large', name, size_bytes: about.size, most_bytes });
    const bytes = await handle.readFile();
    return done(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength) as ArrayBuffer);
  } catch (fault) {
    const code = (fault as NodeJS.ErrnoException).code ?? 'unknown fault';
    if (code === 'ENOENT' || code === 'ENOTDIR' || code === 'ENAMETOOLONG') return failed({ code: 'file-missing', name });
    if (code === 'EISDIR') return failed({ code: 'file-not-a-file', name });
    return failed({ code: 'file-unreadable', name, reason: code });
  } finally {
    await handle?.close();
  }
}

function decode(bytes: ArrayBuffer): string | null {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    return null;
  }
}
