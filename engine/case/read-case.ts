/** The one door for case files: text in, a checked case or the first fault with its place out. */
import * as v from 'valibot';
import { CASE_FORMAT, CASE_VERSION, type CaseFile, caseSchema } from '../../shared/case.ts';
import type { CaseError } from '../../shared/case-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { suggest } from '../../shared/suggest.ts';
import { type JsonValue, joinKey, readJson } from './read-json.ts';

export const CASE_LIMITS = { size_bytes: 16 * 1024 * 1024, depth: 64 } as const;

/** @param text - the file's text, a byte order mark allowed */
export function readCase(text: string): Outcome<CaseFile, CaseError> {
  if (text.length > CASE_LIMITS.size_bytes) {
    return failed({ code: 'case-too-big', size_bytes: text.length, limit_bytes: CASE_LIMITS.size_bytes });
  }
  const json = readJson(text, CASE_LIMITS.depth);
  if (!json.ok) return json;
  return checkCase(json.value);
}

/** The same checks on a case that was edited, not read. */
export function checkCase(json: unknown): Outcome<CaseFile, CaseError> {
  const kind = checkKind(json);
  if (kind !== null) return failed(kind);
  const parsed = v.safeParse(caseSchema, json);
  if (!parsed.success) {
    // A mistyped key makes two issues, the missing one and the unknown one: the unknown one says more.
    const issue = parsed.issues.find(isUnknownKey) ?? parsed.issues[0];
    return failed(errorOfIssue(issue));
  }
  const fault = checkMeaning(parsed.output);
  return fault === null ? done(parsed.output) : failed(fault);
}

/** Format and version come first: a file of another kind or a newer version would fail on some unknown key and mislead. */
function checkKind(json: unknown): CaseError | null {
  const isObject = typeof json === 'object' && json !== null && !Array.isArray(json);
  if (!isObject)
    return { code: 'case-wrong-value', path: 'the case', found: json, expected: 'one object, { "format": "lowpoint-case", … }' };
  const { format, version } = json as { format?: JsonValue; version?: JsonValue };
  if (format !== CASE_FORMAT) return { code: 'case-not-a-case', found: format };
  if (typeof version === 'number' && Number.isInteger(version) && version > CASE_VERSION) {
    return { code: 'case-newer', version, known: CASE_VERSION };
  }
  return null;
}

type Issue = v.InferIssue<typeof caseSchema>;

const isUnknownKey = (issue: Issue): boolean => issue.type === 'strict_object' && issue.expected === 'never';

function errorOfIssue(issue: Issue): CaseError {
  const steps = (issue.path ?? []).map((step) => step.key as string | number);
  const path = steps.reduce<string>((sum, step) => (typeof step === 'number' ? `${sum}[${step}]` : joinKey(sum, step)), '');
  if (isUnknownKey(issue)) {
    const known = knownKeys(steps.slice(0, -1));
    return { code: 'case-unknown-key', path, known, suggestion: suggest(String(steps.at(-1)), known) };
  }
  if (issue.received === 'undefined') return { code: 'case-missing-key', path };
  if (issue.type === 'strict_tuple' && issue.expected === 'never') {
    const whole = issue.path?.at(-2)?.value;
    return {
      code: 'case-wrong-value',
      path: path.replace(/\[\d+\]$/, ''),
      found: whole,
      expected: ownWords(issue) ?? 'three numbers, [x, y, z]',
    };
  }
  return { code: 'case-wrong-value', path, found: issue.input, expected: expectation(issue) };
}

/** The words a schema brings along, with the whole range in them; the library's own begin with "Invalid". */
const ownWords = ({ message }: Issue): string | null => (message.startsWith('Invalid') ? null : message);

