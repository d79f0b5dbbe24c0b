/** One line per requirement or practice: its number, its source, met or not, and the condition to look at. */
import type { Condition, Finding, RampAnswer, UnusableAnswer } from '../../shared/answers.ts';
import type { CaseCondition } from '../../shared/case.ts';
import { showQuantity } from '../../shared/units.ts';
import type { Field } from '../basins/field.ts';
import type { LoadedTank, LoadedTanks } from '../case/load-case.ts';
import { arcOfPlace, type Fitting, openingAt } from '../fittings/opening.ts';
import { poolOfLevel } from '../surface/pool.ts';
import { fieldsOfCase, parkedCondition, plain } from './parked.ts';
import { drainResidues, waterLeft } from './ramp.ts';
import { flightConditions, tankLeft, waysOut } from './unusable.ts';

const SUMP_RULE = '14 CFR 23.971(b) (1993): in the normal ground attitude water must drain from every part of the tank to its sump';

/** @param ramp - of the same case, as `unusable` is */
export function findingsOf(loaded: LoadedTanks, unusable: UnusableAnswer, ramp: RampAnswer): Finding[] {
  const parked = parkedCondition(loaded.file);
  const fields = fieldsOfCase(loaded, parked);
  return [
    unusableFinding(unusable),
    rampFinding(ramp),
    ...outletFindings(loaded),
    ...loaded.tanks.flatMap((tank, i) => [...lowPointFindings(tank, fields[i], parked), ...drainFindings(tank, fields[i], parked)]),
  ];
}

function unusableFinding({ unusable_m3, worst, conditions, requirement }: UnusableAnswer): Finding {
  const at = conditions.find(({ id }) => id === worst)!;
  return {
    id: 'unusable',
    title: 'Unusable fuel',
    state: stateOf(requirement),
    value: { amount: unusable_m3, quantity: 'volume' },
    limit: requirement === null ? null : { amount: requirement.unusableFuel_m3, quantity: 'volume' },
    text: `${litres(unusable_m3)} are left when air first reaches an outlet, worst in ${at.name}.`,
    source: requirement === null ? '14 CFR 23.959 (amdt 51); the case states no limit' : 'the case; quantity as in 14 CFR 23.959 (amdt 51)',
    show: plain(at),
  };
}

function rampFinding({ worst, rampSlope_deg, requirement }: RampAnswer): Finding {
  return {
    id: 'ramp',
    title: 'Water left on the ramp',
    state: stateOf(requirement),
    value: { amount: worst.left_m3, quantity: 'volume' },
    limit: requirement === null ? null : { amount: requirement.waterLeft_m3, quantity: 'volume' },
    text: `With the drains open, up to ${litres(worst.left_m3)} stay in the tanks on ground that slopes up to ${showQuantity(rampSlope_deg, '°')} in any direction.`,
    source: requirement === null ? `${SUMP_RULE}; the case states no limit` : `the case; practice as in ${SUMP_RULE}`,
    show: { pitch_deg: worst.pitch_deg, roll_deg: worst.roll_deg, n: 1 },
  };
}

const stateOf = (requirement: { readonly met: boolean } | null): Finding['state'] =>
  requirement === null ? 'not shown' : requirement.met ? 'met' : 'not met';

/** Where each outlet unports with most fuel left in its tank: its worst cover. */
function outletFindings(loaded: LoadedTanks): Finding[] {
  const conditions = flightConditions(loaded);
  const worst = new Map<string, { tank: LoadedTank; outlet: Fitting; left: number; at: CaseCondition }>();
  for (const at of conditions) {
    const fields = fieldsOfCase(loaded, at);
    for (const [i, tank] of loaded.tanks.entries()) {
      for (const outlet of waysOut(tank)) {
        const left = tankLeft(tank, fields[i], [outlet]).left_m3;
        const key = `${tank.id}/${outlet.id}`;
        if (left > (worst.get(key)?.left ?? -1)) worst.set(key, { tank, outlet, left, at });
      }
    }
  }
  return [...worst].map(([key, { tank, left, at }]) => ({
    id: `cover:${key}`,
    title: `Cover of ${key}`,
    state: 'not shown',
    value: { amount: left, quantity: 'volume' },
    limit: null,
    text: `Air reaches ${key} with ${litres(left)} (${percent(left / tank.solid.capacity)}) in ${tank.name}, worst in ${at.name ?? at.id}.`,
    source: '14 CFR 23.959 (amdt 51): the most adverse feed condition; no limit on one outlet',
    show: plain(at),
  }));
}

/** Each low point, as parked, that no drain empties. */
function lowPointFindings(tank: LoadedTank, field: Field, parked: Condition): Finding[] {
  const points = waterLeft(tank, field, drainResidues(tank, field)).lowPoints;
  const without = points.filter(({ drain, holds_m3 }) => drain === null && holds_m3 > field.tolerance.volume);
  if (without.length === 0) {
    const text = points.length === 1 ? 'The low point has a drain.' : `All ${points.length} low points have a drain.`;
    return [
      {
        id: `lowpoints:${tank.id}`,
        title: `Low points of ${tank.name}`,
        state: 'met',
        value: null,
        limit: null,
        text,
        source: SUMP_RULE,
        show: parked,
      },
    ];
  }
  return without.map(({ at_m, holds_m3 }, i) => ({
    id: `lowpoint:${tank.id}:${i + 1}`,
    title: `Low point without a drain, ${tank.name}`,
    state: 'not met',
    value: { amount: holds_m3, quantity: 'volume' },
    limit: null,
    text: `As parked, ${litres(holds_m3)} of water stay at ${at_m.map((x) => showQuantity(x, 'mm', 4)).join(', ')}.`,
    source: SUMP_RULE,
    show: parked,
  }));
}

/** Each drain's height above the low point it serves, as parked, and the water that stays under it. */
function drainFindings(tank: LoadedTank, field: Field, parked: Condition): Finding[] {
  return tank.fittings
    .filter(({ kind }) => kind === 'drain')
    .map((drain) => {
      const { bottom } = openingAt(field, drain);
      const arc = arcOfPlace(field, bottom);
      const height = Math.max(0, bottom.level - field.arcs[arc].bottom);
      const under = height === 0 ? 0 : poolOfLevel(field, arc, Math.max(bottom.level, field.arcs[arc].birth)).volume;
      const isLow = height <= field.tolerance.depth || under <= field.tolerance.volume;
      const name = `${tank.id}/${drain.id}`;
      return {
        id: `drain:${name}`,
        title: `Drain ${name}`,
        state: isLow ? ('met' as const) : ('not met' as const),
        value: { amount: height, quantity: 'length' as const },
        limit: { amount: field.tolerance.depth, quantity: 'length' as const },
        text: isLow
          ? 'Opens at its low point as parked.'
          : `Opens ${showQuantity(height, 'mm')} above its low point as parked: ${litres(under)} stay under it.`,
        source: `${SUMP_RULE}; the limit is the mesh's own facet error`,
        show: parked,
      };
    });
}

const litres = (volume: number): string => showQuantity(volume, 'L');
const percent = (share: number): string => `${Number((100 * share).toPrecision(2))} %`;
