/**
 * Solids that fuel tanks are put together from: lofted wing boxes, drawn plates with holes, bars along the floor, tubes.
 * All lengths in mm in the tank's own frame, X aft, Y along the span or across, Z up. The fuel space is the outer shape minus the
 * metal that stands in it. Inputs are snapped to 0.1 µm, so that the last bit of a sine does not decide a file's bytes.
 */
import type { Manifold, ManifoldToplevel, Mat4, Vec2 } from 'manifold-3d';
import { kernel } from '../mesh/kernel.ts';

export type Kernel = ManifoldToplevel;

/** The solid kernel, loaded once. */
export const loadKernel = kernel;

export const snap = (length: number): number => Math.round(length * 1e4) / 1e4;

/** One column of a lofted box's section: where it stands along X, and its lower and upper end. */
export interface Column {
  readonly x: number;
  readonly low: number;
  readonly high: number;
}

export interface Section {
  readonly y: number;
  /** The same number in every section of a loft, X rising. */
  readonly columns: readonly Column[];
}

/** A box whose floor and ceiling run through the columns of its sections; its end walls are upright at the first and last section. */
export function loft(kernel: Kernel, sections: readonly Section[]): Manifold {
  const nColumns = sections[0].columns.length;
  const vertices: number[] = [];
  const triangles: number[] = [];
  for (const { y, columns } of sections) {
    for (const { x, low, high } of columns) vertices.push(snap(x), snap(y), snap(low), snap(x), snap(y), snap(high));
  }
  const low = (section: number, column: number): number => 2 * (section * nColumns + column);
  const quad = (a: number, b: number, c: number, d: number): number => triangles.push(a, b, c, a, c, d);
  const last = sections.length - 1;
  for (let s = 0; s < last; s++) {
    for (let c = 0; c + 1 < nColumns; c++) {
      quad(low(s, c), low(s + 1, c), low(s + 1, c + 1), low(s, c + 1));
      quad(low(s, c) + 1, low(s, c + 1) + 1, low(s + 1, c + 1) + 1, low(s + 1, c) + 1);
    }
    quad(low(s, 0), low(s, 0) + 1, low(s + 1, 0) + 1, low(s + 1, 0));
    quad(low(s, nColumns - 1), low(s + 1, nColumns - 1), low(s + 1, nColumns - 1) + 1, low(s, nColumns - 1) + 1);
  }
  for (let c = 0; c + 1 < nColumns; c++) {
    quad(low(0, c), low(0, c + 1), low(0, c + 1) + 1, low(0, c) + 1);
    quad(low(last, c), low(last, c) + 1, low(last, c + 1) + 1, low(last, c + 1));
  }
  const mesh = new kernel.Mesh({ numProp: 3, vertProperties: Float32Array.from(vertices), triVerts: Uint32Array.from(triangles) });
  return kernel.Manifold.ofMesh(mesh);
}

/** A round hole in a plate: its centre in the plate's own two axes, its radius, and how many sides it is drawn with. */
export interface Hole {
  readonly centre: Vec2;
  readonly radius: number;
  readonly sides: number;
}

export interface PlateSize {
  readonly min: Vec2;
  readonly max: Vec2;
  readonly thickness: number;
}

/** Which way a plate faces: a rib across the span lies in X and Z, a bulkhead or a web in Y and Z. */
export type PlateNormal = 'x' | 'y';

/** A flat plate with holes whose rear face stands at `at` along its normal. Its two axes are X and Z (normal y) or Y and Z (normal x). */
export function plate(
  kernel: Kernel,
  normal: PlateNormal,
  at: number,
  { min, max, thickness }: PlateSize,
  holes: readonly Hole[],
): Manifold {
  const outline: Vec2[] = [min, [max[0], min[1]], max, [min[0], max[1]]];
  const flat = kernel.Manifold.extrude([outline, ...holes.map((hole) => circle(hole).reverse())], thickness);
  const turned = flat.transform(normal === 'y' ? Z_TO_MINUS_Y : Z_TO_X);
  return normal === 'y' ? turned.translate([0, snap(at + thickness), 0]) : turned.translate([snap(at), 0, 0]);
}

