/** Fuel spaces of the float-plane sample: a wing box with two ribs and a small upright header. All in mm. */
import type { Manifold } from 'manifold-3d';
import { dish, type Hole, type Kernel, plate, post, revolve, shearAndMove, sleeve } from '../engine/shape/solids.ts';
import { column, shareAt, type WingShape, wingBox, xAt } from './wing-shape.ts';

export const WING: WingShape = {
  rootChord: 1550,
  tipChord: 1550,
  span: 740,
  thickness: 0.12,
  camber: 0.04,
  camberAt: 0.4,
  front: 0.18,
  rear: 0.45,
  washout_deg: 1,
};
/** Root rib's leading edge of the right wing: fuselage station, buttock line, waterline. */
export const ROOT = [1900, 600, 1790] as const;
export const INCIDENCE_DEG = 2.5;
export const DIHEDRAL_DEG = 1.5;
export const RIB_STATIONS = [245, 490] as const;
/** Filler neck, in the wing's own frame: at the outboard, high end. */
export const NECK: [number, number] = [0.3 * 1550, 660];

/** Right wing tank in the tank frame; the left one is its mirror image. */
export function wingTank(kernel: Kernel): Manifold {
  const box = wingBox(kernel, WING, 36, 13);
  const neckTop = column(WING, shareAt(WING, NECK[0], NECK[1]), NECK[1]).high;
  const metal = [...RIB_STATIONS.map((y) => rib(kernel, y)), sleeve(kernel, NECK, 32, 1.5, neckTop - 30, 250, 64)];
  const slope = -Math.tan((INCIDENCE_DEG * Math.PI) / 180);
  return shearAndMove(box.subtract(kernel.Manifold.union(metal)), slope, Math.tan((DIHEDRAL_DEG * Math.PI) / 180), [...ROOT]);
}

/** Lightening holes in the middle; mouse holes open at the floor, so nothing stands behind the rib; two small holes under the top skin. */
function rib(kernel: Kernel, y: number): Manifold {
  const holes: Hole[] = [];
  for (const share of [0.225, 0.315, 0.4]) {
    const { x, low, high } = column(WING, share, y);
    holes.push({ centre: [x, (low + high) / 2 + 2], radius: 0.3 * (high - low), sides: 36 });
  }
  for (const share of [0.188, 0.27, 0.358, 0.441]) {
    const { x, low } = column(WING, share, y);
    holes.push({ centre: [x, low + 1], radius: 8, sides: 24 });
  }
  for (const share of [0.22, 0.4]) {
    const { x, high } = column(WING, share, y);
    holes.push({ centre: [x, high - 8], radius: 6, sides: 24 });
  }
  return plate(
    kernel,
    'y',
    y,
    { min: [xAt(WING, WING.front, y) - 30, -150], max: [xAt(WING, WING.rear, y) + 30, 250], thickness: 1.2 },
    holes,
  );
}

/** The header's own frame has its axis at X 0, Y 0 and the seam between cylinder and bottom dish at Z 0. */
export const HEADER = { radius: 100, height: 208, dishDepth: 32, sumpRadius: 27, sumpBottom: -74, sumpDish: 14 };
export const HEADER_AT = [2860, 0, 1080] as const;

/** Header in the tank frame: an upright cylinder between dished ends with a sump below. */
export function header(kernel: Kernel): Manifold {
  const { radius, height, dishDepth, sumpRadius, sumpBottom, sumpDish } = HEADER;
  const top = dish(radius, dishDepth, 14)
    .map(([r, z]): [number, number] => [r, height - z])
    .reverse();
  const body = revolve(kernel, [...dish(radius, dishDepth, 14), ...top], 72);
  const bowl = dish(sumpRadius, sumpDish, 8).map(([r, z]): [number, number] => [r, z + sumpBottom + sumpDish]);
  const sump = revolve(kernel, [...bowl, [sumpRadius, 0], [0, 0]], 72);
  const vent = post(kernel, VENT, 6, VENT_MOUTH, height + dishDepth + 10, 32);
  return body
    .add(sump)
    .subtract(vent)
    .translate([...HEADER_AT]);
}

/** The vent's tube reaches a little below the header's top, in the header's own frame. */
export const VENT: [number, number] = [30, 0];
export const VENT_MOUTH = 222;
