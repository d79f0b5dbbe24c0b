/** A recorded manoeuvre: its replay in a worker of its own, and the row that is shown. */
import { batch, computed, effect, signal } from '@preact/signals';
import type { FuelAmount } from '../shared/engine-contract.ts';
import { describeError } from '../shared/errors.ts';
import type { DryInterval, ReplayAnswer } from '../shared/replay-answer.ts';
import { EngineSlot } from './engine-link.ts';
import { latestWins } from './latest-wins.ts';
import { complain, condition, fuel, isRecorded, loaded, openCase, recorded, settled, settleProblem } from './state.ts';

export type Replay =
  | { readonly kind: 'none' }
  | { readonly kind: 'running'; readonly name: string; readonly share: number }
  | { readonly kind: 'ready'; readonly name: string; readonly answer: ReplayAnswer };

export const SPEEDS = [1, 4, 16] as const;

export const replay = signal<Replay>({ kind: 'none' });
export const row = signal(0);
export const isPlaying = signal(false);
export const speed = signal<(typeof SPEEDS)[number]>(4);

/** Started by the first history: most cases never need it. */
let slot: EngineSlot | null = null;
let turn = 0;
let fuelBefore: FuelAmount | null = null;
let replayedCase: unknown = null;

/** @param text - CSV; the fuel in hand is what is on board at its first row */
export async function openHistory(name: string, text: string): Promise<void> {
  const now = openCase.value;
  if (now === null) return complain(`${name}: open a case first; a history is flown with its tanks.`);
  closeReplay();
  const mine = ++turn;
  slot ??= new EngineSlot(() => undefined); // its own outcome carries the reason
  fuelBefore = fuel.value;
  replayedCase = loaded.value;
  replay.value = { kind: 'running', name, share: 0 };
  const taken = await slot.loadCase(now.file, now.meshes);
  if (mine !== turn) return;
  const outcome = taken.ok
    ? await slot.replay(text, fuelBefore, (share) => {
        if (mine === turn) replay.value = { kind: 'running', name, share };
      })
    : taken;
  if (mine !== turn) return;
  if (!outcome.ok) {
    replay.value = { kind: 'none' };
    return complain(`${name}: ${describeError(outcome.error)}`);
  }
  replay.value = { kind: 'ready', name, answer: outcome.value };
  goTo(0);
}

/** Ends it, also while it is being worked out, and gives back the fuel there was. */
export function closeReplay(): void {
  const was = replay.value.kind;
  if (was === 'none') return;
  turn++;
  if (was === 'running') slot?.cancel('stopped');
  batch(() => {
    replay.value = { kind: 'none' };
    isPlaying.value = false;
    row.value = 0;
    if (isRecorded.value && fuelBefore !== null) fuel.value = fuelBefore;
    recorded.value = null;
  });
}

/** What the window stood at when a row was last asked for or shown: a hand that moved it since has the last word. */
let held: { readonly condition: unknown; readonly fuel: unknown } | null = null;
const hold = (): void => {
  held = { condition: condition.value, fuel: fuel.value };
};

const showing = latestWins(
  (asked: number) => slot!.ask((engine) => engine.replayRow(asked)),
  (asked, outcome) => {
    const now = replay.value;
    if (now.kind !== 'ready' || loaded.value === null) return;
    if (condition.value !== held?.condition || fuel.value !== held.fuel) return;
    if (!outcome.ok) return complain(describeError(outcome.error));
    const at = outcome.value.settle.condition;
    const amount = { fuel_m3: now.answer.fuel_m3[asked]! };
    batch(() => {
      recorded.value = { condition: at, fuel: amount };
      condition.value = at;
      fuel.value = amount;
      settled.value = { loaded: loaded.value!, condition: at, fuel: amount, comesFrom: 'parked', live: false, view: outcome.value };
      settleProblem.value = null;
    });
    hold();
  },
);

export function goTo(wanted: number): void {
  const now = replay.value;
  if (now.kind !== 'ready') return;
  row.value = Math.max(0, Math.min(now.answer.time_s.length - 1, Math.round(wanted)));
  hold();
  showing.ask(row.value);
}

/** By the time of the recording, second for second times the speed; rows that the machine cannot draw in time are passed over. */
export function play(): void {
  const now = replay.value;
  if (now.kind !== 'ready') return;
  const { time_s } = now.answer;
  if (row.value === time_s.length - 1) goTo(0);
  isPlaying.value = true;
  let at_s = time_s[row.value]!;
  let last_ms = performance.now();
  const step = (now_ms: number): void => {
    if (!isPlaying.value || replay.value !== now) return;
    at_s += ((now_ms - last_ms) / 1000) * speed.value;
    last_ms = now_ms;
    const next = rowAt(time_s, at_s);
    if (next !== row.value) goTo(next);
    if (next === time_s.length - 1) isPlaying.value = false;
    else requestAnimationFrame(step);
  };
  requestAnimationFrame(step);
}

export function pause(): void {
  isPlaying.value = false;
}

export function showInterval(interval: DryInterval): void {
  pause();
  goTo(interval.row);
}

/** The last row at or before a time. */
export function rowAt(time_s: readonly number[], at_s: number): number {
  let low = 0;
  let high = time_s.length - 1;
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if (time_s[middle]! <= at_s) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** The dry intervals that hold the row shown. */
export const dryNow = computed<readonly DryInterval[]>(() => {
  const now = replay.value;
  if (now.kind !== 'ready') return [];
  const at_s = now.answer.time_s[row.value]!;
  return now.answer.dry.filter((each) => each.from_s <= at_s && at_s <= each.to_s);
});

/** A hand on the attitude or the amount stops the film; another case ends it. */
effect(() => {
  if (recorded.value !== null && !isRecorded.value) isPlaying.value = false;
});
effect(() => {
  if (loaded.value !== replayedCase && replay.value.kind !== 'none') closeReplay();
});
