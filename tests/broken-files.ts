/**
 * Odd and broken STL files, made in memory, each with what must come of it: an error code, or the repairs that are named and the volume in
 * closed form. Shapes are our own; lengths are millimetres, volumes litres. Used by the reader's own tests and by the command line's.
 */
import {
  binaryStl,
  box,
  boxSides,
  cylinder,
  cylinderVolume,
  type Face,
  moved,
  type Point,
  quad,
  sphere,
  textStl,
  turnedOver,
  utf8,
} from './mesh/shapes.ts';

export interface BrokenFile {
  /** File name without ending. */
  readonly name: string;
  readonly bytes: () => Uint8Array;
  readonly expected:
    | { readonly error: string }
    | { readonly repairs: readonly string[]; readonly volume_L: number; readonly space?: 'skin' | 'cavity'; readonly relative?: number };
}

const L = 200; // side of the cube, mm: 8 L
const cube = box([0, 0, 0], [L, L, L]);
const sides = boxSides([0, 0, 0], [L, L, L]);
const good = binaryStl(cube);
const text = textStl(cube);

/** The good file with some bytes changed. */
function patched(change: (view: DataView, bytes: Uint8Array) => void): Uint8Array {
  const bytes = good.slice();
  change(new DataView(bytes.buffer), bytes);
  return bytes;
}
const joined = (a: Uint8Array, b: Uint8Array): Uint8Array => Uint8Array.from([...a, ...b]);
const utf16 = (s: string, little: boolean, mark = true): Uint8Array => {
  const codes = [...(mark ? '\ufeff' : ''), ...s].map((c) => c.charCodeAt(0));
  return Uint8Array.from(codes.flatMap((c) => (little ? [c & 255, c >> 8] : [c >> 8, c & 255])));
};
const mapped = (faces: readonly Face[], f: (p: Point) => Point): Face[] => faces.map(([a, b, c]) => [f(a), f(b), f(c)]);

/** A band of n quads around a ring, with `halfTurns` half turns in it: 1 is the Möbius strip. */
function band(n: number, halfTurns: number): Face[] {
  const at = (i: number, s: number): Point => {
    const a = (2 * Math.PI * i) / n;
    const turn = (halfTurns * a) / 2;
    const r = 100 + 20 * s * Math.cos(turn);
    return [r * Math.cos(a), r * Math.sin(a), 20 * s * Math.sin(turn)];
  };
  const faces: Face[] = [];
  for (let i = 0; i < n; i++) {
    const last = i === n - 1 && halfTurns % 2 === 1;
    const [c, d]: [Point, Point] = i === n - 1 ? (last ? [at(0, 1), at(0, -1)] : [at(0, -1), at(0, 1)]) : [at(i + 1, -1), at(i + 1, 1)];
    faces.push(...quad(at(i, -1), c, d, at(i, 1)));
  }
  return faces;
}

/** Closed, without boundary and one-sided: a figure-eight section that turns over once around the ring. */
function kleinBottle(n: number, m: number): Face[] {
  const at = (i: number, j: number): Point => {
    const [ring, section] = i === n ? [0, (m - j) % m] : [i, j % m];
    const u = (2 * Math.PI * ring) / n;
    const v = (2 * Math.PI * section) / m;
    const r = 100 + 30 * (Math.cos(u / 2) * Math.sin(v) - Math.sin(u / 2) * Math.sin(2 * v));
    return [r * Math.cos(u), r * Math.sin(u), 30 * (Math.sin(u / 2) * Math.sin(v) + Math.cos(u / 2) * Math.sin(2 * v))];
  };
  const faces: Face[] = [];
  for (let i = 0; i < n; i++) for (let j = 0; j < m; j++) faces.push(...quad(at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)));
  return faces;
}

/** The cube with its top cut in four around a middle vertex; `lift` moves one corner of the rim, so that an opening there is not flat. */
const topFan = (lift = 0): Face[] => {
  const m: Point = [L / 2, L / 2, L];
  const [a, b, c, d]: Point[] = [
    [0, 0, L],
    [L, 0, L],
    [L, L, L + lift],
    [0, L, L],
  ];
  return [
    [a!, b!, m],
    [b!, c!, m],
    [c!, d!, m],
    [d!, a!, m],
  ];
};
const liftedOpenBox = mapped([...sides.bottom, ...sides.front, ...sides.back, ...sides.left, ...sides.right], ([x, y, z]) =>
  x === L && y === L && z === L ? [x, y, z + 20] : [x, y, z],
);

