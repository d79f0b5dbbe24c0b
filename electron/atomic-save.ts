/**
 * Saves a file whole or not at all: what lay there before stays until the new bytes are on the disk.
 * Plain writes left 35 of 300 killed saves unreadable; this way none was (../shared/ecosystem.md §2.4).
 */
import { randomBytes } from 'node:crypto';
import { type FileHandle, open, readdir, rename, rm, stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { done, failed, type Outcome } from '../shared/outcome.ts';
import type { ShellError } from '../shared/shell-errors.ts';

const TEMP_ENDING = '.lowpoint-saving';
/** A temporary file older than this belongs to a save that was killed. */
const STALE_ms = 10 * 60_000;

/**
 * @param path - absolute
 * @returns the name it was saved under; `disk-full` or `save-refused` with the old file untouched and no temporary file left
 */
export async function saveAtomically(path: string, bytes: Uint8Array): Promise<Outcome<string, ShellError>> {
  const folder = dirname(path);
  const name = basename(path);
  const temp = join(folder, `.${randomBytes(9).toString('hex')}${TEMP_ENDING}`);
  try {
    await sweep(folder);
    await writeSynced(temp, bytes);
    await renameRetrying(temp, path);
    await syncFolder(folder);
    return done(name);
  } catch (error) {
    await rm(temp, { force: true }).catch(() => undefined);
    const code = (error as NodeJS.ErrnoException).code ?? String(error);
    return failed(code === 'ENOSPC' || code === 'EDQUOT' ? { code: 'disk-full', name } : { code: 'save-refused', name, reason: code });
  }
}

async function writeSynced(temp: string, bytes: Uint8Array): Promise<void> {
  const file: FileHandle = await open(temp, 'wx');
  try {
    await file.writeFile(bytes); // loops over short writes
    await file.sync();
    const { size } = await file.stat();
    if (size !== bytes.length) throw Object.assign(new Error('short'), { code: `only ${size} of ${bytes.length} bytes were written` });
  } finally {
    await file.close();
  }
}

/** On Windows a virus scanner may hold the target for a moment. */
async function renameRetrying(from: string, to: string): Promise<void> {
  for (let attempt = 0; ; attempt++) {
    try {
      return await rename(from, to);
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      if (process.platform !== 'win32' || attempt === 5 || (code !== 'EPERM' && code !== 'EBUSY' && code !== 'EACCES')) throw error;
      await wait(50 * 2 ** attempt);
    }
  }
}

/** Makes the rename itself last; Windows cannot open a folder and needs none of it. */
async function syncFolder(folder: string): Promise<void> {
  if (process.platform === 'win32') return;
  const handle = await open(folder, 'r');
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

/** Removes what killed saves left in this folder. */
async function sweep(folder: string): Promise<void> {
  for (const name of await readdir(folder)) {
    if (!name.endsWith(TEMP_ENDING)) continue;
    const age = await stat(join(folder, name)).then(
      (found) => Date.now() - found.mtimeMs,
      () => 0,
    );
    if (age > STALE_ms) await rm(join(folder, name), { force: true }).catch(() => undefined);
  }
}
