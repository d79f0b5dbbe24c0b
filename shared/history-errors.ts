/** Why a recorded history (CSV) cannot be taken. Facts only; lines count from 1, the header included. */
import { describeNumberError, type NumberError, showNumber } from './units.ts';

export type BadRow =
  | { readonly why: 'missing-cell'; readonly line: number; readonly column: string }
  | { readonly why: 'extra-cell'; readonly line: number; readonly cells: number; readonly columns: number }
  | { readonly why: 'not-a-number'; readonly line: number; readonly column: string; readonly error: NumberError }
  | {
      readonly why: 'out-of-range';
      readonly line: number;
      readonly column: string;
      readonly value: number;
      readonly from: number;
      readonly to: number;
    }
  | { readonly why: 'time-not-rising'; readonly line: number; readonly time_s: number; readonly before_s: number }
  | { readonly why: 'no-gravity'; readonly line: number };

export type HistoryError =
  | { readonly code: 'history-too-big'; readonly size_bytes: number; readonly limit_bytes: number }
  | { readonly code: 'history-too-long'; readonly rows: number; readonly limit: number }
  | { readonly code: 'history-not-text'; readonly line: number }
  | { readonly code: 'history-quote-open'; readonly line: number }
  | { readonly code: 'history-no-header' }
  | { readonly code: 'history-delimiter'; readonly found: ';' | 'tab' }
  | { readonly code: 'history-unnamed-column'; readonly place: number }
  | {
      readonly code: 'history-unknown-column';
      readonly column: string;
      readonly suggestion: string | null;
      readonly known: readonly string[];
    }
  | { readonly code: 'history-unit'; readonly column: string; readonly known: readonly string[] }
  | { readonly code: 'history-repeated-column'; readonly column: string }
  | { readonly code: 'history-missing-column'; readonly column: string }
  | { readonly code: 'history-no-attitude' }
  | { readonly code: 'history-two-attitudes'; readonly columns: readonly [string, string] }
  | { readonly code: 'history-two-flows'; readonly columns: readonly [string, string] }
  | { readonly code: 'history-too-short'; readonly rows: number }
  | { readonly code: 'history-bad-rows'; readonly first: BadRow; readonly more: number };

/** One line for a person: what, where, what to do. */
export function describeHistoryError(error: HistoryError): string {
  switch (error.code) {
    case 'history-too-big':
      return `The history has ${error.size_bytes} bytes, more than the ${error.limit_bytes} that are taken. Cut it into parts or record fewer rows.`;
    case 'history-too-long':
      return `The history has ${error.rows} rows, more than the ${error.limit} that are taken. Cut it into parts or record fewer rows.`;
    case 'history-not-text':
      return `Line ${error.line} holds a zero byte: this is not a text file. Save the history as CSV.`;
    case 'history-quote-open':
      return `Line ${error.line}: a quotation mark opens or closes in the wrong place. Numbers need no quotation marks; take them out.`;
    case 'history-no-header':
      return `The history is empty. Its first line names the columns: time_s,pitch_deg,roll_deg,n or time_s,nx,ny,nz.`;
    case 'history-delimiter':
      return `Line 1: the columns are parted by ${error.found === 'tab' ? 'tabs' : 'semicolons'}. Part them by commas, with a point as the decimal mark.`;
    case 'history-unnamed-column':
      return `Line 1: column ${error.place} has no name. Name it or take it out.`;
    case 'history-unknown-column':
      return `Line 1: unknown column ${quoted(error.column)}. ${error.suggestion === null ? `Known: ${error.known.join(', ')}.` : `Did you mean "${error.suggestion}"?`}`;
    case 'history-unit':
      return `Line 1: column ${quoted(error.column)} has no unit that is known. Name it ${error.known.join(' or ')}.`;
    case 'history-repeated-column':
      return `Line 1: column "${error.column}" is there twice. Keep one of them.`;
    case 'history-missing-column':
      return `Line 1: column "${error.column}" is missing. Add it.`;
    case 'history-no-attitude':
      return 'Line 1: no attitude. Give the columns pitch_deg, roll_deg, n or the accelerations nx, ny, nz.';
    case 'history-two-attitudes':
      return `Line 1: "${error.columns[0]}" and "${error.columns[1]}" both say the attitude. Give pitch_deg, roll_deg, n or nx, ny, nz, not both.`;
    case 'history-two-flows':
      return `Line 1: "${error.columns[0]}" and "${error.columns[1]}" both say the fuel flow. Keep one of them.`;
    case 'history-too-short':
      return `The history has ${error.rows === 0 ? 'no row' : 'one row'} of numbers. Give at least two.`;
    case 'history-bad-rows': {
      const more = error.more === 0 ? '' : ` ${error.more} more ${error.more === 1 ? 'row is' : 'rows are'} bad.`;
      return `${describeBadRow(error.first)}${more}`;
    }
    default:
      return error satisfies never;
  }
}

function describeBadRow(row: BadRow): string {
  switch (row.why) {
    case 'missing-cell':
      return `Line ${row.line}: ${row.column} is missing. Fill it in or take the line out.`;
    case 'extra-cell':
      return `Line ${row.line}: ${row.cells} cells under ${row.columns} columns. Write decimals with a point and part cells by commas.`;
    case 'not-a-number':
      return `Line ${row.line}, ${row.column}: ${describeNumberError(row.error)}`;
    case 'out-of-range':
      return `Line ${row.line}: ${row.column} is ${showNumber(row.value)}. Give a number from ${showNumber(row.from)} to ${showNumber(row.to)}.`;
    case 'time-not-rising':
      return `Line ${row.line}: time_s is ${showNumber(row.time_s, 6)} after ${showNumber(row.before_s, 6)}. Time must rise from row to row.`;
    case 'no-gravity':
      return `Line ${row.line}: the load factor is 0: without apparent gravity there is no free surface. Take such rows out, or give a small n.`;
    default:
      return row satisfies never;
  }
}

const quoted = (name: string): string => JSON.stringify(name.length > 40 ? `${name.slice(0, 37)}…` : name);
