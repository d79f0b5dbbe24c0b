/**
 * Siting: for every place on a tank's wall, what would be left at the worst condition if the outlet, or the only drain, were there; and the
 * best places, or the best two together. A fitting is a point at the wall here. Outlets are judged at the flight conditions, drains on
 * ground sloping every way, on the grid of the ramp study (which then climbs to ridges between its places; siting does not). Exact at each
 * condition (fluid/one-way-out.ts).
 */
import type { Condition } from '../../shared/answers.ts';
import type {
  SitedKind,
  SitedPlace,
  SitingAnswer,
  SitingChoice,
  SitingCondition,
  SitingFigure,
  SitingTank,
} from '../../shared/design-answers.ts';
import type { DesignError } from '../../shared/design-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { arcAtLevel, type Field, makeField } from '../basins/field.ts';
import type { LoadedTank, LoadedTanks } from '../case/load-case.ts';
import { besideArcs, leftByPlace, type Places } from '../fluid/one-way-out.ts';
import { apparentGravity, attitudeOf } from '../gravity/condition.ts';
import { POCKET_VOLUME } from '../tolerances.ts';
import { parkedCondition, plain } from './parked.ts';
import { DEFAULT_RAMP_SLOPE_DEG, drainResidues, FIRST, gridNodes, REFINEMENTS, STEADY, upOnSlope, type Watch } from './ramp.ts';
import { bestPair, type PairCondition, pairCondition } from './siting-pairs.ts';
import { countPlaces, unbeaten, type WallPlaces, wallPlaces } from './siting-places.ts';
import { flightConditions, tankLeft, waysOut } from './unusable.ts';

export interface SitingOptions {
  readonly kind: SitedKind;
  readonly count?: 1 | 2;
  /** One tank alone; by default all. */
  readonly tank?: string | undefined;
  /** Looks between the wall's corners too, m. */
  readonly spacing?: number | undefined;
  /** Steepest ground for drains; by default the case's own, else 5°. */
  readonly slope_deg?: number | undefined;
}

const MOST_PLACES = 200_000;
const CHOICES = 8;
/** Of the tank's size: listed places lie at least so far apart, so that the list is not one corner over and over. */
const APART = 0.05;
/** Of the capacity: figures closer than this are the same. Rounding is 1e-13. */
const SAME = 1e-10;

/** @returns `design-no-tank`, `design-spacing-too-fine`; null when cancelled */
export async function sitingStudy(
  loaded: LoadedTanks,
  watch: Watch,
  { kind, count = 1, tank, spacing = Number.POSITIVE_INFINITY, slope_deg }: SitingOptions,
): Promise<Outcome<SitingAnswer | null, DesignError>> {
  const tanks = loaded.tanks.filter(({ id }) => tank === undefined || id === tank);
  if (tanks.length === 0) return failed({ code: 'design-no-tank', tank: tank!, tanks: loaded.tanks.map(({ id }) => id) });
  const places = tanks.reduce((most, { solid }) => Math.max(most, spacing > 0 ? countPlaces(solid, spacing) : Number.POSITIVE_INFINITY), 0);
  if (!(places <= MOST_PLACES)) return failed({ code: 'design-spacing-too-fine', spacing_m: spacing, places, most: MOST_PLACES });
  const sites = tanks.map((one) => new Site(one, kind, spacing, count));
  const steepest = slope_deg ?? loaded.file.requirements.rampSlope_deg ?? DEFAULT_RAMP_SLOPE_DEG;
  const grid = kind === 'outlet' ? await askFlight(loaded, sites, watch) : await askSlopes(loaded, sites, steepest, watch);
  if (grid === null) return done(null);
  await watch.progress(1);
  return done({
    kind,
    count,
    spacing_m: Number.isFinite(spacing) ? spacing : null,
    conditions: grid.conditions,
    grid: grid.grid,
    tanks: sites.map((site) => site.answer()),
    notices: noticesOf(loaded, tanks, kind, grid.grid?.change ?? 0),
  });
}

type Asked = Pick<SitingAnswer, 'conditions' | 'grid'>;

async function askFlight(loaded: LoadedTanks, sites: readonly Site[], watch: Watch): Promise<Asked | null> {
  const conditions = flightConditions(loaded).map((condition) => ({ id: condition.id, ...plain(condition) }));
  const ups = conditions.map(upAt);
  for (const site of sites) site.leaveOut(ups);
  for (const [i, up] of ups.entries()) {
    if (watch.cancelled()) return null;
    for (const site of sites) site.ask(up);
    await watch.progress((0.99 * (i + 1)) / ups.length);
  }
  for (const site of sites) site.choose();
  return { conditions, grid: null };
}