/** Corners of a hole, counter-clockwise, the first at angle 0. */
function circle({ centre, radius, sides }: Hole): Vec2[] {
  return Array.from({ length: sides }, (_, i): Vec2 => {
    const angle = (2 * Math.PI * i) / sides;
    return [snap(centre[0] + radius * Math.cos(angle)), snap(centre[1] + radius * Math.sin(angle))];
  });
}

const Z_TO_MINUS_Y: Mat4 = [1, 0, 0, 0, 0, 0, 1, 0, 0, -1, 0, 0, 0, 0, 0, 1];
/** Turns a bar along Z into one along X. */
export const Z_TO_X: Mat4 = [0, 1, 0, 0, 0, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0, 1];

/** An upright round bar from `from` to `to`. */
export function post(kernel: Kernel, [x, y]: Vec2, radius: number, from: number, to: number, sides: number): Manifold {
  const outline = circle({ centre: [x, y], radius, sides });
  return kernel.Manifold.extrude([outline], snap(to - from)).translate([0, 0, snap(from)]);
}

/** The sleeve of a filler neck that reaches down into the tank: fuel stands inside and outside, air stays trapped around it. */
export function sleeve(kernel: Kernel, at: Vec2, radius: number, wall: number, from: number, to: number, sides: number): Manifold {
  return post(kernel, at, radius, from, to, sides).subtract(post(kernel, at, radius - wall, from - 1, to + 1, sides));
}

/** A body of revolution about Z through radius and height pairs, bottom to top. */
export function revolve(kernel: Kernel, profile: readonly Vec2[], sides: number): Manifold {
  return kernel.Manifold.revolve([profile.map(([r, z]): Vec2 => [snap(r), snap(z)])], sides);
}

/** The same about X: height becomes X, so a drum lies along the fuselage. */
export function revolveAlongX(kernel: Kernel, profile: readonly Vec2[], sides: number): Manifold {
  return revolve(kernel, profile, sides).transform(Z_TO_X);
}

/** Quarter of an ellipse from the axis (0, −depth) to the rim (radius, 0), as radius and height pairs. */
export function dish(radius: number, depth: number, rows: number): Vec2[] {
  return Array.from({ length: rows + 1 }, (_, i): Vec2 => {
    const angle = (Math.PI / 2) * (i / rows);
    return [radius * Math.sin(angle), -depth * Math.cos(angle)];
  });
}

/** A round well pressed into a floor: a dish below `rim`, open upward, about an upright axis. */
export function well(kernel: Kernel, [x, y]: Vec2, rim: number, radius: number, depth: number): Manifold {
  return revolve(kernel, [...dish(radius, depth, 10), [radius, depth], [0, depth]], 64).translate([snap(x), snap(y), snap(rim)]);
}

/** Rounded rectangle about the origin, counter-clockwise. */
export function roundedRectangle(lengthX: number, lengthY: number, radius: number, sidesPerCorner: number): Vec2[] {
  const points: Vec2[] = [];
  for (let corner = 0; corner < 4; corner++) {
    const sx = corner === 0 || corner === 3 ? 1 : -1;
    const sy = corner < 2 ? 1 : -1;
    for (let i = 0; i <= sidesPerCorner; i++) {
      const angle = (Math.PI / 2) * (corner + i / sidesPerCorner);
      points.push([
        snap(sx * (lengthX / 2 - radius) + radius * Math.cos(angle)),
        snap(sy * (lengthY / 2 - radius) + radius * Math.sin(angle)),
      ]);
    }
  }
  return points;
}

/** Slopes the whole solid: Z rises by `alongX` per unit of X and `alongY` per unit of Y, then the solid is moved. Volume stays. */
export function shearAndMove(solid: Manifold, alongX: number, alongY: number, move: readonly [number, number, number]): Manifold {
  return solid.transform([1, 0, alongX, 0, 0, 1, alongY, 0, 0, 0, 1, 0, move[0], move[1], move[2], 1]);
}
