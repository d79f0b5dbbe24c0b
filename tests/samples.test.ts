/** The sample cases: remade to the byte, closed, of the size a builder expects, with pockets where their notes say so. */
import { readdirSync, readFileSync } from 'node:fs';
import type { Manifold } from 'manifold-3d';
import { beforeAll, describe, expect, test } from 'vitest';
import { type Field, lowPoints, makeField } from '../engine/basins/field.ts';
import { readCase } from '../engine/case/read-case.ts';
import { readHistory } from '../engine/case/read-history.ts';
import { apparentGravity } from '../engine/gravity/condition.ts';
import { buildTankSolid, type TankSolid } from '../engine/mesh/tank-solid.ts';
import { dish, type Kernel, loadKernel, loft, revolveAlongX } from '../engine/shape/solids.ts';
import type { Sample } from '../sample-geometry/case-parts.ts';
import { DRUM, SUMP } from '../sample-geometry/drum-solids.ts';
import { HEADER, WING as HIGH_WING } from '../sample-geometry/float-plane-solids.ts';
import { benchWingTank, WING as LOW_WING } from '../sample-geometry/low-wing-solids.ts';
import { distanceOutside, distanceToWall, type Point } from '../sample-geometry/probe.ts';
import { makeSamples, sampleFiles } from '../sample-geometry/samples.ts';
import { enclosedVolume, proveSound, readBack, type Surface } from '../sample-geometry/surface.ts';
import { wingSections, wingVolume } from '../sample-geometry/wing-shape.ts';
import { describeHistoryError } from '../shared/history-errors.ts';

const FOLDER = new URL('../sample-geometry/', import.meta.url);
const LITRE = 1e6; // mm³

let samples: Sample[];
let kernel: Kernel;
const committed = new Map<string, Surface>();

beforeAll(async () => {
  kernel = await loadKernel();
  samples = await makeSamples();
  for (const file of readdirSync(FOLDER).filter((name) => name.endsWith('.stl'))) {
    committed.set(file, await readBack(readFileSync(new URL(file, FOLDER)))); // throws where a mesh is not sound
  }
}, 60_000);

const caseOf = (file: string) => samples.find((sample) => sample.file === file)!.case;
const litres = (file: string): number => enclosedVolume(committed.get(file)!) / LITRE;

describe('files', () => {
  test('remaking gives the committed bytes, twice', async () => {
    const made = [samples, await makeSamples()].map((list) => new Map(list.flatMap((sample) => [...sampleFiles(sample)])));
    const names = readdirSync(FOLDER).filter((name) => /\.(stl|csv|case\.json)$/.test(name));
    expect([...made[0].keys()].sort()).toEqual(names.sort());
    for (const files of made) {
      for (const name of names) expect(Buffer.from(files.get(name)!).equals(readFileSync(new URL(name, FOLDER))), name).toBe(true);
    }
  });

  test('each case reads without a fault and says that it is invented', () => {
    for (const sample of samples) {
      const read = readCase(readFileSync(new URL(sample.file, FOLDER), 'utf8'));
      expect(read.ok, sample.file).toBe(true);
      expect(sample.case.note).toMatch(/^Invented/);
      expect(sample.case.conditions.every(({ source }) => source !== undefined && source.length > 0)).toBe(true);
      expect(sample.case.conditions[0].phase).toBe('ground'); // the parked attitude comes first
    }
  });

  test('the recorded history reads without a fault or a notice, about 600 rows', () => {
    const read = readHistory(readFileSync(new URL('low-wing-circuit.csv', FOLDER), 'utf8'));
    if (!read.ok) throw new Error(describeHistoryError(read.error));
    expect(read.value.notices).toEqual([]);
    expect(read.value.time_s.length).toBe(605);
    expect(Math.min(...read.value.flow_m3_s!)).toBeGreaterThan(0);
  });

  test('every mesh is closed and has 2,000 to 20,000 triangles', () => {
    expect(committed.size).toBe(6);
    for (const [file, { triangles }] of committed) {
      expect(triangles.length / 3, file).toBeGreaterThanOrEqual(2000);
      expect(triangles.length / 3, file).toBeLessThanOrEqual(20_000);
    }
  });

  test('the proof of soundness fails on a missing, a turned and a doubled triangle', () => {
    const { positions, triangles } = committed.get('floatplane-header.stl')!;
    const turned = triangles.slice();
    [turned[0], turned[1]] = [turned[1], turned[0]];
    for (const broken of [
      triangles.slice(3),
      turned,
      Uint32Array.of(...triangles, ...triangles.slice(0, 3)),
      triangles.slice().reverse(),
    ]) {
      expect(() => proveSound(kernel, { positions, triangles: broken })).toThrow();
    }
  });
});

