/** Siting: its figures against the studies with a fitting really put there, its pairs against trying all, and boxes by hand. */
import { describe, expect, test } from 'vitest';
import { makeField } from '../../engine/basins/field.ts';
import type { LoadedTank, LoadedTanks } from '../../engine/case/load-case.ts';
import { apparentGravity } from '../../engine/gravity/condition.ts';
import { parkedCondition } from '../../engine/studies/parked.ts';
import { drainResidues, rampStudy, upOnSlope } from '../../engine/studies/ramp.ts';
import { type SitingOptions, sitingStudy } from '../../engine/studies/siting.ts';
import { unbeaten, wallPlaces } from '../../engine/studies/siting-places.ts';
import { unusableStudy } from '../../engine/studies/unusable.ts';
import type { CaseCondition, CaseFitting } from '../../shared/case.ts';
import type { SitingAnswer, SitingTank } from '../../shared/design-answers.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { assertWithin } from '../assert-within.ts';
import { threeBasins, threePitsAtOneSaddle, twoBasins } from '../basin-tanks.ts';
import { loadedOf } from '../loaded.ts';
import { manifoldKernel, randomSolid, seeded, solidOf } from '../random-solids.ts';
import { loadSample, SAMPLES } from '../sample-cases.ts';
import { box, together } from '../shapes.ts';

const watch = { progress: () => {}, cancelled: () => false };

async function siting(loaded: LoadedTanks, options: SitingOptions): Promise<SitingAnswer> {
  const answer = await sitingStudy(loaded, watch, options);
  if (!answer.ok) throw new Error(answer.error.code);
  return answer.value!;
}

/** The case with one tank, whose fittings of the kind are put at the given places instead. */
function withFittings({ file }: LoadedTanks, tank: LoadedTank, kind: 'outlet' | 'drain', at: readonly Vector3[]): LoadedTanks {
  const fittings = at.map((point, i) => ({ id: `${kind}-${i}`, kind, at: point, bore: 0, facing: null }));
  return { file, tanks: [{ ...tank, fittings }] };
}

const placeOf = ({ map }: SitingTank, p: number): Vector3 => [map.at_m[3 * p], map.at_m[3 * p + 1], map.at_m[3 * p + 2]];

/** The figure of a drain put there, on the very slopes siting looked at; one field a slope for all places. */
function drainedWorst(
  loaded: LoadedTanks,
  tank: LoadedTank,
  { conditions }: SitingAnswer,
  sets: readonly (readonly Vector3[])[],
): number[] {
  const parked = parkedCondition(loaded.file);
  const tanks = sets.map((at) => withFittings(loaded, tank, 'drain', at).tanks[0]);
  const worst = sets.map(() => 0);
  for (const { slope_deg, downhill_deg } of conditions) {
    const field = makeField(tank.solid, upOnSlope(parked, { slope_deg: slope_deg!, downhill_deg: downhill_deg! }));
    tanks.forEach((one, i) => {
      worst[i] = Math.max(
        worst[i],
        drainResidues(one, field).reduce((sum, { volume }) => sum + volume, 0),
      );
    });
  }
  return worst;
}

async function expectAsPutThere(loaded: LoadedTanks, n: number, seed: number): Promise<void> {
  const random = seeded(seed);
  const outlet = await siting(loaded, { kind: 'outlet' });
  const drain = await siting(loaded, { kind: 'drain' });
  for (const [t, tank] of loaded.tanks.entries()) {
    const picked = Array.from({ length: n }, () => Math.floor(random() * outlet.tanks[t].considered));
    for (const p of picked) {
      const there = unusableStudy(withFittings(loaded, tank, 'outlet', [placeOf(outlet.tanks[t], p)]));
      assertWithin(outlet.tanks[t].map.left_m3[p], there.unusable_m3, 1e-10, tank.solid.capacity);
    }
    const theirs = drainedWorst(
      loaded,
      tank,
      drain,
      picked.map((p) => [placeOf(drain.tanks[t], p)]),
    );
    for (const [i, p] of picked.entries()) assertWithin(drain.tanks[t].map.left_m3[p], theirs[i], 1e-10, tank.solid.capacity);
  }
}

