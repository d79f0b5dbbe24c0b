/** The one door for recorded histories: CSV text in, attitudes and fuel flow over time out, or the first fault with its line. */
import Papa from 'papaparse';
import type { BadRow, HistoryError } from '../../shared/history-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { suggest } from '../../shared/suggest.ts';
import { readNumber, showNumber, toSi, type UnitName } from '../../shared/units.ts';
import { conditionOfTriple } from '../gravity/condition.ts';

export const HISTORY_LIMITS = { size_bytes: 64 * 1024 * 1024, rows: 500_000 } as const;

/** One entry a row. */
export interface History {
  readonly time_s: Float64Array;
  readonly pitch_deg: Float64Array;
  readonly roll_deg: Float64Array;
  readonly n: Float64Array;
  /** From this row to the next; null where the file has no such column. */
  readonly flow_m3_s: Float64Array | null;
  /** Line of each row in the file. */
  readonly lines: Uint32Array;
  readonly notices: readonly string[];
}

const ANGLES = ['pitch_deg', 'roll_deg', 'n'] as const;
const TRIPLE = ['nx', 'ny', 'nz'] as const;
/** The ending a column's name gives its unit by. */
const FLOWS: Readonly<Record<string, UnitName>> = { fuelFlow_m3_s: 'm³/s', fuelFlow_L_h: 'L/h', fuelFlow_USgal_h: 'US gal/h' };
const KNOWN: readonly string[] = ['time_s', ...ANGLES, ...TRIPLE, ...Object.keys(FLOWS)];

/** A step in time this many times the median one is told as a gap: common practice, no source. */
const GAP = 5;

/** @param text - a byte order mark and any line ends are allowed; empty lines are passed over */
export function readHistory(text: string): Outcome<History, HistoryError> {
  if (text.length > HISTORY_LIMITS.size_bytes) {
    return failed({ code: 'history-too-big', size_bytes: text.length, limit_bytes: HISTORY_LIMITS.size_bytes });
  }
  const plain = text.replace(/^\uFEFF/, '').replace(/\r\n?/g, '\n');
  const zero = plain.indexOf('\0');
  if (zero >= 0) return failed({ code: 'history-not-text', line: plain.slice(0, zero).split('\n').length });
  const { data, errors } = Papa.parse<string[]>(plain, { delimiter: ',', newline: '\n' });
  const broken = errors.find(({ type }) => type === 'Quotes');
  const spread = data.findIndex((row) => row.some((cell) => cell.includes('\n')));
  if (broken !== undefined || spread >= 0) return failed({ code: 'history-quote-open', line: (broken?.row ?? spread) + 1 });
  const header = (data[0] ?? []).map((name) => name.trim());
  const columns = readHeader(header);
  if (!columns.ok) return columns;
  return readRows(data, columns.value, header.length);
}

type Columns = ReadonlyMap<string, number>;

function readHeader(header: readonly string[]): Outcome<Columns, HistoryError> {
  if (header.every((name) => name === '')) return failed({ code: 'history-no-header' });
  if (header.length === 1 && /[;\t]/.test(header[0]))
    return failed({ code: 'history-delimiter', found: header[0].includes(';') ? ';' : 'tab' });
  const columns = new Map<string, number>();
  for (const [place, column] of header.entries()) {
    if (column === '') return failed({ code: 'history-unnamed-column', place: place + 1 });
    if (!KNOWN.includes(column)) return failed(unknownColumn(column));
    if (columns.has(column)) return failed({ code: 'history-repeated-column', column });
    columns.set(column, place);
  }
  if (!columns.has('time_s')) return failed({ code: 'history-missing-column', column: 'time_s' });
  const angle = ANGLES.find((name) => columns.has(name));
  const acceleration = TRIPLE.find((name) => columns.has(name));
  if (angle !== undefined && acceleration !== undefined) return failed({ code: 'history-two-attitudes', columns: [angle, acceleration] });
  if (angle === undefined && acceleration === undefined) return failed({ code: 'history-no-attitude' });
  const missing = (angle === undefined ? TRIPLE : ANGLES).find((name) => !columns.has(name));
  if (missing !== undefined) return failed({ code: 'history-missing-column', column: missing });
  const [flow, second] = Object.keys(FLOWS).filter((name) => columns.has(name));
  if (second !== undefined) return failed({ code: 'history-two-flows', columns: [flow, second] });
  return done(columns);
}

/** A known quantity with another unit, or without one, is told apart from a mistyped name. */
function unknownColumn(column: string): HistoryError {
  const quantity = (name: string): string => name.split('_')[0].toLowerCase();
  const same = KNOWN.filter((known) => known.includes('_') && quantity(known) === quantity(column));
  const suggestion = suggest(column, KNOWN);
  if (same.length > 0 && (suggestion === null || suggestion.toLowerCase() !== column.toLowerCase()))
    return { code: 'history-unit', column, known: same };
  return { code: 'history-unknown-column', column, suggestion, known: KNOWN };
}

