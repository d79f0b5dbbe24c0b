/** Water that the drains leave behind, parked on ground that slopes in any direction. */
import type { Condition, LowPoint, RampAnswer, RampFigure, RampSlope, RampTank } from '../../shared/answers.ts';
import { add, scale, type Vector3 } from '../../shared/vector.ts';
import { catchmentShares } from '../basins/catchment.ts';
import { type Field, isUnder, lowPoints, makeField } from '../basins/field.ts';
import type { LoadedTank, LoadedTanks } from '../case/load-case.ts';
import { openingAt } from '../fittings/opening.ts';
import { drainDown, type Residue } from '../fluid/drain-down.ts';
import { attitudeOf, cosDeg, sinDeg } from '../gravity/condition.ts';
import { vertexAt } from '../surface/pool.ts';
import { POCKET_VOLUME } from '../tolerances.ts';
import { parkedCondition } from './parked.ts';

/** How a long study is watched: progress from 0 to 1, awaited so that a worker hears a cancel; `cancelled` ends it. */
export interface Watch {
  readonly progress: (share: number) => void | Promise<void>;
  readonly cancelled: () => boolean;
}

/** Used when neither the case nor the caller says: 5° is common practice, no source. 14 CFR 23.975(a)(7) has a 1 % slope for vents. */
export const DEFAULT_RAMP_SLOPE_DEG = 5;

/** Coarsest grid: directions and slopes from level up. Each refinement halves both steps. */
export const FIRST = { directions: 24, slopes: 4 } as const;
export const REFINEMENTS = 4;
/** Halving the grid may change the worst figure by less than this share. */
export const STEADY = 0.02;
/** Working out catchments takes about this many times as long as a figure: for the progress alone. */
const SHARES_COST = 15;

export interface RampOptions {
  /** Steepest ground; by default the case's own, else 5°. */
  readonly slope_deg?: number | undefined;
  /** False leaves the low points' shares out, which take most of the time. */
  readonly shares?: boolean;
}

/** @returns null when cancelled. The worst figure is climbed to from the grid in `map`; `slopes` has it, level ground and every 15° in detail. */
export async function rampStudy(
  loaded: LoadedTanks,
  watch: Watch,
  { slope_deg, shares = true }: RampOptions = {},
): Promise<RampAnswer | null> {
  const { requirements } = loaded.file;
  const steepest = slope_deg ?? requirements.rampSlope_deg ?? DEFAULT_RAMP_SLOPE_DEG;
  const parked = parkedCondition(loaded.file);
  const mapCost = 4 * FIRST.directions * FIRST.slopes;
  const detailCost = 2 * FIRST.directions * (shares ? SHARES_COST : 1);
  const forMap = mapCost / (mapCost + detailCost);
  const found = await searchWorst(loaded.tanks, parked, steepest, { ...watch, progress: (share) => watch.progress(share * forMap) });
  if (found === null) return null;
  const { map, grid, worst } = found;
  const slopes: RampSlope[] = [];
  const detailed = detailedNodes(steepest, worst);
  for (const node of detailed) {
    if (watch.cancelled()) return null;
    slopes.push(slopeAnswer(loaded.tanks, parked, node, shares));
    await watch.progress(Math.min(0.99, forMap + ((1 - forMap) * slopes.length) / detailed.length));
  }
  await watch.progress(1);
  const limit = requirements.waterLeft_m3;
  return {
    rampSlope_deg: steepest,
    parked,
    grid,
    worst: { pitch_deg: worst.pitch_deg, roll_deg: worst.roll_deg, left_m3: worst.left_m3 },
    slopes,
    map,
    requirement: limit === undefined ? null : { waterLeft_m3: limit, met: worst.left_m3 <= limit },
    notices: [...noticesOf(loaded), ...roughNotice(grid.change)],
  };
}

interface Found extends Pick<RampAnswer, 'map' | 'grid'> {
  readonly worst: RampFigure;
}

