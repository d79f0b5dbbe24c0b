/**
 * `npm start [file]`: the window in Electron; where its binary cannot be had or run, the same page in an installed browser; else one line
 * that says what to install. Switches are passed on to whichever runs. LOWPOINT_BROWSER names a browser to use instead of Electron.
 */
import { spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { serveOnLoopback } from './loopback-server.ts';
import { browserHere, electronHere, fetchElectron } from './runtimes.ts';

/** Electron that ends by itself this soon, by a signal or for want of a library, never showed a window. */
const FALSE_START_ms = 5000;
const root = fileURLToPath(new URL('../..', import.meta.url));
let stopped = false; // the person ended it: no fallback then
const say = (line: string): void => void process.stderr.write(`lowpoint: ${line}\n`);

const words = process.argv.slice(2);
const switches = words.filter((word) => word.startsWith('-'));
const file = words.find((word) => !word.startsWith('-'));
const startPath = file === undefined ? null : resolve(file);
if (process.getuid?.() === 0) {
  say('running as root, where the browser sandbox cannot start: it is off (--no-sandbox). Prefer an ordinary user.');
  switches.push('--no-sandbox');
}
// Without a graphics card WebGL comes from the processor, which Chromium no longer gives by itself: the page it runs here is ours alone.
switches.push('--enable-unsafe-swiftshader');
process.exitCode = await run();

async function run(): Promise<number> {
  const why = process.env['LOWPOINT_BROWSER'] ? 'LOWPOINT_BROWSER is set' : await inElectron();
  return typeof why === 'number' ? why : inBrowser(why);
}

/** @returns its exit status, or why there was no window */
async function inElectron(): Promise<number | string> {
  let binary = electronHere();
  if (binary === null && !process.env['ELECTRON_OVERRIDE_DIST_PATH']) {
    say('fetching Electron, this once…');
    if (await fetchElectron()) binary = electronHere();
  }
  if (binary === null) {
    return process.env['ELECTRON_OVERRIDE_DIST_PATH']
      ? 'ELECTRON_OVERRIDE_DIST_PATH holds no Electron'
      : 'Electron could not be fetched (no network?)';
  }
  const begun = Date.now();
  const { ELECTRON_RUN_AS_NODE: _, ...environment } = process.env;
  const end = await ended(binary, [...switches, root, ...(startPath === null ? [] : [startPath])], environment);
  const falseStart = !stopped && Date.now() - begun < FALSE_START_ms && (end === 127 || typeof end === 'string');
  if (falseStart) return `Electron did not start here (${end})`;
  return typeof end === 'number' ? end : 1;
}

/** The page from a server of our own, in a browser with a profile of its own: a running one would take the page over and end at once. */
async function inBrowser(why: string): Promise<number> {
  const browser = browserHere();
  if (browser === null) {
    const named = process.env['LOWPOINT_BROWSER'];
    say(
      named
        ? `LOWPOINT_BROWSER names "${named}", which is not a program here. Name an installed Chromium, Chrome or Edge.`
        : `${why}, and no browser was found. Install Chromium, Chrome or Edge, or connect to the network, then start again.`,
    );
    return 1;
  }
  say(`${why}: opening the window in ${browser}.`);
  const profile = await mkdtemp(join(tmpdir(), 'lowpoint-'));
  const { url, server } = await serveOnLoopback({
    pageFolder: join(root, 'dist/renderer'),
    samplesFolder: join(root, 'sample-geometry'),
    startPath,
  });
  try {
    const end = await ended(
      browser,
      [`--app=${url}`, `--user-data-dir=${profile}`, '--no-first-run', '--no-default-browser-check', ...switches],
      process.env,
    );
    if (end === 0 || stopped) return 0;
    say(`the browser ended (${end}). Set LOWPOINT_BROWSER to another one.`);
    return 1;
  } finally {
    server.closeAllConnections();
    server.close();
    await rm(profile, { recursive: true, force: true, maxRetries: 5 }).catch(() => undefined);
  }
}

/** Runs a program to its end and passes Ctrl-C on; a signal or a failure to start comes as its name. */
function ended(program: string, args: readonly string[], environment: NodeJS.ProcessEnv): Promise<number | string> {
  const child = spawn(program, args, { stdio: ['inherit', 'inherit', 'pipe'], env: environment });
  const log = withoutChatter(child.stderr);
  const pass = (signal: NodeJS.Signals): void => {
    stopped = true;
    child.kill(signal);
  };
  const told = ['SIGINT', 'SIGTERM'] as const;
  for (const signal of told) process.on(signal, pass);
  return new Promise<number | string>((resolve) => {
    child.on('error', (error: NodeJS.ErrnoException) => resolve(error.code ?? error.message));
    child.on('close', (status, signal) => {
      if (status !== 0 && !stopped) process.stderr.write(log.join(''));
      resolve(status ?? signal ?? 1);
    });
  }).finally(() => {
    for (const signal of told) process.off(signal, pass);
  });
}

/** Passes a stream to ours without Chromium's own log lines. @returns the last few of those, to be shown if it fails */
function withoutChatter(stream: NodeJS.ReadableStream): string[] {
  const kept: string[] = [];
  createInterface({ input: stream }).on('line', (line) => {
    if (!/^\[[\d:/.]+:[A-Z]+:/.test(line)) process.stderr.write(`${line}\n`);
    else if (kept.push(`${line}\n`) > 3) kept.shift();
  });
  return kept;
}
