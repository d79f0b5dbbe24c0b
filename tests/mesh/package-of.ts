/** 3MF packages made in memory, sound and broken, by zip.js. */
import { TextReader, Uint8ArrayReader, Uint8ArrayWriter, ZipWriter } from '@zip.js/zip.js';
import type { Face } from './shapes.ts';

const CORE = 'http://schemas.microsoft.com/3dmanufacturing/core/2015/02';
export const RELATIONS = relations('/3D/3dmodel.model');

export function relations(target: string): string {
  return `<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="${target}" Id="r1" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>`;
}

/** A ZIP of the parts, in order. */
export async function packageOf(parts: readonly (readonly [string, string | Uint8Array])[]): Promise<Uint8Array<ArrayBuffer>> {
  const zip = new ZipWriter(new Uint8ArrayWriter(), { useWebWorkers: false });
  for (const [name, content] of parts)
    await zip.add(name, typeof content === 'string' ? new TextReader(content) : new Uint8ArrayReader(content));
  return zip.close();
}

export const packageOfModel = (model: string | Uint8Array): Promise<Uint8Array<ArrayBuffer>> =>
  packageOf([
    ['_rels/.rels', RELATIONS],
    ['3D/3dmodel.model', model],
  ]);

/** An object's mesh, each corner a vertex of its own. */
export function meshText(faces: readonly Face[]): string {
  const vertices = faces.flat().map(([x, y, z]) => `<vertex x="${x}" y="${y}" z="${z}"/>`);
  const triangles = faces.map((_, t) => `<triangle v1="${3 * t}" v2="${3 * t + 1}" v3="${3 * t + 2}"/>`);
  return `<mesh>\n<vertices>\n${vertices.join('\n')}\n</vertices>\n<triangles>\n${triangles.join('\n')}\n</triangles>\n</mesh>`;
}

export interface ModelOptions {
  readonly unit?: string | null;
  readonly attributes?: string;
  readonly build?: string;
}

export function modelText(
  objects: string,
  { unit = 'millimeter', attributes = '', build = '<item objectid="1"/>' }: ModelOptions = {},
): string {
  const unitText = unit === null ? '' : ` unit="${unit}"`;
  return `<?xml version="1.0" encoding="UTF-8"?>\n<model${unitText} xml:lang="en-US" xmlns="${CORE}" ${attributes}>\n<resources>\n${objects}\n</resources>\n<build>${build}</build>\n</model>\n`;
}
