/**
 * `npm run bench`: speed as ratios within one run, on the sample's wing tank at about 10,000 and 80,000 triangles.
 *
 * Measured: one full answer from a TankSolid at hand (field, drain-down through one outlet, settle half a tank), nothing kept from the call
 * before. Against it: the same answer by manifold-3d from a Manifold at hand (12 bisection cuts for the level, one decompose for the
 * pools), and one streaming pass over the triangles (their enclosed volume). Each round runs all of them in turn; medians of the rounds.
 */
import { makeField } from '../../engine/basins/field.ts';
import { drainDown } from '../../engine/fluid/drain-down.ts';
import { settle } from '../../engine/fluid/settle.ts';
import { apparentGravity } from '../../engine/gravity/condition.ts';
import { kernel } from '../../engine/mesh/kernel.ts';
import { buildTankSolid, type SurfaceMesh } from '../../engine/mesh/tank-solid.ts';
import { benchWingTank } from '../../sample-geometry/low-wing-solids.ts';
import type { Vector3 } from '../../shared/vector.ts';

const ROUNDS = 15;
/** Calls before the clock starts, so that what is timed is compiled code on both sides (manifold-3d's is compiled when it loads). */
const WARM_UP = 60;

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1];
}

/** The least any answer could cost: every corner read once, one number out. */
function streamingPass({ positions, triangles }: SurfaceMesh): number {
  let sum = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t];
    const b = 3 * triangles[t + 1];
    const c = 3 * triangles[t + 2];
    sum +=
      positions[a] * (positions[b + 1] * positions[c + 2] - positions[b + 2] * positions[c + 1]) +
      positions[a + 1] * (positions[b + 2] * positions[c] - positions[b] * positions[c + 2]) +
      positions[a + 2] * (positions[b] * positions[c + 1] - positions[b + 1] * positions[c]);
  }
  return sum / 6;
}

async function benchTank(targetTriangles: number): Promise<void> {
  const { Manifold, Mesh } = await kernel();
  const surface = await benchWingTank(targetTriangles);
  const solid = buildTankSolid(surface, 0);
  const mesh = new Mesh({ numProp: 3, vertProperties: Float32Array.from(surface.positions), triVerts: surface.triangles });
  const manifold = Manifold.ofMesh(mesh);
  let checksum = 0;

  const ours = (up: Vector3): number => {
    const field = makeField(solid, up);
    const outlet = { triangle: 0, level: field.heights[solid.triangles[0]] };
    const left = drainDown(field, [{ id: 'outlet', place: outlet }]).reduce((sum, { volume }) => sum + volume, 0);
    const pools = settle(field, solid.capacity / 2);
    return left + pools.reduce((sum, { level }) => sum + level, 0);
  };
  const theirs = (up: Vector3): number => {
    const heights = makeField(solid, up).heights;
    let low = heights.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
    let high = heights.reduce((a, b) => Math.max(a, b), Number.NEGATIVE_INFINITY);
    const shift = solid.origin[0] * up[0] + solid.origin[1] * up[1] + solid.origin[2] * up[2];
    const started = performance.now();
    for (let step = 0; step < 12; step++) {
      const middle = (low + high) / 2;
      const below = manifold.trimByPlane([-up[0], -up[1], -up[2]], -(middle + shift));
      if (below.volume() < solid.capacity / 2) low = middle;
      else high = middle;
      // The last cut's pools stand for the answer's: no thirteenth cut is charged.
      for (const pool of step === 11 ? below.decompose() : []) {
        checksum += pool.volume();
        pool.delete();
      }
      below.delete();
    }
    return performance.now() - started;
  };

  const times = { ours: [] as number[], theirs: [] as number[], pass: [] as number[] };
  const attitude = (round: number): Vector3 => {
    const condition = apparentGravity({ pitch_deg: -14 + 1.7 * round, roll_deg: 11 - 1.3 * round, n: 1 });
    if (!condition.ok) throw new Error(condition.error.code);
    return condition.value.up;
  };
  for (let call = 0; call < WARM_UP; call++) checksum += ours(attitude(call % ROUNDS)) + streamingPass(solid);
  for (let round = 0; round < ROUNDS; round++) {
    const up = attitude(round);
    const manifoldTime = theirs(up);
    let started = performance.now();
    for (let i = 0; i < 4; i++) checksum += ours(up);
    const ourTime = (performance.now() - started) / 4;
    started = performance.now();
    for (let i = 0; i < 20; i++) checksum += streamingPass(solid);
    const passTime = (performance.now() - started) / 20;
    times.theirs.push(manifoldTime);
    times.ours.push(ourTime);
    times.pass.push(passTime);
  }
  const each = times.ours.map((time, i) => times.theirs[i] / time).sort((a, b) => a - b);
  const passes = times.ours.map((time, i) => time / times.pass[i]).sort((a, b) => a - b);
  const built = performance.now();
  buildTankSolid(surface, 0);
  const build = performance.now() - built;
  console.log(`wing tank, ${solid.triangles.length / 3} triangles, ${ROUNDS} rounds`);
  console.log(`  field + drain-down + settle   ${median(times.ours).toFixed(2)} ms`);
  console.log(
    `  manifold-3d, 12 cuts + pools  ${median(times.theirs).toFixed(1)} ms   ratio ${median(each).toFixed(0)} (${each[0].toFixed(0)} to ${each[each.length - 1].toFixed(0)})`,
  );
  console.log(
    `  one streaming pass            ${median(times.pass).toFixed(3)} ms   ratio ${median(passes).toFixed(1)} passes (${passes[0].toFixed(1)} to ${passes[passes.length - 1].toFixed(1)})`,
  );
  console.log(`  making the TankSolid, once    ${build.toFixed(1)} ms`);
  if (!Number.isFinite(checksum)) throw new Error('a result is not a number');
}

for (const triangles of [10_000, 80_000]) await benchTank(triangles);
