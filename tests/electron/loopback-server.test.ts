import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { type AddressInfo, connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { serveOnLoopback } from '../../electron/loopback-server.ts';
import { SECURITY_HEADERS } from '../../electron/page-files.ts';

let root: string;
let url: URL;
let server: Awaited<ReturnType<typeof serveOnLoopback>>['server'];
beforeAll(async () => {
  root = mkdtempSync(join(tmpdir(), 'lowpoint-test-'));
  for (const name of ['page/assets', 'samples', 'case']) mkdirSync(join(root, name), { recursive: true });
  writeFileSync(join(root, 'page/index.html'), '<p>page');
  writeFileSync(join(root, 'page/assets/a.js'), 'export {};');
  writeFileSync(join(root, 'page/assets/a.txt'), 'text');
  writeFileSync(join(root, 'secret.js'), 'secret');
  writeFileSync(join(root, 'secret.stl'), 'secret');
  symlinkSync('../../secret.js', join(root, 'page/assets/link.js'));
  writeFileSync(join(root, 'samples/floatplane.case.json'), '{}');
  writeFileSync(join(root, 'case/own.json'), '{"own":1}');
  writeFileSync(join(root, 'case/left wing.stl'), 'left');
  writeFileSync(join(root, 'case/notes.txt'), 'private');
  const served = { pageFolder: join(root, 'page'), samplesFolder: join(root, 'samples'), startPath: join(root, 'case/own.json') };
  const begun = await serveOnLoopback(served);
  server = begun.server;
  url = new URL(begun.url);
});
afterAll(() => {
  server.close();
  rmSync(root, { recursive: true, force: true });
});

interface Got {
  readonly status: number;
  readonly body: string;
  readonly headers: NodeJS.Dict<string | string[]>;
}
/** Sends the path as it is: `fetch` would tidy it first. */
function get(path: string, headers: Record<string, string> = {}, method = 'GET'): Promise<Got> {
  return new Promise((resolve, reject) => {
    request({ host: '127.0.0.1', port: url.port, path, method, headers }, async (response) => {
      let body = '';
      for await (const part of response) body += part;
      resolve({ status: response.statusCode ?? 0, body, headers: response.headers });
    })
      .on('error', reject)
      .end();
  });
}

test('loopback: listens on 127.0.0.1 only, behind a secret of 24 bytes', () => {
  expect((server.address() as AddressInfo).address).toBe('127.0.0.1');
  expect(Buffer.from(url.pathname.slice(1, -1), 'base64url')).toHaveLength(24);
});

describe('loopback: hands out', () => {
  test.each([
    ['', '<p>page', 'text/html; charset=utf-8'],
    ['assets/a.js', 'export {};', 'text/javascript; charset=utf-8'],
    ['assets/a.js?v=1', 'export {};', 'text/javascript; charset=utf-8'],
    ['shell/samples.json', '["floatplane"]', 'application/json; charset=utf-8'],
    ['shell/start.json', '{"name":"own.json"}', 'application/json; charset=utf-8'],
    ['shell/samples/floatplane.case.json', '{}', 'application/octet-stream'],
    ['shell/start/own.json', '{"own":1}', 'application/octet-stream'],
    ['shell/start/left%20wing.stl', 'left', 'application/octet-stream'],
  ])('%j, with every header', async (path, body, type) => {
    const got = await get(url.pathname + path);
    expect([got.status, got.body, got.headers['content-type']]).toEqual([200, body, type]);
    expect(got.headers).toMatchObject(SECURITY_HEADERS);
  });
});

describe('loopback: answers 404 to', () => {
  test.each([
    'assets',
    'assets/a.txt',
    'assets/link.js',
    '../secret.js',
    'assets/../../secret.js',
    'assets/%2e%2e/%2e%2e/secret.js',
    'assets%2f..%2f..%2fsecret.js',
    '%2e%2e%5csecret.js',
    'assets/a.js%00.js',
    '%zz.js',
    '/etc/passwd',
    'shell/start/notes.txt',
    'shell/start/../secret.stl',
    'shell/start/%2e%2e%2fsecret.stl',
    'shell/start//etc/passwd',
    'shell/samples/../case/own.json',
    'shell/elsewhere/own.json',
    'shell/',
  ])('%j', async (path) => {
    const got = await get(url.pathname + path);
    expect([got.status, got.body]).toEqual([404, '']);
    expect(got.headers).toMatchObject(SECURITY_HEADERS);
  });

  test.each(['/', '/index.html', '/A'.padEnd(33, 'A').concat('/'), '/..'])('no secret: %j', async (path) => {
    expect((await get(path)).status).toBe(404);
  });
});

test('loopback: another host name gets 421, another origin 403, another method 405', async () => {
  expect((await get(url.pathname, { host: `localhost:${url.port}` })).status).toBe(421);
  expect((await get(url.pathname, { host: 'elsewhere.example' })).status).toBe(421);
  expect((await get(url.pathname, { origin: 'http://elsewhere.example' })).status).toBe(403);
  expect((await get(url.pathname, { origin: url.origin })).status).toBe(200);
  for (const method of ['POST', 'PUT', 'DELETE', 'OPTIONS', 'HEAD']) expect((await get(url.pathname, {}, method)).status).toBe(405);
});

test('loopback: a request that is no HTTP ends its connection, not the server', async () => {
  await new Promise<void>((resolve) => {
    connect(Number(url.port), '127.0.0.1', function (this: import('node:net').Socket) {
      this.end('rubbish\r\n\r\n');
    })
      .resume()
      .on('close', () => resolve());
  });
  expect((await get(url.pathname)).status).toBe(200);
});

test('loopback: a start file that is not there comes as a line to show', async () => {
  const begun = await serveOnLoopback({ pageFolder: root, samplesFolder: root, startPath: join(root, 'none.stl') });
  const answer = await fetch(`${begun.url}shell/start.json`);
  expect(await answer.json()).toEqual({ problem: 'none.stl: there is no such file. Check the name and its folder.' });
  begun.server.close();
});
