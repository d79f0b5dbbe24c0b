/** Reads an STL file, binary or text, in its own units. Trusts no header: what is declared is checked against the bytes there are. */
import { many } from '../../shared/many.ts';
import type { MeshError } from '../../shared/mesh-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import type { MeshSoup } from './mesh-soup.ts';
import { isWide, readStlText } from './read-stl-text.ts';

export type StlSoup = MeshSoup & { readonly format: 'stl-binary' | 'stl-ascii' };

const HEADER_BYTES = 84;
const TRIANGLE_BYTES = 50;
/** Ten times the finest tank mesh met; keeps every array well below what a browser grants. */
export const MAX_TRIANGLES = 5_000_000;

/**
 * The triangles of an STL file.
 *
 * Binary if and only if 84 + 50·n equals the size, whatever the first letters say: many binary files begin with "solid".
 * Stored normals are ignored, as the corners' order says the same and is what other programs keep right.
 *
 * @returns corners in file units; errors `mesh-not-stl`, `mesh-size-off`, `mesh-empty`, `mesh-too-large`, `mesh-not-finite`, `mesh-text-…`
 */
export function readStl(bytes: Uint8Array): Outcome<StlSoup, MeshError> {
  if (bytes.length >= HEADER_BYTES) {
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    const declared = view.getUint32(80, true);
    const expected = HEADER_BYTES + TRIANGLE_BYTES * declared;
    if (expected === bytes.length) return readBinary(view, declared);
    if (!startsAsText(bytes)) return failed({ code: 'mesh-size-off', declared, bytes: bytes.length, expected });
  }
  if (bytes.length === 0) return failed({ code: 'mesh-empty' });
  if (!startsAsText(bytes)) return failed({ code: 'mesh-not-stl', bytes: bytes.length });
  const text = readStlText(bytes, MAX_TRIANGLES);
  // A cut binary file that begins with "solid" is best told by its sizes, not by the first odd letter.
  if (!text.ok && bytes.length >= HEADER_BYTES && bytes.subarray(0, HEADER_BYTES).includes(0) && !isWide(bytes)) {
    const declared = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength).getUint32(80, true);
    return failed({ code: 'mesh-size-off', declared, bytes: bytes.length, expected: HEADER_BYTES + TRIANGLE_BYTES * declared });
  }
  return text;
}

function readBinary(view: DataView, nTriangles: number): Outcome<StlSoup, MeshError> {
  if (nTriangles === 0) return failed({ code: 'mesh-empty' });
  if (nTriangles > MAX_TRIANGLES) return failed({ code: 'mesh-too-large', triangles: nTriangles, limit: MAX_TRIANGLES });
  const corners = new Float64Array(9 * nTriangles);
  let coloured = 0;
  for (let t = 0; t < nTriangles; t++) {
    const at = HEADER_BYTES + TRIANGLE_BYTES * t + 12;
    for (let k = 0; k < 9; k++) {
      const x = view.getFloat32(at + 4 * k, true);
      if (!Number.isFinite(x)) return failed({ code: 'mesh-not-finite', triangle: t + 1 });
      corners[9 * t + k] = x;
    }
    if (view.getUint16(at + 36, true) !== 0) coloured++;
  }
  const notices = coloured > 0 ? [`${many(coloured, 'triangle')} with extra data (colours), which is ignored.`] : [];
  return done({ format: 'stl-binary', corners, unit: null, notices });
}

/** Whether the first word, past a byte order mark and blanks, is "solid" in any case. */
function startsAsText(bytes: Uint8Array): boolean {
  let head = '';
  for (let i = 0; i < bytes.length && head.length < 5; i++) {
    const c = bytes[i]!;
    const skipped = c === 0 || c === 0xef || c === 0xbb || c === 0xbf || c === 0xff || c === 0xfe;
    if (skipped || (head === '' && (c === 0x20 || (c >= 9 && c <= 13)))) continue;
    head += String.fromCharCode(c);
  }
  return head.toLowerCase() === 'solid';
}
