/** What filling the tanks shows, as findings: expansion space, trapped air, vents that fuel covers. */
import type { FillAnswer, Finding, TankFill } from '../../shared/answers.ts';
import { showQuantity } from '../../shared/units.ts';
import { LEAST_EXPANSION } from './fill.ts';

const EXPANSION_RULE = '14 CFR 23.969: at least 2 % of the tank’s capacity, unless its vent discharges clear of the airplane';
const VENT_RULE = '14 CFR 23.975(a)(1): vented from the top of the expansion space';

export function fillFindings(fill: FillAnswer): Finding[] {
  return [
    ...fill.tanks.filter(({ isJudged }) => isJudged).map((tank) => expansionFinding(tank, fill)),
    ...fill.tanks.flatMap((tank) => trappedFinding(tank, fill)),
    ...ventFindings(fill),
  ];
}

function expansionFinding({ id, expansionShare }: TankFill, { condition }: FillAnswer): Finding {
  return {
    id: `expansion:${id}`,
    title: `Expansion space of ${id}`,
    state: expansionShare >= LEAST_EXPANSION ? 'met' : 'not met',
    value: { amount: expansionShare, quantity: 'share' },
    limit: { amount: LEAST_EXPANSION, quantity: 'share' },
    text: `Filled through its filler as it stands for fuelling, ${percent(expansionShare)} of the tank stay above the fuel where a vent serves them.`,
    source: EXPANSION_RULE,
    show: condition,
  };
}

function trappedFinding({ id, trappedAir_m3, capacity_m3, pockets }: TankFill, { condition }: FillAnswer): Finding[] {
  if (pockets.length === 0) return [];
  const [{ at_m }] = pockets;
  const more = pockets.length > 1 ? ` in ${pockets.length} pockets, the largest` : '';
  return [
    {
      id: `trapped:${id}`,
      title: `Air trapped in ${id}`,
      state: 'not shown',
      value: { amount: trappedAir_m3, quantity: 'volume' },
      limit: null,
      text: `${showQuantity(Number(trappedAir_m3.toFixed(7)), 'L')} of air (${percent(trappedAir_m3 / capacity_m3)}) cannot leave on filling${more} at ${at_m.map((x) => showQuantity(x, 'mm', 4)).join(', ')}.`,
      source: `${VENT_RULE}; no limit on trapped air`,
      show: condition,
    },
  ];
}

/** One line a vent, at the condition that covers it most. */
function ventFindings({ coveredVents }: FillAnswer): Finding[] {
  const byVent = new Map<string, FillAnswer['coveredVents'][number][]>();
  for (const covered of coveredVents) {
    const key = `${covered.tank}/${covered.vent}`;
    byVent.set(key, [...(byVent.get(key) ?? []), covered]);
  }
  return [...byVent].map(([key, all]) => {
    const deepest = all.reduce((a, b) => ((b.depth_m ?? 0) > (a.depth_m ?? 0) ? b : a));
    const others = all.length > 1 ? ` (and ${all.length - 1} more)` : '';
    return {
      id: `vent:${key}`,
      title: `Vent ${key}`,
      state: 'not met' as const,
      value: { amount: deepest.depth_m ?? 0, quantity: 'length' as const },
      limit: null,
      text: `With the tank as full as it goes, fuel ${deepest.cover === 'covered' ? 'covers the opening' : 'reaches into the opening'} in ${deepest.condition}${others}, ${showQuantity(deepest.depth_m ?? 0, 'mm')} over its centre.`,
      source: VENT_RULE,
      show: deepest.at,
    };
  });
}

const percent = (share: number): string => `${Number((100 * share).toPrecision(2))} %`;
