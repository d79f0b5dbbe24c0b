/**
 * What drains leave and what outlets cannot reach, by a published method of another kind: priority-flood over small cells.
 *
 * Source: Barnes, Lehman, Mulla 2014, "Priority-flood: an optimal depression-filling and watershed-labeling algorithm", Computers &
 * Geosciences 62, 117–127 (from memory; the method as in references.md M02 and M08). A cell drains when some way to an opening never rises
 * above the cell itself; the flood gives each cell the height its lowest way must climb. Cells are tested by the crossings of a vertical line.
 *
 * Tolerance: a cell tells where a spill edge or a surface lies to half a cell along each axis, so a level to ½·cell·(|ux| + |uy| + |uz|), and
 * the volume left to that times the tank's area seen along up. First order in the cell: 1.7 % of the capacity at 10 mm, level; half at 5 mm.
 */
import { beforeAll, describe, expect, test } from 'vitest';
import { type Field, makeField } from '../../engine/basins/field.ts';
import { openingAt } from '../../engine/fittings/opening.ts';
import { drainDown } from '../../engine/fluid/drain-down.ts';
import { apparentGravity } from '../../engine/gravity/condition.ts';
import { buildTankSolid, type TankSolid } from '../../engine/mesh/tank-solid.ts';
import type { Condition } from '../../shared/answers.ts';
import { dot, type Vector3 } from '../../shared/vector.ts';
import { manifoldKernel } from '../random-solids.ts';

/** 1.2 m long, two baffles with a limber notch at opposite sides and a gap above, a shelf, a sump under the floor. */
async function baffledTank(): Promise<TankSolid> {
  const { Manifold } = await manifoldKernel();
  const block = (at: Vector3, size: Vector3) => Manifold.cube([...size]).translate([...at]);
  const baffle = (x: number, notchY: number) =>
    block([x, -0.01, -0.01], [0.03, 0.52, 0.265]).subtract(block([x - 0.01, notchY, -0.02], [0.05, 0.06, 0.06]));
  const tank = block([0, 0, 0], [1.2, 0.5, 0.3])
    .add(Manifold.cylinder(0.08, 0.06, 0.06, 24).translate([0.6, 0.25, -0.06]))
    .subtract(baffle(0.4, 0.02))
    .subtract(baffle(0.8, 0.42))
    .subtract(block([0.9, -0.01, 0.12], [0.2, 0.4, 0.03]));
  const { vertProperties, triVerts } = tank.getMesh();
  return buildTankSolid({ positions: Float64Array.from(vertProperties), triangles: triVerts.slice() }, 0);
}

interface Cells {
  readonly size: number;
  readonly counts: readonly [number, number, number];
  readonly isFuel: Uint8Array;
  readonly origin: Vector3;
}

