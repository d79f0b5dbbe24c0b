import { expect, test } from 'vitest';
import { readStl } from '../engine/mesh/read-stl.ts';
import { soundMesh } from '../engine/mesh/sound-mesh.ts';
import { buildTankSolid } from '../engine/mesh/tank-solid.ts';
import { describeMeshError } from '../shared/mesh-errors.ts';
import { BROKEN_FILES } from './broken-files.ts';
import { volumeOfMesh } from './mesh/shapes.ts';
import { soundFaults } from './mesh/sound-faults.ts';

test('broken files: at least 95 distinct ones, of which 75 are refused or repaired', () => {
  expect(new Set(BROKEN_FILES.map((f) => f.name)).size).toBe(BROKEN_FILES.length);
  expect(BROKEN_FILES.length).toBeGreaterThanOrEqual(95);
  const faulty = BROKEN_FILES.filter(({ expected }) => 'error' in expected || expected.repairs.length > 0);
  expect(faulty.length).toBeGreaterThanOrEqual(75);
});

for (const { name, bytes, expected } of BROKEN_FILES) {
  test(`broken file: ${name}`, { timeout: 10_000 }, async () => {
    const read = readStl(bytes());
    const result = read.ok ? await soundMesh(read.value.corners, { unitToMetre: 1e-3, space: 'auto' }) : read;
    if (!result.ok) {
      const line = describeMeshError(result.error);
      expect(line).toMatch(/^[A-Z0-9][^\n]{20,}\.$/);
      expect(result.error.code, line).toBe('error' in expected ? expected.error : 'no error');
      return;
    }
    const { mesh, repairs, space } = result.value;
    if ('error' in expected) throw new Error(`taken, with ${volumeOfMesh(mesh) * 1000} L; expected ${expected.error}`);
    expect(soundFaults(mesh)).toEqual([]);
    expect(repairs.map((r) => r.kind).sort()).toEqual([...expected.repairs].sort());
    for (const { count, text } of repairs) {
      expect(count).toBeGreaterThan(0);
      expect(text.length).toBeGreaterThan(10);
    }
    expect(space).toBe(expected.space);
    const solid = buildTankSolid(mesh, 0);
    for (const volume of [volumeOfMesh(mesh), solid.capacity]) {
      expect(Math.abs(volume * 1000 - expected.volume_L)).toBeLessThanOrEqual((expected.relative ?? 1e-12) * expected.volume_L);
    }
  });
}
