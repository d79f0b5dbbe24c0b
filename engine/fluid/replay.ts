/**
 * One tank through a recorded manoeuvre: its pools, with memory, as gravity turns and outlets draw.
 *
 * Steps. A turn of more than `MOST_TURN` is carried out in equal parts. While gravity stays within `KEPT_TURN` of the field it was worked out
 * for, the field is kept: each free surface turns about its own centroid, which is right to first order in the angle for depths and for the
 * fuel's centroid; nothing spills or parts until the field is made anew. What an outlet draws is taken off as a layer of the free surface,
 * and the surface is measured again when `LAYER` of the capacity has gone
 * from a pool. Volumes are exact throughout.
 */
import { cross, dot, length, subtract, type Vector3 } from '../../shared/vector.ts';
import { type Field, isUnder, makeField } from '../basins/field.ts';
import { poolAtOpening } from '../fittings/cover.ts';
import { type Fitting, type Opening, openingAt } from '../fittings/opening.ts';
import {
  type Body,
  type LevelBasis,
  levelBasis,
  measureBodies,
  type Tilt,
  tiltedDepth,
  tiltedMoment,
  tiltOf,
} from '../surface/free-surface.ts';
import { type PoolState, poolOfLevel, poolOfVolume } from '../surface/pool.ts';
import { carry, type Standing, turnSteps } from './turn.ts';
import { exactWays } from './ways.ts';

/** rad; see the head of the file. Doubling the steps of the samples' turns from here moved no pool by 1e-4 of the capacity. */
export const MOST_TURN = (2 * Math.PI) / 180;
/**
 * rad. Against a field for every row, 1,000 rows of the low-wing and drum samples: depths within 0.1 mm, within 0.6 mm where a litre or two lie
 * in shallow pools; the fuel centroid within 0.25 mm, 2.2 mm there; dry intervals begin within 0.01 s. At 0.1° it takes twice as long.
 */
export const KEPT_TURN = (0.25 * Math.PI) / 180;
/** Of the capacity, from one pool: 15 mL of 50 L. */
const LAYER = 3e-4;

/** Heights of the fuel's surface over an opening's highest point, middle and lowest point, m; null where no fuel lies under it. */
export interface Depth {
  readonly top: number;
  readonly centre: number;
  readonly bottom: number;
}

export interface ReplaySteps {
  /** Fields made, and turns met with the field kept. */
  fields: number;
  kept: number;
}

const LEVEL: Tilt = { alongP: 0, alongQ: 0, cosine: 1 };

export class TankFuel {
  readonly steps: ReplaySteps = { fields: 0, kept: 0 };
  readonly watched: readonly Fitting[];
  readonly keptTurn: number;
  field: Field;
  bodies: Body[] = [];
  private basis: LevelBasis = levelBasis([0, 0, 1]);
  private tilt = LEVEL;
  private openings: readonly Opening[] = [];
  private readonly shortfalls: Float64Array;

  /** @param watched - the fittings that `depth` and `draw` may be asked for, by index */
  constructor({ field, pools }: Standing, watched: readonly Fitting[], keptTurn = KEPT_TURN) {
    this.field = field;
    this.watched = watched;
    this.shortfalls = new Float64Array(watched.length);
    this.keptTurn = keptTurn;
    this.take({ field, pools });
  }

  private take({ field, pools }: Standing): void {
    this.field = field;
    this.basis = levelBasis(field.up);
    this.tilt = LEVEL;
    this.openings = this.watched.map((fitting) => openingAt(field, fitting));
    this.bodies = measureBodies(field, pools, this.basis);
  }

  /** Gravity turns to a new direction. @returns the angle since the last field, rad */
  turn(up: Vector3): number {
    const { field } = this;
    const angle = Math.atan2(length(cross(field.up, up)), dot(field.up, up));
    if (angle <= this.keptTurn) {
      this.steps.kept++;
      this.tilt = tiltOf(field.up, this.basis, up);
      return angle;
    }
    let now: Standing = { field, pools: this.bodies };
    for (const next of turnSteps(field.up, up, Math.ceil(angle / MOST_TURN))) {
      now = carry(now, makeField(field.solid, next, field.tolerance), exactWays);
      this.steps.fields++;
    }
    this.take(now);
    return angle;
  }

  volume(): number {
    return this.bodies.reduce((sum, { volume }) => sum + volume, 0);
  }

