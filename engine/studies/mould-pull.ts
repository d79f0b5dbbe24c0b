/** Which way a mould of two halves comes off best: directions all over a hemisphere and square to the largest walls, tried one by one. */
import { dot, scale, type Vector3 } from '../../shared/vector.ts';
import type { TankSolid } from '../mesh/tank-solid.ts';
import { sineOfDraft, undercuts } from './mould-draft.ts';
import { smallestBlock } from './mould-outline.ts';

/** All over a hemisphere; a pull and its opposite are the same mould. */
const SPREAD = 200;
export const SPREAD_SPACING_DEG = (Math.sqrt((2 * Math.PI) / SPREAD) * 180) / Math.PI;
const LARGEST_WALLS = 12;
/** First look: about so many rays, over the wall by area. */
const SAMPLED = 1500;
const LOOKED_AT_CLOSELY = 4;
/** Of the resolution asked for: ranking needs less than the answer. */
const RANKING = 4;
/** Of the wall: areas closer than this are the same. */
const SAME_AREA = 1e-3;

export interface SuggestedPull {
  readonly pull: Vector3;
  readonly directions: number;
}

/**
 * Least undercut first, then least wall below the wanted draft, then the smallest block. Among equals the earlier in the list: the axes, then
 * the largest walls, then the rest; so a tank drawn square to its mould gets a plain answer.
 *
 * @param minSine - sine of the wanted draft
 * @param resolution - m, of the undercuts to be worked out for the pull that is chosen
 */
export function suggestedPull(solid: TankSolid, minSine: number, resolution: number): SuggestedPull {
  const directions = candidates(solid);
  const sample = sampleOf(solid);
  const roughly = 2 * Math.sqrt(solid.wallArea / SAMPLED); // halved across its longest side, a part has about a quarter of that squared
  const ranked = directions.map((pull, i) => ({ pull, i, score: scoreOf(solid, pull, minSine, sample, roughly) }));
  ranked.sort((a, b) => before(a.score, b.score) || a.i - b.i);
  const all = Array.from({ length: solid.triangles.length / 3 }, (_, triangle) => ({ triangle, weight: areaOf(solid, triangle) }));
  const close = ranked
    .slice(0, LOOKED_AT_CLOSELY)
    .map(({ pull, i }) => ({ pull, i, score: scoreOf(solid, pull, minSine, all, RANKING * resolution) }));
  close.sort((a, b) => before(a.score, b.score) || a.i - b.i);
  return { pull: close[0].pull, directions: directions.length };
}

/** A triangle and the area it stands for, m². */
interface Seen {
  readonly triangle: number;
  readonly weight: number;
}

type Score = readonly [undercut: number, lowDraft: number, block: number];

function scoreOf(solid: TankSolid, pull: Vector3, minSine: number, seen: readonly Seen[], resolution: number): Score {
  const { shares } = undercuts(
    solid,
    pull,
    resolution,
    seen.map(({ triangle }) => triangle),
  );
  const total = seen.reduce((sum, { weight }) => sum + weight, 0);
  const undercut = seen.reduce((sum, { triangle, weight }) => sum + shares[triangle] * weight, 0);
  let low = 0;
  for (let t = 0; t < solid.areas.length / 3; t++) if (Math.abs(sineOfDraft(solid, t, pull)) < minSine) low += areaOf(solid, t);
  const { along, long, short } = smallestBlock(solid, pull);
  return [Math.round(undercut / total / SAME_AREA), Math.round(low / solid.wallArea / SAME_AREA), along * long * short];
}

const before = (a: Score, b: Score): number => a[0] - b[0] || a[1] - b[1] || (Math.abs(a[2] - b[2]) <= 1e-6 * a[2] ? 0 : a[2] - b[2]);

const areaOf = ({ areas }: Pick<TankSolid, 'areas'>, t: number): number => Math.hypot(areas[3 * t], areas[3 * t + 1], areas[3 * t + 2]);

/** Every so-manyth triangle by area passed; one larger than the step stands for itself. */
function sampleOf(solid: TankSolid): Seen[] {
  const nTriangles = solid.triangles.length / 3;
  const every = nTriangles <= SAMPLED ? 0 : solid.wallArea / SAMPLED;
  const picked: Seen[] = [];
  let passed = every / 2;
  for (let triangle = 0; triangle < nTriangles; triangle++) {
    const area = areaOf(solid, triangle);
    passed += area;
    if (passed < every) continue;
    if (every > 0) passed %= every;
    picked.push({ triangle, weight: Math.max(area, every) });
  }
  return picked;
}

function candidates(solid: TankSolid): Vector3[] {
  const list: Vector3[] = [];
  const offer = (pull: Vector3): void => {
    if (list.every((other) => Math.abs(dot(pull, other)) < 1 - 1e-9)) list.push(pull);
  };
  for (const axis of [
    [0, 0, 1],
    [0, 1, 0],
    [1, 0, 0],
  ] as const)
    offer(axis);
  for (const normal of largestWalls(solid)) offer(normal);
  // Points spread evenly over a hemisphere by the golden angle. Source: González 2010, Math. Geosci. 42, 49–64.
  const golden = Math.PI * (3 - Math.sqrt(5));
  for (let i = 0; i < SPREAD; i++) {
    const z = (i + 0.5) / SPREAD;
    const r = Math.sqrt(1 - z * z);
    offer([r * Math.cos(golden * i), r * Math.sin(golden * i), z]);
  }
  return list;
}

/** Directions that the most wall is square to, within about 1°. */
function largestWalls(solid: TankSolid): Vector3[] {
  const walls = new Map<string, { area: number; sum: [number, number, number] }>();
  for (let t = 0; t < solid.areas.length / 3; t++) {
    const area = areaOf(solid, t);
    if (area === 0) continue;
    let n: Vector3 = [solid.areas[3 * t] / area, solid.areas[3 * t + 1] / area, solid.areas[3 * t + 2] / area];
    if (n[2] < 0 || (n[2] === 0 && (n[1] < 0 || (n[1] === 0 && n[0] < 0)))) n = scale(n, -1);
    const key = n.map((value) => Math.round(value * 50)).join();
    const wall = walls.get(key) ?? { area: 0, sum: [0, 0, 0] };
    wall.area += area;
    n.forEach((value, axis) => {
      wall.sum[axis] += area * value;
    });
    walls.set(key, wall);
  }
  return [...walls.values()]
    .sort((a, b) => b.area - a.area)
    .slice(0, LARGEST_WALLS)
    .map(({ sum }) => scale(sum, 1 / Math.hypot(...sum)));
}
