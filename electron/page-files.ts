/** The built page's files with the headers that lock it down, for Electron's scheme and for the loopback server alike. */
import { extname } from 'node:path';
import { readInside } from './file-access.ts';

const CONTENT_SECURITY_POLICY = [
  "default-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "worker-src 'self'",
  "style-src 'self'",
  "img-src 'self' data: blob:",
  "font-src 'self'",
  "connect-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-src 'none'",
  "object-src 'none'",
  "frame-ancestors 'none'",
].join('; ');

/** On every answer: without them on the worker's script the worker never starts, and nothing is logged. */
export const SECURITY_HEADERS: Readonly<Record<string, string>> = {
  'content-security-policy': CONTENT_SECURITY_POLICY,
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-embedder-policy': 'require-corp',
  'cross-origin-resource-policy': 'same-origin',
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
  'cache-control': 'no-store',
};

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.wasm': 'application/wasm',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.woff2': 'font/woff2',
};

export interface PageFile {
  readonly bytes: ArrayBuffer;
  readonly type: string;
}

/**
 * @param folder - the built page
 * @param path - what the address asks for below it, still percent-encoded; empty for the page itself
 * @returns null for anything that is not a file of a known kind inside the folder
 */
export async function pageFile(folder: string, path: string): Promise<PageFile | null> {
  const name = decoded(path === '' ? 'index.html' : path);
  const type = name === null ? undefined : TYPES[extname(name)];
  const bytes = name === null || type === undefined ? null : await readInside(folder, name);
  return bytes === null ? null : { bytes, type: type as string };
}

/** Percent-decoding that answers null where the text is not valid. */
export function decoded(text: string): string | null {
  try {
    return decodeURIComponent(text);
  } catch {
    return null;
  }
}
