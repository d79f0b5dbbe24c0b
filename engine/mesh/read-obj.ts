/**
 * Reads the polygons of an OBJ file: `v` and `f`, with everything that only dresses them passed over. The file carries no unit.
 * One pass, line by line, no regular expression across lines; what would have to be guessed is refused with its line.
 */
import type { MeshError } from '../../shared/mesh-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { cutPolygon } from './cut-polygon.ts';
import type { MeshSoup } from './mesh-soup.ts';
import { MAX_TRIANGLES } from './read-stl.ts';
import { parseNumber } from './read-stl-text.ts';

/** Names, looks and grouping: they change no triangle. */
const DRESS = new Set('vt vn vp g o s mg usemtl mtllib usemap maplib bevel c_interp d_interp lod shadow_obj trace_obj'.split(' '));
/** Points and lines bound no volume. */
const THIN = new Set(['p', 'l']);
const CURVED = new Set(
  'cstype deg bmat step curv curv2 surf parm trim hole scrv sp end con bzp bsp cdc cdp res ctech stech call csh'.split(' '),
);
/** Words of ours are ASCII, names may hold anything. */
const decoder = new TextDecoder('latin1');
const LONGEST_SHOWN = 64;

/** @returns corners in file units; errors `mesh-obj-…`, `mesh-empty`, `mesh-too-large` */
export function readObj(bytes: Uint8Array): Outcome<MeshSoup, MeshError> {
  const zero = bytes.indexOf(0);
  if (zero >= 0) return failed({ code: 'mesh-obj-binary', byte: zero + 1 });
  const faces = new Faces();
  let thin = 0;
  for (const { line, words } of linesOf(bytes)) {
    const [kind, ...rest] = words;
    if (kind === 'v' || kind === 'f') {
      const fault = kind === 'v' ? faces.addVertex(line, rest) : faces.addFace(line, rest);
      if (fault !== null) return failed(fault);
    } else if (THIN.has(kind)) thin++;
    else if (CURVED.has(kind)) return failed({ code: 'mesh-obj-curved', line, found: kind });
    else if (!DRESS.has(kind)) return failed(wrong(line, kind, '"v", "f" or another word of the format'));
  }
  return faces.soup(thin);
}

class Faces {
  private readonly positions: number[] = [];
  private readonly triangles: number[] = [];
  private readonly lines: number[] = []; // of each triangle
  private polygons = 0;
  private readonly waiting: { line: number; corners: number[] }[] = []; // polygons are cut once all vertices are known

  addVertex(line: number, words: readonly string[]): MeshError | null {
    // x y z, then a weight, or a colour, or both.
    if (words.length < 3 || words.length > 7) return wrong(line, `${words.length} numbers`, 'a vertex of three numbers');
    for (const word of words)
      if (!Number.isFinite(parseNumber(word.toLowerCase()))) return wrong(line, word, 'a finite number, written with a point,');
    this.positions.push(...words.slice(0, 3).map((word) => parseNumber(word.toLowerCase())));
    return this.positions.length > 9 * MAX_TRIANGLES
      ? { code: 'mesh-too-large', triangles: this.positions.length / 9, limit: MAX_TRIANGLES }
      : null;
  }

  addFace(line: number, words: readonly string[]): MeshError | null {
    if (words.length < 3) return wrong(line, `${words.length} corners`, 'a face of three corners or more');
    const shape = words[0].split('/').length;
    const corners: number[] = [];
    for (const word of words) {
      const parts = word.split('/');
      const isIndex = (part: string, place: number): boolean =>
        /^-?[0-9]{1,9}$/.test(part) || (part === '' && place === 1 && parts.length === 3);
      if (parts.length > 3 || parts.length !== shape || !parts.every(isIndex))
        return wrong(line, word, 'a corner like 1, 1/2, 1//3 or 1/2/3, all alike,');
      const index = Number(parts[0]);
      const vertex = index < 0 ? this.positions.length / 3 + index : index - 1;
      if (vertex < 0) return { code: 'mesh-obj-index', line, found: parts[0], vertices: this.positions.length / 3 };
      corners.push(vertex);
    }
    if (corners.length > 3) {
      this.polygons++;
      this.waiting.push({ line, corners });
    } else this.add(line, corners);
    const count = this.triangles.length / 3 + this.waiting.length;
    return count > MAX_TRIANGLES ? { code: 'mesh-too-large', triangles: count, limit: MAX_TRIANGLES } : null;
  }

