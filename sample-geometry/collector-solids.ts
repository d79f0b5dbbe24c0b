/** Fuel space of the low-wing sample's collector: a small box under the cabin floor. All in mm. */
import type { Manifold } from 'manifold-3d';
import { type Hole, type Kernel, plate, post, roundedRectangle, well } from '../engine/shape/solids.ts';

/** The collector's own frame has its floor's ridge at X 0 and its plane of symmetry at Y 0. */
export const COLLECTOR = { lengthX: 300, lengthY: 220, height: 92, wellX: 95, wellRadius: 24, wellDepth: 16 };
export const COLLECTOR_AT = [1790, 0, 395] as const;

/** Collector in the tank frame: a floor that falls from a ridge and from the sides to two wells, a baffle over the ridge. */
export function collector(kernel: Kernel): Manifold {
  const { lengthX, lengthY, height, wellX, wellRadius, wellDepth } = COLLECTOR;
  const shell = kernel.Manifold.extrude([roundedRectangle(lengthX, lengthY, 28, 20)], height);
  const beds: Manifold[] = [];
  const stops = [-160, -wellX, 0, wellX, 160];
  for (let i = 0; i + 1 < stops.length; i++) {
    for (const side of [-1, 1]) beds.push(bed(kernel, stops[i], stops[i + 1], side));
  }
  const wells = [-wellX, wellX].map((x) => well(kernel, [x, 0], 0, wellRadius, wellDepth));
  const space = shell.subtract(kernel.Manifold.union(beds)).add(kernel.Manifold.union(wells));
  const baffleHoles: Hole[] = [
    ...[-62, 0, 62].map((y): Hole => ({ centre: [y, 56], radius: 17, sides: 40 })),
    ...[-86, -18, 18, 86].map((y): Hole => ({ centre: [y, collectorFloor(0, y)], radius: 7, sides: 32 })),
    ...[-70, 70].map((y): Hole => ({ centre: [y, height - 1], radius: 6, sides: 32 })),
  ];
  const baffle = plate(kernel, 'x', -0.8, { min: [-130, -20], max: [130, height + 20], thickness: 1.6 }, baffleHoles);
  const pickup = post(kernel, PICKUP, 8, PICKUP_MOUTH, height + 10, 48);
  return space
    .subtract(baffle)
    .subtract(pickup)
    .translate([...COLLECTOR_AT]);
}

/** Where the pickup tube stands, and the height of its mouth, in the collector's own frame: beside the aft well. */
export const PICKUP: [number, number] = [62, 0];
export const PICKUP_MOUTH = 14;

/** Height of the collector's floor outside the wells: falls fore and aft from the ridge, and from both sides to the middle. */
export function collectorFloor(x: number, y: number): number {
  const { wellX } = COLLECTOR;
  const along = Math.abs(x) < wellX ? 12 * (1 - Math.abs(x) / wellX) : (8 * (Math.abs(x) - wellX)) / (160 - wellX);
  return along + (14 * Math.abs(y)) / 110;
}

function bed(kernel: Kernel, fromX: number, toX: number, side: number): Manifold {
  const corners = [fromX, toX].flatMap((x) => [0, side * 120].map((y) => [x, y] as const));
  return kernel.Manifold.hull(
    corners.flatMap(([x, y]): [number, number, number][] => [
      [x, y, -10],
      [x, y, collectorFloor(x, y)],
    ]),
  );
}
