/**
 * Starts the engine's workers and keeps them alive. Two of them, from the same script: one answers the hand at once, the other runs
 * the slow studies, so that dragging is never blocked. A worker that dies is replaced and gets the case again.
 */
import * as Comlink from 'comlink';
import type { CaseFile } from '../shared/case.ts';
import type { EngineContract, FuelAmount, LoadedCase } from '../shared/engine-contract.ts';
import type { EngineError } from '../shared/errors.ts';
import { failed, type Outcome } from '../shared/outcome.ts';

export type Meshes = Readonly<Record<string, ArrayBuffer>>;

/** No answer for this long means the worker is lost, not slow: the largest settle measured takes well under a second. */
const LOST_AFTER_ms = 30_000;

export class EngineSlot {
  readonly #onLost: (reason: string) => void;
  #worker!: Worker;
  #engine!: Comlink.Remote<EngineContract>;
  #isDead = false;
  #hasAnswered = false;
  readonly #giveUp = new Set<(reason: string) => void>();
  #current: { readonly file: CaseFile; readonly meshes: Meshes } | null = null;
  /** Settles when the case is back in a worker that was replaced. */
  #ready: Promise<unknown> = Promise.resolve();

  /** @param onLost - told, in words, why a worker had to be replaced; the case is already on its way back */
  constructor(onLost: (reason: string) => void) {
    this.#onLost = onLost;
    this.#start();
  }

  #start(): void {
    this.#isDead = false;
    this.#hasAnswered = false;
    this.#worker = new Worker(new URL('../engine/worker.ts', import.meta.url), { type: 'module' });
    this.#worker.addEventListener('error', (event) => {
      event.preventDefault();
      this.#replace(event.message || 'its worker ended');
    });
    this.#engine = Comlink.wrap<EngineContract>(this.#worker);
  }

  /** A worker that dies before its first answer would die again at once: it is started anew only by the next question. */
  #replace(reason: string): void {
    if (this.#hasAnswered) {
      this.cancel(reason);
    } else {
      this.#worker.terminate();
      this.#isDead = true;
      this.#releaseAll(reason);
    }
    this.#onLost(reason);
  }

  /** Ends what runs: every open question answers with a fault that holds the reason, and a fresh worker gets the case. */
  cancel(reason: string): void {
    this.#worker.terminate();
    this.#start();
    this.#reload();
    this.#releaseAll(reason);
  }

  #reload(): void {
    if (this.#current === null) return;
    const { file, meshes } = this.#current;
    this.#ready = this.#engine.loadCase(file, meshes).catch(() => null);
  }

  #releaseAll(reason: string): void {
    const open = [...this.#giveUp];
    this.#giveUp.clear();
    for (const giveUp of open) giveUp(reason);
  }

  /** Any question of the contract; a thrown fault or a dead worker becomes an error value. */
  async ask<T>(
    question: (engine: Comlink.Remote<EngineContract>) => Promise<Outcome<T, EngineError>>,
    limit_ms = Number.POSITIVE_INFINITY,
  ): Promise<Outcome<T, EngineError>> {
    if (this.#isDead) {
      this.#start();
      this.#reload();
    }
    await this.#ready;
    return new Promise((resolve) => {
      const fault = (text: string) => finish(failed({ code: 'engine-fault', text }));
      const timer = Number.isFinite(limit_ms) ? setTimeout(() => this.#replace(`no answer in ${limit_ms / 1000} s`), limit_ms) : undefined;
      const finish = (outcome: Outcome<T, EngineError>) => {
        clearTimeout(timer);
        this.#giveUp.delete(fault);
        this.#hasAnswered ||= outcome.ok;
        resolve(outcome);
      };
      this.#giveUp.add(fault);
      question(this.#engine).then(finish, (thrown: unknown) => fault(thrown instanceof Error ? thrown.message : String(thrown)));
    });
  }

  /** The bytes are copied, not moved: the window keeps them for the next edit and for a replaced worker. */
  async loadCase(file: CaseFile, meshes: Meshes): Promise<Outcome<LoadedCase, EngineError>> {
    const outcome = await this.ask((engine) => engine.loadCase(file, meshes));
    if (outcome.ok) this.#current = { file, meshes };
    return outcome;
  }

  settle(...question: Parameters<EngineContract['settle']>): ReturnType<EngineContract['settle']> {
    return this.ask((engine) => engine.settle(...question), LOST_AFTER_ms);
  }

  findings(progress: (share: number) => void): ReturnType<EngineContract['findings']> {
    return this.ask((engine) => engine.findings(Comlink.proxy(progress)));
  }

  replay(text: string, fuel: FuelAmount, progress: (share: number) => void): ReturnType<EngineContract['replay']> {
    return this.ask((engine) => engine.replay(text, fuel, Comlink.proxy(progress)));
  }
}
