/**
 * Pockets of a height field turned into a tank: spill levels, volumes, merge order and spills, against published examples and against a
 * hierarchy of depressions worked out on the grid here.
 *
 * Each cell is a column of fuel space from its height to a common ceiling; cells meet over their four sides, as in the sources.
 * Sources: Barnes, Callaghan, Wickert 2020 and 2021, Earth Surf. Dynam. 8, 431–445 and 9, 105–121, with the unit tests of their code
 * (references M01–M07); the volcano grid as in the npm package vega-datasets 3.2.1 (references M11–M16).
 */
import { readFileSync } from 'node:fs';
import type { Manifold } from 'manifold-3d';
import { describe, expect, test } from 'vitest';
import { type Field, makeField } from '../../engine/basins/field.ts';
import { settleAmounts } from '../../engine/fluid/settle.ts';
import { exactWays } from '../../engine/fluid/ways.ts';
import { buildTankSolid, type SurfaceMesh } from '../../engine/mesh/tank-solid.ts';
import { poolOfLevel, poolOfVolume } from '../../engine/surface/pool.ts';
import { assertWithin } from '../assert-within.ts';
import { manifoldKernel, seeded, solidOf } from '../random-solids.ts';

type Grid = readonly (readonly number[])[];
/** Above all heights of the volcano. */
const CEILING = 300;

/** Row r of the grid lies at y from −r − 1 to −r, column c at x from c to c + 1. */
async function steppedField(grid: Grid, ceiling = 10): Promise<Field> {
  const { Manifold } = await manifoldKernel();
  const columns: Manifold[] = [];
  grid.forEach((row, r) => {
    for (let c = 0; c < row.length; ) {
      let end = c;
      while (row[end] === row[c]) end++;
      columns.push(Manifold.cube([end - c, 1, ceiling - row[c]]).translate([c, -r - 1, row[c]]));
      c = end;
    }
  });
  const tank = Manifold.union(columns);
  const solid = solidOf(tank);
  tank.delete();
  for (const column of columns) column.delete();
  return makeField(solid, [0, 0, 1], { depth: 0, volume: 0 });
}

interface Depression {
  readonly spill: number;
  readonly volume: number;
  readonly floor: number;
  /** Spill levels and volumes of the parts that met to make it, deepest first. */
  readonly parts: readonly Depression[];
}

/**
 * The hierarchy of the surface through a grid's points, no two at one height: points taken from low to high, depressions closed where two or
 * more meet. Points are neighbours along the triangles' edges.
 */
function hierarchyOf(grid: Grid, ceiling: number): Depression {
  interface Open {
    readonly floor: number;
    readonly parts: readonly Depression[];
    readonly points: Set<number>;
  }
  const [n, m] = [grid.length, grid[0].length];
  const heights = grid.flat();
  const close = ({ floor, parts, points }: Open, spill: number): Depression => {
    let volume = 0;
    for (const [i, j, k] of halvedSquares(n, m)) {
      const corners = [i, j, k].sort((a, b) => heights[a] - heights[b]);
      if (points.has(corners[0])) volume += depthOver(corners.map((corner) => heights[corner]) as [number, number, number], spill) / 2;
    }
    return { floor, spill, parts, volume };
  };
  const over = new Map<number, Open>();
  for (const point of heights.map((_, i) => i).sort((a, b) => heights[a] - heights[b])) {
    const z = heights[point];
    const [r, c] = [Math.floor(point / m), point % m];
    const steps = [
      [0, 1],
      [1, 0],
      [1, 1],
    ].flatMap(([i, j]) => [
      [r + i, c + j],
      [r - i, c - j],
    ]);
    const beside = steps.filter(([i, j]) => i >= 0 && i < n && j >= 0 && j < m).map(([i, j]) => i * m + j);
    const met = [...new Set(beside.flatMap((neighbour) => over.get(neighbour) ?? []))];
    let into = met[0] ?? { floor: z, parts: [], points: new Set() };
    if (met.length > 1) {
      const points = new Set(met.flatMap((open) => [...open.points]));
      into = { floor: Math.min(...met.map((open) => open.floor)), parts: met.map((open) => close(open, z)), points };
      for (const each of points) over.set(each, into);
    }
    into.points.add(point);
    over.set(point, into);
  }
  return close(over.get(0)!, ceiling);
}

/** Mean depth of water to a level over a triangle with corner heights a < b < c: the wet corner is a cone, or all but the dry one. */
function depthOver([a, b, c]: readonly [number, number, number], level: number): number {
  if (level <= a) return 0;
  if (level >= c) return level - (a + b + c) / 3;
  if (level <= b) return (level - a) ** 3 / (3 * (b - a) * (c - a));
  return level - (a + b + c) / 3 + (c - level) ** 3 / (3 * (c - a) * (c - b));
}

