/** A pool as drawn from a field: one arc filled to a level. Volume, free surface and centroid by one pass over its wall. */
import { add, type Vector3 } from '../../shared/vector.ts';
import { type Field, isUnder } from '../basins/field.ts';
import { LEVEL_VOLUME } from '../tolerances.ts';
import { areaShareBelow, shareBelow } from './below-level.ts';

/** Levels are local to the solid's origin, m. */
export interface PoolState {
  readonly arc: number;
  readonly level: number;
  /** m³ */
  readonly volume: number;
}

/** The triangles that shape a pool between two levels, and the sums of those wholly below. */
interface ActiveWall {
  /** Four per triangle: heights ascending, signed projected area. */
  readonly cut: Float64Array;
  readonly areaSum: number;
  readonly momentSum: number;
}

/** Sums of projected area and of area times mean height over the triangles that lie wholly under the parts of an arc. */
function sumsUnderParts({ arcs, areaSum, momentSum }: Field, arc: number): { area: number; moment: number } {
  let area = 0;
  let moment = 0;
  for (let part = arcs[arc].nestedFrom; part < arc; part++) {
    area += areaSum[part];
    moment += momentSum[part];
  }
  return { area, moment };
}

/**
 * What an arc holds at each of a few rising levels, in one pass over its wall.
 * @param levels - ascending, between the arc's birth and death, m
 * @returns m³; shape (levels)
 */
function volumesAt(field: Field, arc: number, levels: Float64Array): Float64Array {
  const volumes = new Float64Array(levels.length);
  const area = new Float64Array(levels.length + 1);
  const moment = new Float64Array(levels.length + 1);
  sumSlices(field, arc, levels, volumes, area, moment);
  const below = sumsUnderParts(field, arc);
  for (let i = 0; i < levels.length; i++) {
    below.area += area[i];
    below.moment += moment[i];
    volumes[i] += below.moment - levels[i] * below.area;
  }
  return volumes;
}

/**
 * The hot loop of `volumesAt`, alone. Adds to `volumes` what each level cuts, and to `area` and `moment` the triangles whose top lies below
 * this level but not below the one before.
 */
function sumSlices(field: Field, arc: number, levels: Float64Array, volumes: Float64Array, area: Float64Array, moment: Float64Array): void {
  const { solid, up, heights, lowArc, highArc, arcs } = field;
  const { triangles, areas } = solid;
  const { nestedFrom } = arcs[arc];
  const nLevels = levels.length;
  for (let t = 0, k = 0; t < lowArc.length; t++, k += 3) {
    if (lowArc[t] > arc || lowArc[t] < nestedFrom || highArc[t] < arc) continue;
    const a = heights[triangles[k]];
    const b = heights[triangles[k + 1]];
    const c = heights[triangles[k + 2]];
    const low = Math.min(a, b, c);
    const high = Math.max(a, b, c);
    let i = 0;
    while (i < nLevels && levels[i] <= low) i++;
    if (i === nLevels) continue;
    const plan = areas[k] * up[0] + areas[k + 1] * up[1] + areas[k + 2] * up[2];
    const middle = Math.max(Math.min(a, b), Math.min(Math.max(a, b), c));
    for (; i < nLevels && levels[i] < high; i++) volumes[i] += plan * shareBelow(low, middle, high, levels[i]);
    area[i] += plan;
    moment[i] += (plan * (a + b + c)) / 3;
  }
}

/** The part of an arc's wall that a level between `from` and `to` can cut, and the sums of what lies wholly below `from`. */
function activeWall(field: Field, arc: number, from: number, to: number): ActiveWall {
  const { solid, up, heights, lowArc, highArc, arcs } = field;
  const { triangles, areas } = solid;
  const { nestedFrom } = arcs[arc];
  const below = sumsUnderParts(field, arc);
  const active: number[] = [];
  for (let t = 0, k = 0; t < lowArc.length; t++, k += 3) {
    if (lowArc[t] > arc || lowArc[t] < nestedFrom || highArc[t] < arc) continue;
    const a = heights[triangles[k]];
    const b = heights[triangles[k + 1]];
    const c = heights[triangles[k + 2]];
    if (a >= to && b >= to && c >= to) continue;
    const area = areas[k] * up[0] + areas[k + 1] * up[1] + areas[k + 2] * up[2];
    if (a <= from && b <= from && c <= from) {
      below.area += area;
      below.moment += (area * (a + b + c)) / 3;
    } else active.push(Math.min(a, b, c), Math.max(Math.min(a, b), Math.min(Math.max(a, b), c)), Math.max(a, b, c), area);
  }
  return { cut: Float64Array.from(active), areaSum: below.area, momentSum: below.moment };
}

/** Sets `out` to volume and free surface of the wall below a level. */
function evaluate({ cut, areaSum, momentSum }: ActiveWall, level: number, out: { volume: number; surface: number }): void {
  let volume = momentSum - level * areaSum;
  let surface = -areaSum;
  for (let i = 0; i < cut.length; i += 4) {
    if (cut[i] >= level) continue;
    volume += cut[i + 3] * shareBelow(cut[i], cut[i + 1], cut[i + 2], level);
    surface -= cut[i + 3] * areaShareBelow(cut[i], cut[i + 1], cut[i + 2], level);
  }
  out.volume = volume;
  out.surface = surface;
}

/** The level of a pool is first looked for among this many slices of its arc's life. */
const SLICES = 8;

/**
 * Level at which an arc holds a volume: the slice it lies in, then Newton on the exact volume inside a shrinking bracket.
 *
 * @param volume - m³, between what the arc holds at its birth and at its death
 * @returns the pool; its volume is the one asked for, its level is exact to 1e-14 of the capacity's worth of volume
 */
