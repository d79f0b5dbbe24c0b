/** The attitude the design stands in on level ground. */
import type { Condition } from '../../shared/answers.ts';
import type { CaseFile } from '../../shared/case.ts';
import type { ConditionError } from '../../shared/errors.ts';
import { done, type Outcome } from '../../shared/outcome.ts';
import { type Field, makeField } from '../basins/field.ts';
import type { LoadedTanks } from '../case/load-case.ts';
import { apparentGravity } from '../gravity/condition.ts';

/** @returns the condition with id "parked", else the first on the ground, else level */
export function parkedCondition({ conditions }: CaseFile): Condition {
  const parked = conditions.find(({ id }) => id === 'parked') ?? conditions.find(({ phase }) => phase === 'ground');
  return parked === undefined ? { pitch_deg: 0, roll_deg: 0, n: 1 } : plain(parked);
}

/** The three numbers of a condition without what else a record carries. */
export const plain = ({ pitch_deg, roll_deg, n }: Condition): Condition => ({ pitch_deg, roll_deg, n });

/** One field per tank, in the case's order. */
export function fieldsAt({ tanks }: LoadedTanks, condition: Condition): Outcome<Field[], ConditionError> {
  const apparent = apparentGravity(condition);
  return apparent.ok ? done(tanks.map(({ solid }) => makeField(solid, apparent.value.up))) : apparent;
}

/** Fields at a condition of a loaded case: the case reader has ruled out every error. */
export function fieldsOfCase(loaded: LoadedTanks, condition: Condition): Field[] {
  const fields = fieldsAt(loaded, condition);
  if (!fields.ok) throw new Error(`a checked condition gave ${fields.error.code}`);
  return fields.value;
}
