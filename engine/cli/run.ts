/** Runs one verb on one file: opens, loads, asks the study, and lays the answer out as a table. Loaded only when a verb runs. */
import type { Condition } from '../../shared/answers.ts';
import { describeError } from '../../shared/errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { suggest } from '../../shared/suggest.ts';
import { type LoadedTanks, loadCase } from '../case/load-case.ts';
import type { History } from '../case/read-history.ts';
import { checkAnswer } from '../studies/check.ts';
import { fillStudy } from '../studies/fill.ts';
import { findingsOf } from '../studies/findings.ts';
import { rampStudy, type Watch } from '../studies/ramp.ts';
import { replayCase } from '../studies/replay-case.ts';
import { settleCase } from '../studies/settle-case.ts';
import { unusableStudy } from '../studies/unusable.ts';
import { openFile, openHistory } from './open-file.ts';
import type { Amounts } from './read-amounts.ts';
import { withRampTolerance, withUnusableTolerance } from './run-tolerance.ts';
import { checkTable, fillTable, findingsTable, rampTable, replayTable, settleTable, unusableTable } from './tables.ts';

export type Verb = 'check' | 'settle' | 'ramp' | 'unusable' | 'fill' | 'replay' | 'findings';

export interface Answered {
  readonly answer: object;
  readonly table: string;
  readonly notices: readonly string[];
  /** False where a requirement of the case is not met. */
  readonly isMet: boolean;
}

/** @returns the failure as the one line to print */
export async function run(
  verb: Verb,
  path: string,
  historyPath: string | null,
  amounts: Amounts,
  progress: ((share: number) => void) | null,
): Promise<Outcome<Answered, string>> {
  // Read first: a slip in it should not wait for the meshes.
  const history = historyPath === null ? null : await openHistory(historyPath);
  if (history !== null && !history.ok) return history;
  const opened = await openFile(path, amounts.unit);
  if (!opened.ok) return opened;
  const loaded = await loadCase(opened.value.file, opened.value.meshes);
  if (!loaded.ok) return failed(`${path}: ${describeError(loaded.error)}`);
  const watch = { progress: progress ?? (() => {}), cancelled: () => false };
  const answered = await RUN[verb](loaded.value, amounts, watch, history?.value ?? null);
  if (!answered.ok) return answered;
  const notices = loaded.value.tanks.flatMap((tank) => tank.notices);
  return done({ ...answered.value, notices: [...notices, ...answered.value.notices] });
}

type Runner = (loaded: LoadedTanks, amounts: Amounts, watch: Watch, history: History | null) => Promise<Outcome<Answered, string>>;

const RUN: Record<Verb, Runner> = {
  async check(loaded) {
    const answer = checkAnswer(loaded);
    return done({ answer, table: checkTable(answer), notices: [], isMet: true });
  },

  async settle(loaded, amounts) {
    const condition = conditionOf(loaded, amounts);
    if (!condition.ok) return condition;
    const { fill, fuel_m3, pourHere, pourAt } = amounts;
    if (fill === undefined && fuel_m3 === undefined) return failed('settle needs an amount of fuel. Give --fill 0.5 or --fuel_m3 0.02.');
    const amount = fill === undefined ? { fuel_m3: fuel_m3! } : { fill };
    const answer = settleCase(loaded, condition.value, amount, pourHere ? 'here' : 'parked', pourAt);
    if (!answer.ok) return failed(describeError(answer.error));
    return done({ answer: answer.value, table: settleTable(answer.value), notices: [], isMet: true });
  },

  async ramp(loaded, amounts, watch) {
    const answer = (await rampStudy(loaded, watch, { slope_deg: amounts.slope_deg }))!;
    const answered = { answer, table: rampTable(answer), notices: answer.notices, isMet: answer.requirement?.met ?? true };
    return done(await withRampTolerance(answered, answer, loaded, amounts, watch));
  },

  async unusable(loaded, amounts, watch) {
    const answer = unusableStudy(loaded);
    const answered = { answer, table: unusableTable(answer), notices: answer.notices, isMet: answer.requirement?.met ?? true };
    return done(await withUnusableTolerance(answered, answer, loaded, amounts, watch));
  },

  async fill(loaded) {
    const answer = fillStudy(loaded);
    return done({ answer, table: fillTable(answer), notices: answer.notices, isMet: answer.requirement.met });
  },

  async replay(loaded, { fill, fuel_m3 }, watch, history) {
    if (fill === undefined && fuel_m3 === undefined) return failed('replay needs an amount of fuel. Give --fill 0.5 or --fuel_m3 0.02.');
    const answer = await replayCase(loaded, history!, fill === undefined ? { fuel_m3: fuel_m3! } : { fill }, watch);
    if (!answer.ok) return failed(describeError(answer.error));
    return done({ answer: answer.value!, table: replayTable(answer.value!), notices: answer.value!.notices, isMet: true });
  },

  async findings(loaded, _, watch) {
    const unusable = unusableStudy(loaded);
    const ramp = (await rampStudy(loaded, watch, { shares: false }))!;
    const findings = findingsOf(loaded, unusable, ramp);
    const notices = [...unusable.notices, ...ramp.notices];
    return done({
      answer: { findings, notices },
      table: findingsTable(findings),
      notices,
      isMet: findings.every(({ state }) => state !== 'not met'),
    });
  },
};

function conditionOf({ file }: LoadedTanks, { condition, pitch_deg, roll_deg, n }: Amounts): Outcome<Condition, string> {
  if (condition === undefined) return done({ pitch_deg: pitch_deg ?? 0, roll_deg: roll_deg ?? 0, n: n ?? 1 });
  const found = file.conditions.find(({ id }) => id === condition);
  if (found !== undefined) return done(found);
  const ids = file.conditions.map(({ id }) => id);
  const near = suggest(condition, ids);
  const hint =
    near !== null ? `Did you mean "${near}"?` : ids.length > 0 ? `It has ${ids.join(', ')}.` : 'It has none: give --pitch, --roll and --n.';
  return failed(`The case has no condition "${condition}". ${hint}`);
}
