/** Fuel space of the low-wing sample's wing tank: a box with ribs, stringers and a filler neck. All in mm. */
import type { Manifold } from 'manifold-3d';
import { type Hole, type Kernel, loadKernel, loft, plate, post, shearAndMove, sleeve, Z_TO_X } from '../engine/shape/solids.ts';
import { type Surface, surfaceOf } from './surface.ts';
import { chordAt, column, shareAt, type WingShape, wingBox, xAt } from './wing-shape.ts';

export const WING: WingShape = {
  rootChord: 1260,
  tipChord: 1130,
  span: 1190,
  thickness: 0.13,
  camber: 0.02,
  camberAt: 0.4,
  front: 0.15,
  rear: 0.4,
  washout_deg: 1.5,
};
/** Where the root rib's leading edge stands, right wing: fuselage station, buttock line, waterline. */
export const ROOT = [1480, 620, 610] as const;
export const INCIDENCE_DEG = 2;
export const DIHEDRAL_DEG = 6;
/** Places of ribs along the span and of floor stringers along the chord. */
export const RIB_STATIONS = [170, 340, 510, 680, 850, 1020] as const;
export const RIB_THICKNESS = 1.5;
export const STRINGERS = [0.232, 0.316] as const;
/** Where a floor stringer has a weep hole through its web: by the root rib, and in the middle of every other bay. */
export const WEEP_STATIONS = [20, 425, 765, 1105] as const;
/** Limber holes start this far above the floor: what stands lower stays in its bay. */
export const LIMBER_SILL = 3;
export const LIMBER_RADIUS = 5;

/** How finely curves are drawn. */
export interface Detail {
  readonly columns: number;
  readonly stations: number;
  readonly holeSides: number;
}
export const SAMPLE_DETAIL: Detail = { columns: 16, stations: 15, holeSides: 24 };

export interface WingTankOptions {
  readonly detail: Detail;
  /** The rib whose aft limber hole was never drilled, or −1. */
  readonly forgottenRib: number;
}

/** Right wing tank in the tank frame. */
export function wingTank(kernel: Kernel, { detail, forgottenRib }: WingTankOptions): Manifold {
  const box = wingBox(kernel, WING, detail.columns, detail.stations);
  const ribs = RIB_STATIONS.map((y, i) => rib(kernel, y, i === forgottenRib, detail.holeSides));
  const stringers = STRINGERS.flatMap((share) => [stringer(kernel, share, 'floor', detail), stringer(kernel, share, 'ceiling', detail)]);
  const neck = sleeve(kernel, NECK, 32, 1.5, column(WING, shareAt(WING, NECK[0], NECK[1]), NECK[1]).high - 34, 200, 2 * detail.holeSides);
  const metal = kernel.Manifold.union([...ribs, ...stringers, neck]);
  const slope = -Math.tan((INCIDENCE_DEG * Math.PI) / 180);
  return shearAndMove(box.subtract(metal), slope, Math.tan((DIHEDRAL_DEG * Math.PI) / 180), [...ROOT]);
}

/** Filler neck, in the wing's own frame. */
export const NECK: [number, number] = [350, 935];

function rib(kernel: Kernel, y: number, isAftForgotten: boolean, sides: number): Manifold {
  const chord = chordAt(WING, y);
  const at = (share: number) => column(WING, share, y);
  const holes: Hole[] = [];
  for (const [share, size] of [
    [0.192, 0.56],
    [0.274, 0.58],
    [0.356, 0.56],
  ] as const) {
    const { x, low, high } = at(share);
    holes.push({ centre: [x, (low + high) / 2], radius: (size * (high - low)) / 2, sides });
  }
  // Two limbers a channel between stringers, at its ends: the floor's low side changes with attitude.
  for (const share of [0.16, 0.222, 0.243, 0.306, 0.327, 0.39]) {
    if (isAftForgotten && share > STRINGERS[1]) continue;
    const { x, low } = at(share);
    holes.push({ centre: [x, low + LIMBER_SILL + LIMBER_RADIUS], radius: LIMBER_RADIUS, sides });
  }
  for (const share of [0.17, 0.274, 0.38]) {
    const { x, high } = at(share);
    holes.push({ centre: [x, high - 2 - LIMBER_RADIUS], radius: LIMBER_RADIUS, sides });
  }
  const size = {
    min: [xAt(WING, WING.front, y) - 40, -0.1 * chord] as [number, number],
    max: [xAt(WING, WING.rear, y) + 40, 0.15 * chord] as [number, number],
    thickness: RIB_THICKNESS,
  };
  return plate(kernel, 'y', y, size, holes);
}

/** An angle along the span with a web of 14 mm and a flange of 11 mm, with weep holes on the floor. */
function stringer(kernel: Kernel, share: number, side: 'floor' | 'ceiling', detail: Detail): Manifold {
  const bar = (fromX: number, toX: number, from: number, to: number): Manifold =>
    loft(
      kernel,
      Array.from({ length: detail.stations }, (_, s) => {
        const y = -5 + ((WING.span + 10) * s) / (detail.stations - 1);
        const { x, low, high } = column(WING, share, y);
        const [z0, z1] = side === 'floor' ? [low + from, low + to] : [high - to, high - from];
        return {
          y,
          columns: [
            { x: x + fromX, low: z0, high: z1 },
            { x: x + toX, low: z0, high: z1 },
          ],
        };
      }),
    );
  const angle = bar(0, 1.2, -4, 13.4).add(bar(0, 11, 12.8, 14));
  if (side === 'ceiling') return angle;
  const weeps = WEEP_STATIONS.map((y): Manifold => {
    const { x, low } = column(WING, share, y);
    return post(kernel, [0, 0], 3, -3, 3, detail.holeSides)
      .transform(Z_TO_X)
      .translate([x + 0.6, y, low + 6.5]);
  });
  return angle.subtract(kernel.Manifold.union(weeps));
}

/**
 * The sample's right wing tank drawn finer or coarser, for timing.
 * @returns m, tank frame, within about 10 % of the asked number of triangles
 */
export async function benchWingTank(targetTriangles: number): Promise<{ positions: Float64Array; triangles: Uint32Array }> {
  const kernel = await loadKernel();
  const draw = (factor: number): Surface => {
    const times = (count: number): number => Math.max(4, Math.round(count * factor));
    const { columns, stations, holeSides } = SAMPLE_DETAIL;
    return surfaceOf(
      kernel,
      wingTank(kernel, { detail: { columns: times(columns), stations: times(stations), holeSides: times(holeSides) }, forgottenRib: -1 }),
    );
  };
  let factor = 1;
  let surface = draw(factor);
  for (let round = 0; round < 6; round++) {
    const ratio = targetTriangles / (surface.triangles.length / 3);
    if (Math.abs(ratio - 1) < 0.07) break;
    factor *= ratio ** 0.9; // nearly in proportion: holes are most of the triangles
    surface = draw(factor);
  }
  return { positions: Float64Array.from(surface.positions, (mm) => mm / 1000), triangles: surface.triangles };
}