function upAt(condition: Condition): Vector3 {
  const apparent = apparentGravity(condition);
  if (!apparent.ok) throw new Error(`a checked condition gave ${apparent.error.code}`);
  return apparent.value.up;
}

/** As the ramp study: grids of half the step each time, until no tank's best figure grows by more than 2 %. */
async function askSlopes(loaded: LoadedTanks, sites: readonly Site[], steepest: number, watch: Watch): Promise<Asked | null> {
  const parked = parkedCondition(loaded.file);
  const finest = FIRST.directions * 2 ** REFINEMENTS;
  // Up on gentler ground leans between level and the rim, so a corner no higher at these is no higher at any.
  const rim = gridNodes(steepest, finest, 1).map((node) => upOnSlope(parked, node));
  for (const site of sites) site.leaveOut(rim);
  const conditions: SitingCondition[] = [];
  const known = new Set<string>();
  for (let pass = 0; ; pass++) {
    const [nDirections, nSlopes] = [FIRST.directions * 2 ** pass, FIRST.slopes * 2 ** pass];
    const nodes = gridNodes(steepest, nDirections, nSlopes);
    for (const node of nodes) {
      const id = `${node.slope_deg} ${node.downhill_deg}`; // halving both steps keeps every place of the grid before, to the bit
      if (known.has(id)) continue;
      if (watch.cancelled()) return null;
      known.add(id);
      const up = upOnSlope(parked, node);
      conditions.push({ id: `slope-${conditions.length}`, ...attitudeOf(up), n: parked.n < 0 ? -1 : 1, ...node });
      for (const site of sites) site.ask(up);
      await watch.progress(0.98 * (pass === 0 ? known.size / (4 * nodes.length) : known.size / nodes.length));
    }
    const grown = sites.map((site) => site.choose());
    const change = steepest === 0 ? 0 : Math.max(...grown);
    // As in the ramp study, one refinement at least.
    if (steepest > 0 && (pass === 0 || (change >= STEADY && pass < REFINEMENTS))) continue;
    return {
      conditions,
      grid: { rampSlope_deg: steepest, directionStep_deg: 360 / nDirections, slopeStep_deg: steepest / nSlopes, change },
    };
  }
}

/** One tank with its places, and what is known of each so far. */
class Site {
  readonly tank: LoadedTank;
  readonly kind: SitedKind;
  readonly count: 1 | 2;
  readonly places: WallPlaces;
  readonly left: Float64Array;
  readonly worst: Int32Array;
  /** Over all conditions: tells places with the same worst figure apart. */
  readonly sum: Float64Array;
  kept: readonly number[] = [];
  readonly pairs: PairCondition[] = [];
  readonly present: { left: number; worst: number };
  choices: readonly SitingChoice[] = [];
  nAsked = 0;

  constructor(tank: LoadedTank, kind: SitedKind, spacing: number, count: 1 | 2) {
    this.tank = tank;
    this.kind = kind;
    this.count = count;
    this.places = wallPlaces(tank.solid, spacing);
    const nPlaces = this.places.triangle.length;
    this.left = new Float64Array(nPlaces).fill(Number.NEGATIVE_INFINITY);
    this.worst = new Int32Array(nPlaces);
    this.sum = new Float64Array(nPlaces);
    this.present = { left: Number.NEGATIVE_INFINITY, worst: 0 };
  }

  leaveOut(ups: readonly Vector3[]): void {
    if (this.count === 2) this.kept = unbeaten(this.tank.solid, this.places, ups);
  }

  ask(up: Vector3): void {
    const field = makeField(this.tank.solid, up);
    const places = placesOf(field, this.places);
    const beside = besideArcs(field);
    const left = leftByPlace(field, places, beside);
    for (let p = 0; p < left.length; p++) {
      this.sum[p] += left[p];
      if (left[p] <= this.left[p] * (1 + 1e-9)) continue;
      this.left[p] = left[p];
      this.worst[p] = this.nAsked;
    }
    if (this.count === 2) {
      const arcs = Int32Array.from(this.kept, (p) => places.arcs[p]);
      this.pairs.push(
        pairCondition(
          field,
          beside,
          arcs,
          Float64Array.from(this.kept, (p) => left[p]),
        ),
      );
    }
    const present = this.leftNow(field);
    if (present > this.present.left * (1 + 1e-9)) Object.assign(this.present, { left: present, worst: this.nAsked });
    this.nAsked++;
  }

  private fittings(): LoadedTank['fittings'] {
    return this.kind === 'outlet' ? waysOut(this.tank) : this.tank.fittings.filter(({ kind }) => kind === 'drain');
  }

  private leftNow(field: Field): number {
    if (this.kind === 'outlet') return tankLeft(this.tank, field, this.fittings()).left_m3;
    return drainResidues(this.tank, field).reduce((sum, { volume }) => sum + volume, 0);
  }