describe('volumes', () => {
  test('section area of the wing box, references G40: 0012 between 15 % and 65 % chord is 0.0546413 c²', () => {
    const unit = { ...LOW_WING, rootChord: 1, tipChord: 1, span: 1, thickness: 0.12, front: 0.15, rear: 0.65 };
    expect(Math.abs(wingVolume(unit) - 0.0546413)).toBeLessThan(0.5e-7); // the printed digits
  });

  test.each([HIGH_WING, LOW_WING])('the lofted box nears the smooth wing, its error a quarter at half the facets (%#)', (wing) => {
    const error = (columns: number, stations: number): number =>
      1 - loft(kernel, wingSections(wing, columns, stations)).volume() / wingVolume(wing);
    const [coarse, fine] = [error(9, 15), error(17, 15)];
    expect(coarse).toBeGreaterThan(0);
    expect(coarse / fine).toBeGreaterThan(3.7);
    expect(coarse / fine).toBeLessThan(4.3);
    expect(fine).toBeLessThan(5e-4);
  });

  test('the drum, references G12: Jones 2003, ellipsoidal heads, D 108 in, L 156 in, a 42 in, filled to 36 in, 2380.9565416 US gal', () => {
    const filled = (sides: number, rows: number): number => {
      const front = dish(54, 42, rows).map(([r, x]): [number, number] => [r, x - 78]);
      const rear = front.map(([r, x]): [number, number] => [r, -x]).reverse();
      return (
        revolveAlongX(kernel, [...front, ...rear], sides)
          .trimByPlane([0, 0, -1], 54 - 36)
          .volume() / 231
      );
    };
    const error = (sides: number, rows: number): number => 1 - filled(sides, rows) / 2380.9565416;
    const [coarse, fine] = [error(96, 16), error(192, 32)];
    expect(coarse / fine).toBeGreaterThan(3.5);
    expect(coarse / fine).toBeLessThan(4.5);
    expect(fine).toBeLessThan(1e-3);
  });

  test('each tank holds its smooth shape less the metal that stands in it', () => {
    const head = (radius: number, depth: number): number => (2 / 3) * Math.PI * radius ** 2 * depth;
    const headerSmooth =
      Math.PI * HEADER.radius ** 2 * HEADER.height + 2 * head(HEADER.radius, HEADER.dishDepth) + Math.PI * HEADER.sumpRadius ** 2 * 34;
    const drumSmooth = Math.PI * DRUM.radius ** 2 * DRUM.length + 2 * head(DRUM.radius, DRUM.dishDepth) + Math.PI * SUMP.radius ** 2 * 22;
    // Collector by hand: rounded rectangle times height, less the mean floor of 12.0 mm, plus two wells of half an ellipsoid.
    const collectorSmooth = (300 * 220 - (4 - Math.PI) * 28 ** 2) * (92 - 12) + 2 * head(24, 16);
    for (const [file, smooth] of [
      ['floatplane-wing.stl', wingVolume(HIGH_WING)],
      ['floatplane-header.stl', headerSmooth],
      ['low-wing-left.stl', wingVolume(LOW_WING)],
      ['low-wing-right.stl', wingVolume(LOW_WING)],
      ['low-wing-collector.stl', collectorSmooth],
      ['aerobatic-drum.stl', drumSmooth],
    ] as const) {
      const share = (litres(file) * LITRE) / smooth;
      expect(share, file).toBeLessThan(1);
      expect(share, file).toBeGreaterThan(0.985);
    }
  });

  test('capacities are those of the kind of aircraft the notes tell of', () => {
    for (const [file, low, high] of [
      ['floatplane-wing.stl', 40, 60],
      ['floatplane-header.stl', 7.5, 8.5],
      ['low-wing-left.stl', 40, 60],
      ['low-wing-right.stl', 40, 60],
      ['low-wing-collector.stl', 4, 6],
      ['aerobatic-drum.stl', 60, 70],
    ] as const) {
      expect(litres(file), file).toBeGreaterThan(low);
      expect(litres(file), file).toBeLessThan(high);
    }
  });
});