/** Points of each triangle, counter-clockwise from above when rows run towards −y. */
function halvedSquares(n: number, m: number, otherDiagonal = false): [number, number, number][] {
  const found: [number, number, number][] = [];
  for (let r = 0; r + 1 < n; r++) {
    for (let c = 0; c + 1 < m; c++) {
      const [a, b, d, e] = [r * m + c, r * m + c + 1, (r + 1) * m + c, (r + 1) * m + c + 1];
      if (otherDiagonal) found.push([a, d, b], [b, d, e]);
      else found.push([a, e, b], [a, d, e]);
    }
  }
  return found;
}

function hierarchyOfField(field: Field, arc = field.root): Depression {
  const { bottom, death, holds, children } = field.arcs[arc];
  const up = (level: number): number => Math.round((level + field.originLevel) * 1e6) / 1e6;
  return { floor: up(bottom), spill: up(death), volume: holds, parts: children.map((part) => hierarchyOfField(field, part)) };
}

/** Both with parts in the same order, volumes to the millionth. */
function plain({ floor, spill, volume, parts }: Depression): object {
  const told = parts.map(plain).map((part) => JSON.stringify(part));
  return { floor, spill, volume: Math.round(volume * 1e6) / 1e6, parts: told.sort().map((part) => JSON.parse(part)) };
}

const digits = (rows: readonly string[]): number[][] => rows.map((row) => [...row].map(Number));

/** M05: 6 × 6 cells in a rim of 9; the border outside is lower than all. */
const TWO_BASINS = digits([
  '0000000000',
  '0999999990',
  '0988887690',
  '0987876590',
  '0987865490',
  '0988854390',
  '0976543290',
  '0976543190',
  '0999999990',
  '0000000000',
]);

/** The arc whose low point is nearest the middle of a cell. */
function basinAt(field: Field, r: number, c: number): number {
  const { positions, origin } = field.solid;
  const away = (arc: number): number => {
    const p = 3 * field.arcs[arc].lowest;
    return Math.hypot(positions[p] + origin[0] - c - 0.5, positions[p + 1] + origin[1] + r + 0.5);
  };
  const lows = field.arcs.map((_, arc) => arc).filter((arc) => field.arcs[arc].children.length === 0);
  return lows.reduce((a, b) => (away(b) < away(a) ? b : a));
}

describe('two basins in a rim, Barnes et al. 2021, unit tests (M05, M06)', () => {
  test('M05: basin 2 holds 2 and basin 1 holds 73 below their joint sill at 8; merged to the rim at 9: 111', async () => {
    const field = await steppedField(TWO_BASINS);
    const [first, second] = [basinAt(field, 7, 7), basinAt(field, 3, 3)];
    assertWithin(field.arcs[second].holds, 2, 1e-12);
    assertWithin(field.arcs[first].holds, 73, 1e-12);
    const joint = field.arcs[first].parent;
    expect(field.arcs[second].parent).toBe(joint);
    assertWithin(field.arcs[first].death + field.originLevel, 8, 1e-12);
    assertWithin(field.arcs[joint].holds, 111, 1e-12);
    assertWithin(field.arcs[joint].death + field.originLevel, 9, 1e-12);
  });

  test('M06: of one unit on each of the 100 cells, 64 go outside, 30 to basin 1, 6 to basin 2 (given as they run: basin 2 spills 4)', async () => {
    const field = await steppedField(TWO_BASINS);
    const [first, second, outside] = [basinAt(field, 7, 7), basinAt(field, 3, 3), basinAt(field, 0, 0)];
    const amounts = new Float64Array(field.arcs.length);
    amounts[outside] = 64;
    amounts[first] = 30;
    amounts[second] = 6;
    const held = settleAmounts(field, amounts, exactWays.spill);
    const of = (arc: number): number => held.find((pool) => pool.arc === arc)?.volume ?? 0;
    assertWithin(of(outside), 64, 1e-12);
    assertWithin(of(second), 2, 1e-12);
    assertWithin(of(first), 34, 1e-12);
  });
});

describe('a basin of two columns, 1 1 / 3 3 / 2 1 / 1 1 inside 6 with an outlet at 4, same unit tests (M07)', () => {
  const grid = digits(['0000000', '0666600', '0611600', '0633600', '0621600', '0611440', '0666600', '0000000']);

  test('V 3 in the first pair gives a level of 2.5', async () => {
    const field = await steppedField(grid);
    const amounts = new Float64Array(field.arcs.length);
    amounts[basinAt(field, 2, 2)] = 3;
    const [pool] = settleAmounts(field, amounts, exactWays.spill);
    assertWithin(pool.level + field.originLevel, 2.5, 1e-11); // a level is exact to 1e-14 of the capacity's worth of volume
  });
  test('V 19 fills all to 4', async () => {
    const field = await steppedField(grid);
    const amounts = new Float64Array(field.arcs.length);
    amounts[basinAt(field, 2, 2)] = 19;
    const [pool, ...others] = settleAmounts(field, amounts, exactWays.spill);
    expect(others).toEqual([]);
    assertWithin(pool.level + field.originLevel, 4, 1e-12);
    assertWithin(field.arcs[pool.arc].holds, 19, 1e-12);
  });
});

