/** `npm start` without Electron: one line that says so, then the same window in a browser; without a browser one line, and status 1. */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { createServer } from 'node:net';
import { dirname, resolve } from 'node:path';
import { chromium } from 'playwright-core';
import { expect, test } from 'vitest';
import { browserHere } from '../../electron/runtimes.ts';
import { until } from './desktop.ts';

interface Started {
  readonly child: ChildProcess;
  said(): string;
  readonly end: Promise<number | null>;
}

function start(args: readonly string[], environment: Record<string, string>): Started {
  const { LOWPOINT_BROWSER: _, ...inherited } = process.env;
  const child = spawn(process.execPath, ['dist/cli/start.mjs', ...args], {
    env: { ...inherited, ...environment },
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  let text = '';
  child.stderr.on('data', (part) => {
    text += part;
  });
  return { child, said: () => text, end: once(child, 'close').then(([status]) => status as number | null) };
}

async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const address = server.address();
  server.close();
  await once(server, 'close');
  return typeof address === 'object' && address !== null ? address.port : 0;
}

const ours = (text: string): string[] =>
  text.split('\n').filter((line) => line.startsWith('lowpoint: ') && !line.includes('running as root'));

test('start: no Electron, so the window opens in a browser, on the file named, and ends with it', async () => {
  const port = await freePort();
  const switches = ['--headless=new', `--remote-debugging-port=${port}`];
  const started = start([...switches, 'tests/e2e/none.stl'], {
    ELECTRON_OVERRIDE_DIST_PATH: resolve('none'),
    PATH: `${dirname(browserHere() ?? '/')}:${process.env['PATH']}`,
  });
  await until(async () => (await fetch(`http://127.0.0.1:${port}/json/version`).catch(() => null)) !== null, 20_000);
  const browser = await chromium.connectOverCDP(`http://127.0.0.1:${port}`);
  const [page] = browser.contexts()[0].pages();
  await page.waitForSelector('text=none.stl: there is no such file. Check the name and its folder.');
  expect(page.url()).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/[\w-]{32}\/$/);
  const session = await browser.newBrowserCDPSession();
  // Without a display it gives WebGL anyway; on one without a graphics card only if told.
  expect((await session.send('SystemInfo.getInfo')).commandLine).toContain('--enable-unsafe-swiftshader');
  await session.send('Browser.close').catch(() => undefined); // it may be gone before it answers
  expect(await started.end).toBe(0);
  expect(ours(started.said())).toEqual([
    expect.stringMatching(/^lowpoint: ELECTRON_OVERRIDE_DIST_PATH holds no Electron: opening the window in \S+\.$/),
  ]);
  await expect(fetch(page.url())).rejects.toThrow(); // the server ended too
});

test('start: neither Electron nor a browser: one line that says what to install, status 1', async () => {
  const started = start([], { ELECTRON_OVERRIDE_DIST_PATH: resolve('none'), PATH: resolve('none') });
  expect(await started.end).toBe(1);
  expect(ours(started.said())).toEqual([
    'lowpoint: ELECTRON_OVERRIDE_DIST_PATH holds no Electron, and no browser was found. Install Chromium, Chrome or Edge, or connect to the network, then start again.',
  ]);
});

test('start: a browser named that is not there: one line, status 1', async () => {
  const started = start([], { LOWPOINT_BROWSER: 'none-such' });
  expect(await started.end).toBe(1);
  expect(ours(started.said())).toEqual([
    'lowpoint: LOWPOINT_BROWSER names "none-such", which is not a program here. Name an installed Chromium, Chrome or Edge.',
  ]);
});
