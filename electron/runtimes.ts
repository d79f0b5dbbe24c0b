/** Finds what can show the window: Electron's binary through its package, or an installed browser of the Chromium family. */
import { spawn } from 'node:child_process';
import { accessSync, constants, existsSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { delimiter, dirname, isAbsolute, join } from 'node:path';

/** A server that answers nothing for so long counts as not reachable. */
const PATIENCE_ms = 6000;

/** Electron's binary as far as it is on this machine now; null when it has yet to be fetched, or its package is missing. */
export function electronHere(): string | null {
  const folder = electronPackage();
  if (folder === null) return null;
  const pathFile = join(folder, 'path.txt'); // written by Electron's own installer
  const name = existsSync(pathFile) ? readFileSync(pathFile, 'utf8') : null;
  const override = process.env['ELECTRON_OVERRIDE_DIST_PATH'];
  const binary = override ? join(override, name ?? 'electron') : name === null ? null : join(folder, 'dist', name);
  return binary !== null && isProgram(binary) ? binary : null;
}

/**
 * Lets Electron's package fetch its binary, once; about 100 MB.
 * @returns whether it is here now. Quiet: where there is no network the caller says so in one line.
 */
export async function fetchElectron(): Promise<boolean> {
  const folder = electronPackage();
  if (folder === null || process.env['ELECTRON_OVERRIDE_DIST_PATH']) return false;
  // The installer sets no limit of its own on an answer that never comes: it is started with a fetch that gives up on the headers.
  const impatient = `const plain = globalThis.fetch; globalThis.fetch = (url, options) => { const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), ${PATIENCE_ms}); return plain(url, { ...options, signal: stop.signal }).finally(() => clearTimeout(timer)); };`;
  const child = spawn(process.execPath, ['--import', `data:text/javascript,${encodeURIComponent(impatient)}`, join(folder, 'install.js')], {
    stdio: 'ignore',
  });
  const status = await new Promise<number | null>((resolve) => child.on('close', resolve).on('error', () => resolve(1)));
  return status === 0 && electronHere() !== null;
}

const NAMES = [
  'chromium',
  'chromium-browser',
  'google-chrome',
  'google-chrome-stable',
  'chrome',
  'microsoft-edge',
  'microsoft-edge-stable',
  'msedge',
];

/** An installed browser; LOWPOINT_BROWSER names one by path or by name. */
export function browserHere(): string | null {
  const wanted = process.env['LOWPOINT_BROWSER'];
  if (wanted) return isAbsolute(wanted) ? (isProgram(wanted) ? wanted : null) : onPath(wanted);
  for (const name of NAMES) {
    const found = onPath(name);
    if (found !== null) return found;
  }
  return usualPlaces().find(isProgram) ?? null;
}

function usualPlaces(): string[] {
  if (process.platform === 'darwin') {
    return ['Chromium', 'Google Chrome', 'Microsoft Edge'].map((name) => `/Applications/${name}.app/Contents/MacOS/${name}`);
  }
  if (process.platform !== 'win32') return [];
  const roots = ['LOCALAPPDATA', 'PROGRAMFILES', 'PROGRAMFILES(X86)'].map((key) => process.env[key]).filter((root) => root !== undefined);
  const ends = [
    ['Google', 'Chrome', 'Application', 'chrome.exe'],
    ['Microsoft', 'Edge', 'Application', 'msedge.exe'],
    ['Chromium', 'Application', 'chrome.exe'],
  ];
  return roots.flatMap((root) => ends.map((end) => join(root, ...end)));
}

function onPath(name: string): string | null {
  const file = process.platform === 'win32' && !name.endsWith('.exe') ? `${name}.exe` : name;
  const folders = (process.env['PATH'] ?? '').split(delimiter).filter((folder) => folder !== '');
  return folders.map((folder) => join(folder, file)).find(isProgram) ?? null;
}

function isProgram(path: string): boolean {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}

/** Asking for the package's own file does not run it: `require('electron')` would begin to fetch, loudly. */
function electronPackage(): string | null {
  try {
    return dirname(createRequire(import.meta.url).resolve('electron/package.json'));
  } catch {
    return null;
  }
}
