/**
 * The window's state: the case, the condition and the amount in hand, what the engine answered to them, and the person's choices.
 * Everything on screen is derived from these signals; everything that changes them is a function of this file or of open.ts.
 */
import { batch, computed, effect, signal } from '@preact/signals';
import type { Condition, Finding } from '../shared/answers.ts';
import type { CaseFile, FittingKind } from '../shared/case.ts';
import type { FuelAmount, HowFuelComes, LoadedCase, SettledView } from '../shared/engine-contract.ts';
import { describeError, type EngineError } from '../shared/errors.ts';
import type { LengthUnit, MassUnit, VolumeUnit } from '../shared/units.ts';
import type { Vector3 } from '../shared/vector.ts';
import { EngineSlot, type Meshes } from './engine-link.ts';
import { latestWins } from './latest-wins.ts';

export const LEVEL: Condition = { pitch_deg: 0, roll_deg: 0, n: 1 };

/** A case that the engine took, with where it came from. */
export interface OpenCase {
  readonly file: CaseFile;
  readonly meshes: Meshes;
  readonly origin: { readonly kind: 'sample' | 'file' | 'mesh'; readonly name: string };
}

export interface Message {
  readonly kind: 'problem' | 'note';
  readonly text: string;
  /** A way back or on, offered beside the line. */
  readonly action?: { readonly word: string; readonly run: () => void };
}

interface Settled {
  readonly loaded: LoadedCase;
  readonly condition: Condition;
  readonly fuel: FuelAmount;
  readonly comesFrom: HowFuelComes['from'];
  /** A quick answer while the hand moves; the steady one follows. */
  readonly live: boolean;
  readonly view: SettledView;
}

export type FindingsState =
  | { readonly kind: 'none' }
  | { readonly kind: 'running'; readonly share: number }
  | { readonly kind: 'current' }
  | { readonly kind: 'stopped' }
  | { readonly kind: 'failed'; readonly text: string };

export const LENGTH_UNITS = ['mm', 'cm', 'm', 'in', 'ft'] as const satisfies readonly LengthUnit[];
export const FUEL_UNITS = ['L', 'US gal', 'imp gal', 'kg', 'lb'] as const satisfies readonly (VolumeUnit | MassUnit)[];
export const THEMES = ['system', 'light', 'dark'] as const;
export type FuelUnit = (typeof FUEL_UNITS)[number];
export type ThemeChoice = (typeof THEMES)[number];

export const openCase = signal<OpenCase | null>(null);
/** The case as it was opened or last saved; null for one that was never saved as it stands. */
export const savedFile = signal<CaseFile | null>(null);
export const isEdited = computed(() => openCase.value !== null && openCase.value.file !== savedFile.value);
export const loaded = signal<LoadedCase | null>(null);
export const isLoading = signal(false);
export const condition = signal<Condition>(LEVEL);
export const fuel = signal<FuelAmount>({ fill: 0.5 });
/** Where fuel is taken to have been before it came to the condition in hand. */
export const comesFrom = signal<HowFuelComes['from']>('parked');
export const settled = signal<Settled | null>(null);
/** What is in hand comes from a recording, with its pools: it is not settled anew. */
export const recorded = signal<Pick<Settled, 'condition' | 'fuel'> | null>(null);
/** Why the condition or the amount in hand has no answer; null when it has or will have one. */
export const settleProblem = signal<{ readonly error: EngineError; readonly text: string } | null>(null);
export const findings = signal<readonly Finding[]>([]);
export const findingsState = signal<FindingsState>({ kind: 'none' });
export const message = signal<Message | null>(null);

export const lengthUnit = signal<LengthUnit>(stored('lengthUnit', LENGTH_UNITS));
export const fuelUnit = signal<FuelUnit>(stored('fuelUnit', FUEL_UNITS));
export const theme = signal<ThemeChoice>(stored('theme', THEMES));
export const staysLevel = signal<'fuel' | 'aircraft'>('fuel');
export const showsWater = signal(true);
/** Labels of all fittings; else of outlets, of what needs a look, and of what is pointed at. */
export const showsAllLabels = signal(false);

/** A fitting being placed: a spot on a wall and the walls behind it along the same line of sight. */
export interface Placing {
  readonly spots: readonly { readonly tank: string; readonly at_m: Vector3; readonly facing: Vector3 }[];
  readonly spot: number;
  readonly kind: FittingKind;
}
export const placing = signal<Placing | null>(null);
interface FittingPlace {
  readonly tank: string;
  readonly fitting: string;
}
export const selectedFitting = signal<FittingPlace | null>(null);
/** Under the pointer in the view, or focused in the table. */
export const pointedFitting = signal<FittingPlace | null>(null);

/** What is shown belongs to what is in hand, if only as the quick answer. */
export const isShown = computed(() => {
  const answer = settled.value;
  return answer !== null && answer.loaded === loaded.value && answer.condition === condition.value && answer.fuel === fuel.value;
});
export const isRecorded = computed(
  () => recorded.value !== null && recorded.value.condition === condition.value && recorded.value.fuel === fuel.value,
);
export const isCurrent = computed(
  () => isShown.value && settled.value?.live === false && (settled.value.comesFrom === comesFrom.value || isRecorded.value),
);

/** Stale for longer than a blink: only then is it shown, or a drag would flicker. */
export const isLate = signal(false);
const BLINK_ms = 250;
effect(() => {
  if (isShown.value) {
    isLate.value = false;
    return undefined;
  }
  const timer = setTimeout(() => {
    isLate.value = true;
  }, BLINK_ms);
  return () => clearTimeout(timer);
});

