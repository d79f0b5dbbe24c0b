/** Water that the drains leave behind, parked on ground that slopes in any direction. */
import type { LowPoint, RampAnswer, RampSlope, RampTank } from '../../shared/answers.ts';
import { add, scale, type Vector3 } from '../../shared/vector.ts';
import { type Field, isUnder, lowPoints, makeField } from '../basins/field.ts';
import type { LoadedTank, LoadedTanks } from '../case/load-case.ts';
import { openingAt } from '../fittings/opening.ts';
import { drainDown, type Residue } from '../fluid/drain-down.ts';
import { attitudeOf, cosDeg, sinDeg } from '../gravity/condition.ts';
import { vertexAt } from '../surface/pool.ts';
import { parkedCondition } from './parked.ts';

/** How a long study is watched: progress from 0 to 1, awaited so that a worker hears a cancel; `cancelled` ends it. */
export interface Watch {
  readonly progress: (share: number) => void | Promise<void>;
  readonly cancelled: () => boolean;
}

/** Used when neither the case nor the caller says: 5° is common practice, no source. 14 CFR 23.975(a)(7) has a 1 % slope for vents. */
export const DEFAULT_RAMP_SLOPE_DEG = 5;

/** Coarsest grid: directions and slopes from level up. Each refinement halves both steps. */
const FIRST = { directions: 24, slopes: 4 } as const;
const REFINEMENTS = 4;
/** Halving the grid may change the worst figure by less than this share. */
const STEADY = 0.02;

/**
 * @param slope_deg - steepest ground; by default the case's own, else 5°
 * @returns null when cancelled. The worst figure and the grid it was found on: halving both steps changed it by `grid.change`.
 */
export async function rampStudy(loaded: LoadedTanks, watch: Watch, slope_deg?: number): Promise<RampAnswer | null> {
  const { requirements } = loaded.file;
  const steepest = slope_deg ?? requirements.rampSlope_deg ?? DEFAULT_RAMP_SLOPE_DEG;
  const parked = parkedCondition(loaded.file);
  const tolerance = loaded.tanks.reduce((sum, { solid }) => sum + 1e-9 * solid.capacity, 0);
  const known = new Map<string, RampSlope>();
  let worst = 0;
  let reached = 0;
  let change = Number.POSITIVE_INFINITY;
  let slopes: RampSlope[] = [];
  let [nDirections, nSlopes]: [number, number] = [FIRST.directions, FIRST.slopes];
  for (let pass = 0; ; pass++) {
    const nodes = gridNodes(steepest, nDirections, nSlopes);
    slopes = [];
    // At least one refinement follows the coarsest grid, and it holds four times as many places.
    const expected = pass === 0 ? 4 * nodes.length : nodes.length;
    for (const [i, node] of nodes.entries()) {
      if (watch.cancelled()) return null;
      const key = `${node.slope_deg} ${node.downhill_deg}`;
      const slope = known.get(key) ?? slopeAnswer(loaded.tanks, parked, node);
      known.set(key, slope);
      slopes.push(slope);
      if (i % 16 !== 15) continue;
      reached = Math.max(reached, (0.99 * known.size) / expected);
      await watch.progress(reached);
    }
    const found = Math.max(...slopes.map(({ left_m3 }) => left_m3));
    change = pass === 0 ? Number.POSITIVE_INFINITY : Math.max(0, found - worst) / Math.max(found, tolerance);
    worst = found;
    if (change < STEADY || pass === REFINEMENTS || steepest === 0) break;
    nDirections *= 2;
    nSlopes *= 2;
  }
  await watch.progress(1);
  if (steepest === 0) change = 0;
  const limit = requirements.waterLeft_m3;
  const at = slopes.find(({ left_m3 }) => left_m3 === worst)!;
  return {
    rampSlope_deg: steepest,
    parked,
    grid: { directionStep_deg: 360 / nDirections, slopeStep_deg: steepest / nSlopes, change },
    worst: { pitch_deg: at.pitch_deg, roll_deg: at.roll_deg, left_m3: worst },
    slopes,
    requirement: limit === undefined ? null : { waterLeft_m3: limit, met: worst <= limit },
    notices: [
      ...noticesOf(loaded),
      ...(change < STEADY
        ? []
        : [`The worst figure still changed by ${(100 * change).toFixed(1)} % at the finest grid: take it as rough.`]),
    ],
  };
}

