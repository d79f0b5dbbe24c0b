/** Runs the built command line as a person does. `npm test` builds it first. */
import { execFile } from 'node:child_process';
import { join } from 'node:path';
import { expect } from 'vitest';

export const CLI = join(import.meta.dirname, '../dist/cli/main.mjs');

export interface Ended {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

export function lowpointIn(folder: string, args: readonly string[]): Promise<Ended> {
  return new Promise((resolve) => {
    execFile(process.execPath, [CLI, ...args], { cwd: folder, timeout: 60_000, maxBuffer: 1 << 28 }, (fault, out, err) => {
      resolve({ code: fault === null ? 0 : typeof fault.code === 'number' ? fault.code : -1, out, err });
    });
  });
}

/** Exit 2, nothing on stdout, exactly one line on stderr that matches, no stack trace in it. */
export function expectRefused({ code, out, err }: Ended, line = /./): void {
  expect(err).toMatch(/^lowpoint: [^\n]+\n$/);
  expect(err).toMatch(line);
  expect(err).not.toMatch(/\bat .*\.[mc]?[jt]s:\d|node:internal|undefined|\[object/);
  expect(err.length).toBeLessThan(500);
  expect({ code, out }).toEqual({ code: 2, out: '' });
}
