/** A small box with drafted walls, a floor that falls to one or two low places, and wells around its drains. In mm. */
import type { Manifold, Vec2 } from 'manifold-3d';
import type { CollectorShape } from '../../shared/shapes.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { cosDeg, sinDeg } from '../gravity/condition.ts';
import { circleSides } from './curve.ts';
import { refuseShape, within } from './shape-fault.ts';
import { dish, type Kernel, revolve } from './solids.ts';
import { type Ring, throughRings } from './through-rings.ts';

/** mm: a side or a corner's radius shorter than this is none. */
const LEAST = 0.01;
/** mm: walls are drawn so far beyond floor and lid, which then cut them. */
const BEYOND = 10;

export function collector(kernel: Kernel, shape: CollectorShape): Manifold {
  const height = shape.height_m * 1000;
  const corners = shape.corners.map(({ x_m, y_m, radius_m }): Corner => ({ x: x_m * 1000, y: y_m * 1000, radius: radius_m * 1000 }));
  const plan = isLeft(corners) ? corners : [...corners].reverse();
  provePlan(shape, plan);
  const [alongLid, acrossLid] = [tanDeg(shape.lidAlong_deg), tanDeg(shape.lidAcross_deg)];
  const lidAt = (x: number, y: number): number => height + alongLid * x + acrossLid * y;
  const highest = Math.max(...plan.map(({ x, y }) => lidAt(x, y)), height) + BEYOND;
  const { walls, foot } = drawnWalls(kernel, shape, plan, height, -BEYOND, highest);
  const bounds = boundsOf(foot);
  const floor = floorOf(shape, bounds);
  proveFloor(shape, plan, floor, lidAt);
  const beds = bedsOf(kernel, floor, bounds, highest * tanDeg(shape.draft_deg) + BEYOND);
  const wells = shape.wells.map((well, i) => wellOf(kernel, shape, well, floor, foot, `wells[${i}]`));
  // The lid keeps what is below it: the kernel keeps the side its normal points to.
  const length = Math.hypot(alongLid, acrossLid, 1);
  const open = walls.subtract(kernel.Manifold.union(beds));
  const space = wells.length === 0 ? open : open.add(kernel.Manifold.union(wells));
  return space.trimByPlane([alongLid / length, acrossLid / length, -1 / length], -height / length);
}

interface Corner {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
}

interface Bounds {
  readonly minX: number;
  readonly maxX: number;
  readonly minY: number;
  readonly maxY: number;
}

const tanDeg = (angle: number): number => sinDeg(angle) / cosDeg(angle);

function boundsOf(foot: readonly (readonly [number, number])[]): Bounds {
  const [xs, ys] = [foot.map(([x]) => x), foot.map(([, y]) => y)];
  return { minX: Math.min(...xs), maxX: Math.max(...xs), minY: Math.min(...ys), maxY: Math.max(...ys) };
}

function isLeft(corners: readonly Corner[]): boolean {
  return corners.reduce((sum, { x, y }, i) => sum + x * next(corners, i).y - next(corners, i).x * y, 0) > 0;
}

const next = <T>(list: readonly T[], i: number): T => list[(i + 1) % list.length];
const previous = <T>(list: readonly T[], i: number): T => list[(i + list.length - 1) % list.length];

/** How a corner of the plan turns: length of its two sides, and the turn from one to the other, left positive, rad. */
function turnAt(plan: readonly Corner[], i: number) {
  const [a, b, c] = [previous(plan, i), plan[i], next(plan, i)];
  const [before, after] = [Math.hypot(b.x - a.x, b.y - a.y), Math.hypot(c.x - b.x, c.y - b.y)];
  const turn = Math.atan2((b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x), (b.x - a.x) * (c.x - b.x) + (b.y - a.y) * (c.y - b.y));
  return { a, b, c, before, after, turn };
}

/** Length a rounded corner takes off each of its sides. */
const cutOff = (radius: number, turn: number): number => radius * Math.abs(Math.tan(turn / 2));

function provePlan(shape: CollectorShape, plan: readonly Corner[]): void {
  plan.forEach((corner, i) => {
    const key = `corners[${shape.corners.findIndex(({ x_m, y_m }) => x_m * 1000 === corner.x && y_m * 1000 === corner.y)}]`;
    const { before, after, turn } = turnAt(plan, i);
    if (!(before > 0.1 && after > 0.1) || Math.abs(turn) > 3.1)
      refuseShape({ code: 'shape-list', key, why: 'it lies on its neighbour or folds back; take it out' });
    for (const [length, other] of [
      [before, previous(plan, i)],
      [after, next(plan, i)],
    ] as const) {
      const theirs = cutOff(other.radius, turnAt(plan, plan.indexOf(other)).turn);
      const free = Math.max(0, length - theirs) * 0.999;
      within(`${key}.radius_m`, corner.radius / 1000, 0, free / Math.abs(Math.tan(turn / 2)) / 1000, 'the rounded corners would meet');
    }
  });
}