describe('siting equals a fitting really put there', () => {
  test.each(SAMPLES)('%s: 8 random places of each tank, as outlet and as drain', async (name) => {
    await expectAsPutThere(await loadSample(name), 8, 7);
  });
  test('12 random solids, 4 places each, as outlet and as drain, from seed 40', async () => {
    const kernel = await manifoldKernel();
    for (let seed = 40; seed < 52; seed++) {
      const manifold = randomSolid(kernel, seed);
      const solid = solidOf(manifold);
      manifold.delete();
      await expectAsPutThere(loadedOf([{ id: 'a', shape: solid }]), 4, seed);
    }
  });
  test('places between the corners, on the low-wing collector at a spacing of 20 mm', async () => {
    const loaded = await loadSample('low-wing');
    const [answer] = (await siting(loaded, { kind: 'outlet', tank: 'collector', spacing: 0.02 })).tanks;
    const tank = loaded.tanks.find(({ id }) => id === 'collector')!;
    const nCorners = tank.solid.positions.length / 3;
    expect(answer.considered).toBeGreaterThan(nCorners + 100);
    for (let p = nCorners; p < answer.considered; p += Math.ceil((answer.considered - nCorners) / 30)) {
      const there = unusableStudy(withFittings(loaded, tank, 'outlet', [placeOf(answer, p)]));
      assertWithin(answer.map.left_m3[p], there.unusable_m3, 1e-10, tank.solid.capacity);
    }
  });
  test('the best drain of the aerobatic drum, put there, is what ramp says on its grid; between its places ramp finds little more', async () => {
    const loaded = await loadSample('aerobatic-drum');
    const [tank] = loaded.tanks;
    const answer = await siting(loaded, { kind: 'drain' });
    for (const choice of answer.tanks[0].choices.slice(0, 3)) {
      const ramp = (await rampStudy(withFittings(loaded, tank, 'drain', [choice.places[0].at_m]), watch, { shares: false }))!;
      expect(ramp.map.length).toBe(answer.conditions.length);
      assertWithin(choice.left_m3, Math.max(...ramp.map.map(({ left_m3 }) => left_m3)), 1e-10, tank.solid.capacity);
      assertWithin(choice.left_m3, ramp.worst.left_m3, 0.05);
    }
    const ramp = (await rampStudy(loaded, watch, { shares: false }))!;
    assertWithin(answer.tanks[0].present!.left_m3, Math.max(...ramp.map.map(({ left_m3 }) => left_m3)), 1e-12, tank.solid.capacity);
  });
  test('present outlets give what unusable says', async () => {
    const loaded = await loadSample('aerobatic-drum');
    const { present } = (await siting(loaded, { kind: 'outlet' })).tanks[0];
    expect(present!.left_m3).toBe(unusableStudy(loaded).unusable_m3);
  });
});

const up = ({ pitch_deg, roll_deg, n }: { pitch_deg: number; roll_deg: number; n: number }): Vector3 => {
  const made = apparentGravity({ pitch_deg, roll_deg, n });
  if (!made.ok) throw new Error(made.error.code);
  return made.value.up;
};

