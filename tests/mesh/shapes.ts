/** Invented solids for the mesh tests, as corners (9 per triangle), outward unless said otherwise, with their closed-form volumes in the tests. */

export type Point = readonly [number, number, number];
export type Face = readonly [Point, Point, Point];

export const corners = (faces: readonly Face[]): Float64Array => Float64Array.from(faces.flat(2));
export const turnedOver = (faces: readonly Face[]): Face[] => faces.map(([a, b, c]) => [a, c, b]);
export const moved = (faces: readonly Face[], by: Point): Face[] =>
  faces.map((f) => f.map((p) => [p[0] + by[0], p[1] + by[1], p[2] + by[2]]) as unknown as Face);
export const quad = (a: Point, b: Point, c: Point, d: Point): Face[] => [
  [a, b, c],
  [a, c, d],
];

/** The faces of a box by side: bottom, top, front (y low), back, left (x low), right; two triangles each. */
export function boxSides(low: Point, high: Point): Record<'bottom' | 'top' | 'front' | 'back' | 'left' | 'right', Face[]> {
  const at = (i: number, j: number, k: number): Point => [i ? high[0] : low[0], j ? high[1] : low[1], k ? high[2] : low[2]];
  return {
    bottom: quad(at(0, 0, 0), at(0, 1, 0), at(1, 1, 0), at(1, 0, 0)),
    top: quad(at(0, 0, 1), at(1, 0, 1), at(1, 1, 1), at(0, 1, 1)),
    front: quad(at(0, 0, 0), at(1, 0, 0), at(1, 0, 1), at(0, 0, 1)),
    back: quad(at(0, 1, 0), at(0, 1, 1), at(1, 1, 1), at(1, 1, 0)),
    left: quad(at(0, 0, 0), at(0, 0, 1), at(0, 1, 1), at(0, 1, 0)),
    right: quad(at(1, 0, 0), at(1, 1, 0), at(1, 1, 1), at(1, 0, 1)),
  };
}
export const box = (low: Point, high: Point): Face[] => Object.values(boxSides(low, high)).flat();

/** Upright cylinder of n sides about the z axis; volume n/2·sin(2π/n)·r²·h. */
export function cylinder(radius: number, height: number, n: number, ends: readonly ('low' | 'high')[] = ['low', 'high']): Face[] {
  const rim = (i: number, z: number): Point => [
    radius * Math.cos((2 * Math.PI * (i % n)) / n),
    radius * Math.sin((2 * Math.PI * (i % n)) / n),
    z,
  ];
  const faces: Face[] = [];
  for (let i = 0; i < n; i++) {
    faces.push(...quad(rim(i, 0), rim(i + 1, 0), rim(i + 1, height), rim(i, height)));
    if (ends.includes('low')) faces.push([[0, 0, 0], rim(i + 1, 0), rim(i, 0)]);
    if (ends.includes('high')) faces.push([[0, 0, height], rim(i, height), rim(i + 1, height)]);
  }
  return faces;
}
export const cylinderVolume = (radius: number, height: number, n: number): number =>
  (n / 2) * Math.sin((2 * Math.PI) / n) * radius ** 2 * height;

/** Sphere by subdividing an octahedron `levels` times onto the radius: 8·4^levels triangles. */
export function sphere(radius: number, levels: number): Face[] {
  const on = (p: Point): Point => {
    const s = radius / Math.hypot(...p);
    return [p[0] * s, p[1] * s, p[2] * s];
  };
  const middle = (a: Point, b: Point): Point => on([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2]);
  let faces: Face[] = [];
  for (const sx of [1, -1]) {
    for (const sy of [1, -1]) {
      for (const sz of [1, -1]) {
        const f: Face = [
          [sx * radius, 0, 0],
          [0, sy * radius, 0],
          [0, 0, sz * radius],
        ];
        faces.push(sx * sy * sz > 0 ? f : turnedOver([f])[0]!);
      }
    }
  }
  for (let level = 0; level < levels; level++) {
    faces = faces.flatMap(([a, b, c]): Face[] => {
      const [ab, bc, ca] = [middle(a, b), middle(b, c), middle(c, a)];
      return [
        [a, ab, ca],
        [ab, b, bc],
        [ca, bc, c],
        [ab, bc, ca],
      ];
    });
  }
  return faces;
}

/** Volume by the divergence theorem, plainly, as the tests' own measure. */
export function volumeOfMesh({ positions: p, triangles }: { positions: Float64Array; triangles: Uint32Array }): number {
  const [ox, oy, oz] = [p[3 * triangles[0]!]!, p[3 * triangles[0]! + 1]!, p[3 * triangles[0]! + 2]!];
  let six = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => {
      const v = 3 * triangles[t + k]!;
      return [p[v]! - ox, p[v + 1]! - oy, p[v + 2]! - oz];
    }) as [number[], number[], number[]];
    six += a[0]! * (b[1]! * c[2]! - b[2]! * c[1]!) + a[1]! * (b[2]! * c[0]! - b[0]! * c[2]!) + a[2]! * (b[0]! * c[1]! - b[1]! * c[0]!);
  }
  return six / 6;
}

/** A binary STL of the faces, values as float32. */
export function binaryStl(faces: readonly Face[], header = 'made by a test'): Uint8Array {
  const bytes = new Uint8Array(84 + 50 * faces.length);
  bytes.set(new TextEncoder().encode(header).subarray(0, 80));
  const view = new DataView(bytes.buffer);
  view.setUint32(80, faces.length, true);
  for (const [t, face] of faces.entries()) {
    for (const [k, x] of face.flat().entries()) view.setFloat32(84 + 50 * t + 12 + 4 * k, x, true);
  }
  return bytes;
}

/** A text STL of the faces. */
export function textStl(faces: readonly Face[], { newline = '\n', name = 'tank' } = {}): string {
  const lines = [`solid ${name}`];
  for (const face of faces) {
    lines.push(' facet normal 0 0 0', '  outer loop', ...face.map((p) => `   vertex ${p.join(' ')}`), '  endloop', ' endfacet');
  }
  return [...lines, `endsolid ${name}`, ''].join(newline);
}
export const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