/** Cells whose middle lies in the fuel space: between the odd and even crossings of its vertical line. Positions about the solid's origin. */
function cellsOf({ positions, triangles, min, max, origin }: TankSolid, size: number): Cells {
  const low = min.map((x, k) => x - origin[k] - size) as unknown as Vector3;
  const counts = max.map((x, k) => Math.ceil((x - min[k]) / size) + 2) as unknown as [number, number, number];
  const [nx, ny, nz] = counts;
  const crossings: number[][] = Array.from({ length: nx * ny }, () => []);
  const shift = 1e-7 * Math.SQRT2; // off the walls that lie along the grid
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => 3 * triangles[t + k]);
    const [ax, ay, bx, by, cx, cy] = [positions[a], positions[a + 1], positions[b], positions[b + 1], positions[c], positions[c + 1]];
    const area = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
    if (Math.abs(area) < 1e-15) continue;
    const from = (v: number, axis: 0 | 1) => Math.max(0, Math.floor((v - low[axis]) / size - 1));
    const to = (v: number, axis: 0 | 1) => Math.min(counts[axis] - 1, Math.ceil((v - low[axis]) / size + 1));
    for (let i = from(Math.min(ax, bx, cx), 0); i <= to(Math.max(ax, bx, cx), 0); i++) {
      for (let j = from(Math.min(ay, by, cy), 1); j <= to(Math.max(ay, by, cy), 1); j++) {
        const x = low[0] + (i + 0.5) * size + shift,
          y = low[1] + (j + 0.5) * size + 1.7 * shift;
        const u = ((bx - x) * (cy - y) - (by - y) * (cx - x)) / area;
        const v = ((cx - x) * (ay - y) - (cy - y) * (ax - x)) / area;
        if (u < 0 || v < 0 || u + v > 1) continue;
        crossings[i * ny + j].push(u * positions[a + 2] + v * positions[b + 2] + (1 - u - v) * positions[c + 2]);
      }
    }
  }
  const isFuel = new Uint8Array(nx * ny * nz);
  for (let column = 0; column < nx * ny; column++) {
    const at = crossings[column].sort((p, q) => p - q);
    if (at.length % 2 === 1) throw new Error('a line crosses a closed wall an odd number of times');
    for (let k = 0; k < nz; k++) {
      const z = low[2] + (k + 0.5) * size;
      isFuel[column * nz + k] = at.filter((crossing) => crossing < z).length % 2;
    }
  }
  return { size, counts, isFuel, origin: low };
}

/** Volume left, m³: cells whose lowest way to an opening climbs above them. */
function floodLeft({ size, counts, isFuel, origin }: Cells, up: Vector3, openings: readonly Vector3[]): number {
  const [, ny, nz] = counts;
  const middle = (cell: number): Vector3 => {
    const k = cell % nz,
      j = Math.floor(cell / nz) % ny,
      i = Math.floor(cell / nz / ny);
    return [origin[0] + (i + 0.5) * size, origin[1] + (j + 0.5) * size, origin[2] + (k + 0.5) * size];
  };
  const height = new Float64Array(isFuel.length);
  for (let cell = 0; cell < height.length; cell++) height[cell] = dot(middle(cell), up);
  const climb = new Float64Array(isFuel.length).fill(Number.POSITIVE_INFINITY);
  const heap = new Heap(climb);
  for (const opening of openings) {
    let nearest = -1,
      best = Number.POSITIVE_INFINITY;
    for (let cell = 0; cell < isFuel.length; cell++) {
      if (isFuel[cell] === 0) continue;
      const [x, y, z] = middle(cell);
      const away = (x - opening[0]) ** 2 + (y - opening[1]) ** 2 + (z - opening[2]) ** 2;
      if (away < best) [nearest, best] = [cell, away];
    }
    climb[nearest] = Math.min(climb[nearest], dot(opening, up));
    heap.push(nearest);
  }
  for (let cell = heap.pop(); cell >= 0; cell = heap.pop()) {
    for (const step of [1, -1, nz, -nz, ny * nz, -ny * nz]) {
      const next = cell + step;
      if (next < 0 || next >= isFuel.length || isFuel[next] === 0) continue; // the rim of empty cells keeps steps from wrapping
      const way = Math.max(climb[cell], height[next]);
      if (way >= climb[next]) continue;
      climb[next] = way;
      heap.push(next);
    }
  }
  let left = 0;
  for (let cell = 0; cell < isFuel.length; cell++) if (isFuel[cell] === 1 && climb[cell] > height[cell]) left++;
  return left * size ** 3;
}

