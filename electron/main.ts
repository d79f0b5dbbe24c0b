/** Electron's main: one window on the built page, locked down, with files and dialogs behind the bridge. Knows nothing of geometry. */
import { existsSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { app, BrowserWindow, dialog, type IpcMainInvokeEvent, ipcMain, protocol, session } from 'electron';
import type { ShellCommand } from '../shared/shell-bridge.ts';
import { describeShellError } from '../shared/shell-errors.ts';
import { saveAtomically } from './atomic-save.ts';
import { answering, CHANNELS } from './channels.ts';
import { openedFiles } from './file-access.ts';
import { setMenu } from './menu.ts';
import { pageFile, SECURITY_HEADERS } from './page-files.ts';
import { onWire, TO_PAGE } from './wire.ts';

const PAGE = 'app://lowpoint/';
const OPEN_FILTERS = [
  { name: 'Cases, meshes and histories', extensions: ['json', 'stl', 'csv'] },
  { name: 'All files', extensions: ['*'] },
];

const root = app.getAppPath();
const samplesFolder = join(root, 'sample-geometry');
const files = openedFiles(samplesFolder);
let window: BrowserWindow | null = null;
/** Until the page asks, the file to start on; afterwards files go to it at once. */
let startPath: string | null = fileArgument(process.argv, process.cwd());
let pageAsked = false;

protocol.registerSchemesAsPrivileged([
  { scheme: 'app', privileges: { standard: true, secure: true, supportFetchAPI: true, stream: true } },
]);
// Without a graphics card WebGL comes from the processor, which Chromium no longer gives by itself: the page is ours alone.
app.commandLine.appendSwitch('enable-unsafe-swiftshader');
// As root Chromium's sandbox cannot start; enableSandbox() would override the switch and every child would die in a loop.
if (!app.commandLine.hasSwitch('no-sandbox')) app.enableSandbox();

if (!app.requestSingleInstanceLock({ file: startPath })) app.quit();
else {
  app.on('second-instance', (_event, _argv, _folder, data) => {
    const file = (data as { file?: unknown } | null)?.file;
    if (typeof file === 'string') void openFromOutside(file);
    window?.restore();
    window?.focus();
  });
  app.on('open-file', (event, path) => {
    event.preventDefault();
    void openFromOutside(path);
  });
  app.on('web-contents-created', (_event, contents) => {
    contents.on('will-navigate', (event) => event.preventDefault());
    contents.on('will-redirect', (event) => event.preventDefault());
    contents.on('will-attach-webview', (event) => event.preventDefault());
    contents.setWindowOpenHandler(() => ({ action: 'deny' }));
  });
  app.on('window-all-closed', () => app.quit());
  void app.whenReady().then(start);
}

function start(): void {
  const page = session.defaultSession;
  page.protocol.handle('app', answerPage);
  page.setPermissionRequestHandler((_contents, permission, answer) => answer(permission === 'clipboard-sanitized-write'));
  page.setPermissionCheckHandler((_contents, permission) => permission === 'clipboard-sanitized-write');
  page.setDevicePermissionHandler(() => false);
  page.webRequest.onBeforeRequest((request, answer) => answer({ cancel: !/^(app|blob|data|devtools):/.test(request.url) }));

  const answer = answering({
    files,
    samplesFolder,
    startPath() {
      const path = startPath;
      startPath = null;
      pageAsked = true;
      return path;
    },
    askOpen,
    askSave,
    save: saveAtomically,
  });
  for (const channel of CHANNELS) ipcMain.handle(onWire(channel), (event, ...args: unknown[]) => answer(channel, isOurs(event), args));
  setMenu((command: ShellCommand) => window?.webContents.send(TO_PAGE.command, command));
  openWindow();
}

function openWindow(): void {
  window = new BrowserWindow({
    width: 1280,
    height: 800,
    minWidth: 720,
    minHeight: 480,
    title: app.name,
    webPreferences: { preload: join(root, 'dist/preload/preload.cjs'), sandbox: true, contextIsolation: true, nodeIntegration: false },
  });
  window.on('closed', () => {
    window = null;
  });
  void window.loadURL(PAGE);
}

/** The page's files, and 404 for everything else under the scheme. */
async function answerPage(request: Request): Promise<Response> {
  const { hostname, pathname } = new URL(request.url);
  if (request.method !== 'GET') return new Response(null, { status: 405, headers: SECURITY_HEADERS });
  const found = hostname === new URL(PAGE).hostname ? await pageFile(join(root, 'dist/renderer'), pathname.slice(1)) : null;
  if (found === null) return new Response(null, { status: 404, headers: SECURITY_HEADERS });
  return new Response(found.bytes, { headers: { ...SECURITY_HEADERS, 'content-type': found.type } });
}

/** Only the window's own top page may ask. */
function isOurs(event: IpcMainInvokeEvent): boolean {
  return (
    window !== null &&
    event.sender === window.webContents &&
    event.senderFrame === window.webContents.mainFrame &&
    event.senderFrame.url.startsWith(PAGE)
  );
}

async function openFromOutside(path: string): Promise<void> {
  if (!pageAsked) {
    startPath = path;
    return;
  }
  const read = await files.open(path);
  window?.webContents.send(TO_PAGE.open, read.ok ? read.value : { problem: describeShellError(read.error) });
}

async function askOpen(): Promise<string | null> {
  if (window === null) return null;
  const chosen = await dialog.showOpenDialog(window, { properties: ['openFile'], filters: OPEN_FILTERS });
  return chosen.canceled ? null : (chosen.filePaths[0] ?? null);
}

async function askSave(suggestedName: string): Promise<string | null> {
  if (window === null) return null;
  const chosen = await dialog.showSaveDialog(window, { defaultPath: suggestedName });
  return chosen.canceled || !chosen.filePath ? null : chosen.filePath;
}

/**
 * The file the program was started on. Switches stand before and after the app's folder, so they are skipped, not counted.
 * @returns an absolute path, or null; a path that leads nowhere is told later, as a line in the window
 */
function fileArgument(argv: readonly string[], folder: string): string | null {
  const words = argv.slice(1).filter((word) => !word.startsWith('-'));
  const own = process.defaultApp ? words.findIndex((word) => existsSync(word) && resolve(word) === resolve(root)) : -1;
  const file = words[own + 1];
  return file === undefined ? null : resolve(folder, file);
}
