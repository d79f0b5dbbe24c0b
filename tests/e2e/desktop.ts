/** Starts the built program in real Electron or in real Chromium, and drives what differs between them, so that one test body runs in both. */
import { existsSync } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { _electron, type BrowserContext, chromium, type ElectronApplication, type Page } from 'playwright-core';
import { serveOnLoopback } from '../../electron/loopback-server.ts';
import { browserHere, electronHere } from '../../electron/runtimes.ts';
import type { DesktopKind } from './runtimes.ts';

const CHROMIUM_FLAGS = [
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--no-first-run',
];
const SIZE = { width: 1280, height: 800 };

export interface Desktop {
  readonly kind: DesktopKind;
  readonly page: Page;
  /** Console errors and warnings, uncaught errors, refusals of the content policy, requests that left the program. */
  readonly complaints: string[];
  /** Electron's main process; null in Chromium. */
  readonly app: ElectronApplication | null;
  /** Does something that asks for a file, and answers with this one. */
  open(path: string | readonly string[], trigger: () => Promise<unknown>): Promise<void>;
  /** Does something that saves a file, and lets it be saved here. */
  save(path: string, trigger: () => Promise<unknown>): Promise<void>;
  /** Drops files on the middle of the window, as the system does: a trusted event with real files. */
  drop(...paths: string[]): Promise<void>;
  /** Takes a picture of the window into artifacts/. */
  picture(name: string): Promise<void>;
  close(): Promise<void>;
}

/** @param file - what the program is started on; none for the sample */
export function startDesktop(kind: DesktopKind, file?: string): Promise<Desktop> {
  return kind === 'electron' ? startElectron(file) : startChromium(file, []);
}

async function startElectron(file: string | undefined): Promise<Desktop> {
  if (electronHere() === null) throw new Error('Electron is not here: set ELECTRON_OVERRIDE_DIST_PATH.');
  const profile = await mkdtemp(join(tmpdir(), 'lowpoint-e2e-'));
  const app = await _electron.launch({
    args: ['--use-gl=angle', '--use-angle=swiftshader', `--user-data-dir=${profile}`, '.', ...(file === undefined ? [] : [resolve(file)])],
  });
  const complaints = listen(app.context(), 'app:');
  const page = await app.firstWindow();
  await app.evaluate(({ BrowserWindow }, { width, height }) => BrowserWindow.getAllWindows()[0].setContentSize(width, height), SIZE);
  return {
    ...common('electron', page, complaints),
    app,
    async open(path, trigger) {
      const files = [path].flat().map((one) => resolve(one));
      await app.evaluate(({ dialog }, filePaths) => {
        dialog.showOpenDialog = async () => ({ canceled: false, filePaths });
      }, files);
      await trigger();
    },
    async save(path, trigger) {
      await app.evaluate(({ dialog }, filePath) => {
        dialog.showSaveDialog = async () => ({ canceled: false, filePath });
      }, resolve(path));
      await rm(path, { force: true });
      await trigger();
      await until(() => existsSync(path)); // the save is a rename: once there, it is whole
    },
    async close() {
      await app.evaluate(({ app: main }) => main.exit(0)).catch(() => undefined); // the answer may be lost with the process
      await app.close();
      await rm(profile, { recursive: true, force: true, maxRetries: 5 });
    },
  };
}

/** @param switches - for the browser, besides the usual */
export async function startChromium(file: string | undefined, switches: readonly string[]): Promise<Desktop> {
  const executablePath = browserHere();
  if (executablePath === null) throw new Error('No Chromium is here: install it, or name one in LOWPOINT_BROWSER.');
  const { url, server } = await serveOnLoopback({
    pageFolder: resolve('dist/renderer'),
    samplesFolder: resolve('sample-geometry'),
    startPath: file === undefined ? null : resolve(file),
  });
  const browser = await chromium.launch({
    executablePath,
    args: [...CHROMIUM_FLAGS, ...switches],
    chromiumSandbox: process.getuid?.() !== 0,
  });
  const context = await browser.newContext({ viewport: SIZE, acceptDownloads: true });
  const complaints = listen(context, url);
  const page = await context.newPage();
  await page.goto(url);
  return {
    ...common('chromium', page, complaints),
    app: null,
    async open(path, trigger) {
      const [chooser] = await Promise.all([page.waitForEvent('filechooser'), trigger()]);
      await chooser.setFiles([path].flat());
    },
    async save(path, trigger) {
      const [download] = await Promise.all([page.waitForEvent('download'), trigger()]);
      await download.saveAs(path);
    },
    async close() {
      await browser.close();
      server.closeAllConnections();
      server.close();
    },
  };
}

function common(kind: DesktopKind, page: Page, complaints: string[]): Pick<Desktop, 'kind' | 'page' | 'complaints' | 'drop' | 'picture'> {
  return {
    kind,
    page,
    complaints,
    async drop(...paths) {
      const session = await page.context().newCDPSession(page);
      const data = { items: [], files: paths.map((path) => resolve(path)), dragOperationsMask: 1 };
      const at = { x: SIZE.width / 2, y: SIZE.height / 2, data };
      for (const type of ['dragEnter', 'dragOver', 'drop'] as const) await session.send('Input.dispatchDragEvent', { type, ...at });
      await session.detach();
    },
    async picture(name) {
      await page.screenshot({ path: `artifacts/${kind}-${name}.png` });
    },
  };
}

function listen(context: BrowserContext, ownAddress: string): string[] {
  const complaints: string[] = [];
  context.on('console', (message) => {
    if (['error', 'warning', 'assert'].includes(message.type())) complaints.push(`console ${message.type()}: ${message.text()}`);
  });
  context.on('weberror', (error) => complaints.push(`uncaught: ${error.error().message}`));
  context.on('request', (request) => {
    if (!request.url().startsWith(ownAddress) && !/^(blob|data):/.test(request.url())) complaints.push(`request to ${request.url()}`);
  });
  return complaints;
}

/** Waits for what no page event tells. */
export async function until(claim: () => boolean | Promise<boolean>, limit_ms = 10_000): Promise<void> {
  const end = Date.now() + limit_ms;
  while (!(await claim())) {
    if (Date.now() > end) throw new Error(`not so within ${limit_ms} ms: ${claim}`);
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}
