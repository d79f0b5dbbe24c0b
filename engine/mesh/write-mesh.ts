/** Writes a closed surface as a binary STL or a 3MF, in a unit of the caller's choice. What is written is read back before it is handed out. */
import { TextReader, Uint8ArrayWriter, ZipWriter } from '@zip.js/zip.js';
import { describeMeshError, type MeshError } from '../../shared/mesh-errors.ts';
import type { MeshUnit } from '../../shared/mesh-units.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { toSi } from '../../shared/units.ts';
import { readMesh } from './read-mesh.ts';
import { soundMesh } from './sound-mesh.ts';
import { buildTankSolid, type TankSolid } from './tank-solid.ts';

export type WriteFormat = 'stl' | '3mf';

export type WriteError =
  | { readonly code: 'written-not-sound'; readonly format: WriteFormat; readonly error: MeshError }
  | { readonly code: 'written-differs'; readonly format: WriteFormat; readonly off_m3: number };

/**
 * @param title - goes into the file's header or metadata
 * @returns the file's bytes; corners are rounded to float32 of the unit, in both kinds, and nothing else changes. Where that rounding would
 *   tear, fold or resize the surface, an error instead.
 */
export async function writeMesh(
  solid: TankSolid,
  { format, unit, title }: { readonly format: WriteFormat; readonly unit: MeshUnit; readonly title: string },
): Promise<Outcome<Uint8Array<ArrayBuffer>, WriteError>> {
  const metre = toSi(1, unit);
  const positions = Float32Array.from(solid.positions, (x, i) => (x + solid.origin[i % 3]) / metre);
  const bytes = format === 'stl' ? stlBytes(positions, solid.triangles, title) : await bytes3mf(positions, solid.triangles, unit, title);
  const read = await readMesh(`written.${format}`, bytes);
  const sound = read.ok ? await soundMesh(read.value.corners, { unitToMetre: metre, space: 'auto' }) : read;
  if (!sound.ok) return failed({ code: 'written-not-sound', format, error: sound.error });
  // A corner moves by half a step of float32 in each direction at most; walls that move so far sweep so much.
  const step = Math.max(...[...solid.min, ...solid.max].map(Math.abs)) * 2 ** -23;
  const off_m3 = Math.abs(buildTankSolid(sound.value.mesh, 0).capacity - solid.capacity);
  if (!(off_m3 <= solid.wallArea * step)) return failed({ code: 'written-differs', format, off_m3 });
  return done(bytes);
}

/** 80 bytes of header, a count, then normal, three corners and a zero word for each triangle, little endian. */
export function stlBytes(positions: Float32Array, triangles: ArrayLike<number>, title: string): Uint8Array<ArrayBuffer> {
  const nTriangles = triangles.length / 3;
  const bytes = new Uint8Array(84 + 50 * nTriangles);
  bytes.set(new TextEncoder().encode(title).subarray(0, 80));
  const view = new DataView(bytes.buffer);
  view.setUint32(80, nTriangles, true);
  for (let t = 0; t < nTriangles; t++) {
    const corners = [0, 1, 2].map((corner) => positions.subarray(3 * triangles[3 * t + corner], 3 * triangles[3 * t + corner] + 3));
    const normal = unitNormal(corners);
    for (let k = 0; k < 12; k++) view.setFloat32(84 + 50 * t + 4 * k, k < 3 ? normal[k] : corners[Math.floor(k / 3) - 1][k % 3], true);
  }
  return bytes;
}

function unitNormal([a, b, c]: readonly Float32Array[]): number[] {
  const u = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
  const v = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
  const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
  const length = Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
  return n.map((x) => x / length);
}

const NAME_3MF: Record<MeshUnit, string> = { mm: 'millimeter', cm: 'centimeter', m: 'meter', in: 'inch', ft: 'foot' };
const CORE = 'http://schemas.microsoft.com/3dmanufacturing/core/2015/02';
const TYPES = `<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>
`;
const RELATIONS = `<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>
`;

/** Nine digits carry a float32 there and back. The date is fixed: the same surface gives the same bytes. */
async function bytes3mf(positions: Float32Array, triangles: Uint32Array, unit: MeshUnit, title: string): Promise<Uint8Array<ArrayBuffer>> {
  const lines = [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<model unit="${NAME_3MF[unit]}" xml:lang="en-US" xmlns="${CORE}">`,
    `<metadata name="Title">${escaped(title)}</metadata>`,
    '<resources><object id="1" type="model"><mesh><vertices>',
  ];
  const digits = (p: number): string => String(Number(positions[p].toPrecision(9)));
  for (let p = 0; p < positions.length; p += 3) lines.push(`<vertex x="${digits(p)}" y="${digits(p + 1)}" z="${digits(p + 2)}"/>`);
  lines.push('</vertices><triangles>');
  for (let t = 0; t < triangles.length; t += 3)
    lines.push(`<triangle v1="${triangles[t]}" v2="${triangles[t + 1]}" v3="${triangles[t + 2]}"/>`);
  lines.push('</triangles></mesh></object></resources><build><item objectid="1"/></build></model>', '');
  const zip = new ZipWriter(new Uint8ArrayWriter(), { useWebWorkers: false, lastModDate: new Date(2000, 0, 1), extendedTimestamp: false });
  await zip.add('[Content_Types].xml', new TextReader(TYPES));
  await zip.add('_rels/.rels', new TextReader(RELATIONS));
  await zip.add('3D/3dmodel.model', new TextReader(lines.join('\n')));
  return zip.close();
}

const escaped = (text: string): string =>
  text
    .replace(/[^\t\n\x20-\uD7FF\uE000-\uFFFD]/gu, ' ')
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;');

/** One line for a person. */
export function describeWriteError(error: WriteError): string {
  const how =
    error.code === 'written-not-sound' ? describeMeshError(error.error) : `its volume came out ${error.off_m3.toPrecision(2)} m³ off.`;
  return `The surface does not survive the rounding of a mesh file (float32): ${how} Move the tank nearer to its frame's origin, then export again.`;
}