/** The cube's top made of two strips that meet the front's upper edge at a vertex the front does not have. */
const splitTop = (gap = 0): Face[] => [
  ...quad([0, 0, L], [80 - gap, 0, L], [80 - gap, L, L], [0, L, L]),
  ...quad([80 + gap, 0, L], [L, 0, L], [L, L, L], [80 + gap, L, L]),
];
const withoutTop = [...sides.bottom, ...sides.front, ...sides.back, ...sides.left, ...sides.right];

const innerSides = boxSides([50, 50, 50], [150, 150, L]);
const innerOpen = turnedOver([...innerSides.bottom, ...innerSides.front, ...innerSides.back, ...innerSides.left, ...innerSides.right]);

/** A tub of double thickness whose upright rim is left out: its opening is a ring between two squares. */
const tubWithoutRim = [...withoutTop, ...innerOpen];

/** One shell that crosses itself: the outline is a bow-tie drawn up. */
const bowTie = ((): Face[] => {
  const p: Point[] = [
    [0, 0, 0],
    [L, L, 0],
    [L, 0, 0],
    [0, L / 2, 0],
  ];
  const q = p.map(([x, y]): Point => [x, y, L]);
  const faces: Face[] = [
    [p[0]!, p[2]!, p[1]!],
    [p[0]!, p[3]!, p[2]!],
    [q[0]!, q[1]!, q[2]!],
    [q[0]!, q[2]!, q[3]!],
  ];
  for (let i = 0; i < 4; i++) faces.push(...quad(p[i]!, p[(i + 1) % 4]!, q[(i + 1) % 4]!, q[i]!));
  return faces;
})();

/** The cube with one spike of its top pulled down through its bottom. */
const spiked = [...withoutTop, ...mapped(topFan(), ([x, y, z]) => (x === L / 2 && y === L / 2 ? [x, y, -40] : [x, y, z]))];

const sliverTop: Face[] = [
  // The top's front edge is whole on the front side; a sliver without area fills the T-junction at (80, 0).
  [
    [0, 0, L],
    [80, 0, L],
    [0, L, L],
  ],
  [
    [80, 0, L],
    [L, 0, L],
    [L, L, L],
  ],
  [
    [80, 0, L],
    [L, L, L],
    [0, L, L],
  ],
  [
    [0, 0, L],
    [L, 0, L],
    [80, 0, L],
  ],
];

const error = (code: string) => ({ error: code });
const mended = (repairs: readonly string[], volume_L: number, more: { space?: 'cavity'; relative?: number } = {}) => ({
  repairs,
  volume_L,
  space: 'skin' as const,
  ...more,
});
const file = (name: string, bytes: () => Uint8Array, expected: BrokenFile['expected']): BrokenFile => ({ name, bytes, expected });
const shape = (name: string, faces: () => readonly Face[], expected: BrokenFile['expected']): BrokenFile =>
  file(name, () => binaryStl(faces()), expected);

const [cubeA, cubeB] = [cube, moved(cube, [100, 100, 100])];
const wall = turnedOver(box([10, 10, 10], [190, 190, 190]));