  /** Sum of volume times centroid over the pools, m⁴, local frame. */
  moment(): Vector3 {
    const sum: [number, number, number] = [0, 0, 0];
    for (const body of this.bodies) {
      const own = tiltedMoment(body, this.basis, this.field.up, this.tilt);
      for (let axis = 0; axis < 3; axis++) sum[axis] += own[axis];
    }
    return sum;
  }

  depth(fitting: number): Depth | null {
    const opening = this.openings[fitting];
    const body = poolAtOpening(this.field, opening, this.bodies);
    if (body === null) return null;
    const at = subtract(opening.fitting.at, this.field.solid.origin);
    const [p, q] = [dot(at, this.basis.p), dot(at, this.basis.q)];
    const under = (level: number): number => tiltedDepth(body, this.tilt, p, q, level);
    return { top: under(opening.top.level), centre: under(opening.centre.level), bottom: under(opening.bottom.level) };
  }

  /**
   * An outlet draws until the surface stands at its lowest point.
   *
   * @param volume - m³ asked for
   * @returns what it got
   */
  draw(fitting: number, volume: number): number {
    const depth = this.depth(fitting);
    if (depth === null || depth.bottom <= 0 || volume <= 0) return 0;
    const { field } = this;
    const opening = this.openings[fitting];
    const body = poolAtOpening(field, opening, this.bodies)!;
    const { children, birth } = field.arcs[body.arc];
    const layer = body.area > 0 ? volume / body.area : Number.POSITIVE_INFINITY;
    const room = Math.min(depth.bottom / this.tilt.cosine, body.level - birth);
    const held = children.reduce((sum, part) => sum + field.arcs[part].holds, 0);
    if (body.drawn + volume <= LAYER * field.solid.capacity && 2 * layer < room && body.volume - volume > held) {
      return this.takeLayer(body, volume, layer);
    }
    const before = body.volume;
    const pools = fallen(
      field,
      body,
      body.volume - volume,
      body.level - depth.bottom / this.tilt.cosine,
      field.lowArc[opening.centre.triangle],
    );
    this.bodies = [...this.bodies.filter((other) => other !== body), ...measureBodies(field, pools, this.basis)];
    const got = before - pools.reduce((sum, pool) => sum + pool.volume, 0);
    if (body.area > 0) this.shortfalls[fitting] += Math.max(0, volume - got) / body.area;
    return got;
  }

  /** How much lower the surface would stand, had the outlet drawn all it was asked for since this was last asked; m. */
  takeShortfall(fitting: number): number {
    const shortfall = this.shortfalls[fitting];
    this.shortfalls[fitting] = 0;
    return shortfall;
  }

  private takeLayer(body: Body, volume: number, layer: number): number {
    const { p, q } = this.basis;
    const { up } = this.field;
    const middle = body.level - layer / 2;
    const away = (axis: 0 | 1 | 2): number => body.moment[axis] - volume * (p[axis] * body.p + q[axis] * body.q + up[axis] * middle);
    body.moment = [away(0), away(1), away(2)];
    body.level -= layer;
    body.drawn += volume;
    const before = body.volume;
    body.volume -= volume;
    return before - body.volume; // what it lost, to the last bit
  }
}

/**
 * A pool that loses fuel over one place of its floor: its level falls, and where it parts at a saddle only the part over the place falls on.
 *
 * @param volume - m³ that should stay
 * @param leastLevel - where the fall ends
 * @param floor - arc of the floor under the outlet
 */
export function fallen(field: Field, pool: PoolState, volume: number, leastLevel: number, floor: number): PoolState[] {
  const { arcs } = field;
  const apart: PoolState[] = [];
  let { arc } = pool;
  let lose = Math.max(0, pool.volume - volume);
  let have = pool.volume;
  for (;;) {
    const { children, birth } = arcs[arc];
    const held = children.reduce((sum, part) => sum + arcs[part].holds, 0);
    if (have - lose >= held) {
      const low = poolOfVolume(field, arc, have - lose);
      if (low.level >= leastLevel) return kept(apart, low);
    }
    const next = children.find((part) => isUnder(field, floor, part));
    if (next === undefined || leastLevel >= birth) {
      const stop = poolOfLevel(field, arc, Math.max(leastLevel, birth));
      return kept(apart, stop.volume < have ? stop : { arc, level: arc === pool.arc ? pool.level : arcs[arc].death, volume: have });
    }
    for (const part of children) if (part !== next) apart.push({ arc: part, level: arcs[part].death, volume: arcs[part].holds });
    lose -= have - held;
    arc = next;
    have = arcs[next].holds;
  }
}

const kept = (apart: PoolState[], low: PoolState): PoolState[] => (low.volume > 0 ? [...apart, low] : apart);
