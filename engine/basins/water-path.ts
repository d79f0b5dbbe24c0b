/**
 * The way of one water drop: straight down to the first wall, then along steepest descent on the triangles, face by face, to its low point.
 * Water rests where nothing lower is left to it; rules for level walls and overhangs are in runoff.ts.
 *
 * The path never rises, but where it crosses a pit that the field joined to its neighbour: there the water fills the pit and goes on over
 * the rim, and the path climbs by no more than the field's `tolerance.depth`.
 */
import { add, dot, scale, subtract, type Vector3 } from '../../shared/vector.ts';
import { nearestWall } from '../mesh/bvh.ts';
import { faceOf, nextCorner } from '../mesh/half-edges.ts';
import { vertexAt } from '../surface/pool.ts';
import { ON_WALL, SAME_PLACE } from '../tolerances.ts';
import { arcAtLevel, type Field } from './field.ts';
import * as run from './runoff.ts';

/** Common practice, no source: a floor meant to drain slopes by at least this. */
export const LEAST_DRAIN_SLOPE_DEG = 1;

export interface WaterPath {
  /** Tank frame, m; the first is where the drop was, on the wall itself when it lay within `ON_WALL` of it. */
  readonly points: readonly Vector3[];
  /** Along the walls, falls left out. */
  readonly length_m: number;
  /** Least slope along the run, null when it nowhere runs; below 0 where it fills a joined pit and goes over its rim. */
  readonly leastSlope_deg: number | null;
  /** Stretches that slope by less than the least drain slope: from point `from` to point `to`. */
  readonly flats: readonly { readonly from: number; readonly to: number; readonly length_m: number; readonly leastSlope_deg: number }[];
  /** Straight drops: from point `from` to the next. */
  readonly falls: readonly { readonly from: number; readonly drop_m: number }[];
  /** The low point's arc. */
  readonly endsAt: number;
}

/** Where the drop stands: on a face, or at a vertex. */
interface Stand {
  /** −1 at a vertex */
  readonly face: number;
  /** −1 on a face */
  readonly vertex: number;
  readonly at: Vector3;
}

/**
 * @param point - m, tank frame; in the fuel space or on its wall
 * @param leastDrainSlope_deg - stretches below it are listed as flats
 * @returns null when the point is not in the fuel space
 */
export function waterPath(field: Field, point: Vector3, leastDrainSlope_deg = LEAST_DRAIN_SLOPE_DEG): WaterPath | null {
  const walk = new Walk(field);
  const landed = walk.land(subtract(point, field.solid.origin));
  if (landed === null) return null;
  const end = walk.follow(landed);
  return { ...measure(walk, field, leastDrainSlope_deg), endsAt: walk.lowPointAt(end) };
}

/** The low point's arc in which water ends that goes on by `way` from a vertex. */
export function endOfWay(field: Field, vertex: number, way: run.Way): number {
  const walk = new Walk(field);
  walk.points.push(vertexAt(field, vertex));
  return walk.lowPointAt(walk.follow(walk.take(way)));
}

class Walk {
  readonly field: Field;
  readonly runoff: run.Runoff;
  /** Local frame, m. */
  readonly points: Vector3[] = [];
  /** Whether the step from each point to the next is a fall. */
  readonly isFall: boolean[] = [];

  constructor(field: Field) {
    this.field = field;
    this.runoff = run.runoffOf(field);
  }

  /** Runs from the wall it lies on, falls from the overhang it lies on, or falls through fuel. */
  land(at: Vector3): Stand | null {
    const { solid } = this.field;
    const { kind, hair } = this.runoff;
    const reach = ON_WALL * solid.size;
    const floor = nearestWall(solid.bvh, solid, at, (t) => kind[t] === run.OVERHANGS);
    if (floor.distance <= reach) {
      this.points.push(floor.at);
      return this.on(floor.triangle, floor.at, false);
    }
    const { distance, at: on, triangle } = nearestWall(solid.bvh, solid, at);
    this.points.push(distance <= reach ? on : at);
    const outward: Vector3 = [solid.areas[3 * triangle], solid.areas[3 * triangle + 1], solid.areas[3 * triangle + 2]];
    const fall = run.floorBelow(this.runoff, distance <= reach ? subtract(on, scale(outward, hair / Math.hypot(...outward))) : at);
    return fall === null ? null : this.take(fall);
  }

  /** To where the water rests. A way may cross a face more than once, but always lower. */
  follow(stand: Stand): Stand {
    for (let left = 100 + 20 * this.field.lowArc.length; ; left--) {
      const next = stand.vertex >= 0 ? this.fromVertex(stand.vertex) : this.fromFace(stand.face, stand.at);
      if (next === null) return stand;
      if (left === 0) throw new Error('a water path goes round in a circle');
      stand = next;
    }
  }

  on(face: number, at: Vector3, isFall: boolean): Stand {
    this.step(at, isFall);
    return { face, vertex: -1, at };
  }

  step(at: Vector3, isFall: boolean): void {
    const last = this.points[this.points.length - 1];
    if (last[0] === at[0] && last[1] === at[1] && last[2] === at[2]) return;
    this.isFall.push(isFall);
    this.points.push(at);
  }

