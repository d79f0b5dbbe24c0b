/** The slot that keeps a worker alive, over a stand-in for the browser's Worker: a message channel whose far end answers or goes silent. */
import * as Comlink from 'comlink';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { EngineSlot } from '../../renderer/engine-link.ts';
import type { CaseFile } from '../../shared/case.ts';
import { done } from '../../shared/outcome.ts';

const FILE = { name: 'a case' } as CaseFile;
let made: FakeWorker[] = [];

class FakeWorker extends EventTarget {
  readonly cases: CaseFile[] = [];
  isEnded = false;
  readonly #near: MessagePort;
  readonly #far: MessagePort;

  constructor() {
    super();
    const { port1, port2 } = new MessageChannel();
    this.#near = port1;
    this.#far = port2;
    Comlink.expose(
      {
        loadCase: async (file: CaseFile) => {
          this.cases.push(file);
          return done({ tanks: [], notices: [] });
        },
        settle: async ({ n }: { n: number }) => (n === 13 ? new Promise(() => undefined) : done({ n })),
        readCase: async () => {
          throw new Error('out of breath');
        },
      },
      this.#far as unknown as Comlink.Endpoint,
    );
    this.#near.addEventListener('message', (event) => this.dispatchEvent(new MessageEvent('message', { data: event.data })));
    this.#near.start();
    made.push(this);
  }

  postMessage(message: unknown): void {
    this.#near.postMessage(message);
  }

  terminate(): void {
    this.isEnded = true;
    this.#near.close();
    this.#far.close();
  }

  die(): void {
    this.dispatchEvent(Object.assign(new Event('error', { cancelable: true }), { message: 'out of memory' }));
  }
}

beforeEach(() => {
  made = [];
  vi.stubGlobal('Worker', FakeWorker);
});
afterEach(() => {
  for (const worker of made) if (!worker.isEnded) worker.terminate();
  vi.unstubAllGlobals();
});

const ask = (slot: EngineSlot, n: number) => slot.settle({ pitch_deg: 0, roll_deg: 0, n }, { fill: 0.5 }, { from: 'parked', live: false });

test('EngineSlot: a worker that dies answers its open question with a fault, is replaced, and the new one has the case', async () => {
  const reasons: string[] = [];
  const slot = new EngineSlot((reason) => reasons.push(reason));
  expect((await slot.loadCase(FILE, {})).ok).toBe(true);
  const open = ask(slot, 13);
  await new Promise((resolve) => setTimeout(resolve));
  made[0]!.die();
  expect(await open).toEqual({ ok: false, error: { code: 'engine-fault', text: 'out of memory' } });
  expect(reasons).toEqual(['out of memory']);
  expect(made).toHaveLength(2);
  expect(await ask(slot, 1)).toEqual({ ok: true, value: { n: 1 } });
  expect(made[1]!.cases).toEqual([FILE]);
});

test('EngineSlot: a worker that dies before its first answer is not started in a loop, only by the next question', async () => {
  const slot = new EngineSlot(() => undefined);
  made[0]!.die();
  expect(made).toHaveLength(1);
  expect((await ask(slot, 1)).ok).toBe(true);
  expect(made).toHaveLength(2);
});

test('EngineSlot: a thrown fault comes back as an error value', async () => {
  const slot = new EngineSlot(() => undefined);
  expect(await slot.ask((engine) => engine.readCase(''))).toEqual({ ok: false, error: { code: 'engine-fault', text: 'out of breath' } });
});

test('EngineSlot: cancel ends what runs and keeps the case', async () => {
  const slot = new EngineSlot(() => undefined);
  await slot.loadCase(FILE, {});
  const open = ask(slot, 13);
  await new Promise((resolve) => setTimeout(resolve));
  slot.cancel('stopped');
  expect(await open).toEqual({ ok: false, error: { code: 'engine-fault', text: 'stopped' } });
  expect(made[0]!.isEnded).toBe(true);
  expect((await ask(slot, 1)).ok).toBe(true);
  expect(made[1]!.cases).toEqual([FILE]);
});
