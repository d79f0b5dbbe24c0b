import { describe, expect, test } from 'vitest';
import { loadCase } from '../../engine/case/load-case.ts';
import { readMesh } from '../../engine/mesh/read-mesh.ts';
import { buildTankSolid, type TankSolid } from '../../engine/mesh/tank-solid.ts';
import { writeMesh } from '../../engine/mesh/write-mesh.ts';
import { MESH_UNITS } from '../../shared/mesh-units.ts';
import { toSi } from '../../shared/units.ts';
import { loadSample, SAMPLES } from '../sample-cases.ts';

/** Corners of the tank as they should come back, in its own order of triangles, rounded to float32 of the unit. */
function cornersOf(solid: TankSolid, metre: number): Float64Array {
  return Float64Array.from({ length: 3 * solid.triangles.length }, (_, i) => {
    const p = 3 * solid.triangles[Math.floor(i / 3)] + (i % 3);
    return Math.fround((solid.positions[p] + solid.origin[i % 3]) / metre);
  });
}

describe('writeMesh: export then import changes nothing beyond float32', () => {
  for (const name of SAMPLES) {
    test(`${name}, every tank, both kinds, every unit`, { timeout: 120_000 }, async () => {
      const { file, tanks } = await loadSample(name);
      for (const [i, { solid }] of tanks.entries()) {
        for (const format of ['stl', '3mf'] as const) {
          const unit = MESH_UNITS[i % MESH_UNITS.length];
          const written = await writeMesh(solid, { format, unit, title: `${name} & <tank>` });
          if (!written.ok) throw new Error(written.error.code);
          const read = await readMesh(`a.${format}`, written.value);
          if (!read.ok) throw new Error(read.error.code);
          expect(read.value.unit?.toMetre).toBe(format === '3mf' ? toSi(1, unit) : undefined);
          expect(read.value.corners.map(Math.fround)).toEqual(cornersOf(solid, toSi(1, unit)));
          // Through the whole door: one tank, the same triangles, the same volume to float32.
          const again = await loadCase(
            { ...file, tanks: [{ id: 'a', geometry: { kind: 'mesh', file: `a.${format}`, unit }, fittings: [] }], lines: [] },
            new Map([[`a.${format}`, written.value.buffer]]),
          );
          if (!again.ok) throw new Error(again.error.code);
          const [tank] = again.value.tanks;
          expect(tank.solid.triangles.length).toBe(solid.triangles.length);
          const step = 2 ** -24 * Math.max(...solid.min.map(Math.abs), ...solid.max.map(Math.abs));
          expect(Math.abs(tank.solid.capacity - solid.capacity)).toBeLessThan(solid.wallArea * step);
          for (const k of [0, 1, 2]) expect(Math.abs(tank.solid.min[k] - solid.min[k])).toBeLessThanOrEqual(step);
        }
      }
    });
  }
  test('the same surface gives the same bytes', async () => {
    const solid = box(0);
    const bytes = async () => {
      const written = await writeMesh(solid, { format: '3mf', unit: 'mm', title: 'a' });
      return written.ok ? written.value : null;
    };
    expect(await bytes()).toEqual(await bytes());
  });
  test('a tank so far out that float32 would resize it is not written', async () => {
    const written = await writeMesh(box(2 ** 22), { format: 'stl', unit: 'm', title: 'a' });
    expect(written.ok).toBe(false);
  });
});

/** A cube of 0.3 m, so far along X. */
function box(x: number): TankSolid {
  const positions = Float64Array.from({ length: 24 }, (_, i) => ((Math.floor(i / 3) >> (i % 3)) & 1) * 0.3 + (i % 3 === 0 ? x : 0));
  const faces = [0, 2, 1, 1, 2, 3, 4, 5, 6, 5, 7, 6, 0, 1, 4, 1, 5, 4, 2, 6, 3, 3, 6, 7, 0, 4, 2, 2, 4, 6, 1, 3, 5, 3, 7, 5];
  return buildTankSolid({ positions, triangles: Uint32Array.from(faces) }, 0);
}
