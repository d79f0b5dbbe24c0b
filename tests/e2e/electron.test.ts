import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { electronHere } from '../../electron/runtimes.ts';
import { BRIDGE_KEYS, type ShellBridge } from '../../shared/shell-bridge.ts';
import { type Desktop, startDesktop } from './desktop.ts';
import { shellTests } from './shell-tests.ts';
import { windowTests } from './window-tests.ts';

declare global {
  var shellBridge: ShellBridge | undefined;
}

shellTests('electron');
windowTests('electron');

/** Electron's own: the points of its security checklist that a browser settles by itself, and what only a shell can do. */
describe('electron only', () => {
  let desktop: Desktop;
  beforeAll(async () => {
    desktop = await startDesktop('electron');
    await desktop.page.waitForSelector('canvas');
  });
  afterAll(() => desktop?.close());

  test('bridge: its keys are the published list and no other', async () => {
    const keys = await desktop.page.evaluate(() => Object.keys(globalThis.shellBridge ?? {}));
    expect(keys.sort()).toEqual([...BRIDGE_KEYS].sort());
  });

  test('page and worker know no Node', async () => {
    const names = '[typeof require, typeof process, typeof module, typeof Buffer, typeof __dirname].join()';
    const none = 'undefined,undefined,undefined,undefined,undefined';
    expect(await desktop.page.evaluate(names)).toBe(none);
    for (const worker of desktop.page.workers()) expect(await worker.evaluate(names)).toBe(none);
    expect(desktop.page.workers().length).toBeGreaterThan(0);
  });

  test('preferences: sandbox and context isolation on, Node and webview off', async () => {
    const preferences = await desktop.app?.evaluate(({ BrowserWindow }) => {
      const { webContents } = BrowserWindow.getAllWindows()[0];
      return (webContents as unknown as { getLastWebPreferences(): Record<string, unknown> }).getLastWebPreferences();
    });
    expect(preferences).toMatchObject({ sandbox: true, contextIsolation: true, nodeIntegration: false, webSecurity: true });
    expect([preferences?.['webviewTag'] ?? false, preferences?.['allowRunningInsecureContent'] ?? false]).toEqual([false, false]);
  });

  test('permissions: writing to the clipboard and nothing else', async () => {
    const states = await desktop.page.evaluate(async () => {
      const names = ['camera', 'microphone', 'geolocation', 'notifications', 'midi', 'clipboard-read', 'clipboard-write'];
      const asked = names.map(async (name) => [name, (await navigator.permissions.query({ name: name as PermissionName })).state]);
      return Object.fromEntries(await Promise.all(asked)) as Record<string, string>;
    });
    const { 'clipboard-write': write, ...others } = states;
    expect(write).toBe('granted');
    expect(new Set(Object.values(others))).toEqual(new Set(['denied']));
  });

  test('navigation and new windows are refused', async () => {
    const before = desktop.page.url();
    await desktop.page.evaluate(async () => {
      window.open('https://elsewhere.invalid/');
      for (const target of ['', '_blank']) {
        const link = document.createElement('a');
        link.href = 'app://lowpoint/assets/';
        link.target = target;
        link.click();
      }
      location.href = 'file:///etc/passwd';
      await new Promise((resolve) => setTimeout(resolve, 300));
    });
    expect(desktop.page.url()).toBe(before);
    expect(desktop.app?.windows()).toHaveLength(1);
    desktop.complaints.length = 0;
  });

  test('a window that is not ours is refused on every function of the bridge', async () => {
    const answers = await desktop.app?.evaluate(async ({ BrowserWindow }, preload) => {
      const foreign = new BrowserWindow({ show: false, webPreferences: { preload, sandbox: true, contextIsolation: true } });
      await foreign.loadURL('data:text/html,foreign');
      const said = await foreign.webContents.executeJavaScript(`Promise.all([
          shellBridge.samples(), shellBridge.startFile(), shellBridge.openSample('floatplane'), shellBridge.pickFile(), shellBridge.dropped('a'),
          shellBridge.readBeside('a', 'b'), shellBridge.save('a', new ArrayBuffer(1))].map((asked) => asked.then(() => 'answered', (error) => error.message)))`);
      foreign.destroy();
      return said as string[];
    }, resolve('dist/preload/preload.cjs'));
    expect(answers).toEqual(Array(7).fill('A page that is not the window asked the shell for something. It was refused.'));
  });

  test('a frame inside our own window is refused too', async () => {
    const framed = await desktop.page.evaluate(async () => {
      const frame = document.createElement('iframe');
      frame.src = 'app://lowpoint/index.html';
      document.body.append(frame);
      await new Promise((resolve) => setTimeout(resolve, 300));
      const found = frame.contentDocument?.body.childElementCount ?? 0;
      frame.remove();
      return found;
    });
    expect(framed).toBe(0); // frame-src 'none'
    desktop.complaints.length = 0;
  });

  test('wrong arguments come back as one line', async () => {
    const said = await desktop.page.evaluate(() =>
      (globalThis.shellBridge as unknown as { openSample(name: number): Promise<void> }).openSample(5).catch((error) => error.message),
    );
    expect(said).toBe(
      'The window asked its shell for "openSample" in a way it does not know: Invalid type: Expected string but received 5.',
    );
  });

  test('save writes the very bytes; a folder that is not there is one line', async () => {
    await desktop.save('artifacts/bytes.bin', () =>
      desktop.page.evaluate(() => globalThis.shellBridge?.save('bytes.bin', Uint8Array.of(0, 1, 254, 255).buffer)),
    );
    expect([...readFileSync('artifacts/bytes.bin')]).toEqual([0, 1, 254, 255]);
    await desktop.app?.evaluate(({ dialog }) => {
      dialog.showSaveDialog = async () => ({ canceled: false, filePath: '/none/at/all/a.png' });
    });
    const refused = await desktop.page.evaluate(() => globalThis.shellBridge?.save('a.png', new ArrayBuffer(1)));
    expect(refused).toEqual({ problem: 'a.png was not saved (ENOENT). The file before is unchanged; save in another folder.' });
  });

  test('a dropped file gets a handle for its folder; one made by script gets none', async () => {
    writeFileSync('artifacts/dropped.case.json', '{}');
    writeFileSync('artifacts/beside.stl', 'beside');
    await desktop.drop('artifacts/dropped.case.json');
    const beside = await desktop.page.evaluate(async () => {
      const handle = await globalThis.shellBridge?.dropped('dropped.case.json');
      const bytes = await globalThis.shellBridge?.readBeside(handle ?? '', 'beside.stl');
      return new TextDecoder().decode(bytes ?? new ArrayBuffer(0));
    });
    expect(beside).toBe('beside');
    const made = await desktop.page.evaluate(() => {
      const dataTransfer = new DataTransfer();
      dataTransfer.items.add(new File(['{}'], 'made.json'));
      document.body.dispatchEvent(new DragEvent('drop', { dataTransfer, bubbles: true, cancelable: true }));
      return globalThis.shellBridge?.dropped('made.json');
    });
    expect(made).toBeNull();
    for (const name of ['dropped.case.json', 'beside.stl', 'bytes.bin']) rmSync(`artifacts/${name}`, { force: true });
  });

  test('a second start hands its file to the window that runs, and ends', async () => {
    writeFileSync('artifacts/second.stl', 'second');
    const heard = desktop.page.evaluate(
      () =>
        new Promise<string>((resolve) =>
          globalThis.shellBridge?.onOpen((file) => resolve('name' in file ? `${file.name} ${file.bytes.byteLength}` : file.problem)),
        ),
    );
    const profile = await desktop.app?.evaluate(({ app }) => app.getPath('userData'));
    const root = process.getuid?.() === 0 ? ['--no-sandbox'] : [];
    const second = spawn(electronHere() ?? '', [...root, `--user-data-dir=${profile}`, '.', resolve('artifacts/second.stl')], {
      stdio: 'ignore',
    });
    expect((await once(second, 'close'))[0]).toBe(0);
    expect(await heard).toBe('second.stl 6');
    expect(desktop.app?.windows()).toHaveLength(1);
    rmSync('artifacts/second.stl');
  });

  test('menu: its items send their commands to the page', async () => {
    const heard = desktop.page.evaluate(() => new Promise<string>((resolve) => globalThis.shellBridge?.onCommand(resolve)));
    await desktop.app?.evaluate(({ Menu }) => {
      const help = Menu.getApplicationMenu()?.items.at(-1)?.submenu?.items[0];
      setTimeout(() => help?.click(), 100); // after the page has begun to listen
    });
    expect(await heard).toBe('help');
  });
});