/** Walls between two heights. The plan is theirs at the lid's height; they lean in below it, out above it. `foot` is the plan at Z 0. */
function drawnWalls(kernel: Kernel, shape: CollectorShape, plan: readonly Corner[], height: number, from: number, to: number) {
  const lean = tanDeg(shape.draft_deg);
  const sides = plan.map(({ radius }) => (radius === 0 ? 0 : circleSides(radius + (to - height) * lean, shape.chordError_m * 1000)));
  const ringAt = (z: number): Ring | null => {
    const flat = outline(plan, sides, (z - height) * lean);
    return flat === null ? null : { flat, points: flat.map(([x, y]): Vector3 => [x, y, z]) };
  };
  const [low, foot, high] = [ringAt(from), ringAt(0), ringAt(to)];
  const walls = low === null || high === null ? null : throughRings(kernel, [low, high]);
  if (walls !== null && foot !== null) return { walls, foot: foot.flat };
  // The plan itself, or how far it shrinks towards the floor?
  const most = steepest((draft) => outline(plan, sides, (from - height) * tanDeg(draft)) !== null, shape.draft_deg);
  if (most === null || most >= shape.draft_deg)
    return refuseShape({ code: 'shape-list', key: 'corners', why: 'the plan crosses or touches itself; list its corners in order around' });
  return refuseShape({
    code: 'shape-parameter',
    key: 'draft_deg',
    found: shape.draft_deg,
    from: 0,
    to: most,
    why: 'the walls would meet above the floor',
  });
}

function steepest(works: (draft: number) => boolean, asked: number): number | null {
  if (!works(0)) return null;
  let [low, high] = [0, asked];
  for (let round = 0; round < 30; round++) {
    const middle = (low + high) / 2;
    if (works(middle)) low = middle;
    else high = middle;
  }
  return Math.floor(low * 100) / 100;
}

/** The plan moved outward by `out`, its corners rounded about the same centres. @returns null where a side or a corner turns over */
function outline(plan: readonly Corner[], sides: readonly number[], out: number): [number, number][] | null {
  const turns = plan.map((_, i) => turnAt(plan, i));
  const radii = plan.map(({ radius }, i) => (radius === 0 ? 0 : radius + (turns[i].turn > 0 ? out : -out)));
  const moved = turns.map(({ a, b, before, turn }): [number, number] => {
    // Right of the way in is outside; a mitre reaches further by the tangent of half the turn.
    const [ux, uy] = [(b.x - a.x) / before, (b.y - a.y) / before];
    const mitre = Math.tan(turn / 2);
    return [b.x + out * (uy + ux * mitre), b.y + out * (-ux + uy * mitre)];
  });
  const points: [number, number][] = [];
  for (const [i, { turn, a, b, before }] of turns.entries()) {
    const [ux, uy] = [(b.x - a.x) / before, (b.y - a.y) / before];
    const [from, radius] = [previous(moved, i), radii[i]];
    const length = (moved[i][0] - from[0]) * ux + (moved[i][1] - from[1]) * uy;
    const taken = cutOff(radius, turn) + cutOff(previous(radii, i), previous(turns, i).turn);
    if ((plan[i].radius > 0 && radius < LEAST) || length - taken < LEAST) return null;
    if (radius === 0) {
      points.push(moved[i]);
      continue;
    }
    const cut = cutOff(radius, turn);
    const sign = Math.sign(turn);
    const centre = [moved[i][0] - ux * cut - sign * radius * uy, moved[i][1] - uy * cut + sign * radius * ux];
    const first = Math.atan2(-sign * ux, sign * uy);
    const parts = Math.max(2, Math.ceil((sides[i] * Math.abs(turn)) / (2 * Math.PI)));
    for (let p = 0; p <= parts; p++) {
      const angle = first + (turn * p) / parts;
      points.push([centre[0] + radius * Math.cos(angle), centre[1] + radius * Math.sin(angle)]);
    }
  }
  return points;
}

/** Heights of the floor: straight falls that meet at ridges and low lines, where the beds are cut. */
interface Floor {
  readonly at: (x: number, y: number) => number;
  readonly stopsX: readonly number[];
  readonly stopsY: readonly number[];
}

