/**
 * Every unit a person may read or type, once, with its exact factor; the strict reader of typed numbers; and how numbers are shown.
 * SI inside: lengths in m, volumes in m³, masses in kg, flows in m³/s. Angles stay in degrees, as the contracts' `_deg` keys have them.
 *
 * Source: inch, foot and pound by 16 CFR 500.19 (2.54 cm, 30.48 cm, 0.45359237 kg, exact); US gallon 231 in³ (exact by definition);
 * imperial gallon 4.54609 L (exact by definition, UK Weights and Measures Act 1985).
 */
import { done, failed, type Outcome } from './outcome.ts';

export type Quantity = 'length' | 'volume' | 'mass' | 'angle' | 'flow' | 'number';

interface Unit {
  readonly quantity: Quantity;
  /** One of this unit in SI (angles: in degrees) is `times / per`: kept apart because 1/1000 is not exact in binary. */
  readonly times: number;
  readonly per: number;
  /** Other ways to type it, lower case. */
  readonly also: readonly string[];
}

export const UNITS = {
  mm: { quantity: 'length', times: 1, per: 1000, also: ['millimetre', 'millimetres', 'millimeter', 'millimeters'] },
  cm: { quantity: 'length', times: 1, per: 100, also: ['centimetre', 'centimetres', 'centimeter', 'centimeters'] },
  m: { quantity: 'length', times: 1, per: 1, also: ['metre', 'metres', 'meter', 'meters'] },
  in: { quantity: 'length', times: 254, per: 10_000, also: ['inch', 'inches', '"', '″'] },
  ft: { quantity: 'length', times: 3048, per: 10_000, also: ['foot', 'feet', "'", '′'] },
  mL: { quantity: 'volume', times: 1, per: 1_000_000, also: ['cm³', 'cm3', 'cc'] },
  L: { quantity: 'volume', times: 1, per: 1000, also: ['litre', 'litres', 'liter', 'liters'] },
  'm³': { quantity: 'volume', times: 1, per: 1, also: ['m3'] },
  'US gal': { quantity: 'volume', times: 3_785_411_784, per: 1e12, also: ['usgal', 'us gallon', 'us gallons', 'usg'] },
  'imp gal': { quantity: 'volume', times: 454_609, per: 1e8, also: ['impgal', 'imperial gallon', 'imperial gallons', 'uk gal'] },
  g: { quantity: 'mass', times: 1, per: 1000, also: ['gram', 'grams'] },
  kg: { quantity: 'mass', times: 1, per: 1, also: ['kilogram', 'kilograms'] },
  lb: { quantity: 'mass', times: 45_359_237, per: 1e8, also: ['lbs', 'pound', 'pounds'] },
  'm³/s': { quantity: 'flow', times: 1, per: 1, also: ['m3/s'] },
  'L/h': { quantity: 'flow', times: 1, per: 3_600_000, also: ['l/hr', 'litres per hour'] },
  'US gal/h': { quantity: 'flow', times: 3_785_411_784, per: 3.6e15, also: ['usgal/h', 'us gal/hr', 'usgph'] },
  '°': { quantity: 'angle', times: 1, per: 1, also: ['deg', 'degree', 'degrees'] },
} as const satisfies Record<string, Unit>;

export type UnitName = keyof typeof UNITS;
export type LengthUnit = 'mm' | 'cm' | 'm' | 'in' | 'ft';
export type VolumeUnit = 'mL' | 'L' | 'm³' | 'US gal' | 'imp gal';
export type MassUnit = 'g' | 'kg' | 'lb';

const table: Readonly<Record<string, Unit>> = UNITS;

/** @returns `amount` of `unit` in SI (angles in degrees) */
export const toSi = (amount: number, unit: UnitName): number => (amount * table[unit]!.times) / table[unit]!.per;

/** @returns an SI figure (angles in degrees) counted in `unit` */
export const fromSi = (value: number, unit: UnitName): number => (value * table[unit]!.per) / table[unit]!.times;

const unitByWord: ReadonlyMap<string, UnitName> = new Map(
  (Object.keys(UNITS) as UnitName[]).flatMap((name) => [name, ...UNITS[name].also].map((word) => [word.toLowerCase(), name] as const)),
);

export type NumberError =
  | { readonly code: 'number-empty' }
  | { readonly code: 'number-grouped'; readonly text: string; readonly plain: string }
  | { readonly code: 'number-not-read'; readonly text: string }
  | { readonly code: 'unit-unknown'; readonly unit: string; readonly known: readonly string[] }
  | { readonly code: 'unit-ambiguous'; readonly unit: string; readonly known: readonly string[] };

export interface TypedNumber {
  /** SI; degrees for angles. */
  readonly value: number;
  /** The unit it was read in; null for a plain number. */
  readonly unit: UnitName | null;
}

