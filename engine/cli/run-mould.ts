/** Verb `mould`: draft, undercuts, parting outline and block. */
import type { MouldAnswer, MouldTank } from '../../shared/design-answers.ts';
import { describeDesignError } from '../../shared/design-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { describeNumberError, readNumber, showNumber } from '../../shared/units.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { mouldStudy } from '../studies/mould.ts';
import type { DesignOptions, Progress } from './design-verbs.ts';
import { openLoaded } from './open-loaded.ts';
import { readDesignNumber } from './read-amounts.ts';
import type { Answered } from './run.ts';
import { angle, heading, millimetres, place, table } from './tables.ts';

/** @returns the failure as the one line to print */
export async function runMould([path]: readonly string[], options: DesignOptions, progress: Progress): Promise<Outcome<Answered, string>> {
  const pull = readPull(options['pull']);
  if (!pull.ok) return pull;
  const draft = readDesignNumber(options, 'draft_deg', '°', 0, 45);
  if (!draft.ok) return draft;
  const resolution = readDesignNumber(options, 'resolution', 'mm', 0, Number.POSITIVE_INFINITY);
  if (!resolution.ok) return resolution;
  const loaded = await openLoaded(path, options['unit']);
  if (!loaded.ok) return loaded;
  const watch = { progress: progress ?? (() => {}), cancelled: () => false };
  const tank = options['tank'] as string | undefined;
  const answer = await mouldStudy(loaded.value, watch, { pull: pull.value, draft_deg: draft.value, tank, resolution: resolution.value });
  if (!answer.ok) return failed(`${path}: ${describeDesignError(answer.error)}`);
  const notices = [...loaded.value.tanks.flatMap((one) => one.notices), ...answer.value!.notices];
  return done({ answer: answer.value!, table: mouldTable(answer.value!), notices, isMet: true });
}

function readPull(typed: string | boolean | undefined): Outcome<Vector3 | 'auto', string> {
  if (typeof typed !== 'string' || typed.trim() === 'auto') return done('auto');
  const parts = typed.split(/[,;]/);
  if (parts.length !== 3) return failed(`--pull is "${typed}". Give three numbers along X, Y and Z, such as 0,0,1, or auto.`);
  const numbers: number[] = [];
  for (const part of parts) {
    const read = readNumber(part, null);
    if (!read.ok) return failed(`--pull: ${describeNumberError(read.error)}`);
    numbers.push(read.value.value);
  }
  if (!(Math.hypot(...numbers) > 0)) return failed(describeDesignError({ code: 'design-no-pull' }));
  return done([numbers[0], numbers[1], numbers[2]]);
}

const mouldTable = ({ tanks, draft_deg }: MouldAnswer): string => tanks.map((tank) => tankTable(tank, draft_deg)).join('\n');

function tankTable(tank: MouldTank, wanted_deg: number): string {
  const { id, pull, tried, wallArea_m2, leastDraft_deg, leastDraftAt_m, lowDraftArea_m2, undercutArea_m2, parting, stock } = tank;
  const area = (amount: number): [string, string, string] => [
    showNumber(1e4 * amount),
    'cm²',
    `${showNumber((100 * amount) / wallArea_m2)} % of the wall`,
  ];
  const way = pull.map((part) => showNumber(part, 4)).join(', ');
  const how =
    tried === null ? '' : `, the best of ${tried.directions} directions ${angle(tried.spacing_deg)} apart and square to the largest walls`;
  return [
    heading(`${id}: pulled along ${way} and against it${how}`),
    table(
      ['figure', 'value', 'unit', ''],
      [
        ['least draft', showNumber(leastDraft_deg), '°', `at ${place(leastDraftAt_m)} mm`],
        [`wall below ${angle(wanted_deg)} of draft`, ...area(lowDraftArea_m2)],
        ['undercut wall', ...area(undercutArea_m2)],
        ['of triangles hidden throughout', ...area(tank.undercutFrom_m2)],
        ['of triangles hidden anywhere', ...area(tank.undercutTo_m2)],
        ['samples no farther apart than', millimetres(tank.resolution_m), 'mm', ''],
        ...parting
          .slice(0, SHOWN_OUTLINES)
          .map(({ length_m, rise_m }, i) => [
            i === 0 ? 'parting outline' : 'further outline',
            millimetres(length_m),
            'mm',
            rise_m < 1e-6 ? 'flat' : `rises by ${millimetres(rise_m)} mm along the pull`,
          ]),
        ...(parting.length > SHOWN_OUTLINES
          ? [['outlines not listed here', String(parting.length - SHOWN_OUTLINES), '', 'see --json']]
          : []),
        ['stock along the pull', millimetres(stock.along_m), 'mm', ''],
        ['stock across', millimetres(stock.long_m), 'mm', `along ${stock.longSide.map((part) => showNumber(part, 3)).join(', ')}`],
        ['stock across', millimetres(stock.short_m), 'mm', `along ${stock.shortSide.map((part) => showNumber(part, 3)).join(', ')}`],
      ],
    ),
  ].join('');
}

const SHOWN_OUTLINES = 5;
