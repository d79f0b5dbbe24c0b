/** The engine behind the window's contract: unpacks, calls, packs. One current case a worker; the window starts as many workers as it needs. */
import * as Comlink from 'comlink';
import type { Condition } from '../shared/answers.ts';
import type { DrawnMesh, DrawnPool, DrawnTank, EngineContract, LoadedCase, SettledView } from '../shared/engine-contract.ts';
import { done, failed } from '../shared/outcome.ts';
import type { ReplayAnswer } from '../shared/replay-answer.ts';
import { type LoadedTanks, loadCase, type ShapeCache } from './case/load-case.ts';
import { readCase } from './case/read-case.ts';
import { readHistory } from './case/read-history.ts';
import { fillView, settledView, waterPathView } from './drawn.ts';
import { glanceAt } from './mesh/glance.ts';
import { readStl } from './mesh/read-stl.ts';
import { checkAnswer } from './studies/check.ts';
import { findingsOf } from './studies/findings.ts';
import { fieldsAt } from './studies/parked.ts';
import { rampStudy } from './studies/ramp.ts';
import { replayCase } from './studies/replay-case.ts';
import { settledRow } from './studies/replay-row.ts';
import { type SettledCase, settledCase, shareOf } from './studies/settle-case.ts';
import { unusableStudy } from './studies/unusable.ts';

const NO_CASE = failed({ code: 'engine-fault', text: 'no case is loaded' } as const);
let current: LoadedTanks | null = null;
/** The fuel as it was answered last, live or not: its fields serve the water's way. */
let shown: SettledCase | null = null;
/** Where fuel rested last, and how much of it: the start of "from now". */
let rested: { readonly settled: SettledCase; readonly share: number } | null = null;
let replayed: ReplayAnswer | null = null;
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
    shown = rested = replayed = null;
    return Comlink.transfer(...loadedView(current));
  },

  async settle(condition, fuel, { from, live }) {
    if (current === null) return NO_CASE;
    const share = shareOf(current, fuel);
    if (!share.ok) return share;
    const start = from === 'now' && rested?.share === share.value ? rested.settled : 'parked';
    const settled = settledCase(current, condition, fuel, start, null, live);
    if (!settled.ok) return settled;
    shown = settled.value;
    if (!live) rested = { settled: shown, share: share.value };
    return packedSettled(settledView(current.tanks, shown, !live));
  },

  async waterPath(point_m, condition) {
    if (current === null) return NO_CASE;
    const fields = shown !== null && isSame(shown.answer.condition, condition) ? done(shown.fields) : fieldsAt(current, condition);
    return fields.ok ? waterPathView(current.tanks, fields.value, point_m, condition) : fields;
  },

  async fill() {
    if (current === null) return NO_CASE;
    const view = fillView(current);
    return packed(view, view.fuel, view.air);
  },

  async replay(text, fuel, progress) {
    if (current === null) return NO_CASE;
    const history = readHistory(text);
    if (!history.ok) return history;
    const answer = await replayCase(current, history.value, fuel, { progress, cancelled: () => false });
    if (!answer.ok) return answer;
    replayed = answer.value!;
    return done(replayed);
  },

  async replayRow(row) {
    if (current === null || replayed === null) return failed({ code: 'engine-fault', text: 'no history was replayed' });
    return packedSettled(settledView(current.tanks, settledRow(current, replayed, row), false));
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

/** A view whose drawn pools move instead of being copied. */
function packed<View extends object>(view: View, ...drawn: readonly (readonly DrawnPool[])[]): { ok: true; value: View } {
  const buffers = drawn.flat().flatMap(({ wall, surface }) => [...buffersOf(wall), ...buffersOf(surface)]);
  return Comlink.transfer({ ok: true, value: view }, buffers);
}

const packedSettled = (view: SettledView) => packed(view, view.pools, view.water);

const isSame = (a: Condition, b: Condition): boolean => a.pitch_deg === b.pitch_deg && a.roll_deg === b.roll_deg && a.n === b.n;

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
