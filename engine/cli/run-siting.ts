/** Verb `siting`: where an outlet or a drain would leave least. */
import type { SitingAnswer, SitingChoice, SitingCondition, SitingTank } from '../../shared/design-answers.ts';
import { describeDesignError } from '../../shared/design-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { sitingStudy } from '../studies/siting.ts';
import type { DesignOptions, Progress } from './design-verbs.ts';
import { openLoaded } from './open-loaded.ts';
import { readDesignNumber } from './read-amounts.ts';
import type { Answered } from './run.ts';
import { angle, heading, litres, millimetres, place, table, volume, wayDown } from './tables.ts';

/** @returns the failure as the one line to print */
export async function runSiting([path]: readonly string[], options: DesignOptions, progress: Progress): Promise<Outcome<Answered, string>> {
  const kind = options['kind'];
  if (kind !== 'outlet' && kind !== 'drain') return failed('siting needs to know what to place. Give --kind outlet or --kind drain.');
  const spacing = readDesignNumber(options, 'spacing', 'mm', 0, Number.POSITIVE_INFINITY);
  if (!spacing.ok) return spacing;
  const slope = readDesignNumber(options, 'slope', '°', 0, 45);
  if (!slope.ok) return slope;
  if (kind === 'outlet' && slope.value !== undefined) return failed('--slope is for drains; outlets are judged at the flight conditions.');
  const loaded = await openLoaded(path, options['unit']);
  if (!loaded.ok) return loaded;
  const answer = await sitingStudy(
    loaded.value,
    { progress: progress ?? (() => {}), cancelled: () => false },
    {
      kind,
      count: options['count'] === '2' ? 2 : 1,
      tank: options['tank'] as string | undefined,
      spacing: spacing.value,
      slope_deg: slope.value,
    },
  );
  if (!answer.ok) return failed(`${path}: ${describeDesignError(answer.error)}`);
  const notices = [...loaded.value.tanks.flatMap((tank) => tank.notices), ...answer.value!.notices];
  return done({ answer: answer.value!, table: sitingTable(answer.value!), notices, isMet: true });
}

function sitingTable(answer: SitingAnswer): string {
  const { kind, count, conditions, grid, tanks } = answer;
  const over =
    grid === null
      ? `${conditions.length} flight conditions`
      : `${conditions.length} slopes up to ${angle(grid.rampSlope_deg)}, every ${angle(grid.directionStep_deg)} of direction`;
  return tanks.map((tank) => tankTable(tank, kind, count, conditions, over)).join('\n');
}

function tankTable(
  { id, considered, present, choices, apart_m }: SitingTank,
  kind: string,
  count: number,
  conditions: readonly SitingCondition[],
  over: string,
): string {
  const now =
    present === null
      ? `It has no ${kind} now.`
      : `Now (${present.fittings.join(', ')}): ${litres(present.left_m3)}, set by ${nameOf(conditions[present.worst])}.`;
  const what =
    count === 2
      ? `the best two ${kind}s together`
      : `the best places for the only ${kind}, each at least ${millimetres(apart_m)} mm from those above it`;
  return [
    heading(`${id}: ${what}; of ${considered} places, over ${over}`),
    `${now}\n\n`,
    table(
      ['left, L', 'US gal', 'set by', 'at, mm (X aft, Y right, Z up)', 'from present, mm'],
      choices.map((choice) => row(choice, conditions)),
    ),
  ].join('');
}

const row = ({ left_m3, worst, places }: SitingChoice, conditions: readonly SitingCondition[]): string[] => [
  ...volume(left_m3),
  nameOf(conditions[worst]),
  places.map(({ at_m }) => place(at_m)).join(' and '),
  places.map(({ toPresent_m }) => (toPresent_m === null ? 'none now' : millimetres(toPresent_m))).join(' and '),
];

function nameOf({ id, slope_deg, downhill_deg }: SitingCondition): string {
  if (slope_deg === undefined) return id;
  return slope_deg === 0 ? 'level ground' : `${angle(slope_deg)} down ${wayDown(downhill_deg!)}`;
}