export function poolOfVolume(field: Field, arc: number, volume: number): PoolState {
  const { birth, death, holds } = field.arcs[arc];
  if (volume >= holds) return { arc, level: death, volume };
  const levels = Float64Array.from({ length: SLICES - 1 }, (_, i) => birth + ((death - birth) * (i + 1)) / SLICES);
  const volumes = volumesAt(field, arc, levels);
  let slice = 0;
  while (slice < SLICES - 1 && volumes[slice] < volume) slice++;
  let low = slice === 0 ? birth : levels[slice - 1];
  let high = slice === SLICES - 1 ? death : levels[slice];
  const wall = activeWall(field, arc, low, high);
  const close = LEVEL_VOLUME * field.solid.capacity;
  const at = { volume: 0, surface: 0 };
  let level = low + (high - low) / 2;
  for (let step = 0; step < 200; step++) {
    evaluate(wall, level, at);
    const short = volume - at.volume;
    if (short > 0) low = level;
    else high = level;
    if (Math.abs(short) <= close) break;
    let next = level + short / at.surface;
    if (!(next > low && next < high)) next = low + (high - low) / 2;
    if (next === level || high - low <= Number.EPSILON * Math.abs(high)) break;
    level = next;
  }
  return { arc, level, volume };
}

/** The pool an arc makes when filled to a level between its birth and its death. */
export function poolOfLevel(field: Field, arc: number, level: number): PoolState {
  const { death, holds } = field.arcs[arc];
  if (level >= death) return { arc, level: death, volume: holds };
  return { arc, level, volume: Math.max(0, volumesAt(field, arc, Float64Array.of(level))[0]) };
}

export interface PoolMeasure {
  readonly volume: number;
  /** m² */
  readonly surface: number;
  /** Tank frame, m. */
  readonly centroid: Vector3;
}

/** Volume, free surface and centroid of a pool, worked out together; see below-level.ts for the derivation. */
export function measurePool(field: Field, { arc, level }: Pick<PoolState, 'arc' | 'level'>): PoolMeasure {
  const { solid, up, heights, lowArc } = field;
  const { triangles, positions, areas } = solid;
  let volume = 0,
    surface = 0,
    square = 0;
  let mx = 0,
    my = 0,
    mz = 0;
  const corner = new Float64Array(9);
  const w = new Float64Array(3);
  const addPart = (area: number): void => {
    // ∫w, ∫w², ∫x·w over one flat triangle with linear w. Source: exact quadrature of products of linear functions on a simplex.
    const sum = w[0] + w[1] + w[2];
    volume += (area * sum) / 3;
    square += (area / 12) * (w[0] * w[0] + w[1] * w[1] + w[2] * w[2] + sum * sum);
    const f0 = (area / 12) * (sum + w[0]),
      f1 = (area / 12) * (sum + w[1]),
      f2 = (area / 12) * (sum + w[2]);
    mx += f0 * corner[0] + f1 * corner[3] + f2 * corner[6];
    my += f0 * corner[1] + f1 * corner[4] + f2 * corner[7];
    mz += f0 * corner[2] + f1 * corner[5] + f2 * corner[8];
    surface -= area;
  };
  const at = (place: number, from: number, to: number, share: number): void => {
    for (let axis = 0; axis < 3; axis++) {
      const p = positions[3 * from + axis];
      corner[3 * place + axis] = p + share * (positions[3 * to + axis] - p);
    }
  };
  for (let t = 0, k = 0; t < lowArc.length; t++, k += 3) {
    if (!isUnder(field, lowArc[t], arc)) continue;
    const [a, b, c] = ascending(heights, triangles[k], triangles[k + 1], triangles[k + 2]);
    const wa = heights[a] - level,
      wb = heights[b] - level,
      wc = heights[c] - level;
    if (wa >= 0) continue;
    const area = areas[k] * up[0] + areas[k + 1] * up[1] + areas[k + 2] * up[2];
    at(0, a, a, 0);
    w[0] = wa;
    if (wb >= 0) {
      const toB = wa / (wa - wb),
        toC = wa / (wa - wc);
      at(1, a, b, toB);
      at(2, a, c, toC);
      w[1] = w[2] = 0;
      addPart(area * toB * toC);
      continue;
    }
    at(1, b, b, 0);
    at(2, c, c, 0);
    w[1] = wb;
    w[2] = wc;
    addPart(area);
    if (wc <= 0) continue;
    // The corner above the level, taken away again: from c down to the cuts on ca and cb.
    const toA = wc / (wc - wa),
      toB = wc / (wc - wb);
    at(0, c, a, toA);
    at(1, c, b, toB);
    w[0] = w[1] = 0;
    addPart(-area * toA * toB);
  }
  const moment: Vector3 = [mx - (up[0] * square) / 2, my - (up[1] * square) / 2, mz - (up[2] * square) / 2];
  const local: Vector3 =
    volume > 0 ? [moment[0] / volume, moment[1] / volume, moment[2] / volume] : vertexAt(field, field.arcs[arc].lowest);
  return { volume, surface, centroid: add(local, solid.origin) };
}

/** Corners from low to high. */
function ascending(heights: Float64Array, a: number, b: number, c: number): [number, number, number] {
  if (heights[b] < heights[a]) [a, b] = [b, a];
  if (heights[c] < heights[b]) [b, c] = [c, b];
  if (heights[b] < heights[a]) [a, b] = [b, a];
  return [a, b, c];
}

/** A vertex in the solid's own frame, m. */
export function vertexAt(field: Field, vertex: number): Vector3 {
  const { positions } = field.solid;
  return [positions[3 * vertex], positions[3 * vertex + 1], positions[3 * vertex + 2]];
}
