/** What `unusable` and `ramp` add when they are asked for tolerances: the margin beside each figure. */
import type { RampAnswer, UnusableAnswer } from '../../shared/answers.ts';
import type { RampTolerance, ToleranceFigure, Tolerances, UnusableTolerance } from '../../shared/design-answers.ts';
import { fromSi, showNumber } from '../../shared/units.ts';
import type { LoadedTanks } from '../case/load-case.ts';
import type { Watch } from '../studies/ramp.ts';
import { rampTolerance, unusableTolerance } from '../studies/tolerance.ts';
import type { Amounts } from './read-amounts.ts';
import type { Answered } from './run.ts';
import { table } from './tables.ts';

const tolerancesOf = ({ tolerance_deg, scaleShare }: Amounts): Tolerances | null =>
  tolerance_deg === undefined && scaleShare === undefined ? null : { tolerance_deg: tolerance_deg ?? 0, scaleShare: scaleShare ?? 0 };

/** @returns the answer with its margins, where the caller asked for them */
export async function withUnusableTolerance(
  answered: Answered,
  answer: UnusableAnswer,
  loaded: LoadedTanks,
  amounts: Amounts,
  watch: Watch,
): Promise<Answered> {
  const asked = tolerancesOf(amounts);
  if (asked === null) return answered;
  const tolerance = (await unusableTolerance(loaded, answer, asked, watch))!;
  const { worst, conditions } = tolerance;
  const rows = [...conditions.map((one) => figureRow(one.id, one)), figureRow(`worst (most at ${worst.mostAt})`, worst)];
  return joined(answered, answer, tolerance, rows, 'condition');
}

/** @returns the answer with its margins, where the caller asked for them */
export async function withRampTolerance(
  answered: Answered,
  answer: RampAnswer,
  loaded: LoadedTanks,
  amounts: Amounts,
  watch: Watch,
): Promise<Answered> {
  const asked = tolerancesOf(amounts);
  if (asked === null) return answered;
  const tolerance = (await rampTolerance(loaded, answer, asked, watch))!;
  const rows = [...tolerance.tanks.map((tank) => figureRow(tank.id, tank)), figureRow('together', tolerance.worst)];
  return joined(answered, answer, tolerance, rows, 'tank');
}

function joined(
  answered: Answered,
  answer: object,
  tolerance: UnusableTolerance | RampTolerance,
  rows: readonly (readonly string[])[],
  first: string,
): Answered {
  const { tolerance_deg, scaleShare, met } = tolerance;
  const margins = table([first, 'as drawn, L', 'turned, least', 'most', 'smaller', 'larger'], rows);
  const text = `\nMargins: each tank installed up to ${showNumber(tolerance_deg)}° off in any direction; smaller or larger by ${showNumber(100 * scaleShare)} %, fittings moved along\n`;
  const notices =
    met === false && answered.isMet ? ['The limit is met as drawn, but not everywhere within the stated tolerances: see the margins.'] : [];
  return {
    ...answered,
    answer: { ...answer, tolerance },
    table: answered.table + text + margins,
    notices: [...answered.notices, ...notices],
  };
}

/** A figure, then what each tolerance adds to it or takes from it. */
function figureRow(name: string, { asDrawn_m3, leastTurned_m3, mostTurned_m3, smaller_m3, larger_m3 }: ToleranceFigure): string[] {
  const litres = (amount: number): number => Number(fromSi(amount, 'L').toFixed(4));
  const margin = (amount: number): string => {
    const by = litres(amount - asDrawn_m3);
    return by === 0 ? '0' : `${by > 0 ? '+' : ''}${showNumber(by)}`;
  };
  return [name, showNumber(litres(asDrawn_m3)), ...[leastTurned_m3, mostTurned_m3, smaller_m3, larger_m3].map(margin)];
}
