/** What holds in both desktops before any geometry: the page is ours, locked down, quiet, and asks the shell only through the bridge. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { SECURITY_HEADERS } from '../../electron/page-files.ts';
import { type Desktop, startDesktop } from './desktop.ts';
import type { DesktopKind } from './runtimes.ts';

export function shellTests(kind: DesktopKind): void {
  describe(`shell in ${kind}`, () => {
    let desktop: Desktop;
    beforeAll(async () => {
      desktop = await startDesktop(kind);
    });
    afterAll(() => desktop?.close());

    test('the window opens, with nothing to complain of', async () => {
      await desktop.page.waitForSelector('canvas');
      expect(await desktop.page.title()).toContain('Lowpoint');
      expect(desktop.complaints).toEqual([]);
    });

    test('every file of the page comes with the headers, the worker script too', async () => {
      const workers = desktop.page.workers().map((worker) => worker.url());
      expect(workers.length).toBeGreaterThan(0);
      const answered = await desktop.page.evaluate(async (workerAddresses) => {
        const tags = [...document.querySelectorAll<HTMLElement & { src?: string; href?: string }>('script[src], link[rel=stylesheet]')];
        const addresses = [location.href, ...workerAddresses, ...tags.map((tag) => tag.src || tag.href || '')];
        const answers = await Promise.all(addresses.map((address) => fetch(address)));
        return answers.map((answer) => ({ url: answer.url, headers: Object.fromEntries(answer.headers) }));
      }, workers);
      expect(answered.length).toBeGreaterThan(2);
      for (const { headers } of answered) expect(headers).toMatchObject(SECURITY_HEADERS);
    });

    test('shared memory and wasm work; eval, inline script and foreign addresses do not', async () => {
      const found = await desktop.page.evaluate(async () => {
        const refused: string[] = [];
        document.addEventListener('securitypolicyviolation', (event) => refused.push(event.effectiveDirective));
        const inline = document.createElement('script');
        inline.textContent = 'globalThis.ran = true';
        document.body.append(inline);
        const wasm = await WebAssembly.instantiate(Uint8Array.of(0, 0x61, 0x73, 0x6d, 1, 0, 0, 0)).then(() => true);
        const evaluated = (() => {
          try {
            return Boolean(new Function('return 1')());
          } catch {
            return false;
          }
        })();
        const fetched = await fetch('https://elsewhere.invalid/').then(
          () => true,
          () => false,
        );
        await new Promise((resolve) => setTimeout(resolve, 200));
        return { isolated: crossOriginIsolated, wasm, evaluated, fetched, ran: 'ran' in globalThis, refused: [...new Set(refused)].sort() };
      });
      expect(found).toEqual({
        isolated: true,
        wasm: true,
        evaluated: false,
        fetched: false,
        ran: false,
        refused: ['connect-src', 'script-src', 'script-src-elem'],
      });
      desktop.complaints.length = 0; // these were asked for
    });

    test('path tricks answer 404', async () => {
      const tricks = [
        '..%2fpackage.json',
        '..%5cpackage.json',
        '%2e%2e%2f%2e%2e%2fpackage.json',
        'assets%2f..%2f..%2f..%2fpackage.json',
        'index.html%00',
        '%zz',
        '/etc/passwd',
        'assets',
        'none.js',
      ];
      const answers = await desktop.page.evaluate(
        (all) =>
          Promise.all(
            all.map((path) =>
              fetch(path).then(
                (answer) => answer.status,
                () => 'no such address',
              ),
            ),
          ),
        tricks.map((trick) => `./${trick}`),
      );
      for (const answer of answers) expect([404, 'no such address']).toContain(answer); // Electron's scheme takes no %00 or %zz at all
      desktop.complaints.length = 0; // each 404 is told on the console
    });
  });
}