/** The worst slope, on grids of half the step each time until the figure is steady. */
async function searchWorst(tanks: readonly LoadedTank[], parked: Condition, steepest: number, watch: Watch): Promise<Found | null> {
  const tolerance = tanks.reduce((sum, { solid }) => sum + 1e-9 * solid.capacity, 0);
  const negligible = tanks.reduce((sum, { solid }) => sum + POCKET_VOLUME * solid.capacity, 0);
  const known = new Map<string, RampFigure>();
  let before: RampFigure | null = null;
  let reached = 0;
  for (let pass = 0; ; pass++) {
    const [nDirections, nSlopes] = [FIRST.directions * 2 ** pass, FIRST.slopes * 2 ** pass];
    const nodes = gridNodes(steepest, nDirections, nSlopes);
    // At least one refinement follows the coarsest grid, and it holds four times as many places.
    const expected = pass === 0 ? 4 * nodes.length : nodes.length;
    const map: RampFigure[] = [];
    for (const [i, node] of nodes.entries()) {
      if (watch.cancelled()) return null;
      const key = `${node.slope_deg} ${node.downhill_deg}`; // halving both steps keeps every place of the grid before, to the bit
      const figure = known.get(key) ?? figureAt(tanks, parked, node);
      known.set(key, figure);
      map.push(figure);
      if (i % 16 !== 15) continue;
      reached = Math.max(reached, known.size / expected);
      await watch.progress(reached);
    }
    const worst = map.reduce((most, next) => (next.left_m3 > most.left_m3 * (1 + 1e-9) ? next : most));
    const isLevel = steepest === 0;
    const change =
      before === null ? Number.POSITIVE_INFINITY : Math.max(0, worst.left_m3 - before.left_m3) / Math.max(worst.left_m3, tolerance);
    if (isLevel || change < STEADY || pass === REFINEMENTS) {
      const grid = { directionStep_deg: 360 / nDirections, slopeStep_deg: steepest / nSlopes, change: isLevel ? 0 : change };
      if (isLevel || worst.left_m3 <= negligible) return { map, grid, worst };
      const climbed = await climbFrom(peaksOf(map, grid), grid, steepest, (node) => figureAt(tanks, parked, node), watch);
      return climbed === null ? null : { map, grid, worst: climbed };
    }
    before = worst;
  }
}

/** Places of the grid to climb from: those that keep most, none beside another, and none that keeps less than this share of the most. */
const PEAKS = 8;
const WORTH_A_CLIMB = 0.75;
/** Directions are told apart to this angle. */
const FINEST_DEG = 0.1;
/** Enough to cross several steps of the grid; a climb still under way then is on a ridge that hardly rises. */
const MOST_MOVES = 40;

type Grid = RampAnswer['grid'];

function peaksOf(map: readonly RampFigure[], { directionStep_deg, slopeStep_deg }: Grid): RampFigure[] {
  const peaks: RampFigure[] = [];
  const turn = (a: number, b: number): number => Math.abs(((a - b + 540) % 360) - 180);
  for (const figure of [...map].sort((a, b) => b.left_m3 - a.left_m3)) {
    const isBeside = (peak: RampFigure): boolean =>
      Math.abs(peak.slope_deg - figure.slope_deg) < 1.5 * slopeStep_deg &&
      turn(peak.downhill_deg, figure.downhill_deg) < 1.5 * directionStep_deg;
    if (peaks.length === PEAKS || figure.left_m3 < WORTH_A_CLIMB * (peaks[0] ?? figure).left_m3) break;
    if (!peaks.some(isBeside)) peaks.push(figure);
  }
  return peaks;
}

/**
 * The worst between the places of the grid: what stays has sharp ridges where a pocket begins to spill, which a grid may step over however
 * little its figure changed when it was halved. Up to a tenth was missed so. Each climb goes to the best of eight neighbours, and halves its
 * steps where none is better.
 */
async function climbFrom(
  peaks: readonly RampFigure[],
  { directionStep_deg, slopeStep_deg }: Grid,
  steepest: number,
  figureOf: (node: Node) => RampFigure,
  watch: Watch,
): Promise<RampFigure | null> {
  let worst = peaks[0];
  for (const peak of peaks) {
    let best = peak;
    let [across, up] = [directionStep_deg / 2, slopeStep_deg / 2];
    for (let move = 0; across > FINEST_DEG && move < MOST_MOVES; move++) {
      if (watch.cancelled()) return null;
      const better = neighboursOf(best, across, up, steepest)
        .map(figureOf)
        .reduce((most, next) => (next.left_m3 > most.left_m3 * (1 + 1e-9) ? next : most), best);
      if (better === best) [across, up] = [across / 2, up / 2];
      best = better;
    }
    if (best.left_m3 > worst.left_m3 * (1 + 1e-9)) worst = best;
    await watch.progress(1);
  }
  return worst;
}

function neighboursOf({ slope_deg, downhill_deg }: Node, across: number, up: number, steepest: number): Node[] {
  const slopes = [...new Set([slope_deg, Math.max(0, slope_deg - up), Math.min(steepest, slope_deg + up)])];
  const turns = [downhill_deg, (downhill_deg - across + 360) % 360, (downhill_deg + across) % 360];
  return slopes.flatMap((slope) => turns.map((turn) => ({ slope_deg: slope, downhill_deg: turn }))).slice(1);
}

