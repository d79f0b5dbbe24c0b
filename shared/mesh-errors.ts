/** Why a mesh file cannot bound a fuel space. Facts only: lines and triangles count from 1, positions are in metres, mesh frame. */
import type { Vector3 } from './vector.ts';

export type MeshError =
  | { readonly code: 'mesh-empty' }
  | { readonly code: 'mesh-not-stl'; readonly bytes: number }
  | { readonly code: 'mesh-size-off'; readonly declared: number; readonly bytes: number; readonly expected: number }
  | { readonly code: 'mesh-too-large'; readonly triangles: number; readonly limit: number }
  | { readonly code: 'mesh-text-line'; readonly line: number; readonly found: string; readonly wanted: string }
  | { readonly code: 'mesh-text-comma'; readonly line: number; readonly found: string }
  | { readonly code: 'mesh-text-number'; readonly line: number; readonly found: string }
  | { readonly code: 'mesh-text-facet'; readonly line: number; readonly vertices: number }
  | { readonly code: 'mesh-text-unfinished'; readonly line: number }
  | { readonly code: 'mesh-text-encoding'; readonly byte: number }
  | { readonly code: 'mesh-not-finite'; readonly triangle: number }
  | { readonly code: 'mesh-out-of-range'; readonly triangle: number }
  | { readonly code: 'mesh-too-small'; readonly size_m: number }
  | { readonly code: 'mesh-no-volume'; readonly triangles: number }
  | { readonly code: 'mesh-open-loops'; readonly loops: number; readonly edges: number; readonly first_m: readonly Vector3[] }
  | { readonly code: 'mesh-edge-shared'; readonly edges: number; readonly triangles: number; readonly first_m: Vector3 }
  | { readonly code: 'mesh-one-sided'; readonly first_m: Vector3 }
  | { readonly code: 'mesh-no-thickness'; readonly pairs: number; readonly first_m: Vector3 }
  | { readonly code: 'mesh-sliver'; readonly count: number; readonly first_m: Vector3 }
  | { readonly code: 'mesh-self-crossing'; readonly pairs: number; readonly first_m: Vector3 }
  | { readonly code: 'mesh-shells-cross'; readonly pairs: number; readonly first_m: Vector3 }
  | {
      readonly code: 'mesh-nested-same-way';
      readonly shells: number;
      readonly inner_m3: number;
      readonly outer_m3: number;
      readonly first_m: Vector3;
    }
  | { readonly code: 'mesh-nested-deep'; readonly depth: number; readonly first_m: Vector3 }
  | { readonly code: 'mesh-bodies-differ'; readonly hollow: number; readonly solid: number; readonly first_m: Vector3 }
  | { readonly code: 'mesh-too-many-shells'; readonly shells: number; readonly limit: number }
  | { readonly code: 'mesh-too-dense'; readonly triangles: number }
  | { readonly code: 'mesh-union-failed'; readonly bodies: number; readonly reason: string };