  toVertex(vertex: number): Stand {
    const at = vertexAt(this.field, vertex);
    this.step(at, false);
    return { face: -1, vertex, at };
  }

  take(way: run.Way): Stand {
    return way.to === 'vertex' ? this.toVertex(way.vertex) : this.on(way.face, way.at, way.to === 'fall');
  }

  fromVertex(vertex: number): Stand | null {
    const way = run.wayFromVertex(this.runoff, vertex);
    if (way !== null) return this.take(way);
    return this.spill(vertex, false, run.pocketAt(this.runoff, this.field.arcOf[vertex], this.field.heights[vertex]));
  }

  fromFace(face: number, at: Vector3): Stand | null {
    const { runoff, field } = this;
    const { triangles } = field.solid;
    if (runoff.kind[face] === run.LEVEL) {
      const k = 3 * face;
      const vertex = Math.min(triangles[k], triangles[k + 1], triangles[k + 2]);
      return this.spill(vertex, true, run.pocketAt(this.runoff, field.lowArc[face], dot(at, field.up)));
    }
    const exit = run.exitOf(runoff, face, at);
    if (exit === null) return this.toVertex(this.lowestCorner(face));
    if (exit.vertex >= 0) return this.toVertex(exit.vertex);
    const { h, share } = exit;
    const from = vertexAt(field, triangles[h]);
    const out = add(from, scale(subtract(vertexAt(field, triangles[nextCorner(h)]), from), share));
    this.step(out, false);
    const beyond = run.beyond(runoff, h);
    if (beyond === 'across') return { face: faceOf(runoff.edges.twin[h]), vertex: -1, at: out };
    if (beyond === 'along') return this.isLevelRest(h) ? null : this.toVertex(run.lowerEnd(runoff, h));
    const [start, end] = run.lip(runoff, h);
    const fall = run.floorBelow(runoff, add(start, scale(subtract(end, start), share)));
    return fall === null ? this.toVertex(run.lowerEnd(runoff, h)) : this.take(fall);
  }

  /** A level gutter from which nothing leads on: water rests all along it. */
  isLevelRest(h: number): boolean {
    const { runoff, field } = this;
    const { arcOf, heights, solid } = field;
    const [a, b] = [solid.triangles[h], solid.triangles[nextCorner(h)]];
    if (Math.abs(heights[a] - heights[b]) > runoff.sameHeight) return false;
    const v = run.lowerEnd(runoff, h);
    return (
      run.wayFromVertex(runoff, v) === null && run.overflow(runoff, v, false, run.pocketAt(this.runoff, arcOf[v], heights[v])).way === null
    );
  }

  lowestCorner(face: number): number {
    const { solid, heights } = this.field;
    return [...solid.triangles.subarray(3 * face, 3 * face + 3)].reduce((a, b) => (heights[b] < heights[a] ? b : a));
  }

  /** On from where water rests. In a low point's pocket it stays, but it leaves a ledge. */
  spill(vertex: number, isPatch: boolean, pocket: number): Stand | null {
    const { way, via } = run.overflow(this.runoff, vertex, isPatch, pocket);
    if (way === null) return null;
    for (const v of via) this.toVertex(v);
    return this.take(way);
  }

  /** The low point in whose pocket the walk's last point lies, on the face or at the vertex where it stands. */
  lowPointAt({ face, vertex }: Stand): number {
    const { arcs, arcOf, lowArc, up } = this.field;
    let arc = arcAtLevel(this.field, vertex >= 0 ? arcOf[vertex] : lowArc[face], dot(this.points.at(-1)!, up));
    while (arcs[arc].children.length > 0) arc = arcs[arc].children[0];
    return arc;
  }
}

function measure({ points, isFall }: Walk, { solid, up }: Field, leastDrainSlope_deg: number): Omit<WaterPath, 'endsAt'> {
  const falls: { from: number; drop_m: number }[] = [];
  const flats: { from: number; to: number; length_m: number; leastSlope_deg: number }[] = [];
  let length_m = 0;
  let leastSlope_deg: number | null = null;
  for (let i = 0; i < isFall.length; i++) {
    const step = subtract(points[i + 1], points[i]);
    const drop = -dot(step, up);
    if (isFall[i]) {
      falls.push({ from: i, drop_m: drop });
      continue;
    }
    const run_m = Math.hypot(...step);
    // Shorter steps are crossings at a vertex whose slope is rounding.
    if (run_m <= SAME_PLACE * solid.size) continue;
    length_m += run_m;
    const slope_deg = (Math.asin(Math.max(-1, Math.min(1, drop / run_m))) * 180) / Math.PI;
    if (leastSlope_deg === null || slope_deg < leastSlope_deg) leastSlope_deg = slope_deg;
    if (slope_deg >= leastDrainSlope_deg) continue;
    const last = flats.at(-1);
    if (last?.to === i) {
      last.to = i + 1;
      last.length_m += run_m;
      last.leastSlope_deg = Math.min(last.leastSlope_deg, slope_deg);
    } else flats.push({ from: i, to: i + 1, length_m: run_m, leastSlope_deg: slope_deg });
  }
  return { points: points.map((point) => add(point, solid.origin)), length_m, leastSlope_deg, flats, falls };
}