function readRows(data: readonly string[][], columns: Columns, nColumns: number): Outcome<History, HistoryError> {
  const rows: number[] = [];
  for (let i = 1; i < data.length; i++) if (data[i].some((cell) => cell.trim() !== '')) rows.push(i);
  if (rows.length > HISTORY_LIMITS.rows) return failed({ code: 'history-too-long', rows: rows.length, limit: HISTORY_LIMITS.rows });
  const flowColumn = Object.keys(FLOWS).find((name) => columns.has(name));
  const list = (): Float64Array => new Float64Array(rows.length);
  const history = { time_s: list(), pitch_deg: list(), roll_deg: list(), n: list(), flow_m3_s: flowColumn === undefined ? null : list() };
  let first: BadRow | null = null;
  let nBad = 0;
  let before_s = Number.NEGATIVE_INFINITY;
  for (const [k, i] of rows.entries()) {
    const row = readRow(data[i], i + 1, columns, nColumns, before_s);
    if ('why' in row) {
      nBad++;
      first ??= row;
      continue;
    }
    before_s = row.time_s;
    history.time_s[k] = row.time_s;
    history.pitch_deg[k] = row.pitch_deg;
    history.roll_deg[k] = row.roll_deg;
    history.n[k] = row.n;
    if (history.flow_m3_s !== null && flowColumn !== undefined) history.flow_m3_s[k] = toSi(row.flow, FLOWS[flowColumn]);
  }
  if (first !== null) return failed({ code: 'history-bad-rows', first, more: nBad - 1 });
  if (rows.length < 2) return failed({ code: 'history-too-short', rows: rows.length });
  const lines = Uint32Array.from(rows, (i) => i + 1);
  return done({ ...history, lines, notices: gapNotices(history.time_s, lines) });
}

interface Row {
  readonly time_s: number;
  readonly pitch_deg: number;
  readonly roll_deg: number;
  readonly n: number;
  /** In the unit of its column; 0 without one. */
  readonly flow: number;
}

const RANGES: Readonly<Record<string, readonly [number, number]>> = {
  pitch_deg: [-360, 360],
  roll_deg: [-360, 360],
  n: [-100, 100],
  nx: [-100, 100],
  ny: [-100, 100],
  nz: [-100, 100],
  ...Object.fromEntries(Object.keys(FLOWS).map((name) => [name, [0, 1e9]])),
};

function readRow(cells: readonly string[], line: number, columns: Columns, nColumns: number, before_s: number): Row | BadRow {
  if (cells.length > nColumns && cells.slice(nColumns).some((cell) => cell.trim() !== '')) {
    return { why: 'extra-cell', line, cells: cells.length, columns: nColumns };
  }
  const value: Record<string, number> = {};
  for (const [column, place] of columns) {
    const cell = cells[place] ?? '';
    if (cell.trim() === '') return { why: 'missing-cell', line, column };
    const read = readNumber(cell, null);
    if (!read.ok) return { why: 'not-a-number', line, column, error: read.error };
    const [from, to] = RANGES[column] ?? [-1e12, 1e12];
    if (read.value.value < from || read.value.value > to) return { why: 'out-of-range', line, column, value: read.value.value, from, to };
    value[column] = read.value.value;
  }
  const time_s = value['time_s'];
  if (time_s <= before_s) return { why: 'time-not-rising', line, time_s, before_s };
  const flow = Object.keys(FLOWS).reduce((sum, name) => sum + (value[name] ?? 0), 0);
  if ('n' in value) {
    return value['n'] === 0
      ? { why: 'no-gravity', line }
      : { time_s, flow, pitch_deg: value['pitch_deg'], roll_deg: value['roll_deg'], n: value['n'] };
  }
  const stand = conditionOfTriple(value['nx'], value['ny'], value['nz']);
  return stand.ok ? { time_s, flow, ...stand.value } : { why: 'no-gravity', line };
}

/** Longest first would hide where they are: the first three by line, the others counted. */
function gapNotices(time_s: Float64Array, lines: Uint32Array): string[] {
  const steps = time_s.subarray(1).map((time, i) => time - time_s[i]);
  const median = steps.toSorted()[steps.length >> 1];
  const gaps = Array.from(steps.keys()).filter((i) => steps[i] > GAP * median);
  const told = gaps
    .slice(0, 3)
    .map(
      (i) =>
        `Line ${lines[i + 1]}: ${showNumber(steps[i])} s after the row before, where ${showNumber(median)} s are usual. The attitude is taken to turn evenly between them.`,
    );
  return gaps.length > 3 ? [...told, `${gaps.length - 3} more gaps like these.`] : told;
}
