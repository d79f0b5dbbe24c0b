/** The text form of STL: one pass over the bytes, word by word, no regular expression, so the time is linear in the size. */
import type { MeshError } from '../../shared/mesh-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import type { StlSoup } from './read-stl.ts';

const NEWLINE = 10;
const LONGEST_WORD = 64;

/**
 * Reads every solid of a text STL. Upper case, CRLF, blank lines, a byte order mark, UTF-16 and a missing last newline are taken;
 * anything that would have to be guessed is refused with its line.
 */
export function readStlText(raw: Uint8Array, maxTriangles: number): Outcome<StlSoup, MeshError> {
  const notices: string[] = [];
  let bytes = raw;
  if (isWide(raw)) {
    const narrowed = narrow(raw);
    if (!narrowed.ok) return narrowed;
    bytes = narrowed.value;
    notices.push('The text is UTF-16; it was read as such.');
  }
  const start = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0;
  const words = new Words(bytes, start);
  let corners = new Float64Array(9 * 1024);
  let used = 0;
  let solids = 0;

  const wrong = (found: string, wanted: string): Outcome<never, MeshError> =>
    found === ''
      ? failed({ code: 'mesh-text-unfinished', line: words.line })
      : failed({ code: 'mesh-text-line', line: words.line, found: found.slice(0, LONGEST_WORD), wanted });

  for (;;) {
    let word = words.next();
    if (word === '') break;
    if (word !== 'solid') return wrong(word, solids === 0 ? '"solid"' : '"solid" or the end');
    words.skipLine();
    for (;;) {
      word = words.next();
      if (word === 'endsolid') {
        words.skipLine();
        solids++;
        break;
      }
      if (word !== 'facet') return wrong(word, '"facet" or "endsolid"');
      word = words.next();
      if (word !== 'normal') return wrong(word, '"normal"');
      for (let k = 0; k < 3; k++) if (words.next() === '') return wrong('', 'a number');
      word = words.next();
      if (word !== 'outer') {
        return isNumberLike(word) ? failed({ code: 'mesh-text-comma', line: words.line, found: word }) : wrong(word, '"outer loop"');
      }
      word = words.next();
      if (word !== 'loop') return wrong(word, '"loop"');
      let vertices = 0;
      for (;;) {
        word = words.next();
        if (word === 'endloop') break;
        if (word !== 'vertex') return wrong(word, '"vertex" or "endloop"');
        for (let k = 0; k < 3; k++) {
          const from = words.line;
          word = words.next();
          if (word === '') return wrong(word, 'a number');
          if (word.includes(',')) return failed({ code: 'mesh-text-comma', line: words.line, found: word });
          const value = parseNumber(word);
          if (!Number.isFinite(value)) {
            if (isKeyword(word))
              return failed({ code: 'mesh-text-line', line: from, found: `${k} numbers`, wanted: 'three numbers after "vertex"' });
            return failed({ code: 'mesh-text-number', line: words.line, found: word });
          }
          if (vertices < 3) {
            if (used + 9 > corners.length) corners = grown(corners);
            corners[used + 3 * vertices + k] = value;
          }
        }
        vertices++;
      }
      if (vertices !== 3) return failed({ code: 'mesh-text-facet', line: words.line, vertices });
      word = words.next();
      if (word !== 'endfacet') return wrong(word, '"endfacet"');
      used += 9;
      if (used / 9 > maxTriangles) return failed({ code: 'mesh-too-large', triangles: used / 9, limit: maxTriangles });
    }
  }
  if (words.notText >= 0) return failed({ code: 'mesh-text-encoding', byte: words.notText + 1 });
  if (used === 0) return failed({ code: 'mesh-empty' });
  if (solids > 1) notices.push(`The file holds ${solids} solids; all were read as one set of triangles.`);
  return done({ format: 'stl-ascii', corners: corners.slice(0, used), unit: null, notices });
}

/** Lower-cased words and the line each stands on. */
class Words {
  line = 1;
  /** Position of the first byte outside text, or −1. Names of solids may hold any bytes but zero. */
  notText = -1;
  private at: number;
  private readonly bytes: Uint8Array;

  constructor(bytes: Uint8Array, start: number) {
    this.bytes = bytes;
    this.at = start;
  }

  /** The next word in lower case, or '' at the end. */
  next(): string {
    const { bytes } = this;
    let at = this.at;
    while (at < bytes.length && isBlank(bytes[at]!)) if (bytes[at++] === NEWLINE) this.line++;
    const from = at;
    while (at < bytes.length && !isBlank(bytes[at]!)) at++;
    this.at = at;
    const to = Math.min(at, from + LONGEST_WORD);
    let word = '';
    for (let i = from; i < to; i++) {
      const c = bytes[i]!;
      word += String.fromCharCode(c >= 65 && c <= 90 ? c + 32 : c);
    }
    // A word too long to be ours keeps its length visible, so that it cannot pass for its beginning.
    return at > to ? `${word}…` : word;
  }

  skipLine(): void {
    while (this.at < this.bytes.length && this.bytes[this.at] !== NEWLINE) {
      if (this.bytes[this.at] === 0 && this.notText < 0) this.notText = this.at;
      this.at++;
    }
  }
}

const isBlank = (c: number): boolean => c === 32 || (c >= 9 && c <= 13);
const KEYWORDS = ['solid', 'facet', 'normal', 'outer', 'loop', 'vertex', 'endloop', 'endfacet', 'endsolid'];
const isKeyword = (word: string): boolean => KEYWORDS.includes(word);
const isNumberLike = (word: string): boolean => word !== '' && (word.includes(',') || Number.isFinite(parseNumber(word)));

/** A decimal number, or NaN: no hexadecimal, no "Infinity", nothing left over. */
export function parseNumber(word: string): number {
  for (let i = 0; i < word.length; i++) {
    const c = word.charCodeAt(i);
    const allowed = (c >= 48 && c <= 57) || c === 43 || c === 45 || c === 46 || c === 101;
    if (!allowed) return Number.NaN;
  }
  return word === '' ? Number.NaN : Number(word);
}

function grown(corners: Float64Array): Float64Array<ArrayBuffer> {
  const larger = new Float64Array(corners.length * 2);
  larger.set(corners);
  return larger;
}

/** UTF-16 to one byte a letter; anything above 255 stands only in names, where it becomes '?'. */
function narrow(raw: Uint8Array): Outcome<Uint8Array, MeshError> {
  if (raw.length % 2 !== 0) return failed({ code: 'mesh-text-encoding', byte: raw.length });
  const marked = (raw[0] === 0xff && raw[1] === 0xfe) || (raw[0] === 0xfe && raw[1] === 0xff);
  const low = marked ? (raw[0] === 0xff ? 0 : 1) : raw[0] === 0 ? 1 : 0;
  const start = marked ? 2 : 0;
  const out = new Uint8Array((raw.length - start) / 2);
  for (let i = 0; i < out.length; i++) {
    out[i] = raw[start + 2 * i + (1 - low)] === 0 ? raw[start + 2 * i + low]! : 63;
  }
  return done(out);
}

/** UTF-16, told by its byte order mark or by the zero beside its first letter. */
export const isWide = (bytes: Uint8Array): boolean =>
  (bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff) || (bytes[0] === 0) !== (bytes[1] === 0);