function floorOf({ lowPoint, floorAlong_deg, floorAcross_deg }: CollectorShape, { minX, maxX, minY, maxY }: Bounds): Floor {
  const [along, across] = [tanDeg(floorAlong_deg), tanDeg(floorAcross_deg)];
  const middleX = (minX + maxX) / 2;
  const lowX = lowPoint.kind === 'front' ? minX : lowPoint.kind === 'rear' ? maxX : lowPoint.kind === 'at' ? lowPoint.x_m * 1000 : middleX;
  const lowY = lowPoint.kind === 'at' ? lowPoint.y_m * 1000 : (minY + maxY) / 2;
  const isTwo = lowPoint.kind === 'bothEnds';
  const rise = (x: number): number => along * (isTwo ? Math.min(x - minX, maxX - x) : Math.abs(x - lowX));
  return { at: (x, y) => rise(x) + across * Math.abs(y - lowY), stopsX: isTwo ? [minX, middleX, maxX] : [lowX], stopsY: [lowY] };
}

/** The floor must stay below the lid over the whole plan: both are straight between corners and stops, so these decide. */
function proveFloor(shape: CollectorShape, plan: readonly Corner[], floor: Floor, lidAt: (x: number, y: number) => number): void {
  for (const { x, y } of plan) {
    const over = floor.at(x, y) - lidAt(x, y) + 1;
    if (over > 0) within('height_m', shape.height_m, shape.height_m + over / 1000, null, 'the floor would rise through the lid');
  }
}

/** Below each straight part of the floor: what is taken away from the walls. */
function bedsOf(kernel: Kernel, floor: Floor, { minX, maxX, minY, maxY }: Bounds, margin: number): Manifold[] {
  const stops = (least: number, most: number, inner: readonly number[]): number[] => [
    least - margin,
    ...inner.filter((stop) => stop > least - margin && stop < most + margin),
    most + margin,
  ];
  const [xs, ys] = [stops(minX, maxX, floor.stopsX), stops(minY, maxY, floor.stopsY)];
  const beds: Manifold[] = [];
  for (let i = 0; i + 1 < xs.length; i++) {
    for (let j = 0; j + 1 < ys.length; j++) {
      const corners = [xs[i], xs[i + 1]].flatMap((x) => [ys[j], ys[j + 1]].map((y) => [x, y] as const));
      beds.push(
        kernel.Manifold.hull(
          corners.flatMap(([x, y]): Vector3[] => [
            [x, y, -10 * BEYOND - margin],
            [x, y, floor.at(x, y)],
          ]) as [number, number, number][],
        ),
      );
    }
  }
  return beds;
}

function wellOf(
  kernel: Kernel,
  shape: CollectorShape,
  { x_m, y_m, diameter_m, depth_m }: CollectorShape['wells'][number],
  floor: Floor,
  foot: readonly (readonly [number, number])[],
  key: string,
): Manifold {
  const [x, y, radius, depth] = [x_m * 1000, y_m * 1000, diameter_m * 500, depth_m * 1000];
  const room = roomAt(foot, x, y);
  if (room <= 2) return refuseShape({ code: 'shape-list', key, why: 'its centre lies outside the floor or on its edge; move it in' });
  within(`${key}.diameter_m`, diameter_m, null, (2 * room) / 1000, 'the well would reach through the wall');
  const error = shape.chordError_m * 500;
  const rim = floor.at(x, y);
  // Open upward as far as the floor rises within its rim.
  const around = Array.from({ length: 24 }, (_, i) => (Math.PI * i) / 12);
  const rise = Math.max(...around.map((angle) => floor.at(x + radius * Math.cos(angle), y + radius * Math.sin(angle)))) - rim;
  const rows = Math.max(4, Math.ceil(circleSides(Math.max(radius, depth), error) / 4));
  const profile: Vec2[] = [...dish(radius, depth, rows), [radius, rise + 1], [0, rise + 1]];
  return revolve(kernel, profile, circleSides(radius, error)).translate([x, y, rim]);
}

/** Distance from a point to an outline, negative outside it. */
function roomAt(outline: readonly (readonly [number, number])[], x: number, y: number): number {
  let least = Infinity;
  let isInside = false;
  for (const [i, [x0, y0]] of outline.entries()) {
    const [x1, y1] = next(outline, i);
    const [dx, dy] = [x1 - x0, y1 - y0];
    const share = Math.min(1, Math.max(0, ((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy)));
    least = Math.min(least, Math.hypot(x0 + share * dx - x, y0 + share * dy - y));
    if (y0 > y !== y1 > y && x < x0 + ((y - y0) * dx) / dy) isInside = !isInside;
  }
  return isInside ? least : -least;
}