export const BROKEN_FILES: readonly BrokenFile[] = [
  // The container.
  file('no-bytes', () => new Uint8Array(0), error('mesh-empty')),
  file('ten-bytes', () => new Uint8Array(10).fill(7), error('mesh-not-stl')),
  file(
    'not-an-stl',
    () => utf8('{"format": "something else", "padding": "................................................................"}'),
    error('mesh-size-off'),
  ),
  file('picture-bytes', () => Uint8Array.from({ length: 5000 }, (_, i) => (i * 7919 + (i >> 3)) % 251), error('mesh-size-off')),
  file('cut-short', () => good.slice(0, good.length - 20), error('mesh-size-off')),
  file('cut-to-header', () => good.slice(0, 84), error('mesh-size-off')),
  file('cut-solid-header', () => binaryStl(cube, 'solid part').slice(0, 600), error('mesh-size-off')),
  file('trailing-bytes', () => joined(good, new Uint8Array(13)), error('mesh-size-off')),
  file('trailing-newline', () => joined(good, Uint8Array.of(10)), error('mesh-size-off')),
  file('count-huge', () => patched((v) => v.setUint32(80, 0xffffffff, true)), error('mesh-size-off')),
  file('count-one-less', () => patched((v) => v.setUint32(80, cube.length - 1, true)), error('mesh-size-off')),
  file('count-byte-swapped', () => patched((v) => v.setUint32(80, cube.length, false)), error('mesh-size-off')),
  file('no-triangles', () => binaryStl([]), error('mesh-empty')),
  file('binary-named-solid', () => binaryStl(cube, 'solid but binary'), mended([], 8)),
  file('coloured', () => patched((v) => v.setUint16(84 + 48, 0x8000, true)), mended([], 8)),
  // Numbers.
  file('nan-corner', () => patched((v) => v.setFloat32(84 + 12, Number.NaN, true)), error('mesh-not-finite')),
  file('infinite-corner', () => patched((v) => v.setFloat32(84 + 50 + 16, Infinity, true)), error('mesh-not-finite')),
  file('corner-1e30', () => patched((v) => v.setFloat32(84 + 50 + 16, 1e30, true)), error('mesh-out-of-range')),
  file(
    'floats-byte-swapped',
    () =>
      patched((v) => {
        for (let t = 0; t < cube.length; t++)
          for (let k = 0; k < 12; k++) v.setFloat32(84 + 50 * t + 4 * k, v.getFloat32(84 + 50 * t + 4 * k, true), false);
      }),
    error('mesh-too-small'),
  ),
  // Text.
  file('text-crlf', () => utf8(textStl(cube, { newline: '\r\n' })), mended([], 8)),
  file('text-upper-case', () => utf8(text.toUpperCase()), mended([], 8)),
  file('text-no-last-newline', () => utf8(text.trimEnd()), mended([], 8)),
  file('text-blank-lines-first', () => utf8(`\n\n  \t\n${text}`), mended([], 8)),
  file('text-byte-order-mark', () => joined(Uint8Array.of(0xef, 0xbb, 0xbf), utf8(text)), mended([], 8)),
  file('text-utf16-little', () => utf16(text, true), mended([], 8)),
  file('text-utf16-big', () => utf16(text, false), mended([], 8)),
  file('text-utf16-unmarked', () => utf16(text, true, false), mended([], 8)),
  file('text-two-solids', () => utf8(textStl(cube) + textStl(moved(cube, [500, 0, 0]))), mended([], 16)),
  file('text-decimal-comma', () => utf8(text.replaceAll('200', '200,0')), error('mesh-text-comma')),
  file('text-nan', () => utf8(text.replace('vertex 200', 'vertex nan')), error('mesh-text-number')),
  file('text-inf', () => utf8(text.replace('vertex 200', 'vertex -inf')), error('mesh-text-number')),
  file('text-1e999', () => utf8(text.replace('vertex 200', 'vertex 1e999')), error('mesh-text-number')),
  file('text-two-vertices', () => utf8(text.replace(/ {3}vertex[^\n]*\n/, '')), error('mesh-text-facet')),
  file('text-four-vertices', () => utf8(text.replace('  endloop', '   vertex 1 2 3\n  endloop')), error('mesh-text-facet')),
  file('text-two-numbers', () => utf8(text.replace('vertex 0 0 0', 'vertex 0 0')), error('mesh-text-line')),
  file('text-four-numbers', () => utf8(text.replace('vertex 0 0 0', 'vertex 0 0 0 0')), error('mesh-text-line')),
  file('text-no-endsolid', () => utf8(text.slice(0, text.indexOf('endsolid'))), error('mesh-text-unfinished')),
  file('text-cut-in-facet', () => utf8(text.slice(0, 700)), error('mesh-text-unfinished')),
  file('text-misspelt', () => utf8(text.replace('outer loop', 'outher loop')), error('mesh-text-line')),
  file('text-after-end', () => utf8(`${text}and more`), error('mesh-text-line')),
  file('text-empty-solid', () => utf8('solid nothing\nendsolid nothing\n'), error('mesh-empty')),
  file('text-broken-utf16', () => utf16(text, true).slice(0, -1), error('mesh-text-encoding')),
  // Surfaces that are closed by a repair whose meaning is certain.
  shape('inside-out', () => turnedOver(cube), mended(['inside-out'], 8)),
  shape('some-triangles-turned', () => [...turnedOver(cube.slice(0, 2)), ...cube.slice(2)], mended(['turned'], 8)),
  shape('written-twice', () => [...cube, ...cube], mended(['duplicates'], 8)),
  shape('one-triangle-twice', () => [...cube, cube[5]!], mended(['duplicates'], 8)),
  shape('one-triangle-both-ways', () => [...cube, ...turnedOver([cube[5]!])], mended(['duplicates'], 8)),
  shape(
    'point-triangles',
    () => [
      ...cube,
      [
        [0, 0, 0],
        [0, 0, 0],
        [0, 0, 0],
      ],
      [
        [0, 0, 0],
        [L, 0, 0],
        [0, 0, 0],
      ],
    ],
    mended(['degenerate'], 8),
  ),
  shape(
    'sliver-left-over-at-an-edge',
    () => [
      ...cube,
      [
        [0, 0, 0],
        [L, 0, 0],
        [50, 0, 0],
      ],
    ],
    mended(['degenerate'], 8),
  ),
  shape('sliver-in-t-junction', () => [...withoutTop, ...sliverTop], mended(['degenerate'], 8)),
  shape('t-junction', () => [...withoutTop, ...splitTop()], mended(['near'], 8)),
  shape('hairline-crack', () => [...withoutTop, ...splitTop(0.01)], mended(['cracks', 'near'], 8, { relative: 1e-4 })),
  shape('sides-apart-by-rounding', () => [...withoutTop, ...moved(sides.top, [0.00001, 0, 0])], mended(['near'], 8, { relative: 1e-6 })),
  shape('open-top', () => withoutTop, mended(['caps'], 8)),
  shape('one-triangle-missing', () => cube.slice(1), mended(['caps'], 8)),
  shape('open-at-both-ends', () => cylinder(100, 300, 48, []), mended(['caps'], cylinderVolume(100, 300, 48) / 1e6, { relative: 1e-6 })),
  shape('open-inside-out', () => turnedOver(withoutTop), mended(['caps', 'inside-out'], 8)),
  shape('ring-opening', () => tubWithoutRim, mended(['caps'], 8 - 1.5)),
  shape('two-bodies-overlap', () => [...cubeA, ...cubeB], mended(['joined'], 15, { relative: 1e-6 })),
  shape('two-bodies-overlap-inside-out', () => turnedOver([...cubeA, ...cubeB]), mended(['inside-out', 'joined'], 15, { relative: 1e-6 })),
  shape('two-bodies-share-a-face', () => [...cube, ...moved(cube, [L, 0, 0])], mended(['joined'], 16, { relative: 1e-6 })),
  shape(
    'two-bodies-share-part-of-a-face',
    () => [...cube, ...box([L, 50, 50], [2 * L, 150, 150])],
    mended(['joined'], 10, { relative: 1e-6 }),
  ),
  shape('two-bodies-touch-at-an-edge', () => [...cube, ...moved(cube, [L, L, 0])], mended(['touching'], 16)),
  shape('two-bodies-touch-at-a-vertex', () => [...cube, ...moved(cube, [L, L, L])], mended(['touching'], 16)),
  shape('two-bodies-apart', () => [...cube, ...moved(cube, [500, 0, 0])], mended([], 16)),
  shape('thick-walled', () => [...cube, ...wall], mended([], 0.18 ** 3 * 1000, { space: 'cavity', relative: 1e-6 })),
  shape(
    'thick-walled-inside-out',
    () => turnedOver([...cube, ...wall]),
    mended(['inside-out'], 0.18 ** 3 * 1000, { space: 'cavity', relative: 1e-6 }),
  ),
  shape(
    'two-cavities',
    () => [...cube, ...turnedOver([...box([10, 10, 10], [90, 190, 190]), ...box([110, 10, 10], [190, 190, 190])])],
    mended([], 2 * 0.8 * 1.8 * 1.8, { space: 'cavity', relative: 1e-6 }),
  ),
  shape(
    'part-inside-cavity',
    () => [...cube, ...wall, ...box([80, 80, 80], [120, 120, 120])],
    mended([], 5.832 - 0.064, { space: 'cavity', relative: 1e-6 }),
  ),
  shape('small', () => mapped(cube, (p) => p.map((x) => x * 1e-3) as unknown as Point), mended([], 8e-9, { relative: 1e-6 })),
  shape('tiny', () => mapped(cube, (p) => p.map((x) => x * 1e-6) as unknown as Point), error('mesh-too-small')),
  shape('kilometre', () => mapped(cube, (p) => p.map((x) => x * 1e3) as unknown as Point), mended([], 8e9, { relative: 1e-6 })),
  shape('far-away', () => moved(cube, [16_384_000, 0, -8_192_000]), mended([], 8, { relative: 1e-10 })),
  // Surfaces that are refused.
  shape('single-triangle', () => cube.slice(0, 1), error('mesh-no-volume')),
  shape('flat-sheet', () => sides.bottom, error('mesh-no-volume')),
  shape('sheet-both-ways', () => [...sides.bottom, ...turnedOver(sides.bottom)], error('mesh-no-volume')),
  shape('all-degenerate', () => cube.map(([a]): Face => [a, a, a]), error('mesh-no-volume')),
  shape(
    'all-on-a-line',
    () =>
      cube.map(
        ([a, b, c]): Face => [
          [a[0], 0, 0],
          [b[0], 0, 0],
          [c[0], 0, 0],
        ],
      ),
    error('mesh-no-volume'),
  ),
  shape('open-not-flat', () => liftedOpenBox, error('mesh-open-loops')),
  shape('hole-in-a-sphere', () => sphere(100, 3).filter((f) => !f.some((p) => p[2] > 80)), error('mesh-open-loops')),
  shape('loose-triangles', () => sphere(100, 2).map((f, i) => moved([f], [i, 0, 3 * i])[0]!), error('mesh-no-volume')),
  shape('moebius-strip', () => band(24, 1), error('mesh-one-sided')),
  shape('klein-bottle', () => kleinBottle(24, 16), error('mesh-one-sided')),
  shape('ribbon', () => band(24, 2), error('mesh-open-loops')),
  shape(
    'fin',
    () => [
      ...cube,
      [
        [0, 0, L],
        [L, L, L],
        [100, 100, 300],
      ],
    ],
    error('mesh-edge-shared'),
  ),
  shape('sheet-across', () => [...cube, ...quad([0, 0, 0], [L, L, 0], [L, L, L], [0, 0, L])], error('mesh-edge-shared')),
  shape(
    'wall-without-thickness',
    () => [
      ...cube,
      [
        [0, 0, L],
        [L, L, L],
        [100, 100, 100],
      ],
      [
        [L, L, L],
        [0, 0, L],
        [100, 100, 100],
      ],
    ],
    error('mesh-no-thickness'),
  ),
  shape('self-crossing', () => spiked, error('mesh-self-crossing')),
  shape('bow-tie', () => bowTie, error('mesh-self-crossing')),
  shape('nested-same-way', () => [...cube, ...turnedOver(wall)], error('mesh-nested-same-way')),
  shape('nested-same-way-inside-out', () => turnedOver([...cube, ...turnedOver(wall)]), error('mesh-nested-same-way')),
  shape('nested-same-way-against-the-wall', () => [...cube, ...box([0, 20, 20], [180, 180, 180])], error('mesh-nested-same-way')),
  shape('one-inside-out-crosses', () => [...cubeA, ...turnedOver(cubeB)], error('mesh-shells-cross')),
  shape('cavity-through-wall', () => [...cube, ...turnedOver(box([10, 10, 10], [150, 150, 210]))], error('mesh-shells-cross')),
  shape(
    'nested-four-deep',
    () =>
      [0, 10, 20, 30].flatMap((d) =>
        (d % 20 === 0 ? box : (a: Point, b: Point) => turnedOver(box(a, b)))([d, d, d], [L - d, L - d, L - d]),
      ),
    error('mesh-nested-deep'),
  ),
  shape('hollow-and-solid', () => [...cube, ...wall, ...moved(cube, [500, 0, 0])], error('mesh-bodies-differ')),
  shape('needles-at-one-vertex', () => cylinder(100, 300, 20_000), error('mesh-too-dense')),
  shape(
    'too-many-shells',
    () =>
      Array.from({ length: 257 }, (_, i) =>
        moved(
          mapped(cube, (p) => p.map((x) => x / 100) as unknown as Point),
          [5 * i, 0, 0],
        ),
      ).flat(),
    error('mesh-too-many-shells'),
  ),
];
