/**
 * JSON text to plain values, with what JSON.parse leaves out: the line and column of a fault, a cap on nesting, and repeated keys,
 * which JSON.parse merges in silence. Objects have no prototype, so a key named `__proto__` is a key like any other.
 */
import type { CaseError } from '../../shared/case-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';

export type JsonValue = null | boolean | number | string | JsonValue[] | { [key: string]: JsonValue };

const NUMBER = /-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?/y;
const WORDS: ReadonlyMap<string, JsonValue> = new Map<string, JsonValue>([
  ['true', true],
  ['false', false],
  ['null', null],
]);

/**
 * @param maxDepth - deepest nesting of arrays and objects that is taken
 * @returns the value; a number too large for a double is Infinity here, for the schema to refuse with its place
 */
export function readJson(text: string, maxDepth: number): Outcome<JsonValue, CaseError> {
  const reader = new Reader(text.charCodeAt(0) === 0xfeff ? text.slice(1) : text, maxDepth);
  try {
    return done(reader.whole());
  } catch (fault) {
    if (fault instanceof JsonFault) return failed(fault.error);
    throw fault;
  }
}

/** Leaves the recursion; never leaves this file. */
class JsonFault extends Error {
  readonly error: CaseError;
  constructor(error: CaseError) {
    super(error.code);
    this.error = error;
  }
}

class Reader {
  private at = 0;
  private depth = 0;
  private readonly text: string;
  private readonly maxDepth: number;
  constructor(text: string, maxDepth: number) {
    this.text = text;
    this.maxDepth = maxDepth;
  }

  whole(): JsonValue {
    const value = this.value('');
    this.skipBlank();
    if (this.at < this.text.length) this.stop('there is text after the end of the object');
    return value;
  }

  private value(path: string): JsonValue {
    this.skipBlank();
    const first = this.text[this.at];
    if (first === '{') return this.nested(path, () => this.object(path));
    if (first === '[') return this.nested(path, () => this.array(path));
    if (first === '"') return this.string();
    NUMBER.lastIndex = this.at;
    const number = NUMBER.exec(this.text)?.[0];
    if (number !== undefined) {
      this.at += number.length;
      return Number(number);
    }
    const word = /[A-Za-z_$]*/y;
    word.lastIndex = this.at;
    const found = word.exec(this.text)?.[0] ?? '';
    const known = WORDS.get(found);
    if (known !== undefined) {
      this.at += found.length;
      return known;
    }
    if (first === undefined) return this.stop('the text ends too early');
    return this.stop(`${found === '' ? JSON.stringify(first) : found.slice(0, 40)} stands where a value belongs`);
  }

  private nested<T>(path: string, read: () => T): T {
    this.depth++;
    if (this.depth > this.maxDepth) throw new JsonFault({ code: 'case-too-deep', path: shorten(path), limit: this.maxDepth });
    this.at++;
    const value = read();
    this.depth--;
    return value;
  }

  private object(path: string): { [key: string]: JsonValue } {
    const object: { [key: string]: JsonValue } = Object.create(null);
    if (this.takes('}')) return object;
    for (;;) {
      this.skipBlank();
      if (this.text[this.at] !== '"') this.stop('a key in double quotes belongs here');
      const key = this.string();
      const place = joinKey(path, key);
      if (key in object) throw new JsonFault({ code: 'case-repeated-key', path: shorten(place) });
      if (!this.takes(':')) this.stop('a colon belongs here');
      object[key] = this.value(place);
      if (this.takes('}')) return object;
      if (!this.takes(',')) this.stop('a comma or } belongs here');
    }
  }

  private array(path: string): JsonValue[] {
    const array: JsonValue[] = [];
    if (this.takes(']')) return array;
    for (;;) {
      array.push(this.value(`${path}[${array.length}]`));
      if (this.takes(']')) return array;
      if (!this.takes(',')) this.stop('a comma or ] belongs here');
    }
  }

  private string(): string {
    const start = this.at;
    for (let i = start + 1; i < this.text.length; i++) {
      const code = this.text.charCodeAt(i);
      if (code === 0x5c) i++;
      else if (code === 0x22) {
        this.at = i + 1;
        try {
          return JSON.parse(this.text.slice(start, i + 1));
        } catch {
          this.at = start;
          return this.stop('the text in quotes holds a character that must be escaped');
        }
      }
    }
    return this.stop('a double quote is never closed');
  }

  private takes(mark: string): boolean {
    this.skipBlank();
    if (this.text[this.at] !== mark) return false;
    this.at++;
    return true;
  }

  private skipBlank(): void {
    for (;;) {
      const code = this.text.charCodeAt(this.at);
      if (code !== 0x20 && code !== 0x0a && code !== 0x0d && code !== 0x09) return;
      this.at++;
    }
  }

  private stop(reason: string): never {
    const before = this.text.slice(0, this.at);
    const line = before.split('\n').length;
    const column = this.at - (before.lastIndexOf('\n') + 1) + 1;
    throw new JsonFault({ code: 'case-not-json', reason, line, column });
  }
}

/** Path of a key: dotted where it is a plain word, quoted where it is not. */
export function joinKey(path: string, key: string): string {
  if (!/^[A-Za-z_][A-Za-z0-9_]*$/.test(key)) return `${path}[${JSON.stringify(key)}]`;
  return path === '' ? key : `${path}.${key}`;
}

/** A path of a hostile file can be as long as the file: keep its beginning. */
const shorten = (path: string): string => (path.length > 120 ? `${path.slice(0, 117)}…` : path);
