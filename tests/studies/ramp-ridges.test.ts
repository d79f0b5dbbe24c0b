/** The worst slope between the places of the grid: floors of random wells, where a pocket that begins to spill makes a ridge. */
import { expect, test } from 'vitest';
import { makeField } from '../../engine/basins/field.ts';
import { soundMesh } from '../../engine/mesh/sound-mesh.ts';
import { buildTankSolid } from '../../engine/mesh/tank-solid.ts';
import { drainResidues, rampStudy, upOnSlope } from '../../engine/studies/ramp.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { loadedOf } from '../loaded.ts';
import { wells } from '../wells.ts';

const watch = { progress: () => {}, cancelled: () => false };

test.each([6, 15, 17])('the worst is not passed by a close look round: wells of seed %d', async (seed) => {
  const { faces, drains } = wells(31 * seed);
  const sound = await soundMesh(Float64Array.from(faces.flat(2)), { unitToMetre: 1e-3, space: 'auto' });
  if (!sound.ok) throw new Error(sound.error.code);
  const fittings = drains.map((at_m: Vector3, i: number) => ({
    id: `d${i}`,
    kind: 'drain' as const,
    at_m: [...at_m] as [number, number, number],
  }));
  const loaded = loadedOf([{ id: 'a', shape: sound.value.mesh, fittings }]);
  const answer = (await rampStudy(loaded, watch, { slope_deg: 5, shares: false }))!;
  const solid = buildTankSolid(sound.value.mesh, 0);
  let most = 0;
  for (let downhill_deg = 0; downhill_deg < 360; downhill_deg++) {
    for (const slope_deg of [3, 4, 4.5, 5]) {
      const field = makeField(solid, upOnSlope({ pitch_deg: 0, roll_deg: 0, n: 1 }, { slope_deg, downhill_deg }));
      most = Math.max(
        most,
        drainResidues(loaded.tanks[0], field).reduce((sum, { volume }) => sum + volume, 0),
      );
    }
  }
  expect(answer.worst.left_m3).toBeGreaterThan(0.995 * most);
  // The grid alone stepped over the ridge.
  expect(Math.max(...answer.map.map(({ left_m3 }) => left_m3))).toBeLessThan(0.98 * most);
});
