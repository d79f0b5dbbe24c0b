/** A recorded manoeuvre through a whole case: every pool, outlet cover and the fuel's centroid row by row, and when an outlet is dry. */
import type { Cover } from '../../shared/answers.ts';
import type { FuelAmount } from '../../shared/engine-contract.ts';
import type { AmountError } from '../../shared/errors.ts';
import { done, type Outcome } from '../../shared/outcome.ts';
import type { DryInterval, ReplayAnswer, ReplayOutlet, ReplayTank } from '../../shared/replay-answer.ts';
import { add, scale, type Vector3 } from '../../shared/vector.ts';
import type { LoadedTank, LoadedTanks } from '../case/load-case.ts';
import type { History } from '../case/read-history.ts';
import type { Fitting } from '../fittings/opening.ts';
import { KEPT_TURN, MOST_TURN, TankFuel } from '../fluid/replay.ts';
import { turnUntilSteady } from '../fluid/turn.ts';
import { exactWays } from '../fluid/ways.ts';
import { apparentGravity } from '../gravity/condition.ts';
import { vertexAt } from '../surface/pool.ts';
import { fieldsOfCase, parkedCondition } from './parked.ts';
import { poured } from './pour.ts';
import type { Watch } from './ramp.ts';
import { shareOf } from './settle-case.ts';
import { waysOut } from './unusable.ts';

export interface ReplayOptions {
  /** rad; 0 makes a field for every row. */
  readonly keptTurn?: number;
}

/**
 * @param fuel - at the start, poured as parked and turned to the first row's attitude
 * @returns null when cancelled; `more-than-fits`, `amount-not-valid`
 */
export async function replayCase(
  loaded: LoadedTanks,
  history: History,
  fuel: FuelAmount,
  watch: Watch,
  { keptTurn = KEPT_TURN }: ReplayOptions = {},
): Promise<Outcome<ReplayAnswer | null, AmountError>> {
  const share = shareOf(loaded, fuel);
  if (!share.ok) return share;
  const nRows = history.time_s.length;
  const tanks = startTanks(loaded, history, share.value, keptTurn);
  const engine = engineOutlets(loaded, tanks);
  const record = new CaseRecord(tanks, engine);
  let largestTurn = 0;
  let drawn_m3 = 0;
  let lost = 0; // what rounding dropped from the sum (Kahan)
  let notDrawn_m3 = 0;
  const drawnTo_m3: number[] = [];
  const wide: number[] = [];
  const start_m3 = tanks.reduce((sum, { fuel: { volume } }) => sum + volume, 0);
  for (let row = 0; row < nRows; row++) {
    const up = upOf(history, row);
    const turn = tanks.reduce((most, { state }) => Math.max(most, state.turn(up)), 0);
    if (turn > TOLD_TURN) wide.push(row);
    largestTurn = Math.max(largestTurn, turn);
    record.takeRow();
    drawnTo_m3.push(drawn_m3);
    if (history.flow_m3_s !== null && row + 1 < nRows) {
      const asked = history.flow_m3_s[row] * (history.time_s[row + 1] - history.time_s[row]);
      const got = drawByEngine(loaded, tanks, engine, asked);
      const next = drawn_m3 + (got - lost);
      lost = next - drawn_m3 - (got - lost);
      drawn_m3 = next;
      notDrawn_m3 += Math.max(0, asked - got);
    }
    if (row % PROGRESS_ROWS !== 0) continue;
    if (watch.cancelled()) return done(null);
    await watch.progress(row / nRows);
  }
  await watch.progress(1);
  const answered = record.answer(history);
  return done({
    start_m3,
    drawn_m3,
    left_m3: answered.fuel_m3[nRows - 1],
    notDrawn_m3,
    drawnTo_m3,
    ...answered,
    steps: {
      mostTurn_deg: degrees(MOST_TURN),
      keptTurn_deg: degrees(keptTurn),
      largestTurn_deg: degrees(largestTurn),
      fields: tanks.reduce((sum, { state }) => sum + state.steps.fields, 0),
      kept: tanks.reduce((sum, { state }) => sum + state.steps.kept, 0),
    },
    notices: [...history.notices, ...wideNotice(history, wide), ...noticesOf(loaded, history, engine)],
  });
}

