/** Filling: trapped air and expansion space in closed form, and as the drain-down of the tank really turned upside down. */
import { describe, expect, test } from 'vitest';
import { makeField } from '../../engine/basins/field.ts';
import { openingAt } from '../../engine/fittings/opening.ts';
import { drainDown } from '../../engine/fluid/drain-down.ts';
import { buildTankSolid, type SurfaceMesh } from '../../engine/mesh/tank-solid.ts';
import { fillStudy } from '../../engine/studies/fill.ts';
import { fillFindings } from '../../engine/studies/fill-findings.ts';
import { fieldsOfCase } from '../../engine/studies/parked.ts';
import type { CaseFitting } from '../../shared/case.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { assertWithin } from '../assert-within.ts';
import { loadedOf } from '../loaded.ts';
import { loadSample, SAMPLES } from '../sample-cases.ts';
import { box, profileAlongY } from '../shapes.ts';

const [LENGTH, WIDTH, HEIGHT] = [0.8, 0.5, 0.3];
const CAPACITY = LENGTH * WIDTH * HEIGHT;
const fitting = (id: string, kind: CaseFitting['kind'], at_m: Vector3): CaseFitting => ({ id, kind, at_m: [...at_m] });
const parked = (pitch_deg: number) => ({ id: 'parked', phase: 'ground' as const, pitch_deg, roll_deg: 0, n: 1 });

describe('a box nose up, its vent off the high corner', () => {
  // Nose up by an angle of tangent t the ceiling is highest at x = 0. Air that cannot reach an opening at x = d on the ceiling is a wedge of
  // length d along the ceiling and d·t down the front wall: d²·t/2 per width.
  const pitch = 6;
  const t = Math.tan((pitch * Math.PI) / 180);
  const shape = box([0, 0, 0], [LENGTH, WIDTH, HEIGHT]);
  const filled = (fittings: CaseFitting[]) => fillStudy(loadedOf([{ id: 'a', shape, fittings }], { conditions: [parked(pitch)] }));

  test('no filler: all in front of the vent is trapped', () => {
    const fill = filled([fitting('v', 'vent', [0.2, 0.25, HEIGHT])]);
    assertWithin(fill.trappedAir_m3, ((0.2 * 0.2 * t) / 2) * WIDTH, 1e-9);
    assertWithin(fill.mostFuel_m3, CAPACITY - fill.trappedAir_m3, 1e-12);
    expect(fill.expansionShare).toBe(0);
    expect(fill.requirement.met).toBe(false);
    expect(fill.pockets).toHaveLength(1);
    const [{ at_m, volume_m3 }] = fill.pockets;
    expect([at_m[0], at_m[2]]).toEqual([0, HEIGHT]);
    expect(volume_m3).toBe(fill.trappedAir_m3);
    expect(fill.notices.join()).toContain('no filler');
  });
  test('the filler behind the vent: fuel runs out there, and the vent serves all the air', () => {
    const fill = filled([fitting('v', 'vent', [0.2, 0.25, HEIGHT]), fitting('f', 'filler', [0.5, 0.25, HEIGHT])]);
    assertWithin(fill.expansionShare, (((0.5 * 0.5 * t) / 2) * WIDTH) / CAPACITY, 1e-9);
    expect(fill.trappedAir_m3).toBe(0);
    expect(fill.requirement.met).toBe(true);
    expect(fill.notices).toEqual([]);
  });
  test('the vent behind the filler: the air above the filler stays without a vent', () => {
    const fill = filled([fitting('v', 'vent', [0.6, 0.25, HEIGHT]), fitting('f', 'filler', [0.5, 0.25, HEIGHT])]);
    assertWithin(fill.trappedAir_m3, ((0.5 * 0.5 * t) / 2) * WIDTH, 1e-9);
    expect(fill.expansionShare).toBe(0);
  });
});