/**
 * A typed number with an optional unit after it.
 *
 * One `.` or `,` is the decimal mark in every locale; grouping marks are refused with what to write instead, because
 * "1.234" cannot be told from "1,234" by looking. A bare "gal" is refused: it means two different volumes.
 *
 * @param text - as typed; `−` (U+2212) counts as a minus sign
 * @param unit - the unit meant when none is typed; null for a number without a unit
 * @param quantities - what a typed unit may measure; by default the quantity of `unit`
 */
export function readNumber(
  text: string,
  unit: UnitName | null,
  quantities: readonly Quantity[] = unit === null ? [] : [UNITS[unit].quantity],
): Outcome<TypedNumber, NumberError> {
  const trimmed = text.trim();
  if (trimmed === '') return failed({ code: 'number-empty' });
  const end = numberEnd(trimmed);
  const digits = trimmed.slice(0, end).trim();
  const word = trimmed.slice(end).trim();
  const separators = digits.replace(/[^.,'’_\s]/g, '');
  if (separators.length > 1 || /[\s'’_]/.test(separators)) {
    return failed({ code: 'number-grouped', text: digits, plain: ungrouped(digits) });
  }
  const plain = digits.replace('−', '-').replace(',', '.');
  if (!/^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d{1,3})?$/i.test(plain)) return failed({ code: 'number-not-read', text: trimmed });
  const amount = Number(plain);
  if (!Number.isFinite(amount)) return failed({ code: 'number-not-read', text: trimmed });
  if (word === '') return done({ value: unit === null ? amount : toSi(amount, unit), unit });
  const known = (Object.keys(UNITS) as UnitName[]).filter((name) => quantities.includes(UNITS[name].quantity));
  if (/^gal(lons?)?\.?$/i.test(word)) return failed({ code: 'unit-ambiguous', unit: word, known });
  const typed = unitByWord.get(word.toLowerCase().replace(/\s+/g, ' '));
  if (typed === undefined || !known.includes(typed)) return failed({ code: 'unit-unknown', unit: word, known });
  return done({ value: toSi(amount, typed), unit: typed });
}

/** Where the figure ends and a unit may begin. An `e` belongs to the figure only with digits behind it. */
function numberEnd(text: string): number {
  const match = /^[+\-−]?[\d.,_’\s]*(?:'\d[\d.,_’'\s]*)?(?:e[+-]?\d+)?/i.exec(text);
  return match === null ? 0 : match[0].length;
}

/** What the person most likely meant: the last mark is the decimal mark when it stands once, the others group. */
function ungrouped(digits: string): string {
  const marks = [...digits].filter((c) => c === '.' || c === ',');
  const last = marks.at(-1);
  const decimal = last !== undefined && marks.filter((c) => c === last).length === 1 ? digits.lastIndexOf(last) : -1;
  return [...digits].map((c, i) => (i === decimal ? '.' : /[.,'’_\s]/.test(c) ? '' : c)).join('');
}

/** One line for a person: what, and what to do. */
export function describeNumberError(error: NumberError): string {
  switch (error.code) {
    case 'number-empty':
      return 'Nothing typed. Type a number.';
    case 'number-grouped':
      return `${error.text}: write ${error.plain}, without marks between thousands.`;
    case 'number-not-read':
      return `"${error.text}" is not a number. Type one such as 12.5.`;
    case 'unit-unknown':
      return error.known.length === 0
        ? `"${error.unit}": this number has no unit. Leave it out.`
        : `"${error.unit}" is not a unit here. Use ${error.known.join(', ')}.`;
    case 'unit-ambiguous':
      return `"${error.unit}" means two different volumes. Write US gal or imp gal.`;
    default:
      return error satisfies never;
  }
}

/**
 * A figure for reading: three significant digits or whole units, with its unit and a true minus sign.
 *
 * @param value - SI (angles in degrees)
 */
export function showQuantity(value: number, unit: UnitName, significant = 3): string {
  return `${showNumber(fromSi(value, unit), significant)}${unit === '°' ? '°' : `\u00a0${unit}`}`;
}

/** @returns `value` to `significant` digits, whole numbers never rounded away, without grouping and without trailing zeros */
export function showNumber(value: number, significant = 3): string {
  if (!Number.isFinite(value)) return '–';
  const whole = value === 0 ? 1 : Math.floor(Math.log10(Math.abs(value))) + 1;
  const decimals = Math.min(12, Math.max(0, significant - whole));
  const text = String(Number(value.toFixed(decimals)));
  return text === '-0' ? '0' : expanded(text).replace('-', '−');
}

/** `1e-7` written out, so that a shown figure can be typed back. */
const expanded = (text: string): string => (text.includes('e') ? Number(text).toFixed(12).replace(/0+$/, '') : text);
