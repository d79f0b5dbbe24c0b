/** The engine behind the window's contract: unpacks, calls, packs. One current case a worker; the window starts as many workers as it needs. */
import * as Comlink from 'comlink';
import type { DrawnMesh, DrawnPool, DrawnTank, EngineContract, LoadedCase, SettledView } from '../shared/engine-contract.ts';
import { done, failed } from '../shared/outcome.ts';
import type { Field } from './basins/field.ts';
import { type LoadedTank, type LoadedTanks, loadCase, type ShapeCache } from './case/load-case.ts';
import { readCase } from './case/read-case.ts';
import { glanceAt } from './mesh/glance.ts';
import { readStl } from './mesh/read-stl.ts';
import { checkAnswer } from './studies/check.ts';
import { findingsOf } from './studies/findings.ts';
import { drainResidues, rampStudy, waterLeft } from './studies/ramp.ts';
import { type SettledCase, settledCase } from './studies/settle-case.ts';
import { unusableStudy } from './studies/unusable.ts';
import { cutPool } from './surface/cut-pool.ts';
import type { PoolState } from './surface/pool.ts';

const NO_CASE = failed({ code: 'engine-fault', text: 'no case is loaded' } as const);
let current: LoadedTanks | null = null;
const shapes: ShapeCache = new Map();

const engine: EngineContract = {
  async glanceAtMesh(_name, bytes) {
    const read = readStl(new Uint8Array(bytes));
    return read.ok ? done(await glanceAt(read.value)) : read;
  },

  async readCase(text) {
    return readCase(text);
  },

  async loadCase(file, meshes) {
    const loaded = await loadCase(file, new Map(Object.entries(meshes)), shapes);
    if (!loaded.ok) return loaded;
    current = loaded.value;
    return Comlink.transfer(...loadedView(current));
  },

  async settle(condition, fuel) {
    if (current === null) return NO_CASE;
    const settled = settledCase(current, condition, fuel);
    return settled.ok ? Comlink.transfer(...settledView(current.tanks, settled.value)) : settled;
  },

  async ramp(progress) {
    if (current === null) return NO_CASE;
    return done((await rampStudy(current, { progress, cancelled: () => false }))!);
  },

  async unusable() {
    return current === null ? NO_CASE : done(unusableStudy(current));
  },

  async findings(progress) {
    if (current === null) return NO_CASE;
    const ramp = (await rampStudy(current, { progress, cancelled: () => false }, { shares: false }))!;
    return done(findingsOf(current, unusableStudy(current), ramp));
  },
};

function loadedView(loaded: LoadedTanks): [{ ok: true; value: LoadedCase }, ArrayBuffer[]] {
  const tanks = loaded.tanks.map(({ id, solid }): DrawnTank => {
    const positions = Float32Array.from(solid.positions, (x, i) => x + solid.origin[i % 3]);
    return { id, positions, triangles: solid.triangles.slice() };
  });
  const notices = loaded.tanks.flatMap(({ notices }) => notices);
  return [done({ tanks, check: checkAnswer(loaded), notices }), tanks.flatMap(buffersOf)];
}

function settledView(
  tanks: readonly LoadedTank[],
  { answer, fields, pools }: SettledCase,
): [{ ok: true; value: SettledView }, ArrayBuffer[]] {
  const drawn = tanks.flatMap((tank, i) => drawPools(tank.id, fields[i], pools[i]));
  const residues = tanks.map((tank, i) => drainResidues(tank, fields[i]));
  const lowPoints = tanks.flatMap((tank, i) =>
    waterLeft(tank, fields[i], residues[i]).lowPoints.map((point) => ({ ...point, tank: tank.id })),
  );
  // A tank without a drain keeps all its water: drawing it full would say nothing.
  const water = tanks.flatMap((tank, i) => {
    const hasDrain = tank.fittings.some(({ kind }) => kind === 'drain');
    return hasDrain
      ? drawPools(
          tank.id,
          fields[i],
          residues[i].filter(({ volume }) => volume > fields[i].tolerance.volume),
        )
      : [];
  });
  const view: SettledView = { settle: answer, up: fields[0].up, pools: drawn, lowPoints, water };
  return [done(view), [...drawn, ...water].flatMap(({ wall, surface }) => [...buffersOf(wall), ...buffersOf(surface)])];
}

const drawPools = (tank: string, field: Field, pools: readonly PoolState[]): DrawnPool[] =>
  pools.map((pool) => ({ tank, ...cutPool(field, pool) }));

const buffersOf = ({ positions, triangles }: DrawnMesh): ArrayBuffer[] => [
  positions.buffer as ArrayBuffer,
  triangles.buffer as ArrayBuffer,
];

/** A thrown fault loses its fields on the way to the window: every call answers with one instead. */
function guarded(contract: EngineContract): EngineContract {
  const guard =
    (call: (...args: never[]) => Promise<unknown>) =>
    async (...args: never[]): Promise<unknown> => {
      try {
        return await call(...args);
      } catch (thrown) {
        return failed({ code: 'engine-fault', text: thrown instanceof Error ? thrown.message : String(thrown) } as const);
      }
    };
  return Object.fromEntries(Object.entries(contract).map(([name, call]) => [name, guard(call)])) as unknown as EngineContract;
}

Comlink.expose(guarded(engine));