/** One line for a person: what is wrong, where, what to do. */
export function describeMeshError(error: MeshError): string {
  switch (error.code) {
    case 'mesh-empty':
      return 'The file holds no triangles. Export the surface again.';
    case 'mesh-not-stl':
      return `The file (${error.bytes} bytes) is not an STL: a binary one has at least 84 bytes, a text one begins with "solid". Export it as STL.`;
    case 'mesh-size-off':
      return error.bytes < error.expected
        ? `The file is cut short: its header declares ${error.declared} triangles, which take ${error.expected} bytes, and there are ${error.bytes}. Copy or export it again.`
        : `The file has ${error.bytes - error.expected} bytes after its last triangle: its header declares ${error.declared} triangles, which take ${error.expected} of the ${error.bytes} bytes. Export it again.`;
    case 'mesh-too-large':
      return `The file holds ${error.triangles} triangles; at most ${error.limit} are taken. Export it with a coarser tolerance.`;
    case 'mesh-text-line':
      return `Line ${error.line} of the text STL has "${error.found}" where ${error.wanted} belongs. Export it again, or as binary STL.`;
    case 'mesh-text-comma':
      return `Line ${error.line} of the text STL writes a number with a comma, "${error.found}". Write it with a point, or export as binary STL.`;
    case 'mesh-text-number':
      return `Line ${error.line} of the text STL has "${error.found}", which is not a finite number. Export it again, or as binary STL.`;
    case 'mesh-text-facet':
      return `The facet that ends on line ${error.line} of the text STL has ${error.vertices} vertices instead of three. Export it again as triangles.`;
    case 'mesh-text-unfinished':
      return `The text STL ends on line ${error.line} without "endsolid": it was cut short. Copy or export it again.`;
    case 'mesh-text-encoding':
      return `The text STL has a byte that is not text at position ${error.byte}. Save it as plain ASCII, or export as binary STL.`;
    case 'mesh-not-finite':
      return `Triangle ${error.triangle} has a corner that is not a finite number. Export the surface again.`;
    case 'mesh-out-of-range':
      return `Triangle ${error.triangle} has a corner further out than any tank (over 1e6 m). Check the unit and the export.`;
    case 'mesh-too-small':
      return `The mesh is only ${Number((error.size_m * 1000).toPrecision(2))} mm across. Check the unit and the export.`;
    case 'mesh-no-volume':
      return `The ${error.triangles} triangles enclose no volume (a flat or collapsed surface). Export the closed body of the fuel space.`;
    case 'mesh-open-loops':
      return `The surface is open: ${many(error.loops, 'loop')} (${many(error.edges, 'edge')}), ${error.first_m.length < error.loops ? 'the first ' : ''}at ${error.first_m.map(at).join(', ')}. Close it there in the drawing, then export again.`;
    case 'mesh-edge-shared':
      return `${many(error.edges, 'edge')} joined by ${error.triangles} triangles, the first at ${at(error.first_m)}, as where a single sheet meets a wall. Remove the sheet or give it a thickness.`;
    case 'mesh-one-sided':
      return `The surface has only one side (as a Möbius strip has), seen at ${at(error.first_m)}. Draw it again as a closed body.`;
    case 'mesh-no-thickness':
      return `A wall without thickness: ${many(error.pairs, 'pair')} of triangles lie back to back, the first at ${at(error.first_m)}. Give the wall a thickness or remove it.`;
    case 'mesh-sliver':
      return `${many(error.count, 'triangle')} without area could not be taken out without tearing the surface, the first at ${at(error.first_m)}. Mesh it again there.`;
    case 'mesh-self-crossing':
      return `The surface crosses itself: ${many(error.pairs, 'pair')} of triangles, the first at ${at(error.first_m)}. Mend it there in the drawing.`;
    case 'mesh-shells-cross':
      return `Two shells cross in a way that leaves open which side is fuel: ${many(error.pairs, 'pair')} of triangles, the first at ${at(error.first_m)}. Join or part them in the drawing.`;
    case 'mesh-nested-same-way':
      return `A shell of ${litres(error.inner_m3)} L lies inside one of ${litres(error.outer_m3)} L and faces the same way, at ${at(error.first_m)}. Reverse it if it is a cavity, remove it if it is a part, or take the outer skin ("space": "outer").`;
    case 'mesh-nested-deep':
      return `Shells lie inside one another ${error.depth} deep, at ${at(error.first_m)}. Export only the body that holds the fuel.`;
    case 'mesh-bodies-differ':
      return `${many(error.hollow, 'body', 'bodies')} with a cavity and ${many(error.solid, 'body', 'bodies')} without in one file, the first without at ${at(error.first_m)}. Export only what holds the fuel, or take the outer skins ("space": "outer").`;
    case 'mesh-too-many-shells':
      return `The file holds ${error.shells} separate shells; at most ${error.limit} are taken. Export only the fuel space.`;
    case 'mesh-too-dense':
      return `Too many of the ${error.triangles} triangles lie close over one another (long needles at one vertex, or bodies on top of each other) to prove that none cross. Mesh it more evenly, then export again.`;
    case 'mesh-union-failed':
      return `The ${error.bodies} overlapping bodies could not be joined (${error.reason}). Join them in the drawing, then export again.`;
    default:
      return error satisfies never;
  }
}

const many = (count: number, one: string, more = `${one}s`): string => `${count} ${count === 1 ? one : more}`;
const litres = (volume: number): string => String(Number((volume * 1000).toPrecision(4)));
const at = (point: Vector3): string => `(${point.map((x) => Number(x.toPrecision(5))).join(', ')}) m`;