  private add(line: number, corners: readonly number[]): void {
    this.triangles.push(...corners);
    this.lines.push(line);
  }

  soup(thin: number): Outcome<MeshSoup, MeshError> {
    const nVertices = this.positions.length / 3;
    const lost = (line: number, vertex: number): Outcome<never, MeshError> =>
      failed({ code: 'mesh-obj-index', line, found: String(vertex + 1), vertices: nVertices });
    for (let i = 0; i < this.triangles.length; i++)
      if (this.triangles[i] >= nVertices) return lost(this.lines[Math.floor(i / 3)], this.triangles[i]);
    for (const { line, corners } of this.waiting) {
      const far = corners.find((vertex) => vertex >= nVertices);
      if (far !== undefined) return lost(line, far);
      const cut = cutFace(this.positions, corners);
      if (cut === null) return failed({ code: 'mesh-obj-polygon', line });
      for (let t = 0; t < cut.length; t += 3) this.add(line, cut.slice(t, t + 3));
    }
    const count = this.triangles.length / 3;
    if (count === 0) return failed({ code: 'mesh-empty' });
    if (count > MAX_TRIANGLES) return failed({ code: 'mesh-too-large', triangles: count, limit: MAX_TRIANGLES });
    const corners = new Float64Array(9 * count);
    this.triangles.forEach((vertex, i) => {
      for (let k = 0; k < 3; k++) corners[3 * i + k] = this.positions[3 * vertex + k];
    });
    const notices: string[] = [];
    if (this.polygons > 0) notices.push(`${this.polygons} faces with more than three corners were cut into triangles.`);
    if (thin > 0) notices.push(`${thin} points and lines bound no volume and were left out.`);
    return done({ format: 'obj', corners, unit: null, notices });
  }
}

/** Cut in the plane of its two largest extents, wound as it came. @returns vertex indices, or null where the polygon covers itself */
function cutFace(positions: readonly number[], corners: readonly number[]): number[] | null {
  const normal = [0, 0, 0]; // Newell: twice the area vector
  const at = (i: number, k: number): number => positions[3 * corners[i % corners.length] + k] - positions[3 * corners[0] + k];
  for (let i = 0; i < corners.length; i++) {
    for (let k = 0; k < 3; k++) {
      const [a, b] = [(k + 1) % 3, (k + 2) % 3];
      normal[k] += at(i, a) * at(i + 1, b) - at(i, b) * at(i + 1, a);
    }
  }
  const drop = [0, 1, 2].reduce((best, k) => (Math.abs(normal[k]) > Math.abs(normal[best]) ? k : best), 0);
  const [a, b] = normal[drop] > 0 ? [(drop + 1) % 3, (drop + 2) % 3] : [(drop + 2) % 3, (drop + 1) % 3];
  return cutPolygon(corners.flatMap((_, i) => [at(i, a), at(i, b)]))?.map((corner) => corners[corner]) ?? null;
}

/** Lines with words on them, a comment dropped, a line that ends in \ joined to the next. Numbered from 1 where each begins. */
function* linesOf(bytes: Uint8Array): Generator<{ line: number; words: readonly string[] }> {
  let at = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0;
  let joined = '';
  let begun = 1;
  for (let line = 1; at < bytes.length || joined !== ''; line++) {
    let end = at;
    while (end < bytes.length && bytes[end] !== 10 && bytes[end] !== 13) end++;
    const text = decoder.decode(bytes.subarray(at, end));
    at = end + (bytes[end] === 13 && bytes[end + 1] === 10 ? 2 : 1);
    if (joined === '') begun = line;
    const goesOn = text.endsWith('\\') && at < bytes.length;
    joined += goesOn ? `${text.slice(0, -1)} ` : text;
    if (goesOn) continue;
    const words = joined
      .split('#', 1)[0]
      .split(/[ \t]/)
      .filter((word) => word !== '');
    joined = '';
    if (words.length > 0) yield { line: begun, words };
  }
}

const wrong = (line: number, found: string, wanted: string): MeshError => ({
  code: 'mesh-obj-line',
  line,
  found: found.length > LONGEST_SHOWN ? `${found.slice(0, LONGEST_SHOWN)}…` : found,
  wanted,
});