/** What the schema wants, in words. */
function expectation(issue: Issue): string {
  const words = ownWords(issue);
  if (words !== null) return words;
  const requirement = 'requirement' in issue ? issue.requirement : undefined;
  switch (issue.type) {
    case 'number':
    case 'finite':
      return 'a finite number, written with a point and without quotes';
    case 'min_value':
      return `a number of ${requirement} or more`;
    case 'max_value':
      return `a number of at most ${requirement}`;
    case 'gt_value':
      return `a number above ${requirement}`;
    case 'strict_tuple':
      return 'three numbers, [x, y, z]';
    case 'strict_object':
      return 'an object, { … }';
    case 'array':
      return 'a list, [ … ]';
    case 'string':
      return 'a text in quotes';
    case 'boolean':
      return 'true or false';
    case 'regex':
      return 'an id of 1 to 40 letters, digits, - or _';
    case 'max_length':
      return `at most ${requirement} characters`;
    case 'min_length':
      return 'at least one';
    default: // picklist, literal, variant: their own list of values reads well
      return (issue.expected ?? 'another value').replace(/^\((.*)\)$/, '$1').replaceAll(' | ', ' or ');
  }
}

/** Keys the schema knows at a place, for the suggestion. */
function knownKeys(steps: readonly (string | number)[]): string[] {
  let schema: AnySchema | undefined = caseSchema as unknown as AnySchema;
  for (const step of steps) {
    schema = unwrapped(schema);
    schema = typeof step === 'number' ? schema?.item : schema?.entries?.[step];
  }
  return Object.keys(unwrapped(schema)?.entries ?? {});
}

interface AnySchema {
  readonly entries?: Record<string, AnySchema>;
  readonly item?: AnySchema;
  readonly wrapped?: AnySchema;
  readonly options?: readonly AnySchema[];
  readonly pipe?: readonly AnySchema[];
}

/** Through optional and through pipe; of a variant, all its keys. */
function unwrapped(schema: AnySchema | undefined): AnySchema | undefined {
  if (schema?.wrapped !== undefined) return unwrapped(schema.wrapped);
  if (schema?.pipe !== undefined && schema.pipe[0] !== schema) return unwrapped(schema.pipe[0]);
  if (schema?.options !== undefined && typeof schema.options[0] === 'object') {
    return { entries: Object.assign({}, ...schema.options.map((option) => option.entries)) };
  }
  return schema;
}

/** What a schema cannot say: ids apart, line ends that exist, directions that point somewhere. */
function checkMeaning(file: CaseFile): CaseError | null {
  const ends = new Set(file.tanks.flatMap((tank) => tank.fittings.map((fitting) => `${tank.id}/${fitting.id}`)));
  return (
    repeatedId('tanks', file.tanks) ??
    repeatedId('lines', file.lines) ??
    repeatedId('conditions', file.conditions) ??
    firstFault(file.tanks, (tank, i) => repeatedId(`tanks[${i}].fittings`, tank.fittings) ?? zeroFacing(tank, i)) ??
    firstFault(file.lines, (line, i) => badEnd(ends, line.from, `lines[${i}].from`) ?? badEnd(ends, line.to, `lines[${i}].to`)) ??
    firstFault(file.conditions, ({ n }, i) => (n === 0 ? { code: 'case-zero-n', path: `conditions[${i}].n` } : null))
  );
}

function repeatedId(path: string, items: readonly { readonly id: string }[]): CaseError | null {
  const places = new Map<string, number>();
  return firstFault(items, ({ id }, i) => {
    const first = places.get(id);
    places.set(id, i);
    return first === undefined ? null : { code: 'case-repeated-id', path: `${path}[${i}].id`, id, first: `${path}[${first}]` };
  });
}

function zeroFacing(tank: CaseFile['tanks'][number], place: number): CaseError | null {
  return firstFault(tank.fittings, ({ facing }, i) =>
    facing?.every((x) => x === 0) ? { code: 'case-zero-facing', path: `tanks[${place}].fittings[${i}].facing` } : null,
  );
}

function badEnd(ends: ReadonlySet<string>, end: string, path: string): CaseError | null {
  return ends.has(end) ? null : { code: 'case-no-such-end', path, end, suggestion: suggest(end, [...ends]) };
}

function firstFault<T>(items: readonly T[], check: (item: T, place: number) => CaseError | null): CaseError | null {
  for (const [i, item] of items.entries()) {
    const fault = check(item, i);
    if (fault !== null) return fault;
  }
  return null;
}