export interface Node {
  readonly slope_deg: number;
  readonly downhill_deg: number;
}

/** Level once, then every direction at every slope. */
export function gridNodes(steepest: number, nDirections: number, nSlopes: number): Node[] {
  const nodes: Node[] = [{ slope_deg: 0, downhill_deg: 0 }];
  if (steepest === 0) return nodes;
  for (let s = 1; s <= nSlopes; s++) {
    for (let d = 0; d < nDirections; d++) nodes.push({ slope_deg: (steepest * s) / nSlopes, downhill_deg: (360 * d) / nDirections });
  }
  return nodes;
}

/** Level, every direction of the coarsest grid at half and full slope, and the worst where it is not among them. */
function detailedNodes(steepest: number, worst: Node): Node[] {
  const nodes = gridNodes(steepest, FIRST.directions, 2);
  const has = nodes.some(({ slope_deg, downhill_deg }) => slope_deg === worst.slope_deg && downhill_deg === worst.downhill_deg);
  return has ? nodes : [...nodes, { slope_deg: worst.slope_deg, downhill_deg: worst.downhill_deg }];
}

/**
 * The direction up, in the tank frame, of a design parked on a slope.
 *
 * The ground plane is tilted first: seen from it, up leans uphill by the slope. Then the parked attitude turns that into the tank frame,
 * pitch about Y and roll about X, as in design §2.
 *
 * @param downhill_deg - where the ground falls: 0 towards the nose, 90 to the right
 */
export function upOnSlope(parked: Condition, { slope_deg, downhill_deg }: Node): Vector3 {
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

function figureAt(tanks: readonly LoadedTank[], parked: Condition, node: Node): RampFigure {
  const up = upOnSlope(parked, node);
  const left_m3 = tanks.reduce((sum, tank) => sum + volumeOf(drainResidues(tank, makeField(tank.solid, up))), 0);
  return { ...node, ...attitudeOf(up), left_m3 };
}

function slopeAnswer(tanks: readonly LoadedTank[], parked: Condition, node: Node, shares: boolean): RampSlope {
  const up = upOnSlope(parked, node);
  const answers = tanks.map((tank) => {
    const field = makeField(tank.solid, up);
    return waterLeft(tank, field, drainResidues(tank, field), shares ? catchmentShares(field) : null);
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

const volumeOf = (residues: readonly Residue[]): number => residues.reduce((sum, { volume }) => sum + volume, 0);

/**
 * What stays in one tank once its drains have run dry, low point by low point.
 *
 * @param shares - of each arc, the share of the tank's floor whose water ends there; null leaves it out
 */
export function waterLeft({ id }: LoadedTank, field: Field, residues: readonly Residue[], shares: Float64Array | null = null): RampTank {
  return { id, left_m3: volumeOf(residues), lowPoints: residues.flatMap((residue) => lowPointsUnder(field, residue, shares)) };
}

/**
 * The low points under one body of water. Each holds its own pocket up to the saddle; what stands above the saddles counts to the lowest.
 * A drain serves a low point when it opens in that very pocket: one that opens above the saddle does not empty it.
 */
function lowPointsUnder(field: Field, { arc, volume, drainedBy }: Residue, shares: Float64Array | null): LowPoint[] {
  const under = lowPoints(field).filter((point) => isUnder(field, point, arc));
  const lowestFirst = under.sort((a, b) => field.arcs[a].bottom - field.arcs[b].bottom);
  const others = lowestFirst.slice(1).reduce((sum, point) => sum + field.arcs[point].holds, 0);
  return lowestFirst.map((point, place) => ({
    at_m: add(vertexAt(field, field.arcs[point].lowest), field.solid.origin),
    holds_m3: place === 0 ? Math.max(0, volume - others) : field.arcs[point].holds,
    ...(shares === null ? {} : { share: shares[point] }),
    drain: point === arc ? drainedBy : null,
  }));
}

function noticesOf({ tanks }: LoadedTanks): string[] {
  return tanks
    .filter(({ fittings }) => !fittings.some(({ kind }) => kind === 'drain'))
    .map(({ id }) => `Tank "${id}" has no drain: it keeps all the water it holds.`);
}

const roughNotice = (change: number): string[] =>
  change < STEADY ? [] : [`The worst figure still changed by ${(100 * change).toFixed(1)} % at the finest grid: take it as rough.`];