/** Cells by how far their way climbs, least first. A cell may lie in it twice; the later one finds nothing to do. */
class Heap {
  private readonly cells: number[] = [];
  private readonly keys: number[] = [];
  private readonly climb: Float64Array;
  constructor(climb: Float64Array) {
    this.climb = climb;
  }
  push(cell: number): void {
    let at = this.cells.length;
    const key = this.climb[cell];
    for (; at > 0; ) {
      const over = (at - 1) >> 1;
      if (this.keys[over] <= key) break;
      this.cells[at] = this.cells[over];
      this.keys[at] = this.keys[over];
      at = over;
    }
    this.cells[at] = cell;
    this.keys[at] = key;
  }
  pop(): number {
    if (this.cells.length === 0) return -1;
    const first = this.cells[0];
    const cell = this.cells.pop()!;
    const key = this.keys.pop()!;
    const n = this.cells.length;
    if (n === 0) return first;
    let at = 0;
    for (let child = 1; child < n; child = 2 * at + 1) {
      if (child + 1 < n && this.keys[child + 1] < this.keys[child]) child++;
      if (this.keys[child] >= key) break;
      this.cells[at] = this.cells[child];
      this.keys[at] = this.keys[child];
      at = child;
    }
    this.cells[at] = cell;
    this.keys[at] = key;
    return first;
  }
}

/** See the head of this file. m³ */
function tolerance([x, y, z]: Vector3, size: number): number {
  const [ux, uy, uz] = [Math.abs(x), Math.abs(y), Math.abs(z)];
  const seen = 1.2 * 0.5 * uz + 0.5 * 0.3 * ux + 1.2 * 0.3 * uy;
  return (size / 2) * (ux + uy + uz) * seen;
}

const OUTLET: Vector3 = [0.05, 0.25, 0.02];
const SUMP: Vector3 = [0.6, 0.25, -0.06];
const AFT: Vector3 = [1.15, 0.45, 0];

function exactLeft(field: Field, openings: readonly Vector3[]): number {
  const ways = openings.map((at, i) => ({
    id: String(i),
    place: openingAt(field, { id: String(i), kind: 'drain', at, bore: 0, facing: null }).centre,
  }));
  return drainDown(field, ways).reduce((sum, { volume }) => sum + volume, 0);
}

describe('drainDown against priority-flood, baffled tank with limber notches, shelf and sump', () => {
  let solid: TankSolid;
  const cells = new Map<number, Cells>();
  beforeAll(async () => {
    solid = await baffledTank();
    for (const size of [0.01, 0.005]) cells.set(size, cellsOf(solid, size));
  });

  test('the cells hold the tank', () => {
    for (const [size, { isFuel }] of cells) {
      const volume = isFuel.reduce((sum, one) => sum + one, 0) * size ** 3;
      expect(Math.abs(volume / solid.capacity - 1)).toBeLessThan(size);
    }
  });

  const conditions: Condition[] = [
    [0, 0, 1],
    [5, 0, 1],
    [-5, 0, 1],
    [0, 10, 1],
    [3, -10, 1],
    [-6, 10, 1],
    [17, 0, 1],
    [-17, 4, 1],
    [90, 0, 1],
    [-90, 0, 1],
    [0, 90, 1],
    [0, 0, -1],
    [8, -20, -1],
    [140, 30, 1],
  ].map(([pitch_deg, roll_deg, n]) => ({ pitch_deg, roll_deg, n }));

  test.each(conditions)('%o', (condition) => {
    const apparent = apparentGravity(condition);
    if (!apparent.ok) throw new Error(apparent.error.code);
    const { up } = apparent.value;
    const field = makeField(solid, up);
    for (const openings of [[OUTLET], [SUMP], [SUMP, AFT], [OUTLET, SUMP, AFT]]) {
      const exact = exactLeft(field, openings);
      const local = openings.map((at) => at.map((x, k) => x - solid.origin[k]) as unknown as Vector3);
      expect(Math.abs(floodLeft(cells.get(0.01)!, up, local) - exact), `10 mm, exact ${exact}`).toBeLessThan(tolerance(up, 0.01));
    }
    const exact = exactLeft(field, [OUTLET]);
    const local = OUTLET.map((x, k) => x - solid.origin[k]) as unknown as Vector3;
    expect(Math.abs(floodLeft(cells.get(0.005)!, up, [local]) - exact), `5 mm, exact ${exact}`).toBeLessThan(tolerance(up, 0.005));
  });
});
