/**
 * A tank as the shape of a mould of two halves: draft, undercuts, the parting outline and the block, for a stated pull or a suggested one.
 * The shape is the fuel space's own wall; a skin's thickness around it has the same drafts.
 */
import type { MouldAnswer, MouldTank } from '../../shared/design-answers.ts';
import type { DesignError } from '../../shared/design-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { normalize, type Vector3 } from '../../shared/vector.ts';
import type { LoadedTank, LoadedTanks } from '../case/load-case.ts';
import { sinDeg } from '../gravity/condition.ts';
import { sineOfDraft, undercuts } from './mould-draft.ts';
import { partingOutlines, smallestBlock } from './mould-outline.ts';
import { SPREAD_SPACING_DEG, suggestedPull } from './mould-pull.ts';
import type { Watch } from './ramp.ts';

/** Wanted draft where the caller says nothing: common practice, no source. */
export const DEFAULT_DRAFT_DEG = 2;
/** Of the tank's size: how far apart samples of undercuts lie, where the caller says nothing. */
const RESOLUTION = 1 / 100;
/** Finer than this many samples is refused: minutes, not seconds. */
const MOST_SAMPLES = 3e6;
/** Of the wall: walls smaller than this do not set the least draft. */
const TRACE = 1e-9;
/** A draft this much below the wanted one still meets it: what float32 can say of a wall. */
const SAME_DRAFT_DEG = 1e-3;

export interface MouldOptions {
  /** Need not be a unit vector; `auto` suggests one for each tank. */
  readonly pull: Vector3 | 'auto';
  readonly draft_deg?: number | undefined;
  readonly tank?: string | undefined;
  /** How far apart samples of undercuts may lie, m. */
  readonly resolution?: number | undefined;
}

/** @returns `design-no-tank`, `design-no-pull`, `design-resolution-too-fine`; null when cancelled */
export async function mouldStudy(
  loaded: LoadedTanks,
  watch: Watch,
  { pull, draft_deg = DEFAULT_DRAFT_DEG, tank, resolution }: MouldOptions,
): Promise<Outcome<MouldAnswer | null, DesignError>> {
  if (pull !== 'auto' && !(Math.hypot(...pull) > 0)) return failed({ code: 'design-no-pull' });
  const tanks = loaded.tanks.filter(({ id }) => tank === undefined || id === tank);
  if (tanks.length === 0) return failed({ code: 'design-no-tank', tank: tank!, tanks: loaded.tanks.map(({ id }) => id) });
  const wall = Math.max(...tanks.map(({ solid }) => solid.wallArea));
  // A part halved across its longest side has at least about a quarter of that side squared.
  if (resolution !== undefined && !((4 * wall) / resolution ** 2 <= MOST_SAMPLES))
    return failed({ code: 'design-resolution-too-fine', resolution_m: resolution, least_m: Math.sqrt((4 * wall) / MOST_SAMPLES) });
  const answers: MouldTank[] = [];
  for (const one of tanks) {
    if (watch.cancelled()) return done(null);
    answers.push(mouldTank(one, pull, draft_deg, resolution ?? RESOLUTION * one.solid.size));
    await watch.progress(answers.length / tanks.length);
  }
  return done({ draft_deg, tanks: answers, notices: answers.flatMap(noticesOf) });
}

function mouldTank({ id, solid }: LoadedTank, wanted: Vector3 | 'auto', draft_deg: number, asked: number): MouldTank {
  const minSine = sinDeg(Math.max(0, draft_deg - SAME_DRAFT_DEG));
  const suggested = wanted === 'auto' ? suggestedPull(solid, minSine, asked) : null;
  const pull = suggested?.pull ?? normalize(wanted as Vector3);
  const { shares, resolution } = undercuts(solid, pull, asked);
  const nTriangles = shares.length;
  const drafts = new Array<number>(nTriangles);
  let [low, undercut, whole, touched] = [0, 0, 0, 0];
  let least = -1;
  for (let t = 0; t < nTriangles; t++) {
    const area = areaOf(solid.areas, t);
    const sine = Math.abs(sineOfDraft(solid, t, pull));
    drafts[t] = (Math.asin(sine) * 180) / Math.PI;
    if (sine < minSine) low += area;
    undercut += shares[t] * area;
    if (shares[t] === 1) whole += area;
    if (shares[t] > 0) touched += area;
    if (area > TRACE * solid.wallArea && (least < 0 || drafts[t] < drafts[least])) least = t;
  }
  const at = (vertex: number): Vector3 => {
    const { positions, origin } = solid;
    return [positions[3 * vertex] + origin[0], positions[3 * vertex + 1] + origin[1], positions[3 * vertex + 2] + origin[2]];
  };
  const corners = [0, 1, 2].map((k) => at(solid.triangles[3 * least + k]));
  const { along, long, short, longSide, shortSide } = smallestBlock(solid, pull);
  return {
    id,
    pull,
    isSuggested: suggested !== null,
    tried: suggested === null ? null : { directions: suggested.directions, spacing_deg: SPREAD_SPACING_DEG },
    wallArea_m2: solid.wallArea,
    leastDraft_deg: drafts[least],
    leastDraftAt_m: [0, 1, 2].map((axis) => corners.reduce((sum, corner) => sum + corner[axis] / 3, 0)) as unknown as Vector3,
    lowDraftArea_m2: low,
    undercutArea_m2: undercut,
    undercutFrom_m2: whole,
    undercutTo_m2: touched,
    resolution_m: resolution,
    undercutShare: Array.from(shares),
    draft_deg: drafts,
    parting: partingOutlines(solid, pull).map(({ vertices, length, rise }) => ({
      length_m: length,
      rise_m: rise,
      at_m: vertices.flatMap((vertex) => at(vertex)),
    })),
    stock: { along_m: along, long_m: long, short_m: short, longSide, shortSide },
  };
}

const areaOf = (areas: Float64Array, t: number): number => Math.hypot(areas[3 * t], areas[3 * t + 1], areas[3 * t + 2]);

function noticesOf({ id, undercutArea_m2, parting }: MouldTank): string[] {
  if (undercutArea_m2 === 0 || parting.length < 2) return [];
  return [
    `Tank "${id}": ${parting.length} outlines, the longest first: with undercuts, the others go round what needs a loose piece, a core or another way of building.`,
  ];
}