interface Node {
  readonly slope_deg: number;
  readonly downhill_deg: number;
}

/** Level once, then every direction at every slope. */
function gridNodes(steepest: number, nDirections: number, nSlopes: number): Node[] {
  const nodes: Node[] = [{ slope_deg: 0, downhill_deg: 0 }];
  if (steepest === 0) return nodes;
  for (let s = 1; s <= nSlopes; s++) {
    for (let d = 0; d < nDirections; d++) nodes.push({ slope_deg: (steepest * s) / nSlopes, downhill_deg: (360 * d) / nDirections });
  }
  return nodes;
}

/**
 * The direction up, in the tank frame, of a design parked on a slope.
 *
 * The ground plane is tilted first: seen from it, up leans uphill by the slope. Then the parked attitude turns that into the tank frame,
 * pitch about Y and roll about X, as in design §2.
 *
 * @param downhill_deg - where the ground falls: 0 towards the nose, 90 to the right
 */
export function upOnSlope(
  parked: { readonly pitch_deg: number; readonly roll_deg: number; readonly n: number },
  { slope_deg, downhill_deg }: Node,
): Vector3 {
  const lean = sinDeg(slope_deg);
  const x = lean * cosDeg(downhill_deg),
    y = -lean * sinDeg(downhill_deg),
    z = cosDeg(slope_deg);
  const sp = sinDeg(parked.pitch_deg),
    cp = cosDeg(parked.pitch_deg),
    sr = sinDeg(parked.roll_deg),
    cr = cosDeg(parked.roll_deg);
  const pitched: Vector3 = [cp * x - sp * z, y, sp * x + cp * z];
  const up: Vector3 = [pitched[0], cr * y - sr * pitched[2], sr * y + cr * pitched[2]];
  return scale(up, (parked.n < 0 ? -1 : 1) / Math.hypot(...up));
}

function slopeAnswer(tanks: readonly LoadedTank[], parked: Parameters<typeof upOnSlope>[0], node: Node): RampSlope {
  const up = upOnSlope(parked, node);
  const answers = tanks.map((tank) => {
    const field = makeField(tank.solid, up);
    return waterLeft(tank, field, drainResidues(tank, field));
  });
  const left_m3 = answers.reduce((sum, tank) => sum + tank.left_m3, 0);
  return { ...node, ...attitudeOf(up), left_m3, tanks: answers };
}

/** What a tank's drains leave behind, body by body: each runs until the level meets the bottom of its opening. */
export function drainResidues({ fittings }: LoadedTank, field: Field): Residue[] {
  const drains = fittings.filter(({ kind }) => kind === 'drain');
  return drainDown(
    field,
    drains.map((drain) => ({ id: drain.id, place: openingAt(field, drain).bottom })),
  );
}

/** What stays in one tank once its drains have run dry, low point by low point. */
export function waterLeft({ id }: LoadedTank, field: Field, residues: readonly Residue[]): RampTank {
  const left_m3 = residues.reduce((sum, { volume }) => sum + volume, 0);
  return { id, left_m3, lowPoints: residues.flatMap((residue) => lowPointsUnder(field, residue)) };
}

/**
 * The low points under one body of water. Each holds its own pocket up to the saddle; what stands above the saddles counts to the lowest.
 * A drain serves a low point when it opens in that very pocket: one that opens above the saddle does not empty it.
 */
function lowPointsUnder(field: Field, { arc, volume, drainedBy }: Residue): LowPoint[] {
  const under = lowPoints(field).filter((point) => isUnder(field, point, arc));
  const lowestFirst = under.sort((a, b) => field.arcs[a].bottom - field.arcs[b].bottom);
  const others = lowestFirst.slice(1).reduce((sum, point) => sum + field.arcs[point].holds, 0);
  return lowestFirst.map((point, place) => ({
    at_m: add(vertexAt(field, field.arcs[point].lowest), field.solid.origin),
    holds_m3: place === 0 ? Math.max(0, volume - others) : field.arcs[point].holds,
    drain: point === arc ? drainedBy : null,
  }));
}

function noticesOf({ tanks }: LoadedTanks): string[] {
  return tanks
    .filter(({ fittings }) => !fittings.some(({ kind }) => kind === 'drain'))
    .map(({ id }) => `Tank "${id}" has no drain: it keeps all the water it holds.`);
}