describe('fittings', () => {
  test('lie inside the fuel space or within 0.2 mm of its wall; facing openings on the wall, but for a filler neck’s mouth 30 mm under it', () => {
    let nFittings = 0;
    for (const sample of samples) {
      for (const { geometry, placement, fittings } of sample.case.tanks) {
        if (geometry.kind !== 'mesh') throw new Error('the samples are meshes');
        const surface = committed.get(geometry.file)!;
        const move = placement?.move_m ?? [0, 0, 0];
        const side = placement?.mirrorY === true ? -1 : 1;
        for (const { id, name, at_m, facing } of fittings) {
          const at: Point = [(at_m[0] - move[0]) * 1000, side * (at_m[1] - move[1]) * 1000, (at_m[2] - move[2]) * 1000];
          expect(distanceOutside(surface, at), `${geometry.file} ${id}`).toBeLessThan(0.2);
          const depth = name === 'Filler neck' ? 30 : 0; // the sleeve's wall, 32 mm off, is farther than the skin above
          if (facing !== undefined) expect(Math.abs(distanceToWall(surface, at) - depth), `${geometry.file} ${id}`).toBeLessThan(0.2);
          nFittings++;
        }
      }
    }
    expect(nFittings).toBeGreaterThan(25);
  });
});

describe('pockets', () => {
  const solidOf = (file: string): TankSolid => {
    const { positions, triangles } = committed.get(file)!;
    return buildTankSolid({ positions: Float64Array.from(positions, (mm) => mm / 1000), triangles }, 2e-4);
  };
  const parked = (sample: string, file: string): Field => {
    const gravity = apparentGravity(caseOf(sample).conditions[0]);
    if (!gravity.ok) throw new Error(gravity.error.code);
    return makeField(solidOf(file), gravity.value.up);
  };
  const holds_mL = (field: Field): number[] => lowPoints(field).map((arc) => field.arcs[arc].holds * 1e6);

  test('the low wing keeps fuel in every bay, at least 20 pockets of more than 1 mL', () => {
    for (const file of ['low-wing-left.stl', 'low-wing-right.stl']) {
      const pockets = holds_mL(parked('low-wing.case.json', file));
      expect(pockets.filter((held) => held > 1).length, file).toBeGreaterThanOrEqual(20);
    }
  });

  test('the limber hole that was never drilled keeps some 80 mL more, seen by cutting with manifold-3d as well', () => {
    const field = parked('low-wing.case.json', 'low-wing-left.stl');
    const largest = (side: string): number => {
      const own = side === 'left' ? field : parked('low-wing.case.json', 'low-wing-right.stl');
      const bays = lowPoints(own).filter((arc) => Math.abs(own.solid.positions[3 * own.arcs[arc].lowest + 1] + own.solid.origin[1]) > 0.7);
      return Math.max(...bays.map((arc) => own.arcs[arc].holds * 1e6));
    };
    expect(largest('right')).toBeLessThan(6);
    expect(largest('left')).toBeGreaterThan(80);

    const arc = lowPoints(field).find((leaf) => Math.abs(field.arcs[leaf].holds * 1e6 - largest('left')) < 1e-9)!;
    const level = field.arcs[arc].death + field.originLevel - 1e-4;
    const pool = poolsBelow(committed.get('low-wing-left.stl')!, field.up, level * 1000).find((part) => isInThirdBay(part));
    expect(pool).toBeDefined();
    const held = pool!.volume() / 1000;
    expect(held).toBeGreaterThan(largest('left') - 2); // 0.1 mm lower over some 0.01 m²
    expect(held).toBeLessThan(largest('left'));
  });

  test('the float-plane’s mouse holes leave one low point a tank', () => {
    for (const file of ['floatplane-wing.stl', 'floatplane-header.stl'])
      expect(holds_mL(parked('floatplane.case.json', file)).length).toBe(1);
  });

  test('the drum’s hoops hold water in front of them', () => {
    const pockets = holds_mL(parked('aerobatic-drum.case.json', 'aerobatic-drum.stl'));
    expect(pockets.filter((held) => held > 20 && held < 50).length).toBe(3);
  });

  function poolsBelow({ positions, triangles }: Surface, up: readonly number[], level: number): Manifold[] {
    const solid = kernel.Manifold.ofMesh(new kernel.Mesh({ numProp: 3, vertProperties: positions, triVerts: triangles }));
    return solid.trimByPlane([-up[0], -up[1], -up[2]], -level).decompose();
  }

  /** Outboard of the third rib's root-side neighbour, by the rear spar, and no larger than a bay. */
  function isInThirdBay(part: Manifold): boolean {
    const { min, max } = part.boundingBox();
    return min[1] > -1300 && max[1] < -1120 && min[0] > 1870;
  }
});

test('benchWingTank: within a tenth of the triangles asked for, sound, about as large as the sample', async () => {
  for (const target of [10_000, 80_000]) {
    const { positions, triangles } = await benchWingTank(target);
    expect(Math.abs(triangles.length / 3 / target - 1)).toBeLessThan(0.1);
    const surface = { positions: Float32Array.from(positions, (m) => m * 1000), triangles };
    proveSound(kernel, surface);
    expect(Math.abs(enclosedVolume(surface) / LITRE / litres('low-wing-right.stl') - 1)).toBeLessThan(2e-3);
  }
});
