import { describe, expect, test } from 'vitest';
import { caseOfMesh } from '../../engine/case/case-of-mesh.ts';
import { distanceOutside, loadCase, type ShapeCache } from '../../engine/case/load-case.ts';
import { placeMesh } from '../../engine/case/place-mesh.ts';
import { readCase } from '../../engine/case/read-case.ts';
import { buildTankSolid } from '../../engine/mesh/tank-solid.ts';
import type { CaseFile } from '../../shared/case.ts';
import { describeError } from '../../shared/errors.ts';
import { binaryStl, box, drum, prism, wedge } from '../shapes.ts';

const bytes = (shape: ReturnType<typeof box>, perMetre = 1000): ArrayBuffer => binaryStl(shape, perMetre).buffer;
const plain = box([0.1, 0.2, 0.3], [0.7, 0.5, 0.5]);
const meshes = new Map([['a.stl', bytes(plain)]]);

function caseWith(tank: Partial<CaseFile['tanks'][number]>): CaseFile {
  const file = caseOfMesh('a.stl', 'mm');
  return { ...file, tanks: [{ ...file.tanks[0], ...tank }] };
}

describe('placeMesh', () => {
  test.each<[number[], number[]]>([
    [
      [90, 0, 0],
      [1, -3, 2],
    ], // about X: Y towards Z
    [
      [0, 90, 0],
      [3, 2, -1],
    ], // about Y: Z towards X
    [
      [0, 0, 90],
      [-2, 1, 3],
    ], // about Z: X towards Y
    [
      [90, 90, 0],
      [2, -3, -1],
    ], // X first, then Y
    [
      [90, 0, 90],
      [3, 1, 2],
    ],
    [
      [180, 0, 0],
      [1, -2, -3],
    ],
    [
      [-90, 0, 0],
      [1, 3, -2],
    ],
    [
      [0, 0, 360],
      [1, 2, 3],
    ],
  ])('turn_deg %o takes (1, 2, 3) to %o, exactly', (turn, expected) => {
    const placed = placeMesh(
      { positions: Float64Array.of(1, 2, 3), triangles: new Uint32Array() },
      { turn_deg: turn as [number, number, number] },
    );
    expect([...placed.positions].map((x) => x + 0)).toEqual(expected);
  });
  test('mirror, then turn, then move', () => {
    const placed = placeMesh(
      { positions: Float64Array.of(1, 2, 3), triangles: new Uint32Array() },
      { mirrorY: true, turn_deg: [0, 0, 90], move_m: [10, 20, 30] },
    );
    expect([...placed.positions]).toEqual([12, 21, 33]);
  });
  test('every placement keeps the volume and its sign', () => {
    const shape = prism(
      [
        [0, 0],
        [2, 0],
        [2.5, 1],
        [0.3, 0.8],
      ],
      0,
      0.7,
    );
    const volume = buildTankSolid(shape, 0).capacity;
    expect(volume).toBeCloseTo(0.7 * ((2 * 0 - 2 * 0 + (2 * 1 - 2.5 * 0) + (2.5 * 0.8 - 0.3 * 1) + 0) / 2), 12);
    for (const mirrorY of [false, true]) {
      for (const turn of [
        [0, 0, 0],
        [90, 180, 270],
        [12, -34, 56],
      ] as [number, number, number][]) {
        expect(buildTankSolid(placeMesh(shape, { mirrorY, turn_deg: turn, move_m: [5, -6, 7] }), 0).capacity).toBeCloseTo(volume, 12);
      }
    }
  });
});

