/** The case's own bound on which pockets are too small to count. */
import { expect, test } from 'vitest';
import { caseOfMesh } from '../../engine/case/case-of-mesh.ts';
import { loadCase } from '../../engine/case/load-case.ts';
import { checkAnswer } from '../../engine/studies/check.ts';
import { settleCase } from '../../engine/studies/settle-case.ts';
import type { CaseFile } from '../../shared/case.ts';
import { binaryStl, profileAlongY } from '../shapes.ts';

// 1 m long, 1 m wide; a ridge 20 mm high across the middle of the floor: ½ · 0.5 · 0.02 · 1 = 5 L on each side of it.
const ridged = profileAlongY(
  [
    [0, 0],
    [0.5, 0.02],
    [1, 0],
    [1, 0.2],
    [0, 0.2],
  ],
  1,
);

async function loadedWith(pockets: CaseFile['tanks'][number]['pockets']) {
  const file = caseOfMesh('a.stl', 'mm');
  const tank = pockets === undefined ? file.tanks[0] : { ...file.tanks[0], pockets };
  const loaded = await loadCase({ ...file, tanks: [tank] }, new Map([['a.stl', binaryStl(ridged).buffer]]));
  if (!loaded.ok) throw new Error(loaded.error.code);
  return loaded.value;
}

test.each([
  ['by default both count', undefined, 2, 0],
  ['shallower and smaller than the bounds: joined and counted', { depth_m: 0.021, volume_m3: 0.0051 }, 1, 1],
  ['shallower, not smaller: both count', { depth_m: 0.021, volume_m3: 0.0049 }, 2, 0],
  ['smaller, not shallower: both count', { depth_m: 0.019, volume_m3: 0.0051 }, 2, 0],
])('pockets of 20 mm and 5 L, %s', async (_, pockets, lowPoints, merged) => {
  const loaded = await loadedWith(pockets);
  expect(checkAnswer(loaded).tanks[0].lowPoints).toHaveLength(lowPoints);
  const settled = settleCase(loaded, { pitch_deg: 0, roll_deg: 0, n: 1 }, { fuel_m3: 0.004 });
  if (!settled.ok) throw new Error(settled.error.code);
  const [{ pools, mergedPockets }] = settled.value.tanks;
  expect(mergedPockets.count).toBe(merged);
  expect(mergedPockets.volume_m3).toBeCloseTo(0.005 * merged, 9);
  if (pockets !== undefined) expect(mergedPockets.depthTolerance_m).toBe(pockets.depth_m);
  expect(pools.reduce((sum, { volume_m3 }) => sum + volume_m3, 0)).toBeCloseTo(0.004, 12);
});
