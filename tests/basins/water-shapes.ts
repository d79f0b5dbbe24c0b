/** Tanks whose floors shed water in ways that can be worked out by hand, and drops to shed on them. */
import type { Field } from '../../engine/basins/field.ts';
import { buildTankSolid, type SurfaceMesh, type TankSolid } from '../../engine/mesh/tank-solid.ts';
import { add, dot, type Vector3 } from '../../shared/vector.ts';

/** A tank with a level top at `top` m over a floor given at the crossings of a grid; each cell's diagonal runs from low x, low y to high x, high y unless `turned`. */
export function floorTank(
  xs: readonly number[],
  ys: readonly number[],
  floor: (x: number, y: number) => number,
  top: number,
  turned: (i: number, j: number) => boolean = () => false,
): SurfaceMesh {
  const [nx, ny] = [xs.length, ys.length];
  const count = nx * ny;
  const vertex = (i: number, j: number): number => i * ny + j;
  const positions = [...xs.flatMap((x) => ys.flatMap((y) => [x, y, floor(x, y)])), ...xs.flatMap((x) => ys.flatMap((y) => [x, y, top]))];
  const triangles: number[] = [];
  for (let i = 0; i + 1 < nx; i++) {
    for (let j = 0; j + 1 < ny; j++) {
      const [a, b, c, d] = [vertex(i, j), vertex(i + 1, j), vertex(i + 1, j + 1), vertex(i, j + 1)];
      const cell = turned(i, j) ? [b, d, c, b, a, d] : [a, c, b, a, d, c]; // clockwise from above: outward is down
      triangles.push(...cell);
      for (let t = 0; t < 6; t += 3) triangles.push(count + cell[t], count + cell[t + 2], count + cell[t + 1]);
    }
  }
  const rim = [
    ...xs.slice(1).map((_, i) => [vertex(i, 0), vertex(i + 1, 0)]),
    ...ys.slice(1).map((_, j) => [vertex(nx - 1, j), vertex(nx - 1, j + 1)]),
    ...xs.slice(1).map((_, i) => [vertex(i + 1, ny - 1), vertex(i, ny - 1)]),
    ...ys.slice(1).map((_, j) => [vertex(0, j + 1), vertex(0, j)]),
  ];
  for (const [a, b] of rim) triangles.push(a, b, count + b, a, count + b, count + a);
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
}

export const floorSolid = (...parts: Parameters<typeof floorTank>): TankSolid => buildTankSolid(floorTank(...parts), 0);

/** Each low point's place (tank frame) with its share. */
export function sharesByPlace(field: Field, shares: Float64Array): { at: Vector3; share: number }[] {
  const { solid, arcs } = field;
  return [...shares].flatMap((share, arc) => {
    if (arcs[arc].children.length > 0) return [];
    const p = 3 * arcs[arc].lowest;
    return [{ at: add([solid.positions[p], solid.positions[p + 1], solid.positions[p + 2]], solid.origin), share }];
  });
}

/** Points spread evenly over the floor as seen along apparent gravity. */
export function dropsOnFloor({ solid, up }: Field, count: number, random: () => number): Vector3[] {
  const { triangles, areas, positions, origin } = solid;
  const faces: number[] = [];
  const upTo: number[] = [];
  let total = 0;
  for (let k = 0; k < triangles.length; k += 3) {
    const area = -dot([areas[k], areas[k + 1], areas[k + 2]], up);
    if (area <= 0) continue;
    total += area;
    faces.push(k);
    upTo.push(total);
  }
  return Array.from({ length: count }, () => {
    const aim = random() * total;
    const k = faces[upTo.findIndex((sum) => sum >= aim)];
    let [u, v] = [random(), random()];
    if (u + v > 1) [u, v] = [1 - u, 1 - v];
    const [a, b, c] = [0, 1, 2].map((corner) => 3 * triangles[k + corner]);
    const along = (axis: number): number =>
      origin[axis] +
      positions[a + axis] +
      u * (positions[b + axis] - positions[a + axis]) +
      v * (positions[c + axis] - positions[a + axis]);
    return [along(0), along(1), along(2)];
  });
}

/** Turns a vector about a unit axis; Rodrigues' formula. */
export function turnAbout([x, y, z]: Vector3, angle: number): (v: Vector3) => Vector3 {
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  return (v) => {
    const d = (1 - c) * (x * v[0] + y * v[1] + z * v[2]);
    return [
      c * v[0] + s * (y * v[2] - z * v[1]) + d * x,
      c * v[1] + s * (z * v[0] - x * v[2]) + d * y,
      c * v[2] + s * (x * v[1] - y * v[0]) + d * z,
    ];
  };
}
