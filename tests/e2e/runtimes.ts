/** Which desktops this machine can run, and one line for each that it cannot. */
import { existsSync } from 'node:fs';
import { browserHere, electronHere, fetchElectron } from '../../electron/runtimes.ts';

export type DesktopKind = 'electron' | 'chromium';
export interface Runtimes {
  readonly here: readonly DesktopKind[];
  readonly missing: readonly string[];
}

/** @param mayFetch - let Electron's package fetch its binary first */
export async function runtimes(mayFetch: boolean): Promise<Runtimes> {
  if (mayFetch && electronHere() === null) await fetchElectron();
  const hasDisplay = process.platform !== 'linux' || !!process.env['DISPLAY'] || existsSync('/usr/bin/Xvfb');
  const here: DesktopKind[] = [];
  const missing: string[] = [];
  if (electronHere() === null)
    missing.push('Electron is not here: connect to the network and run npm start once, or set ELECTRON_OVERRIDE_DIST_PATH.');
  else if (!hasDisplay) missing.push('Electron has no display: run under X, or install xvfb.');
  else here.push('electron');
  if (browserHere() === null) missing.push('no Chromium is here: install Chromium, Chrome or Edge, or name one in LOWPOINT_BROWSER.');
  else here.push('chromium');
  return { here, missing };
}
