/**
 * The built page for a browser on this machine and nobody else: 127.0.0.1, a port the system picks, and a secret in the path that the
 * started browser alone is told. Besides the page it hands out the samples, and the file the program was started on with those beside it.
 */
import { randomBytes } from 'node:crypto';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { basename, dirname, extname } from 'node:path';
import { describeShellError } from '../shared/shell-errors.ts';
import { readCapped, readInside, sampleNames } from './file-access.ts';
import { decoded, pageFile, SECURITY_HEADERS } from './page-files.ts';

export interface Served {
  readonly pageFolder: string;
  readonly samplesFolder: string;
  /** Absolute; null for the sample. */
  readonly startPath: string | null;
}

interface Reply {
  readonly status: number;
  readonly type?: string;
  readonly body?: ArrayBuffer | string;
}
const NOT_FOUND: Reply = { status: 404 };
const JSON_TYPE = 'application/json; charset=utf-8';

export async function serveOnLoopback(served: Served): Promise<{ readonly url: string; readonly server: Server }> {
  const secret = randomBytes(24).toString('base64url');
  const server = createServer((request, response) => {
    reply(request, secret, served)
      .catch((): Reply => NOT_FOUND)
      .then((answer) => send(response, answer));
  });
  await new Promise<void>((resolve, reject) => server.once('error', reject).listen(0, '127.0.0.1', resolve));
  return { url: `http://${hostOf(server)}/${secret}/`, server };
}

const hostOf = (server: Server): string => `127.0.0.1:${(server.address() as AddressInfo).port}`;

async function reply(request: IncomingMessage, secret: string, served: Served): Promise<Reply> {
  const { headers, method, url = '' } = request;
  const host = `127.0.0.1:${request.socket.localPort}`;
  if (headers.host !== host) return { status: 421 }; // another name for this machine: a page elsewhere may have made it up
  if (headers.origin !== undefined && headers.origin !== `http://${host}`) return { status: 403 };
  if (method !== 'GET') return { status: 405 };
  const path = url.split('?')[0];
  if (!path.startsWith(`/${secret}/`)) return NOT_FOUND;
  const asked = path.slice(secret.length + 2);
  if (asked.startsWith('shell/')) return shellReply(asked.slice('shell/'.length), served);
  const file = await pageFile(served.pageFolder, asked);
  return file === null ? NOT_FOUND : { status: 200, type: file.type, body: file.bytes };
}

/** What `renderer/browser-shell.ts` asks for: `samples.json`, `start.json`, `samples/NAME`, `start/NAME`. */
async function shellReply(asked: string, { samplesFolder, startPath }: Served): Promise<Reply> {
  if (asked === 'samples.json') return { status: 200, type: JSON_TYPE, body: JSON.stringify(await sampleNames(samplesFolder)) };
  if (asked === 'start.json') return { status: 200, type: JSON_TYPE, body: JSON.stringify(await startNote(startPath)) };
  const [place, ...rest] = asked.split('/');
  const name = decoded(rest.join('/'));
  const folder = place === 'samples' ? samplesFolder : place === 'start' && startPath !== null ? dirname(startPath) : null;
  if (name === null || folder === null || !['.json', '.stl', '.csv'].includes(extname(name).toLowerCase())) return NOT_FOUND;
  const bytes = await readInside(folder, name);
  return bytes === null ? NOT_FOUND : { status: 200, type: 'application/octet-stream', body: bytes };
}

async function startNote(startPath: string | null): Promise<{ name: string } | { problem: string } | null> {
  if (startPath === null) return null;
  const read = await readCapped(startPath);
  return read.ok ? { name: basename(startPath) } : { problem: describeShellError(read.error) };
}

function send(response: ServerResponse, { status, type, body }: Reply): void {
  response.writeHead(status, { ...SECURITY_HEADERS, ...(type === undefined ? {} : { 'content-type': type }) });
  response.end(typeof body === 'string' || body === undefined ? body : Buffer.from(body));
}