describe('a box with a rib that hangs 0.1 m from the ceiling at x = 0.3 to 0.35', () => {
  const shape = profileAlongY(
    [
      [0, 0],
      [LENGTH, 0],
      [LENGTH, HEIGHT],
      [0.35, HEIGHT],
      [0.35, HEIGHT - 0.1],
      [0.3, HEIGHT - 0.1],
      [0.3, HEIGHT],
      [0, HEIGHT],
    ],
    WIDTH,
  );
  const fittings = [fitting('v', 'vent', [0.6, 0.25, HEIGHT]), fitting('f', 'filler', [LENGTH, 0.25, HEIGHT - 0.02])];
  const fill = fillStudy(loadedOf([{ id: 'a', shape, fittings }], { conditions: [parked(0)] }));

  test('the bay without a vent keeps its air down to the rib: 0.3 × 0.5 × 0.1', () => {
    assertWithin(fill.trappedAir_m3, 0.3 * WIDTH * 0.1, 1e-12);
    expect(fill.pockets).toHaveLength(1);
  });
  test('the other is full to the filler: 0.45 × 0.5 × 0.02 of expansion space', () => {
    const volume = CAPACITY - 0.05 * WIDTH * 0.1;
    assertWithin(fill.expansionShare, (0.45 * WIDTH * 0.02) / volume, 1e-12);
    assertWithin(fill.mostFuel_m3, volume - 0.3 * WIDTH * 0.1 - 0.45 * WIDTH * 0.02, 1e-12);
  });
  test('findings: expansion space met, trapped air told, vent dry as parked', () => {
    const [expansion, trapped, ...vents] = fillFindings(fill);
    expect(expansion).toMatchObject({ id: 'expansion:a', state: 'met', limit: { amount: 0.02 } });
    expect(expansion.source).toContain('14 CFR 23.969');
    expect(trapped).toMatchObject({ id: 'trapped:a', value: { quantity: 'volume' } });
    expect(vents).toEqual([]);
  });
  test('a vent that fuel covers at a condition is a finding', () => {
    const conditions = [parked(0), { id: 'climb', phase: 'flight' as const, pitch_deg: 15, roll_deg: 0, n: 1 }];
    const tipped = fillStudy(loadedOf([{ id: 'a', shape, fittings }], { conditions }));
    expect(tipped.coveredVents).toMatchObject([{ vent: 'v', condition: 'climb', cover: 'covered' }]);
    expect(fillFindings(tipped).at(-1)).toMatchObject({ id: 'vent:a/v', state: 'not met', show: { pitch_deg: 15 } });
  });
});

test('a collector without filler and vent breathes through its lines: air above the highest line end stays, and is not judged', () => {
  const shape = box([0, 0, 0], [LENGTH, WIDTH, HEIGHT]);
  const fittings = [fitting('in', 'line', [0, 0.25, 0.1]), fitting('breather', 'line', [0.4, 0.25, HEIGHT - 0.05])];
  const fill = fillStudy(loadedOf([{ id: 'a', shape, fittings }], { conditions: [parked(0)] }));
  assertWithin(fill.trappedAir_m3, LENGTH * WIDTH * 0.05, 1e-12);
  expect(fill.requirement.met).toBe(true);
  expect(fill.notices).toHaveLength(1);
});

test('a condition "fuelling" comes before the parked one', () => {
  const shape = box([0, 0, 0], [LENGTH, WIDTH, HEIGHT]);
  const fuelling = { ...parked(2), id: 'fuelling' };
  expect(fillStudy(loadedOf([{ id: 'a', shape }], { conditions: [parked(0), fuelling] })).condition.pitch_deg).toBe(2);
});

describe('trapped air is what the tank keeps when it is really turned upside down and drains through its vents (a collector: its line ends)', () => {
  /** Half a turn about X: a proper turn, so the winding stays. */
  const over = ([x, y, z]: Vector3): Vector3 => [x, -y, -z];
  const turnedOver = ({ positions, triangles }: SurfaceMesh, origin: Vector3): SurfaceMesh => ({
    positions: positions.map((p, i) => (i % 3 === 0 ? 1 : -1) * (p + origin[i % 3])),
    triangles,
  });

  test.each(SAMPLES)('%s', async (name) => {
    const sample = await loadSample(name);
    // Without fillers: fuel then rises until the last vent is covered.
    const loaded = {
      ...sample,
      tanks: sample.tanks.map((tank) => ({ ...tank, fittings: tank.fittings.filter(({ kind }) => kind !== 'filler') })),
    };
    const fill = fillStudy(loaded);
    const fields = fieldsOfCase(loaded, fill.condition);
    loaded.tanks.forEach(({ solid, fittings }, i) => {
      const { up } = fields[i];
      const turned = makeField(buildTankSolid(turnedOver(solid, solid.origin), solid.facetError), over([-up[0], -up[1], -up[2]]));
      const breathers = fittings.some(({ kind }) => kind === 'vent') ? 'vent' : 'line';
      const vents = fittings
        .filter(({ kind }) => kind === breathers)
        .map((vent) => ({
          id: vent.id,
          place: openingAt(turned, { ...vent, at: over(vent.at), facing: vent.facing === null ? null : over(vent.facing) }).bottom,
        }));
      const kept = drainDown(turned, vents).reduce((sum, { volume }) => sum + volume, 0);
      assertWithin(fill.tanks[i].trappedAir_m3 + fill.tanks[i].expansionShare * solid.capacity, kept, 1e-9, solid.capacity);
    });
  });
});
