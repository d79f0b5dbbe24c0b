/** Unusable fuel: what is left in each tank when air first reaches its outlet, at each flight condition. */
import type { UnusableAnswer, UnusableCondition, UnusableTank } from '../../shared/answers.ts';
import type { CaseCondition, FittingKind } from '../../shared/case.ts';
import type { Field } from '../basins/field.ts';
import type { LoadedTank, LoadedTanks } from '../case/load-case.ts';
import { openingAt } from '../fittings/opening.ts';
import { drainDown } from '../fluid/drain-down.ts';
import { DEFAULT_FLIGHT_CONDITIONS } from '../gravity/presets.ts';
import { fieldsOfCase } from './parked.ts';

/** Exact at each condition: the tank drains from full until the level meets the top of the outlet's opening. */
export function unusableStudy(loaded: LoadedTanks): UnusableAnswer {
  const own = flightConditions(loaded);
  const conditions = own.map((condition) => conditionAnswer(loaded, condition));
  // The same figure but for rounding is a tie: the first condition keeps it.
  const worst = conditions.reduce((most, next) => (next.unusable_m3 > most.unusable_m3 * (1 + 1e-9) ? next : most));
  const limit = loaded.file.requirements.unusableFuel_m3;
  return {
    unusable_m3: worst.unusable_m3,
    worst: worst.id,
    capacity_m3: loaded.tanks.reduce((sum, { solid }) => sum + solid.capacity, 0),
    conditions,
    requirement: limit === undefined ? null : { unusableFuel_m3: limit, met: worst.unusable_m3 <= limit },
    notices: noticesOf(loaded),
  };
}

/** The case's flight conditions; where it has none, the default set. */
export function flightConditions({ file }: LoadedTanks): readonly CaseCondition[] {
  const own = file.conditions.filter(({ phase }) => phase === 'flight');
  return own.length > 0 ? own : DEFAULT_FLIGHT_CONDITIONS;
}

function conditionAnswer(loaded: LoadedTanks, condition: CaseCondition): UnusableCondition {
  const fields = fieldsOfCase(loaded, condition);
  const tanks = loaded.tanks.map((tank, i) => tankLeft(tank, fields[i], waysOut(tank)));
  return {
    id: condition.id,
    name: condition.name ?? condition.id,
    pitch_deg: condition.pitch_deg,
    roll_deg: condition.roll_deg,
    n: condition.n,
    source: condition.source ?? 'case file',
    unusable_m3: tanks.reduce((sum, { left_m3 }) => sum + left_m3, 0),
    tanks,
  };
}

/** Outlets, or the ends of lines where a tank has none: fuel leaves it through them. */
export function waysOut({ fittings }: LoadedTank): LoadedTank['fittings'] {
  const of = (wanted: FittingKind) => fittings.filter(({ kind }) => kind === wanted);
  return of('outlet').length > 0 ? of('outlet') : of('line');
}

/** What a tank keeps when fuel leaves through the given fittings until air reaches the top of each opening. */
export function tankLeft({ id }: LoadedTank, field: Field, outlets: LoadedTank['fittings']): UnusableTank {
  const residues = drainDown(
    field,
    outlets.map((outlet) => ({ id: outlet.id, place: openingAt(field, outlet).top })),
  );
  const stopped = residues.filter(({ drainedBy }) => drainedBy !== null).sort((a, b) => b.volume - a.volume);
  return { id, outlet: stopped[0]?.drainedBy ?? null, left_m3: residues.reduce((sum, { volume }) => sum + volume, 0) };
}

function noticesOf(loaded: LoadedTanks): string[] {
  const notices: string[] = [];
  if (flightConditions(loaded) === DEFAULT_FLIGHT_CONDITIONS) {
    notices.push(`The case names no flight condition: ${DEFAULT_FLIGHT_CONDITIONS.length} default ones are used, each with its source.`);
  }
  for (const tank of loaded.tanks) {
    const out = waysOut(tank);
    if (out.length === 0) notices.push(`Tank "${tank.id}" has no outlet: all it holds counts as unusable.`);
    else if (out[0].kind === 'line') notices.push(`Tank "${tank.id}" has no outlet: its line ends count as its way out.`);
    if (out.length > 1) {
      notices.push(
        `Tank "${tank.id}" has ${out.length} ways out: each is taken to draw until it alone is uncovered. Where they join without valves, air in the first ends the feed.`,
      );
    }
  }
  return notices;
}