describe('the best pair', () => {
  /** Tries every pair of corners of the wall with drainDown itself. */
  function tryAll(loaded: LoadedTanks, answer: SitingAnswer): number {
    const [tank] = loaded.tanks;
    const { map, considered } = answer.tanks[0];
    const fields = answer.conditions.map((condition) => makeField(tank.solid, up(condition)));
    let best = Number.POSITIVE_INFINITY;
    for (let p = 0; p < considered; p++) {
      for (let q = 0; q <= p; q++) {
        const there = withFittings(
          loaded,
          tank,
          'drain',
          [p, q].map((v) => placeOf({ map } as SitingTank, v)),
        ).tanks[0];
        let worst = 0;
        for (const field of fields) {
          worst = Math.max(
            worst,
            drainResidues(there, field).reduce((sum, { volume }) => sum + volume, 0),
          );
          if (worst >= best) break;
        }
        best = Math.min(best, worst);
      }
    }
    return best;
  }

  const flight = (id: string, pitch_deg: number, roll_deg: number, n = 1): CaseCondition => ({
    id,
    phase: 'flight',
    pitch_deg,
    roll_deg,
    n,
  });
  const conditions = [flight('a', 0, 0), flight('b', 8, 3), flight('c', -8, 3), flight('d', 2, -9), flight('e', 0, 0, -1)];

  test.each([
    ['box', box([0, 0, 0], [1, 0.5, 0.3])],
    ['two basins', twoBasins()],
    ['three basins', threeBasins()],
    ['three pits at one saddle', threePitsAtOneSaddle()],
    ['two bodies', together(box([0, 0, 0], [0.4, 0.5, 0.3]), box([0.6, 0, 0.1], [1, 0.5, 0.3]))],
  ])('%s: as trying all pairs', async (_, shape) => {
    for (const some of [conditions.slice(0, 4), conditions, conditions.slice(1, 3)]) {
      const loaded = loadedOf([{ id: 'a', shape }], { conditions: some });
      const answer = await siting(loaded, { kind: 'outlet', count: 2 });
      assertWithin(answer.tanks[0].choices[0].left_m3, tryAll(loaded, answer), 1e-10, loaded.tanks[0].solid.capacity);
    }
  });
  test('10 random solids of at most 60 corners: as trying all pairs, from seed 1', async () => {
    const kernel = await manifoldKernel();
    let judged = 0;
    for (let seed = 1; judged < 10; seed++) {
      const manifold = randomSolid(kernel, seed);
      const solid = solidOf(manifold);
      manifold.delete();
      if (solid.positions.length > 3 * 60) continue;
      judged++;
      const loaded = loadedOf([{ id: 'a', shape: solid }], { conditions: conditions.slice(0, 4) });
      const answer = await siting(loaded, { kind: 'outlet', count: 2 });
      const [choice] = answer.tanks[0].choices;
      assertWithin(choice.left_m3, tryAll(loaded, answer), 1e-10, solid.capacity);
      expect(choice.left_m3).toBeLessThanOrEqual(Math.min(...answer.tanks[0].map.left_m3) + 1e-10 * solid.capacity);
    }
  });
  test('as drains on slopes: the pair put there leaves what is said, and no random pair leaves less', async () => {
    const loaded = await loadSample('aerobatic-drum');
    const [tank] = loaded.tanks;
    const answer = await siting(loaded, { kind: 'drain', count: 2 });
    const [choice] = answer.tanks[0].choices;
    const random = seeded(3);
    const low = answer.tanks[0].map.left_m3
      .map((left, p) => ({ left, p }))
      .sort((a, b) => a.left - b.left)
      .slice(0, 60);
    const pick = (): Vector3 => placeOf(answer.tanks[0], low[Math.floor(random() * low.length)].p);
    const [ours, ...theirs] = drainedWorst(loaded, tank, answer, [
      choice.places.map(({ at_m }) => at_m),
      ...Array.from({ length: 40 }, () => [pick(), pick()]),
    ]);
    assertWithin(choice.left_m3, ours, 1e-10, tank.solid.capacity);
    for (const left of theirs) expect(left).toBeGreaterThanOrEqual(ours - 1e-10 * tank.solid.capacity);
  });
});

