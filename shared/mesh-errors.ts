/** Why a mesh file cannot bound a fuel space. Facts only: lines and triangles count from 1, positions are in metres, mesh frame. */
import { many } from './many.ts';
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
  | { readonly code: 'mesh-obj-line'; readonly line: number; readonly found: string; readonly wanted: string }
  | { readonly code: 'mesh-obj-index'; readonly line: number; readonly found: string; readonly vertices: number }
  | { readonly code: 'mesh-obj-curved'; readonly line: number; readonly found: string }
  | { readonly code: 'mesh-obj-binary'; readonly byte: number }
  | { readonly code: 'mesh-obj-polygon'; readonly line: number }
  | { readonly code: 'mesh-kind'; readonly name: string }
  | { readonly code: 'mesh-3mf-package'; readonly reason: string }
  | { readonly code: 'mesh-3mf-name'; readonly part: string }
  | { readonly code: 'mesh-3mf-part'; readonly part: string }
  | { readonly code: 'mesh-3mf-damaged'; readonly part: string; readonly reason: string }
  | { readonly code: 'mesh-3mf-too-big'; readonly part: string; readonly limit_bytes: number }
  | { readonly code: 'mesh-3mf-xml'; readonly part: string; readonly line: number; readonly reason: string }
  | { readonly code: 'mesh-3mf-value'; readonly line: number; readonly where: string; readonly found: string; readonly wanted: string }
  | { readonly code: 'mesh-3mf-extension'; readonly extension: string }
  | { readonly code: 'mesh-3mf-cycle'; readonly objects: readonly string[] }
  | { readonly code: 'mesh-3mf-deep'; readonly object: string; readonly limit: number }
  | { readonly code: 'mesh-3mf-unit'; readonly inFile: string; readonly given: string }
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
    case 'mesh-obj-line':
      return `Line ${error.line} of the OBJ has "${error.found}" where ${error.wanted} belongs. Correct it or export it again.`;
    case 'mesh-obj-index':
      return `Line ${error.line} of the OBJ names vertex ${error.found}, and there are ${error.vertices}. The file was cut short or edited; export it again.`;
    case 'mesh-obj-curved':
      return `Line ${error.line} of the OBJ holds "${error.found}": curved surfaces and lines that call on other files are not read. Export it as polygons.`;
    case 'mesh-obj-binary':
      return `The OBJ has a byte that is not text at position ${error.byte}. Export it as plain text, or as STL.`;
    case 'mesh-obj-polygon':
      return `The face on line ${error.line} of the OBJ crosses itself or has no area, so it cannot be cut into triangles. Export it as triangles.`;
    case 'mesh-kind':
      return `${error.name} is no mesh that is read here. Export it as STL, OBJ or 3MF.`;
    case 'mesh-3mf-package':
      return `The 3MF cannot be opened as a ZIP package (${error.reason}). Copy or export it again.`;
    case 'mesh-3mf-name':
      return `The 3MF holds a part named "${error.part}", which a 3MF may not have (outside the package, twice, or locked). Do not trust it; export it again.`;
    case 'mesh-3mf-part':
      return `The 3MF lacks its part ${error.part}. Copy or export it again.`;
    case 'mesh-3mf-damaged':
      return `The part ${error.part} of the 3MF is damaged (${error.reason}). Copy or export it again.`;
    case 'mesh-3mf-too-big':
      return `The part ${error.part} of the 3MF unpacks to more than ${error.limit_bytes} bytes, or holds one piece that long. Export a coarser mesh.`;
    case 'mesh-3mf-xml':
      return `Line ${error.line} of ${error.part} in the 3MF is not sound XML: ${error.reason}. Export it again.`;
    case 'mesh-3mf-value':
      return `Line ${error.line} of the 3MF's model: ${error.where} is ${error.found}; ${error.wanted} belongs there. Export it again.`;
    case 'mesh-3mf-extension':
      return `The 3MF needs the extension "${error.extension}", which is not read here. Export it as a plain 3MF of triangles, or as STL.`;
    case 'mesh-3mf-cycle':
      return `Objects ${error.objects.join(', ')} of the 3MF contain one another in a circle. Export it again.`;
    case 'mesh-3mf-deep':
      return `Object ${error.object} of the 3MF is put together more than ${error.limit} deep. Export it as one body.`;
    case 'mesh-3mf-unit':
      return `The 3MF says itself that it is in ${error.inFile}, and ${error.given} was given. Leave the unit out.`;
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

const litres = (volume: number): string => String(Number((volume * 1000).toPrecision(4)));
const at = (point: Vector3): string => `(${point.map((x) => Number(x.toPrecision(5))).join(', ')}) m`;