const PROGRESS_ROWS = 32;

/** rad; a wider turn from one row to the next is told: how the fuel moved between them is a guess. Common practice, no source. */
const TOLD_TURN = Math.PI / 6;

function wideNotice({ lines }: History, wide: readonly number[]): string[] {
  if (wide.length === 0) return [];
  const more = wide.length > 1 ? ` and ${wide.length - 1} more` : '';
  return [
    `Line ${lines[wide[0]]}${more}: apparent gravity turns by more than 30° from the row before. It is taken to turn evenly, the shortest way; record more rows where it turns fast.`,
  ];
}

const degrees = (angle: number): number => (angle * 180) / Math.PI;

interface ReplayedTank {
  readonly tank: LoadedTank;
  readonly state: TankFuel;
  readonly outlets: readonly Fitting[];
  readonly fuel: { readonly volume: number };
}

function startTanks(loaded: LoadedTanks, history: History, share: number, keptTurn: number): ReplayedTank[] {
  const parked = fieldsOfCase(loaded, parkedCondition(loaded.file));
  const first = fieldsOfCase(loaded, { pitch_deg: history.pitch_deg[0], roll_deg: history.roll_deg[0], n: history.n[0] });
  return loaded.tanks.map((tank, i) => {
    const volume = share * tank.solid.capacity;
    const outlets = waysOut(tank);
    const standing = turnUntilSteady(poured(tank, parked[i], volume), first[i], exactWays);
    return { tank, state: new TankFuel(standing, outlets, keptTurn), outlets, fuel: { volume } };
  });
}

/** The history's reader has ruled out every error. */
function upOf({ pitch_deg, roll_deg, n }: History, row: number): Vector3 {
  const apparent = apparentGravity({ pitch_deg: pitch_deg[row], roll_deg: roll_deg[row], n: n[row] });
  if (!apparent.ok) throw new Error(`a checked row gave ${apparent.error.code}`);
  return apparent.value.up;
}

interface OutletAt {
  /** Indices of the tank, and of the fitting among its ways out. */
  readonly tank: number;
  readonly outlet: number;
}

/** Outlets at which no line of the case starts: the engine draws there. */
function engineOutlets({ file }: LoadedTanks, tanks: readonly ReplayedTank[]): OutletAt[] {
  const starts = new Set(file.lines.map(({ from }) => from));
  return tanks.flatMap(({ tank: { id }, outlets }, tank) =>
    outlets.flatMap((fitting, outlet) => (fitting.kind === 'outlet' && !starts.has(`${id}/${fitting.id}`) ? [{ tank, outlet }] : [])),
  );
}

/** Equal shares from the engine's outlets that fuel reaches. @returns what was drawn, m³ */
function drawByEngine(loaded: LoadedTanks, tanks: readonly ReplayedTank[], engine: readonly OutletAt[], asked: number): number {
  const fed = engine.filter((at) => isWet(tanks, at));
  return fed.reduce((sum, at) => sum + drawFrom(loaded, tanks, at, asked / fed.length, new Set()), 0);
}

const isWet = (tanks: readonly ReplayedTank[], { tank, outlet }: OutletAt): boolean => (tanks[tank].state.depth(outlet)?.bottom ?? 0) > 0;

/** What an outlet gives comes through the lines into its tank from those whose ends fuel reaches, in equal shares; the rest from the tank. */
function drawFrom(loaded: LoadedTanks, tanks: readonly ReplayedTank[], at: OutletAt, asked: number, passed: ReadonlySet<number>): number {
  const through = new Set(passed).add(at.tank);
  const ends = upstreamEnds(loaded, tanks, at.tank).filter((end) => !through.has(end.tank) && isWet(tanks, end));
  const fromLines = ends.reduce((sum, end) => sum + drawFrom(loaded, tanks, end, asked / ends.length, through), 0);
  return fromLines + tanks[at.tank].state.draw(at.outlet, asked - fromLines);
}

