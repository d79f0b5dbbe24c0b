/** One line per requirement or practice: its number, its source, met or not, and the condition to look at. */
import type { Condition, Finding, RampAnswer, UnusableAnswer } from '../../shared/answers.ts';
import type { CaseCondition } from '../../shared/case.ts';
import { showQuantity } from '../../shared/units.ts';
import type { Field } from '../basins/field.ts';
import type { LoadedTank, LoadedTanks } from '../case/load-case.ts';
import { arcOfPlace, type Fitting, openingAt } from '../fittings/opening.ts';
import { poolOfLevel } from '../surface/pool.ts';
import { fillStudy } from './fill.ts';
import { fillFindings } from './fill-findings.ts';
import { fieldsOfCase, parkedCondition, plain } from './parked.ts';
import { drainResidues, waterLeft } from './ramp.ts';
import { flightConditions, tankLeft, waysOut } from './unusable.ts';

const SUMP_RULE = '14 CFR 23.971(b) (1993): in the normal ground attitude water must drain from every part of the tank to its sump';

/** A drain that opens this little above its low point, m, is at it: common practice, no source. */
const DRAIN_HEIGHT = 1e-3;

/** Low points without a drain that get a line of their own. */
const SINGLE_LOW_POINTS = 3;

/** @param ramp - of the same case, as `unusable` is */
export function findingsOf(loaded: LoadedTanks, unusable: UnusableAnswer, ramp: RampAnswer): Finding[] {
  const parked = parkedCondition(loaded.file);
  const fields = fieldsOfCase(loaded, parked);
  return [
    unusableFinding(unusable),
    rampFinding(ramp),
    ...outletFindings(loaded),
    ...loaded.tanks.flatMap((tank, i) => [...lowPointFindings(tank, fields[i], parked), ...drainFindings(tank, fields[i], parked)]),
    ...fillFindings(fillStudy(loaded)),
  ];
}

function unusableFinding({ unusable_m3, worst, conditions, requirement }: UnusableAnswer): Finding {
  const at = conditions.find(({ id }) => id === worst)!;
  return {
    id: 'unusable',
    title: 'Unusable fuel',
    state: stateOf(requirement),
    value: volume(unusable_m3),
    limit: requirement === null ? null : volume(requirement.unusableFuel_m3),
    text: `${litres(unusable_m3)} are left when air first reaches an outlet, worst in ${at.name}.`,
    source: requirement === null ? '14 CFR 23.959 (amdt 51); the case states no limit' : 'the case; quantity as in 14 CFR 23.959 (amdt 51)',
    show: plain(at),
  };
}

/** m³; less than a drop or two is no water. */
const UNSEEN = 1e-7;

function rampFinding({ worst, rampSlope_deg, requirement }: RampAnswer): Finding {
  return {
    id: 'ramp',
    title: 'Water left on the ramp',
    state: stateOf(requirement),
    value: volume(worst.left_m3),
    limit: requirement === null ? null : volume(requirement.waterLeft_m3),
    text: `With the drains open, ${worst.left_m3 < UNSEEN ? 'no water stays' : `up to ${litres(worst.left_m3)} stay`} in the tanks on ground that slopes up to ${showQuantity(rampSlope_deg, '°')} in any direction.`,
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
    value: volume(left),
    limit: null,
    text: `Air reaches ${key} with ${litres(left)} (${percent(left / tank.solid.capacity)}) in ${tank.name}, worst in ${at.name ?? at.id}.${waysOut(tank).length > 1 ? ' Its other outlets may still feed.' : ''}`,
    source: '14 CFR 23.959 (amdt 51): the most adverse feed condition; no limit on one outlet',
    show: plain(at),
  }));
}

/** Low points, as parked, that no drain empties: those that keep most one by one, the rest in one line. */
function lowPointFindings(tank: LoadedTank, field: Field, parked: Condition): Finding[] {
  const points = waterLeft(tank, field, drainResidues(tank, field)).lowPoints;
  const kept = points.filter(({ drain, holds_m3 }) => drain === null && holds_m3 > field.tolerance.volume);
  const common = { limit: null, source: SUMP_RULE, show: parked };
  if (kept.length === 0) {
    const text =
      points.length === 1 ? 'The low point has a drain.' : `None of the ${points.length} low points keeps water without a drain.`;
    return [{ ...common, id: `lowpoints:${tank.id}`, title: `Low points of ${tank.name}`, state: 'met', value: null, text }];
  }
  const mostFirst = kept.sort((a, b) => b.holds_m3 - a.holds_m3);
  const single = mostFirst.slice(0, SINGLE_LOW_POINTS).map(({ at_m, holds_m3 }, i): Finding => {
    const text = `As parked, ${litres(holds_m3)} of water stay at ${at_m.map((x) => showQuantity(x, 'mm', 4)).join(', ')}.`;
    return {
      ...common,
      id: `lowpoint:${tank.id}:${i + 1}`,
      title: `Low point without a drain, ${tank.name}`,
      state: 'not met',
      value: volume(holds_m3),
      text,
    };
  });
  const rest = mostFirst.slice(SINGLE_LOW_POINTS);
  if (rest.length === 0) return single;
  const together = rest.reduce((sum, { holds_m3 }) => sum + holds_m3, 0);
  const text = `As parked, ${rest.length} more low points without a drain keep ${litres(together)} together.`;
  return [
    ...single,
    { ...common, id: `lowpoints:${tank.id}`, title: `More low points, ${tank.name}`, state: 'not met', value: volume(together), text },
  ];
}

/** Each drain's height above the low point it serves, as parked, and the water that stays under it. Only the lowest drain of a pocket is judged. */
function drainFindings(tank: LoadedTank, field: Field, parked: Condition): Finding[] {
  const drains = tank.fittings
    .filter(({ kind }) => kind === 'drain')
    .map((drain) => {
      const { bottom } = openingAt(field, drain);
      const arc = arcOfPlace(field, bottom);
      return { drain, arc, level: bottom.level };
    });
  const limit = DRAIN_HEIGHT + field.tolerance.depth;
  return drains.map(({ drain, arc, level }): Finding => {
    const height = Math.max(0, level - field.arcs[arc].bottom);
    const under = height === 0 ? 0 : poolOfLevel(field, arc, Math.max(level, field.arcs[arc].birth)).volume;
    const lower = drains.find((other) => other.arc === arc && other.level < level);
    const isLow = height <= limit || under <= field.tolerance.volume;
    const stays = `${showQuantity(height, 'mm')} above its low point as parked`;
    return {
      id: `drain:${tank.id}/${drain.id}`,
      title: `Drain ${tank.id}/${drain.id}`,
      state: lower !== undefined ? 'not shown' : isLow ? 'met' : 'not met',
      value: { amount: height, quantity: 'length' },
      limit: { amount: limit, quantity: 'length' },
      text:
        lower !== undefined
          ? `Opens ${stays}; ${tank.id}/${lower.drain.id} opens lower in the same pocket.`
          : isLow
            ? 'Opens at its low point as parked.'
            : `Opens ${stays}: ${litres(under)} stay under it.`,
      source: `${SUMP_RULE}; limit: 1 mm (common practice, no source) and the mesh's own facet error`,
      show: parked,
    };
  });
}

const volume = (amount: number) => ({ amount, quantity: 'volume' as const });
const litres = (amount: number): string => showQuantity(Number(amount.toFixed(7)), 'L');
const percent = (share: number): string => `${Number((100 * share).toPrecision(2))} %`;