describe('five cells of height 2 (M03, M04): n·sill − Σz, and (Σz + V)/n', () => {
  const grid = digits(['6666666', '6222226', '6666666']);
  test.each([
    [2, 0],
    [3, 5],
    [4, 10],
  ])('below a sill at %d: %d', async (sill, volume) => {
    const field = await steppedField(grid);
    assertWithin(poolOfLevel(field, basinAt(field, 1, 3), sill - field.originLevel).volume, volume, 1e-12, 10);
  });
  test.each([
    [10, 4],
    [8, 3.6],
  ])('V %d: level %d', async (volume, level) => {
    const field = await steppedField(grid);
    assertWithin(poolOfVolume(field, basinAt(field, 1, 3), volume).level + field.originLevel, level, 1e-12);
  });
});

describe('volcano grid (M11–M16)', () => {
  const volcano = JSON.parse(readFileSync('node_modules/vega-datasets/data/volcano.json', 'utf8')) as {
    width: number;
    height: number;
    values: number[];
  };
  const rows = Array.from({ length: volcano.height }, (_, r) => volcano.values.slice(r * volcano.width, (r + 1) * volcano.width));

  test('M15: the one closed basin: floor 148, spill level 168, 887 cell-metres; the edge of the map open', async () => {
    const edge = Array.from({ length: volcano.width + 2 }, () => 50);
    const field = await steppedField([edge, ...rows.map((row) => [50, ...row, 50]), edge], CEILING);
    const basins = field.arcs.filter(({ children, bottom }) => children.length === 0 && bottom + field.originLevel > 51);
    const [crater] = basins;
    expect(basins.length).toBe(1);
    assertWithin(crater.bottom + field.originLevel, 148, 1e-12);
    assertWithin(crater.death + field.originLevel, 168, 1e-12);
    assertWithin(crater.holds, 887, 1e-11);
  });

  test('M16: volume above 94 of the bilinear surface, 190 490 cell-metres: the mean of both ways to halve its squares', () => {
    const capacities = [false, true].map((other) => buildTankSolid(surfaceTank(rows, CEILING, other), 0).capacity);
    // The tank is what lies over the surface: 86 × 60 squares up to 300.
    const above = 86 * 60 * (300 - 94) - (capacities[0] + capacities[1]) / 2;
    assertWithin(above, 190_490, 1e-12);
  });
});

/** The fuel space between the surface through the grid's points, each square halved along one diagonal, and a level ceiling. */
function surfaceTank(rows: Grid, ceiling: number, otherDiagonal: boolean): SurfaceMesh {
  const [n, m] = [rows.length, rows[0].length];
  const top = n * m;
  const point = (z: number, i: number): number[] => [i % m, -Math.floor(i / m), z];
  const positions = [...rows.flat().flatMap(point), ...rows.flat().flatMap((_, i) => point(ceiling, i))];
  const triangles = halvedSquares(n, m, otherDiagonal).flatMap(([a, b, c]) => [a, c, b, top + a, top + b, top + c]);
  const wall = (a: number, b: number): number => triangles.push(a, b, top + b, a, top + b, top + a);
  for (let c = 0; c + 1 < m; c++) {
    wall(c + 1, c);
    wall((n - 1) * m + c, (n - 1) * m + c + 1);
  }
  for (let r = 0; r + 1 < n; r++) {
    wall(r * m, (r + 1) * m);
    wall((r + 2) * m - 1, (r + 1) * m - 1);
  }
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles) };
}

test('surfaces over random grids of 12 × 12 heights, seeds 1 to 40: the same depressions, spill levels, volumes and order of merging', () => {
  let depressions = 0;
  for (let seed = 1; seed <= 40; seed++) {
    const random = seeded(seed);
    const heights = Array.from({ length: 144 }, (_, z) => ({ z, key: random() })).sort((a, b) => a.key - b.key);
    const grid = Array.from({ length: 12 }, (_, r) => heights.slice(12 * r, 12 * r + 12).map(({ z }) => z));
    const field = makeField(buildTankSolid(surfaceTank(grid, 150, false), 0), [0, 0, 1], { depth: 0, volume: 0 });
    expect(plain(hierarchyOfField(field)), `seed ${seed}`).toEqual(plain(hierarchyOf(grid, 150)));
    depressions += field.arcs.length;
  }
  expect(depressions).toBeGreaterThan(1000);
});
