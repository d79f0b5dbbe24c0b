/** Who may import whom: the table of the house style as data, and the reader that holds every file against it. */
import { readFileSync } from 'node:fs';
import { posix } from 'node:path';
import { parseSync } from 'vite';

export interface Layer {
  /** Folders of ours it may import from; its own is always allowed. */
  readonly ours: readonly string[];
  /** Packages, by name or by a prefix that ends in `/` or `:`. */
  readonly packages: readonly string[];
  /** Where code belongs that wants what this layer may not have. */
  readonly hint: string;
}

export const LAYERS: Readonly<Record<string, Layer>> = {
  shared: {
    ours: [],
    packages: ['valibot', '@valibot/to-json-schema'],
    hint: 'shared/ holds the contract alone: move code that needs more to the layer that uses it',
  },
  engine: {
    ours: ['shared'],
    packages: [
      'manifold-3d',
      'three-mesh-bvh',
      'three',
      'comlink',
      'earcut',
      'papaparse',
      '@zip.js/zip.js',
      'saxes',
      'valibot',
      '@valibot/to-json-schema',
    ],
    hint: 'engine/ computes and knows no window, shell, page or file: views belong in renderer/, files in engine/cli/ or electron/',
  },
  'engine/cli': {
    ours: ['shared', 'engine'],
    packages: ['commander', 'node:', 'manifold-3d', 'valibot', '@valibot/to-json-schema'],
    hint: 'engine/cli/ is the command line: it calls engine/ and knows no window',
  },
  renderer: {
    ours: ['shared'],
    packages: ['preact', 'preact/', '@preact/signals', 'three', 'three/', 'three-mesh-bvh', 'comlink'],
    hint: 'renderer/ asks the engine through shared/engine-contract.ts and the shell through shared/shell-bridge.ts: computing belongs in engine/, files in electron/',
  },
  electron: {
    ours: ['shared'],
    packages: ['electron', 'node:', 'valibot'],
    hint: 'electron/ carries bytes: what reads them belongs in engine/, what shows them in renderer/',
  },
  'sample-geometry': {
    ours: ['shared', 'engine'],
    packages: ['manifold-3d', 'node:'],
    hint: 'sample-geometry/ is data and the code that remakes it',
  },
  scripts: { ours: [], packages: ['node:'], hint: 'scripts/ run before anything is built' },
};

/** Single steps across the table, each for a reason. */
export const EXCEPTIONS: readonly { readonly file: string; readonly imports: string; readonly why: string }[] = [
  { file: 'renderer/engine-link.ts', imports: 'engine/worker.ts', why: 'the one place that starts the worker, by address, not by import' },
  {
    file: 'engine/cli/run-export.ts',
    imports: 'electron/atomic-save.ts',
    why: 'one way to save whole or not at all, for window and command line',
  },
];

/** Of three the engine may use the arrays that three-mesh-bvh asks for and the arithmetic, never the view. */
const THREE_FOR_ENGINE = [
  'BufferGeometry',
  'BufferAttribute',
  'Box3',
  'DoubleSide',
  'FrontSide',
  'BackSide',
  'Line3',
  'Matrix3',
  'Matrix4',
  'Plane',
  'Ray',
  'Sphere',
  'Triangle',
  'Vector2',
  'Vector3',
];

export interface Import {
  readonly from: string;
  /** Imported names; empty where all or none are. */
  readonly names: readonly string[];
}

/** Every module a source names: imports, re-exports, `import()`, import types, `require`, and worker addresses made from `import.meta.url`. */
export function importsOf(file: string, source: string): Import[] {
  const { program, errors } = parseSync(file, source);
  if (errors.length > 0) throw new Error(`${file}: ${errors[0].message}`);
  const found: Import[] = [];
  const literal = (node: Node | undefined, names: string[] = []): void => {
    if (node?.type === 'Literal' && typeof node['value'] === 'string') found.push({ from: node['value'], names });
  };
  visit(program as unknown as Node, (node) => {
    const { type, arguments: args, callee } = node as Node & { arguments?: Node[]; callee?: Node };
    if (type === 'ImportDeclaration') literal(node['source'] as Node, (node['specifiers'] as Node[]).map(importedName));
    else if (
      type === 'ExportNamedDeclaration' ||
      type === 'ExportAllDeclaration' ||
      type === 'ImportExpression' ||
      type === 'TSImportType'
    ) {
      literal(node['source'] as Node | undefined);
    } else if (type === 'CallExpression' && callee?.['name'] === 'require') literal(args?.[0]);
    else if (type === 'NewExpression' && callee?.['name'] === 'URL' && args?.length === 2 && isSource(args[0])) literal(args[0]);
  });
  return found;
}

/** The line to show for each import against the table; empty when all is well. `file` is relative to the root, with `/`. */
export function strayImports(file: string, source: string): string[] {
  const home = layerOf(file);
  const layer = LAYERS[home];
  if (layer === undefined) return [`${file}: its folder has no row in tests/layers.ts`];
  return importsOf(file, source).flatMap(({ from, names }) => {
    const fault = from.startsWith('.') ? faultOfOurs(file, home, layer, from) : faultOfPackage(home, layer, from, names);
    return fault === null ? [] : [`${file} imports ${from}${fault}: ${layer.hint}`];
  });
}

export const strayImportsIn = (file: string): string[] => strayImports(file, readFileSync(file, 'utf8'));

function faultOfOurs(file: string, home: string, layer: Layer, from: string): string | null {
  const target = posix.join(posix.dirname(file), from);
  if (EXCEPTIONS.some((one) => one.file === file && one.imports === target)) return null;
  if (target === 'package.json') return null;
  const theirs = layerOf(target);
  return theirs === home || layer.ours.includes(theirs) ? null : '';
}

function faultOfPackage(home: string, layer: Layer, from: string, names: readonly string[]): string | null {
  if (!layer.packages.some((one) => one === from || (/[/:]$/.test(one) && from.startsWith(one)))) return '';
  const view = home === 'engine' && from === 'three' ? names.filter((name) => !THREE_FOR_ENGINE.includes(name)) : [];
  return view.length > 0 ? ` (${view.join(', ')})` : null;
}

const layerOf = (file: string): string => (file.startsWith('engine/cli/') ? 'engine/cli' : file.split('/')[0]);

type Node = { readonly type: string; readonly [key: string]: unknown };
const isNode = (value: unknown): value is Node => typeof value === 'object' && value !== null && typeof (value as Node).type === 'string';
const isSource = (node: Node): boolean => typeof node['value'] === 'string' && /\.(ts|tsx|js|mjs)$/.test(node['value']);
const importedName = (specifier: Node): string => String((specifier['imported'] as Node | undefined)?.['name'] ?? '*');

function visit(node: Node, see: (node: Node) => void): void {
  see(node);
  for (const value of Object.values(node)) {
    for (const child of Array.isArray(value) ? value : [value]) if (isNode(child)) visit(child, see);
  }
}
