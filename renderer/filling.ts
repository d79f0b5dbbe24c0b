/** The tanks filled as far as they go, with the air that stays in them, as long as the switch is on. */
import { batch, effect, signal } from '@preact/signals';
import type { Condition } from '../shared/answers.ts';
import type { FillView, FuelAmount } from '../shared/engine-contract.ts';
import { describeError } from '../shared/errors.ts';
import { complain, condition, fuel, live, loaded } from './state.ts';

interface InHand {
  readonly condition: Condition;
  readonly fuel: FuelAmount;
}

export const filled = signal<FillView | null>(null);
/** What the switch put in hand, and what was there before. */
let shown: InHand | null = null;
let before: InHand | null = null;

export async function showFilled(): Promise<void> {
  const now = loaded.value;
  const outcome = await live.ask((engine) => engine.fill());
  if (now !== loaded.value) return;
  if (!outcome.ok) return complain(describeError(outcome.error));
  const { fill } = outcome.value;
  before = { condition: condition.value, fuel: fuel.value };
  shown = { condition: fill.condition, fuel: { fuel_m3: fill.mostFuel_m3 } };
  batch(() => {
    condition.value = shown!.condition;
    fuel.value = shown!.fuel;
    filled.value = outcome.value;
  });
}

export function showAsBefore(): void {
  batch(() => {
    filled.value = null;
    if (before === null) return;
    condition.value = before.condition;
    fuel.value = before.fuel;
  });
}

let filledCase: unknown = null;
/** Another attitude, amount or case is no longer the filled one. */
effect(() => {
  const isSame = condition.value === shown?.condition && fuel.value === shown.fuel;
  if (filled.value === null) filledCase = loaded.value;
  else if (!isSame || loaded.value !== filledCase) filled.value = null;
});