/** Ends, at their upstream tanks, of the lines that lead into a tank from another's way out. Breathers start elsewhere. */
function upstreamEnds({ file }: LoadedTanks, tanks: readonly ReplayedTank[], into: number): OutletAt[] {
  return file.lines
    .filter(({ to }) => to.startsWith(`${tanks[into].tank.id}/`))
    .flatMap(({ from }) =>
      tanks.flatMap(({ tank: { id }, outlets }, tank) => {
        const outlet = outlets.findIndex((fitting) => from === `${id}/${fitting.id}`);
        return outlet < 0 ? [] : [{ tank, outlet }];
      }),
    );
}

interface OutletRecord {
  readonly isEngine: boolean;
  /** Height of the surface over the opening's top, centre and bottom, by row; NaN where no fuel lies under it. Never leaves this file. */
  readonly top: number[];
  readonly centre: number[];
  readonly bottom: number[];
  /** How much lower the surface would stand, had the draw before this row not ended for want of fuel. */
  readonly shortfall: number[];
}

/** m; an outlet with no more fuel over it than this has air: a draw ends with the surface at it but for rounding. */
const NO_DEPTH = 1e-9;

/** Gathers an answer row by row. */
class CaseRecord {
  readonly tanks: readonly ReplayedTank[];
  readonly fuel: number[] = [];
  readonly centroids: (Vector3 | null)[] = [];
  readonly byTank: readonly {
    readonly fuel: number[];
    readonly outlets: readonly OutletRecord[];
    readonly pools: { readonly first: number[]; readonly volume_m3: number[]; readonly level_m: number[]; readonly lowPoint: number[] };
    readonly lowPoints_m: Vector3[];
    readonly lowPointOf: Map<number, number>;
  }[];

  constructor(tanks: readonly ReplayedTank[], engine: readonly OutletAt[]) {
    this.tanks = tanks;
    this.byTank = tanks.map(({ outlets }, tank) => ({
      fuel: [],
      outlets: outlets.map((_, outlet) => ({
        isEngine: engine.some((at) => at.tank === tank && at.outlet === outlet),
        top: [],
        centre: [],
        bottom: [],
        shortfall: [],
      })),
      pools: { first: [0], volume_m3: [], level_m: [], lowPoint: [] },
      lowPoints_m: [],
      lowPointOf: new Map(),
    }));
  }

  takeRow(): void {
    let whole = 0;
    let moment: Vector3 = [0, 0, 0];
    this.tanks.forEach(({ state }, i) => {
      const { fuel, outlets, pools } = this.byTank[i];
      const volume = state.volume();
      fuel.push(volume);
      whole += volume;
      moment = add(moment, add(state.moment(), scale(state.field.solid.origin, volume)));
      outlets.forEach((outlet, k) => {
        const depth = state.depth(k);
        outlet.top.push(depth?.top ?? Number.NaN);
        outlet.centre.push(depth?.centre ?? Number.NaN);
        outlet.bottom.push(depth?.bottom ?? Number.NaN);
        outlet.shortfall.push(state.takeShortfall(k));
      });
      for (const { arc, volume: pool, level } of state.bodies) {
        pools.volume_m3.push(pool);
        pools.level_m.push(level + state.field.originLevel);
        pools.lowPoint.push(this.lowPoint(i, state.field.arcs[arc].lowest));
      }
      pools.first.push(pools.volume_m3.length);
    });
    this.fuel.push(whole);
    this.centroids.push(whole > 0 ? scale(moment, 1 / whole) : null);
  }

  private lowPoint(tank: number, vertex: number): number {
    const { lowPointOf, lowPoints_m } = this.byTank[tank];
    let index = lowPointOf.get(vertex);
    if (index === undefined) {
      const { field } = this.tanks[tank].state;
      index = lowPoints_m.push(add(vertexAt(field, vertex), field.solid.origin)) - 1;
      lowPointOf.set(vertex, index);
    }
    return index;
  }