describe('by hand', () => {
  const [L, W, H] = [1, 0.5, 0.3];
  const tan = (angle: number): number => Math.tan((angle * Math.PI) / 180);
  test('box pitched up and down by 5°: an outlet in the middle of the floor would be best, at a corner half a wedge more stays', async () => {
    const conditions = [5, -5].map((pitch_deg): CaseCondition => ({ id: `p${pitch_deg}`, phase: 'flight', pitch_deg, roll_deg: 0, n: 1 }));
    const loaded = loadedOf([{ id: 'a', shape: box([0, 0, 0], [L, W, H]) }], { conditions });
    const corners = await siting(loaded, { kind: 'outlet' });
    expect(corners.tanks[0].considered).toBe(8);
    assertWithin(corners.tanks[0].choices[0].left_m3, (L * L * W * tan(5)) / 2, 1e-12);
    const finer = await siting(loaded, { kind: 'outlet', spacing: 0.125 });
    const [best] = finer.tanks[0].choices;
    assertWithin(best.left_m3, (L * L * W * tan(5)) / 8, 1e-12);
    expect(best.places[0].at_m[0]).toBeCloseTo(L / 2, 12);
    expect(best.places[0].at_m[2]).toBeCloseTo(0, 12);
    expect(best.places[0].toPresent_m).toBeNull();
    const pair = await siting(loaded, { kind: 'outlet', count: 2 });
    expect(pair.tanks[0].choices[0].left_m3).toBeCloseTo(0, 14);
    expect(pair.tanks[0].choices[0].places).toHaveLength(2);
  });
  test('the distance from the present drain, and the present figure', async () => {
    const fittings: CaseFitting[] = [{ id: 'low', kind: 'drain', at_m: [L / 2, W / 2, 0] }];
    const loaded = loadedOf([{ id: 'a', shape: box([0, 0, 0], [L, W, H]), fittings }]);
    const answer = await siting(loaded, { kind: 'drain', slope_deg: 3 });
    const { present, choices } = answer.tanks[0];
    assertWithin(present!.left_m3, (L * L * W * tan(3)) / 8, 1e-12);
    expect(present!.fittings).toEqual(['low']);
    expect(choices[0].places[0].toPresent_m).toBeCloseTo(Math.hypot(L / 2, W / 2), 12);
    const { pitch_deg } = answer.conditions[present!.worst];
    expect(Math.abs(pitch_deg)).toBeCloseTo(3, 10);
  });
  test('listed places lie apart; the map holds every corner; conditions by the default set where the case has none', async () => {
    const answer = await siting(await loadSample('floatplane'), { kind: 'outlet', tank: 'header' });
    const [tank] = answer.tanks;
    expect(tank.map.left_m3).toHaveLength(tank.considered);
    for (const [i, a] of tank.choices.entries()) {
      for (const b of tank.choices.slice(0, i)) {
        const [p, q] = [a.places[0].at_m, b.places[0].at_m];
        expect(Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2])).toBeGreaterThanOrEqual(tank.apart_m);
        expect(a.left_m3).toBeGreaterThanOrEqual(b.left_m3 - 1e-9 * tank.capacity_m3);
      }
    }
    const plain = await siting(loadedOf([{ id: 'a', shape: box([0, 0, 0], [L, W, H]) }]), { kind: 'outlet' });
    expect(plain.conditions).toHaveLength(13);
    expect(plain.notices.join()).toContain('default ones');
  });
  test('a place no corner of its wall beats stays, the others fall away', () => {
    const loaded = loadedOf([{ id: 'a', shape: box([0, 0, 0], [L, W, H]) }]);
    const [{ solid }] = loaded.tanks;
    const ups = [up({ pitch_deg: 5, roll_deg: 0, n: 1 }), up({ pitch_deg: -5, roll_deg: 0, n: 1 })];
    const kept = unbeaten(solid, wallPlaces(solid, Number.POSITIVE_INFINITY), ups);
    expect(kept.length).toBeGreaterThan(0);
    expect(kept.every((v) => solid.positions[3 * v + 2] < 0)).toBe(true);
  });
  test('refused by line: an unknown tank, a spacing that is too fine', async () => {
    const loaded = loadedOf([{ id: 'a', shape: box([0, 0, 0], [L, W, H]) }]);
    expect(await sitingStudy(loaded, watch, { kind: 'drain', tank: 'b' })).toMatchObject({ error: { code: 'design-no-tank' } });
    expect(await sitingStudy(loaded, watch, { kind: 'drain', spacing: 1e-4 })).toMatchObject({
      error: { code: 'design-spacing-too-fine' },
    });
    expect(await sitingStudy(loaded, { ...watch, cancelled: () => true }, { kind: 'drain' })).toEqual({ ok: true, value: null });
  });
});