  /** @returns by how much the best figure grew since it was last chosen, share of itself; 0 while it is less than what counts as a pocket */
  choose(): number {
    const before = this.choices.length === 0 ? Number.NEGATIVE_INFINITY : this.choices[0].left_m3;
    this.choices = this.count === 1 ? this.bestPlaces() : [this.bestPair()];
    const now = this.choices[0].left_m3;
    return now <= POCKET_VOLUME * this.tank.solid.capacity ? 0 : Math.max(0, now - before) / now;
  }

  private bestPlaces(): SitingChoice[] {
    const same = SAME * this.tank.solid.capacity;
    const figure = Float64Array.from(this.left, (left) => Math.round(left / same));
    const sum = Float64Array.from(this.sum, (all) => Math.round(all / same / this.nAsked));
    const order = Array.from(figure, (_, p) => p).sort((p, q) => figure[p] - figure[q] || sum[p] - sum[q] || p - q);
    const chosen: number[] = [];
    for (const p of order) {
      if (chosen.length === CHOICES) break;
      if (chosen.every((other) => this.distance(p, other) >= this.apart())) chosen.push(p);
    }
    return chosen.map((p) => ({ ...this.figureOf(p), places: [this.sited(p)] }));
  }

  private bestPair(): SitingChoice {
    const found = bestPair(this.pairs, this.kept.length, SAME * this.tank.solid.capacity);
    const places = [...new Set(found.places)].map((p) => this.sited(this.kept[p]));
    return { left_m3: found.left, worst: found.worst, places };
  }

  private apart(): number {
    return APART * this.tank.solid.size;
  }

  private distance(p: number, q: number): number {
    const { at } = this.places;
    return Math.hypot(at[3 * p] - at[3 * q], at[3 * p + 1] - at[3 * q + 1], at[3 * p + 2] - at[3 * q + 2]);
  }

  private atOf(p: number): Vector3 {
    const { origin } = this.tank.solid;
    const { at } = this.places;
    return [at[3 * p] + origin[0], at[3 * p + 1] + origin[1], at[3 * p + 2] + origin[2]];
  }

  private figureOf(p: number): SitingFigure {
    return { left_m3: this.left[p], worst: this.worst[p] };
  }

  private sited(p: number): SitedPlace {
    const at_m = this.atOf(p);
    const away = this.fittings().map(({ at }) => Math.hypot(at[0] - at_m[0], at[1] - at_m[1], at[2] - at_m[2]));
    return { at_m, ...this.figureOf(p), toPresent_m: away.length === 0 ? null : Math.min(...away) };
  }

  answer(): SitingTank {
    const fittings = this.fittings().map(({ id }) => id);
    const { left, worst } = this.present;
    return {
      id: this.tank.id,
      capacity_m3: this.tank.solid.capacity,
      considered: this.left.length,
      present: fittings.length === 0 ? null : { left_m3: left, worst, fittings },
      choices: this.choices,
      apart_m: this.apart(),
      map: {
        at_m: Array.from(this.left).flatMap((_, p) => this.atOf(p)),
        left_m3: Array.from(this.left),
        worst: Array.from(this.worst),
      },
    };
  }
}

/** Each place's arc and level; as arcOfPlace finds it for a fitting at the wall. */
function placesOf(field: Field, { at, triangle }: WallPlaces): Places {
  const { up, heights, lowArc } = field;
  const levels = new Float64Array(triangle.length);
  levels.set(heights); // corners come first
  for (let p = heights.length; p < levels.length; p++) levels[p] = at[3 * p] * up[0] + at[3 * p + 1] * up[1] + at[3 * p + 2] * up[2];
  const arcs = new Int32Array(triangle.length);
  for (let p = 0; p < arcs.length; p++) arcs[p] = arcAtLevel(field, lowArc[triangle[p]], levels[p]);
  return { arcs, levels };
}

function noticesOf(loaded: LoadedTanks, tanks: readonly LoadedTank[], kind: SitedKind, change: number): string[] {
  const notices = [
    `Each place is a point at the wall with no other ${kind} in the tank: a bore, a boss or a pick-up standing off the wall adds to the figure.`,
  ];
  for (const tank of tanks) {
    if (kind === 'outlet' && waysOut(tank).some(({ kind: own }) => own === 'line')) {
      notices.push(`Tank "${tank.id}" has no outlet: its line ends count as its present way out.`);
    }
  }
  if (kind === 'outlet' && loaded.file.conditions.every(({ phase }) => phase !== 'flight')) {
    notices.push('The case names no flight condition: the default ones are used, each with its source (see unusable).');
  }
  if (change >= STEADY)
    notices.push(`The best figure still changed by ${(100 * change).toFixed(1)} % at the finest grid: take it as rough.`);
  return notices;
}