  answer(history: History): Pick<ReplayAnswer, 'dry' | 'time_s' | 'condition' | 'fuel_m3' | 'fuelCentroid_m' | 'tanks'> {
    const dry = this.byTank.flatMap(({ outlets }, tank) => outlets.flatMap((_, outlet) => this.dryIntervals(history, tank, outlet)));
    return {
      dry: dry.sort((a, b) => a.from_s - b.from_s || Number(b.isEngine) - Number(a.isEngine)),
      time_s: [...history.time_s],
      condition: { pitch_deg: [...history.pitch_deg], roll_deg: [...history.roll_deg], n: [...history.n] },
      fuel_m3: this.fuel,
      fuelCentroid_m: this.centroids,
      tanks: this.tanks.map(({ tank, outlets }, i): ReplayTank => {
        const { fuel, outlets: records, pools, lowPoints_m } = this.byTank[i];
        return {
          id: tank.id,
          capacity_m3: tank.solid.capacity,
          fuel_m3: fuel,
          outlets: outlets.map(({ id }, k) => outletAnswer(id, records[k])),
          pools,
          lowPoints_m,
        };
      }),
    };
  }

  /** Runs of rows with the surface under the opening's top, their bounds where the depth between rows crosses zero. */
  private dryIntervals({ time_s, pitch_deg, roll_deg, n }: History, tank: number, outlet: number): DryInterval[] {
    const { fuel, outlets } = this.byTank[tank];
    const { top, bottom, shortfall, isEngine } = outlets[outlet];
    const isDry = (row: number): boolean => !(top[row] > NO_DEPTH);
    const last = top.length - 1;
    const found: DryInterval[] = [];
    for (let row = 0; row <= last; row++) {
      if (!isDry(row)) continue;
      const first = row;
      while (row < last && isDry(row + 1)) row++;
      const isOpenStart = first === 0;
      const isOpenEnd = row === last;
      const start = isOpenStart
        ? { time: time_s[0], share: 0 }
        : crossing(time_s, first - 1, top[first - 1], top[first] - shortfall[first]);
      const end = isOpenEnd ? time_s[last] : crossing(time_s, row, top[row], top[row + 1]).time;
      const atStart = (list: readonly number[]): number =>
        isOpenStart ? list[0] : list[first - 1] + start.share * (list[first] - list[first - 1]);
      found.push({
        tank: this.tanks[tank].tank.id,
        outlet: this.tanks[tank].outlets[outlet].id,
        isEngine,
        from_s: start.time,
        to_s: end,
        isOpenStart,
        isOpenEnd,
        isFullyDry: bottom.slice(first, row + 1).some((depth) => !(depth > NO_DEPTH)),
        fuelOnBoard_m3: atStart(this.fuel),
        fuelInTank_m3: atStart(fuel),
        row: first,
        condition: { pitch_deg: pitch_deg[first], roll_deg: roll_deg[first], n: n[first] },
      });
    }
    return found;
  }
}

/** When the depth is zero between a row and the next, for depths `a` and `b` there; at the dry row where it has no depth. */
function crossing(time_s: Float64Array, row: number, a: number, b: number): { time: number; share: number } {
  const share = Number.isNaN(a) ? 0 : Number.isNaN(b) || a === b ? 1 : Math.max(0, Math.min(1, a / (a - b)));
  return { time: time_s[row] + share * (time_s[row + 1] - time_s[row]), share };
}

function outletAnswer(id: string, { isEngine, top, centre, bottom }: OutletRecord): ReplayOutlet {
  return {
    id,
    isEngine,
    depth_m: centre.map((depth) => (Number.isNaN(depth) ? null : depth)),
    cover: top.map((over, row): Cover => (over > NO_DEPTH ? 'covered' : bottom[row] > NO_DEPTH ? 'partly' : 'dry')),
  };
}

function noticesOf({ file }: LoadedTanks, { flow_m3_s }: History, engine: readonly OutletAt[]): string[] {
  const notices: string[] = [];
  if (flow_m3_s === null) notices.push('The history has no fuel flow: nothing is drawn. Add a column fuelFlow_L_h to draw it.');
  else if (engine.length === 0) notices.push('No outlet is free of lines: nothing is drawn, for it is not known where the engine is.');
  if (flow_m3_s !== null && file.lines.length > 0) {
    notices.push(
      'Fuel for the engine is taken in equal shares through the lines whose ends fuel reaches, else from the tank with the engine’s outlet, which is not filled up again. Heads, valves and losses of lines are not worked out here.',
    );
  }
  return notices;
}