/** The volume in hand, m³; null before a case is there. */
export const fuelInHand_m3 = computed(() => {
  const capacity = loaded.value?.check.capacity_m3;
  if (capacity === undefined) return null;
  return 'fill' in fuel.value ? fuel.value.fill * capacity : fuel.value.fuel_m3;
});

export const density_kg_m3 = computed(() => openCase.value?.file.fuel?.density_kg_m3 ?? null);

/** The fuel unit in use: a mass needs a density, and none is ever guessed. */
export const fuelUnitInUse = computed<FuelUnit>(() =>
  density_kg_m3.value === null && (fuelUnit.value === 'kg' || fuelUnit.value === 'lb') ? 'L' : fuelUnit.value,
);

export const say = (text: string): void => {
  message.value = { kind: 'note', text };
};
export const complain = (text: string): void => {
  message.value = { kind: 'problem', text };
};

export const live = new EngineSlot((reason) => {
  complain(`The engine stopped (${reason}) and was started again with the same case. Nothing is lost; report it if it happens twice.`);
});
const study = new EngineSlot(() => {
  // the study's own outcome carries the reason to the findings
});

type Question = Omit<Settled, 'view'>;

const settling = latestWins(
  ({ condition: at, fuel: amount, comesFrom: from, live: isLive }: Question) => live.settle(at, amount, { from, live: isLive }),
  (question, outcome, newerWaits) => {
    if (question.loaded !== loaded.value || isRecorded.value) return;
    if (outcome.ok) {
      settled.value = { ...question, view: outcome.value };
      settleProblem.value = null;
    } else if (!newerWaits) {
      settleProblem.value = { error: outcome.error, text: describeError(outcome.error) };
    }
  },
);

/** A hand that has not moved for this long rests. */
const REST_ms = 200;

effect(() => {
  if (loaded.value === null || isRecorded.value) return undefined;
  const question = { loaded: loaded.value, condition: condition.value, fuel: fuel.value, comesFrom: comesFrom.value };
  settling.ask({ ...question, live: true });
  const rest = setTimeout(() => settling.ask({ ...question, live: false }), REST_ms);
  return () => clearTimeout(rest);
});

/** Cases go to the engine one after the other, so that the window and the engine never differ on which one is current. */
let lastChange: Promise<unknown> = Promise.resolve();

function inTurn<T>(change: () => Promise<T>): Promise<T> {
  const result = lastChange.then(change);
  lastChange = result;
  return result;
}

/**
 * Makes a case current once the engine took it; until then, and where it does not, the last good one stays.
 * @returns the error's line where it was refused, else null
 */
export const useCase = (next: OpenCase): Promise<string | null> => inTurn(() => take(next, true));

/** An edit of the open case. @returns the line to show where the engine refuses it: the case before stays */
export const editCase = (change: (file: CaseFile) => CaseFile): Promise<string | null> =>
  inTurn(async () => {
    const now = openCase.value;
    return now === null ? null : take({ ...now, file: change(now.file) }, false);
  });

async function take(next: OpenCase, isFresh: boolean): Promise<string | null> {
  isLoading.value = true;
  const outcome = await live.loadCase(next.file, next.meshes);
  isLoading.value = false;
  if (!outcome.ok) return describeError(outcome.error);
  batch(() => {
    openCase.value = next;
    loaded.value = outcome.value;
    if (!isFresh) return;
    savedFile.value = next.file;
    settled.value = null;
    settleProblem.value = null;
    comesFrom.value = 'parked';
    const first = next.file.conditions[0];
    condition.value = first === undefined ? LEVEL : { pitch_deg: first.pitch_deg, roll_deg: first.roll_deg, n: first.n };
    fuel.value = { fill: 0.5 };
    findings.value = [];
    placing.value = null;
    selectedFitting.value = null;
  });
  studySoon();
  return null;
}

let studyTimer: ReturnType<typeof setTimeout> | undefined;
let studyTurn = 0;

/** Waits for a pause in the edits: a study runs for seconds and every edit would start it anew. */
function studySoon(): void {
  stopStudy();
  findingsState.value = { kind: 'running', share: 0 };
  clearTimeout(studyTimer);
  studyTimer = setTimeout(runStudy, 500);
}

export async function runStudy(): Promise<void> {
  const now = openCase.value;
  if (now === null) return;
  const turn = ++studyTurn;
  findingsState.value = { kind: 'running', share: 0 };
  const taken = await study.loadCase(now.file, now.meshes);
  if (turn !== studyTurn) return;
  const outcome = taken.ok
    ? await study.findings((share) => {
        if (turn === studyTurn) findingsState.value = { kind: 'running', share };
      })
    : taken;
  if (turn !== studyTurn) return;
  if (outcome.ok) {
    findings.value = outcome.value;
    findingsState.value = { kind: 'current' };
  } else {
    findingsState.value = { kind: 'failed', text: describeError(outcome.error) };
  }
}

/** Ends a study that runs by replacing its worker: the contract has no other way to stop it, and a fresh one costs 0.1 s. */
export function stopStudy(): void {
  if (findingsState.value.kind !== 'running') return;
  clearTimeout(studyTimer);
  studyTurn++;
  study.cancel('stopped');
  findingsState.value = { kind: 'stopped' };
}

function stored<T extends string>(key: string, known: readonly [T, ...T[]]): T {
  try {
    const value = localStorage.getItem(key);
    return known.find((each) => each === value) ?? known[0];
  } catch {
    return known[0]; // storage may be switched off: the choice then lasts for the session
  }
}

effect(() => {
  try {
    localStorage.setItem('lengthUnit', lengthUnit.value);
    localStorage.setItem('fuelUnit', fuelUnit.value);
    localStorage.setItem('theme', theme.value);
  } catch {
    // as above
  }
});