describe('loadCase', () => {
  test('units: the same file in mm, cm, m, in and ft', async () => {
    for (const [unit, metres] of [
      ['mm', 1e-3],
      ['cm', 1e-2],
      ['m', 1],
      ['in', 0.0254],
      ['ft', 0.3048],
    ] as const) {
      const loaded = await loadCase(caseWith({ geometry: { kind: 'mesh', file: 'a.stl', unit } }), meshes);
      expect(loaded.ok && loaded.value.tanks[0].solid.capacity / (0.036 * (1000 * metres) ** 3)).toBeCloseTo(1, 6);
    }
  });
  test('no unit: mm, said with the size it gives', async () => {
    const loaded = await loadCase(caseOfMesh('a.stl', undefined), meshes);
    expect(loaded.ok && loaded.value.tanks[0].notices).toEqual(['a.stl: no unit given, read as mm; the tank is 600 × 300 × 200 mm.']);
  });
  test('fittings: directions become unit vectors; a hair outside is taken, far outside is one error', async () => {
    const at = (z: number) =>
      caseWith({ fittings: [{ id: 'low', kind: 'drain', at_m: [0.4, 0.35, z], bore_m: 0.01, facing: [0, 0, -9] }] });
    const loaded = await loadCase(at(0.296), meshes);
    expect(loaded.ok && loaded.value.tanks[0].fittings).toEqual([
      { id: 'low', kind: 'drain', at: [0.4, 0.35, 0.296], bore: 0.01, facing: [0, 0, -1] },
    ]);
    const far = await loadCase(at(0.25), meshes);
    expect(far).toMatchObject({ ok: false, error: { code: 'case-fittings-outside', tank: 'a', fitting: 'low', count: 1 } });
    expect(!far.ok && describeError(far.error)).toContain('50 mm outside the tank');
  });
  test('a bore given in millimetres is wider than the tank, and refused', async () => {
    const wide = (bore_m: number) =>
      loadCase(caseWith({ fittings: [{ id: 'low', kind: 'drain', at_m: [0.4, 0.35, 0.3], bore_m, facing: [0, 0, -1] }] }), meshes);
    const refused = await wide(10);
    expect(refused).toMatchObject({ ok: false, error: { code: 'case-bore-too-wide', tank: 'a', fitting: 'low', bore_m: 10 } });
    expect(!refused.ok && describeError(refused.error)).toContain('10000 mm wide, and the tank 700 mm across');
    expect((await wide(0.1)).ok).toBe(true);
  });
  test('a mesh that is not there, and one that is not sound, name tank and file', async () => {
    const lost = await loadCase(caseWith({}), new Map());
    expect(!lost.ok && describeError(lost.error)).toMatch(/^Tank "a", "a\.stl": there is no such file/);
    const open = binaryStl({ positions: plain.positions, triangles: plain.triangles.slice(0, 9) }).buffer;
    const broken = await loadCase(caseWith({}), new Map([['a.stl', open]]));
    expect(broken).toMatchObject({ ok: false, error: { code: 'tank-mesh', tank: 'a', file: 'a.stl' } });
  });
  test('an edited case comes through the same door as a read one', async () => {
    const file = { ...caseWith({}), conditions: [{ id: 'x', phase: 'flight' as const, pitch_deg: 0, roll_deg: 0, n: 0 }] };
    expect(await loadCase(file, meshes)).toMatchObject({ ok: false, error: { code: 'case-zero-n', path: 'conditions[0].n' } });
  });
  test('cache: the shape stays the same object while mesh, unit and placement stay; a failed load keeps it', async () => {
    const cache: ShapeCache = new Map();
    const solidOf = async (file: CaseFile, from: ReadonlyMap<string, ArrayBuffer> = meshes) => {
      const loaded = await loadCase(file, from, cache);
      return loaded.ok ? loaded.value.tanks[0].solid : null;
    };
    const first = await solidOf(caseWith({}));
    expect(first).not.toBeNull();
    expect(await solidOf(caseWith({ fittings: [{ id: 'v', kind: 'vent', at_m: [0.4, 0.35, 0.5] }] }))).toBe(first);
    expect(await solidOf(caseWith({}), new Map([['a.stl', meshes.get('a.stl')!.slice(0)]]))).toBe(first);
    expect(await solidOf(caseWith({ fittings: [{ id: 'v', kind: 'vent', at_m: [9, 9, 9] }] }))).toBeNull();
    expect(await solidOf(caseWith({}))).toBe(first);
    expect(await solidOf(caseWith({ placement: { move_m: [1, 0, 0] } }))).not.toBe(first);
    expect(await solidOf(caseWith({}), new Map([['a.stl', bytes(wedge(0.6, 0.3, 0.2))]]))).not.toBe(first);
    expect(cache.size).toBe(1);
  });
  test('closed forms through file, reader and repair: wedge ½lwh, drum of n sides', async () => {
    const capacity = async (shape: ReturnType<typeof box>) => {
      const loaded = await loadCase(caseWith({}), new Map([['a.stl', bytes(shape)]]));
      return loaded.ok ? loaded.value.tanks[0].solid.capacity : Number.NaN;
    };
    expect((await capacity(wedge(0.6, 0.3, 0.2))) / 0.018).toBeCloseTo(1, 6);
    expect((await capacity(drum(0.25, 0, 0.8, 48))) / (0.5 * 48 * 0.0625 * Math.sin((2 * Math.PI) / 48) * 0.8)).toBeCloseTo(1, 6);
  });
});

test('distanceOutside: 0 inside, the distance to the wall outside, near an edge and a corner too', () => {
  const solid = buildTankSolid(plain, 0);
  expect(distanceOutside(solid, [0.4, 0.35, 0.4])).toBe(0);
  expect(distanceOutside(solid, [0.4, 0.35, 0.3])).toBeCloseTo(0, 12);
  expect(distanceOutside(solid, [0.4, 0.35, 0.6])).toBeCloseTo(0.1, 12);
  expect(distanceOutside(solid, [0.4, 0.35, 0.1])).toBeCloseTo(0.2, 12);
  expect(distanceOutside(solid, [0.1, 0.1, 0.2])).toBeCloseTo(Math.hypot(0.1, 0.1), 12);
  expect(distanceOutside(solid, [0, 0.1, 0.2])).toBeCloseTo(Math.sqrt(0.03), 12);
});

test('caseOfMesh: id from the file name, and a case the reader takes', () => {
  for (const name of ['left.stl', 'Flügel links (2).STL', '.stl', 'a.b.stl', `${'x'.repeat(200)}.stl`]) {
    expect(readCase(JSON.stringify(caseOfMesh(name, 'in'))).ok).toBe(true);
  }
  expect(caseOfMesh('left wing.stl', undefined).tanks[0].id).toBe('left-wing');
});
