/** Why a case file, or what it names, cannot be taken. Facts only. */
export type CaseError =
  | { readonly code: 'case-not-json'; readonly reason: string; readonly line: number; readonly column: number }
  | { readonly code: 'case-too-big'; readonly size_bytes: number; readonly limit_bytes: number }
  | { readonly code: 'case-too-deep'; readonly path: string; readonly limit: number }
  | { readonly code: 'case-repeated-key'; readonly path: string }
  | { readonly code: 'case-not-a-case'; readonly found: unknown }
  | { readonly code: 'case-newer'; readonly version: number; readonly known: number }
  | { readonly code: 'case-unknown-key'; readonly path: string; readonly suggestion: string | null; readonly known: readonly string[] }
  | { readonly code: 'case-missing-key'; readonly path: string }
  | { readonly code: 'case-wrong-value'; readonly path: string; readonly found: unknown; readonly expected: string }
  | { readonly code: 'case-repeated-id'; readonly path: string; readonly id: string; readonly first: string }
  | { readonly code: 'case-no-such-end'; readonly path: string; readonly end: string; readonly suggestion: string | null }
  | { readonly code: 'case-zero-facing'; readonly path: string }
  | { readonly code: 'case-zero-n'; readonly path: string }
  | { readonly code: 'case-mesh-missing'; readonly tank: string; readonly file: string; readonly why: MeshMissing }
  | {
      readonly code: 'case-fittings-outside';
      readonly tank: string;
      readonly fitting: string;
      /** How many fittings of the tank lie outside; `fitting` is the farthest. */
      readonly count: number;
      readonly distance_m: number;
      readonly limit_m: number;
    }
  | {
      readonly code: 'case-bore-too-wide';
      readonly tank: string;
      readonly fitting: string;
      readonly bore_m: number;
      readonly size_m: number;
    };

export type MeshMissing = 'not-found' | 'outside-folder' | 'not-a-file' | 'unreadable' | 'too-big' | 'not-stl';

export function describeCaseError(error: CaseError): string {
  switch (error.code) {
    case 'case-not-json':
      return `Not JSON at line ${error.line}, column ${error.column}: ${error.reason}. Correct it, then open the case again.`;
    case 'case-too-big':
      return `The case file has ${error.size_bytes} bytes, more than the ${error.limit_bytes} a case may have. Meshes belong in their own files.`;
    case 'case-too-deep':
      return `${error.path}: nested more than ${error.limit} deep. A case needs far less; correct the file.`;
    case 'case-repeated-key':
      return `${error.path}: this key is given twice. Keep one of them.`;
    case 'case-not-a-case':
      return error.found === undefined
        ? 'format: missing. A case file begins with "format": "lowpoint-case".'
        : `format is ${shown(error.found)}, not "lowpoint-case". Open a lowpoint case or a mesh.`;
    case 'case-newer':
      return `version ${error.version}: this program reads version ${error.known}. Open the case with a Lowpoint that knows version ${error.version}.`;
    case 'case-unknown-key':
      return `${error.path}: unknown key. ${error.suggestion === null ? `Known here: ${error.known.join(', ')}.` : `Did you mean "${error.suggestion}"?`}`;
    case 'case-missing-key':
      return `${error.path}: missing. Add it.`;
    case 'case-wrong-value':
      return `${error.path} is ${shown(error.found)}. Give ${error.expected}.`;
    case 'case-repeated-id':
      return `${error.path}: id "${error.id}" is already used by ${error.first}. Give each its own id.`;
    case 'case-no-such-end':
      return `${error.path}: there is no fitting ${shown(error.end)}. ${error.suggestion === null ? 'Write tank/fitting with ids of this case.' : `Did you mean "${error.suggestion}"?`}`;
    case 'case-zero-facing':
      return `${error.path} is [0, 0, 0], which points nowhere. Give the outward direction of the opening, or leave the key out.`;
    case 'case-zero-n':
      return `${error.path} is 0: without apparent gravity there is no free surface. Give an n above or below zero.`;
    case 'case-mesh-missing':
      return `Tank "${error.tank}", ${shown(error.file)}: ${MISSING[error.why]}`;
    case 'case-fittings-outside': {
      const others = error.count > 1 ? ` (and ${error.count - 1} more)` : '';
      return `Tank "${error.tank}": fitting "${error.fitting}"${others} lies ${millimetres(error.distance_m)} mm outside the tank; up to ${millimetres(error.limit_m)} mm is taken. Correct at_m, or the mesh's unit or placement.`;
    }
    case 'case-bore-too-wide':
      return `Tank "${error.tank}": the opening of fitting "${error.fitting}" is ${millimetres(error.bore_m)} mm wide, and the tank ${millimetres(error.size_m)} mm across. Correct bore_m (metres).`;
    default:
      return error satisfies never;
  }
}

const MISSING: Record<MeshMissing, string> = {
  'not-found': "there is no such file. Put the mesh in the case's folder, or correct the name.",
  'outside-folder': "lies outside the case's folder. Copy the mesh into that folder and name it from there.",
  'not-a-file': 'is not a file. Name a mesh (.stl, .obj, .3mf).',
  unreadable: 'cannot be read. Check its permissions.',
  'too-big': 'is larger than 1 GiB. Export a coarser mesh.',
  'not-stl': 'is no mesh that is read here. Export the surface as STL, OBJ or 3MF.',
};

/** A value from a file in one short line, whatever it holds. */
export function shown(value: unknown): string {
  const text = typeof value === 'number' ? String(value) : (JSON.stringify(value) ?? String(value));
  return text.length > 60 ? `${text.slice(0, 57)}…` : text;
}

const millimetres = (distance: number): string => String(Number((distance * 1000).toPrecision(3)));
