/**
 * Reads the files a person picked, and those beside them, and nothing else. The page knows a picked place by an opaque handle only.
 * Used by Electron's main and by the loopback server; knows neither.
 */
import { randomUUID } from 'node:crypto';
import { readdir, readFile, realpath, stat } from 'node:fs/promises';
import { basename, dirname, isAbsolute, join, relative, sep } from 'node:path';
import { done, failed, type Outcome } from '../shared/outcome.ts';
import type { PickedFile } from '../shared/shell-bridge.ts';
import type { ShellError } from '../shared/shell-errors.ts';

export const MOST_BYTES = 256 * 2 ** 20;
const SAMPLE_ENDING = '.case.json';
/** The sample a first start shows. */
const FIRST_SAMPLE = 'floatplane';

/** A whole file, its size checked before anything is allocated. */
export async function readCapped(path: string): Promise<Outcome<ArrayBuffer, ShellError>> {
  const name = basename(path);
  try {
    const found = await stat(path);
    if (!found.isFile()) return failed({ code: 'file-not-a-file', name });
    if (found.size > MOST_BYTES) return failed({ code: 'file-too-large', name, size_bytes: found.size, most_bytes: MOST_BYTES });
    return done(asArrayBuffer(await readFile(path)));
  } catch (error) {
    const reason = (error as NodeJS.ErrnoException).code ?? String(error);
    return failed(reason === 'ENOENT' ? { code: 'file-missing', name } : { code: 'file-unreadable', name, reason });
  }
}

/**
 * Where a relative name leads inside a folder; null when it leads out of it (by `..`, an absolute path or a link), or nowhere.
 * Names use `/`: a backslash would mean another thing on another system, so it is refused.
 */
export async function insideFolder(folder: string, name: string): Promise<string | null> {
  const parts = name.split('/');
  if (isAbsolute(name) || name.includes('\\') || name.includes('\0') || parts.some((part) => part === '' || part === '.' || part === '..'))
    return null;
  try {
    const root = await realpath(folder);
    const found = await realpath(join(root, ...parts));
    const way = relative(root, found);
    return way === '' || way === '..' || way.startsWith(`..${sep}`) || isAbsolute(way) ? null : found;
  } catch {
    return null;
  }
}

/** A file inside a folder, or null when it is not there, not allowed, too large or not a file. */
export async function readInside(folder: string, name: string): Promise<ArrayBuffer | null> {
  const path = await insideFolder(folder, name);
  const read = path === null ? null : await readCapped(path);
  return read?.ok ? read.value : null;
}

/** Names of the sample cases in a folder, the one shown at start first. */
export async function sampleNames(folder: string): Promise<string[]> {
  const names = (await readdir(folder).catch(() => []))
    .filter((file) => file.endsWith(SAMPLE_ENDING))
    .map((file) => file.slice(0, -SAMPLE_ENDING.length))
    .sort();
  return names.includes(FIRST_SAMPLE) ? [FIRST_SAMPLE, ...names.filter((name) => name !== FIRST_SAMPLE)] : names;
}

export const sampleFile = (name: string): string => `${name}${SAMPLE_ENDING}`;

export interface OpenedFiles {
  /** Reads a file the person picked and remembers its folder under a new handle. */
  open(path: string): Promise<Outcome<PickedFile, ShellError>>;
  openSample(name: string): Promise<Outcome<PickedFile, ShellError>>;
  /** A handle for a file whose bytes the page has already. */
  remember(path: string): string;
  readBeside(handle: string, name: string): Promise<ArrayBuffer | null>;
}

export function openedFiles(samplesFolder: string): OpenedFiles {
  const folders = new Map<string, string>();
  const remember = (path: string): string => {
    const handle = randomUUID();
    folders.set(handle, dirname(path));
    return handle;
  };
  const open = async (path: string): Promise<Outcome<PickedFile, ShellError>> => {
    const read = await readCapped(path);
    return read.ok ? done({ handle: remember(path), name: basename(path), bytes: read.value }) : read;
  };
  return {
    remember,
    open,
    async openSample(name) {
      const known = await sampleNames(samplesFolder);
      return known.includes(name) ? open(join(samplesFolder, sampleFile(name))) : failed({ code: 'sample-unknown', name, known });
    },
    async readBeside(handle, name) {
      const folder = folders.get(handle);
      return folder === undefined ? null : readInside(folder, name);
    },
  };
}

const asArrayBuffer = (bytes: Buffer): ArrayBuffer => bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length) as ArrayBuffer;
