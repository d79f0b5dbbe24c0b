/** Verb `compare`: two to four cases side by side. */
import { basename } from 'node:path';
import type { CompareAnswer, ComparedFigure, ComparedQuantity } from '../../shared/design-answers.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { fromSi, showNumber } from '../../shared/units.ts';
import { compareStudy, type NamedCase } from '../studies/compare.ts';
import type { DesignOptions, Progress } from './design-verbs.ts';
import { openLoaded } from './open-loaded.ts';
import type { Answered } from './run.ts';
import { place, table, volume } from './tables.ts';

/** @returns the failure as the one line to print */
export async function runCompare(paths: readonly string[], options: DesignOptions, progress: Progress): Promise<Outcome<Answered, string>> {
  if (paths.length < 2 || paths.length > 4) return failed(`compare takes two to four cases; ${paths.length} given.`);
  if (options['json'] === true && options['csv'] === true) return failed('--json and --csv both say how to print. Give one of them.');
  const cases: NamedCase[] = [];
  const notices: string[] = [];
  for (const [i, path] of paths.entries()) {
    const loaded = await openLoaded(path, /\.json$/i.test(path) ? undefined : options['unit']);
    if (!loaded.ok) return loaded;
    const name = paths.some((other, j) => j !== i && basename(other) === basename(path)) ? path : basename(path);
    cases.push({ name, loaded: loaded.value });
    notices.push(...loaded.value.tanks.flatMap((tank) => tank.notices.map((notice) => `${name}: ${notice}`)));
  }
  const answer = (await compareStudy(cases, { progress: progress ?? (() => {}), cancelled: () => false }))!;
  const text = options['csv'] === true ? csvOf(answer) : compareTable(answer);
  return done({ answer, table: text, notices: [...notices, ...answer.notices], isMet: true });
}

const SHOWN: Readonly<Record<ComparedQuantity, { readonly unit: string; readonly show: (value: number) => number }>> = {
  volume: { unit: 'L', show: (value) => fromSi(Number(value.toFixed(7)), 'L') },
  length: { unit: 'mm', show: (value) => fromSi(value, 'mm') },
  area: { unit: 'm²', show: (value) => value },
  angle: { unit: '°', show: (value) => value },
  share: { unit: '%', show: (value) => 100 * value },
  count: { unit: '', show: (value) => value },
};

function compareTable({ cases, figures }: CompareAnswer): string {
  const [first, ...others] = cases.map(({ name }) => name);
  return [
    table(
      ['figure', 'unit', first, ...others, ...others.map((name) => `${name} − first`)],
      figures.map((figure) => [
        figure.title,
        SHOWN[figure.quantity].unit,
        ...figure.values.map((value, i) => shown(figure, value) + (figure.best.includes(i) ? ' best' : '')),
        ...figure.values.slice(1).map((value) => difference(figure, value)),
      ]),
    ),
    '\nLow points at the worst slope of each, and the drains that serve them\n',
    table(
      ['case', 'tank', 'L', 'US gal', 'drain', 'at, mm'],
      cases.flatMap(({ name, lowPoints }) =>
        lowPoints
          .slice(0, SHOWN_LOW_POINTS)
          .map(({ tank, holds_m3, drain, at_m }) => [name, tank, ...volume(holds_m3), drain ?? 'none', place(at_m)]),
      ),
    ),
    cases.some(({ lowPoints }) => lowPoints.length > SHOWN_LOW_POINTS) ? 'Only those that keep most; --json lists all.\n' : '',
  ].join('');
}

const SHOWN_LOW_POINTS = 5;

const shown = ({ quantity }: ComparedFigure, value: number | null): string =>
  value === null ? '–' : showNumber(SHOWN[quantity].show(value));

function difference({ quantity, values: [first] }: ComparedFigure, value: number | null): string {
  if (value === null || first === null) return '–';
  const by = SHOWN[quantity].show(value) - SHOWN[quantity].show(first);
  return `${by > 0 ? '+' : ''}${showNumber(by)}`;
}

/** SI, a row a figure; RFC 4180 quoting. A name that a spreadsheet would take for a formula is led by an apostrophe. */
function csvOf({ cases, figures }: CompareAnswer): string {
  const cell = (text: string): string => {
    const safe = /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
    return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
  };
  const rows = [
    ['figure', ...cases.map(({ name }) => cell(name)), 'best'],
    ...figures.map(({ key, values, best }) => [
      cell(key),
      ...values.map((value) => (value === null ? '' : String(value))),
      cell(best.map((i) => cases[i].name).join('; ')),
    ]),
  ];
  return rows.map((row) => `${row.join(',')}\r\n`).join('');
}
