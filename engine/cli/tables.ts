/** Answers as text a person reads: volumes in L and US gal side by side, lengths in mm, angles in degrees. */
import type { CheckAnswer, Condition, FillAnswer, Finding, RampAnswer, SettleAnswer, UnusableAnswer } from '../../shared/answers.ts';
import type { ReplayAnswer } from '../../shared/replay-answer.ts';
import { fromSi, showNumber, showQuantity } from '../../shared/units.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { oneLine } from './one-line.ts';

export function checkTable({ case: name, condition, tanks, capacity_m3 }: CheckAnswer): string {
  const rows = tanks.map((tank) => [
    tank.id,
    ...volume(tank.capacity_m3),
    String(tank.triangles),
    facetError(tank.facetError_m),
    tank.space,
    place(tank.lowest_m),
  ]);
  const total = tanks.length > 1 ? [['total', ...volume(capacity_m3), '', '', '', '']] : [];
  const parts = [
    heading(`${name}: as parked, ${attitude(condition)}`),
    table(['tank', 'L', 'US gal', 'triangles', 'facet error, mm', 'space', 'lowest point, mm (X aft, Y right, Z up)'], [...rows, ...total]),
    '\nLow points as parked, and what each holds before it spills\n',
    table(
      ['tank', 'L', 'US gal', 'at, mm'],
      tanks.flatMap(({ id, lowPoints }) => lowPoints.map(({ at_m, holds_m3 }) => [id, ...volume(holds_m3), place(at_m)])),
    ),
  ];
  const repairs = tanks.flatMap(({ id, repairs: done }) => done.map(({ text, count }) => [id, String(count), text]));
  if (repairs.length > 0) parts.push('\nRepairs to the mesh\n', table(['tank', 'count', 'what'], repairs));
  return parts.join('');
}

export function settleTable({ condition, fuel_m3, fuelCentroid_m, tanks }: SettleAnswer): string {
  const pools = tanks.flatMap(({ id, pools: all }) =>
    all.map((pool) => [
      id,
      ...volume(pool.volume_m3),
      millimetres(pool.level_m),
      showNumber(pool.surface_m2 * 1e4),
      place(pool.centroid_m),
      place(pool.lowest_m),
    ]),
  );
  const fittings = tanks.flatMap(({ id, fittings: all }) =>
    all.map((fitting) => [
      `${id}/${fitting.id}`,
      fitting.kind,
      fitting.cover,
      fitting.depth_m === null ? 'no fuel under it' : millimetres(fitting.depth_m),
    ]),
  );
  const centroid = fuelCentroid_m === null ? '' : `, centroid at ${place(fuelCentroid_m)} mm`;
  const parts = [
    heading(`${litres(fuel_m3)} of fuel at ${attitude(condition)}${centroid}`),
    table(['tank', 'L', 'US gal', 'level, mm', 'surface, cm²', 'centroid, mm', 'lowest, mm'], pools),
  ];
  if (fittings.length > 0)
    parts.push(
      '\nFittings; depth is the level above the centre of the opening\n',
      table(['fitting', 'kind', 'cover', 'depth, mm'], fittings),
    );
  parts.push(`\n${historyLine(tanks)}\n`);
  return parts.join('');
}

function historyLine(tanks: SettleAnswer['tanks']): string {
  if (tanks[0].history.from === 'here') return 'Poured at this attitude.';
  const steps = Math.max(...tanks.map(({ history }) => history.steps));
  if (steps === 0) return 'One pool holds all in each tank, or nothing was turned: how the fuel came here cannot matter.';
  const change = Math.max(...tanks.map(({ history }) => history.change ?? 0)); // the command line never asks for the quick answer
  return `Poured as parked and turned to this attitude in up to ${steps} steps; half as many move no pool by more than ${percent(change)} of its tank.`;
}

export function fillTable({ condition, requirement, tanks, coveredVents, pockets }: FillAnswer): string {
  const rows = tanks.map(({ id, capacity_m3, mostFuel_m3, trappedAir_m3, expansionShare, isJudged }) => [
    id,
    ...volume(capacity_m3),
    ...volume(mostFuel_m3),
    ...volume(trappedAir_m3),
    isJudged ? percent(expansionShare) : 'through its lines',
  ]);
  const shown = pockets.slice(0, SHOWN_LOW_POINTS);
  const parts = [
    heading(`Filled through the fillers with the vents open, ${attitude(condition)}`),
    `Expansion space that a vent serves, at least ${percent(requirement.expansionShare)} of each tank (14 CFR 23.969): ${requirement.met ? 'met' : 'NOT MET'}.\n\n`,
    table(['tank', 'L', 'US gal', 'most fuel, L', 'US gal', 'trapped air, L', 'US gal', 'expansion'], rows),
  ];
  if (pockets.length > 0) {
    parts.push(
      '\nTrapped air, at its highest point\n',
      table(
        ['tank', 'L', 'US gal', 'at, mm'],
        shown.map(({ tank, volume_m3, at_m }) => [tank, ...volume(volume_m3), place(at_m)]),
      ),
      pockets.length > shown.length ? `${pockets.length - shown.length} more; --json lists all.\n` : '',
    );
  }
  if (coveredVents.length > 0) {
    parts.push(
      '\nVents that fuel reaches with the tanks as full as they go\n',
      table(
        ['vent', 'condition', 'cover', 'depth, mm'],
        coveredVents.map(({ tank, vent, condition: id, cover, depth_m }) => [
          `${tank}/${vent}`,
          id,
          cover,
          depth_m === null ? '' : millimetres(depth_m),
        ]),
      ),
    );
  }
  return parts.join('');
}

export function replayTable({ time_s, start_m3, drawn_m3, left_m3, notDrawn_m3, dry, tanks, steps }: ReplayAnswer): string {
  const last = time_s.length - 1;
  const byTank = tanks.map(({ id, fuel_m3, outlets }) => [
    id,
    ...volume(fuel_m3[0]),
    ...volume(fuel_m3[last]),
    outlets.map((outlet) => `${outlet.id} ${leastDepth(outlet.depth_m)}`).join(', '),
  ]);
  const shown = dry.slice(0, SHOWN_INTERVALS);
  const rows = shown.map(
    ({ tank, outlet, isEngine, from_s, to_s, isOpenStart, isOpenEnd, isFullyDry, fuelOnBoard_m3, fuelInTank_m3, condition }) => [
      `${tank}/${outlet}`,
      isEngine ? 'engine' : 'line',
      `${isOpenStart ? 'start' : showNumber(from_s, 5)}`,
      `${isOpenEnd ? 'end' : showNumber(to_s, 5)}`,
      isFullyDry ? 'dry' : 'partly',
      ...volume(fuelOnBoard_m3),
      ...volume(fuelInTank_m3),
      attitude(condition),
    ],
  );
  const lack = legible(notDrawn_m3) > 0 ? `; ${litres(notDrawn_m3)} more were asked for while no outlet had fuel` : '';
  return [
    heading(
      `${time_s.length} rows, ${showNumber(time_s[last] - time_s[0])} s: ${litres(start_m3)} at the start, ${litres(drawn_m3)} drawn, ${litres(left_m3)} left${lack}`,
    ),
    table(['tank', 'start, L', 'US gal', 'end, L', 'US gal', 'least depth over the middle of its outlets, mm'], byTank),
    dry.length === 0
      ? '\nAir reaches no outlet.\n'
      : `\nWhen air reaches an outlet: from the surface falling under its highest point\n${table(['outlet', 'feeds', 'from, s', 'to, s', 'cover', 'on board, L', 'US gal', 'in its tank, L', 'US gal', 'first row'], rows)}`,
    dry.length > shown.length ? `${dry.length - shown.length} more; --json lists all.\n` : '',
    `\n${steps.fields} turns worked out anew, of at most ${angle(steps.mostTurn_deg)} each; ${steps.kept} smaller than ${angle(steps.keptTurn_deg)} to first order.\n`,
  ].join('');
}

const SHOWN_INTERVALS = 24;

function leastDepth(depth_m: readonly (number | null)[]): string {
  let least = Number.POSITIVE_INFINITY;
  for (const depth of depth_m) {
    if (depth === null) return 'no fuel under it';
    if (depth < least) least = depth;
  }
  return millimetres(least);
}

export function rampTable({ rampSlope_deg, parked, grid, worst, slopes, requirement }: RampAnswer): string {
  const steepest = slopes.filter(({ slope_deg }) => slope_deg === rampSlope_deg);
  const eight = steepest.filter(({ downhill_deg }) => downhill_deg % 45 === 0);
  const at = slopes.find(({ pitch_deg, roll_deg }) => pitch_deg === worst.pitch_deg && roll_deg === worst.roll_deg)!;
  const mostFirst = at.tanks
    .flatMap(({ id, lowPoints }) => lowPoints.map((point) => ({ id, point })))
    .sort((a, b) => b.point.holds_m3 - a.point.holds_m3);
  const shown = mostFirst.slice(0, SHOWN_LOW_POINTS);
  const rest = mostFirst.slice(SHOWN_LOW_POINTS);
  const together = rest.reduce((sum, { point }) => sum + point.holds_m3, 0);
  return [
    heading(`Water the drains leave, on slopes up to ${angle(rampSlope_deg)} around the parked attitude (${attitude(parked)})`),
    `Worst: ${litres(worst.left_m3)} at ${attitude({ ...worst, n: parked.n })}, ground falling ${wayDown(at.downhill_deg)} by ${angle(at.slope_deg)}.\n`,
    requirement === null
      ? 'The case states no limit.\n'
      : `Limit ${litres(requirement.waterLeft_m3)}: ${requirement.met ? 'met' : 'NOT MET'}.\n`,
    `Grid: every ${angle(grid.directionStep_deg)} of direction and ${angle(grid.slopeStep_deg)} of slope; half as fine it differs by ${showNumber(100 * grid.change, 2)} %.\n\n`,
    table(
      ['ground falls', 'pitch', 'roll', 'L', 'US gal'],
      [slopes[0], ...eight].map((slope) => [
        slope.slope_deg === 0 ? 'level' : wayDown(slope.downhill_deg),
        angle(slope.pitch_deg),
        angle(slope.roll_deg),
        ...volume(slope.left_m3),
      ]),
    ),
    '\nLow points at the worst, those that keep most first\n',
    table(
      ['tank', 'L', 'US gal', 'of the floor', 'drain', 'at, mm'],
      shown.map(({ id, point }) => [id, ...volume(point.holds_m3), perCent(point.share), point.drain ?? 'none', place(point.at_m)]),
    ),
    rest.length === 0 ? '' : `${rest.length} more keep ${litres(together)} together; --json lists all.\n`,
  ].join('');
}

const SHOWN_LOW_POINTS = 12;

export const wayDown = (downhill_deg: number): string =>
  ['forward', 'forward right', 'right', 'aft right', 'aft', 'aft left', 'left', 'forward left'][downhill_deg / 45] ??
  `at ${angle(downhill_deg)} (0° forward, 90° right)`;

export function unusableTable({ unusable_m3, worst, conditions, requirement }: UnusableAnswer): string {
  const name = conditions.find(({ id }) => id === worst)!.name;
  return [
    heading(`Unusable fuel: ${litres(unusable_m3)}, set by ${name}`),
    requirement === null
      ? 'The case states no limit.\n\n'
      : `Limit ${litres(requirement.unusableFuel_m3)}: ${requirement.met ? 'met' : 'NOT MET'}.\n\n`,
    table(
      ['condition', 'pitch', 'roll', 'n', 'L', 'US gal', 'by tank, L (outlet)'],
      conditions.map((condition) => [
        condition.id,
        angle(condition.pitch_deg),
        angle(condition.roll_deg),
        showNumber(condition.n),
        ...volume(condition.unusable_m3),
        condition.tanks.map(({ id, outlet, left_m3 }) => `${id} ${showNumber(fromSi(left_m3, 'L'))} (${outlet ?? 'none'})`).join(', '),
      ]),
    ),
    '\nSources\n',
    table(
      ['condition', 'source'],
      conditions.map(({ id, source }) => [id, source]),
    ),
  ].join('');
}

export function findingsTable(findings: readonly Finding[]): string {
  return table(
    ['', 'finding', ''],
    findings.flatMap(({ state, title, text, source }) => [
      [state, title, text],
      ['', '', `Source: ${source}.`],
    ]),
  );
}

export const heading = (text: string): string => `${oneLine(text)}\n`;
/** Below a tenth of a millilitre nothing is shown: 1e-9 L only asks to be read. The answer in JSON keeps every digit. */
const legible = (amount: number): number => Number(amount.toFixed(7));
const usGallons = (amount: number): number => Number(fromSi(legible(amount), 'US gal').toFixed(5));
export const litres = (amount: number): string => `${showQuantity(legible(amount), 'L')} (${showNumber(usGallons(amount))}\u00a0US gal)`;
export const volume = (amount: number): [string, string] => [showNumber(fromSi(legible(amount), 'L')), showNumber(usGallons(amount))];
const perCent = (share = Number.NaN): string => `${showNumber(100 * share, 2)} %`;
const percent = (share: number): string => `${showNumber(100 * share)} %`;
export const millimetres = (length: number): string => showNumber(fromSi(length, 'mm'), 4);
/** Below a micrometre it is the file's rounding. */
const facetError = (depth: number): string => (depth < 1e-6 ? '< 0.001' : showNumber(fromSi(depth, 'mm'), 2));
export const angle = (amount: number): string => showQuantity(amount, '°');
export const place = (at: Vector3): string => at.map(millimetres).join(', ');
const attitude = ({ pitch_deg, roll_deg, n }: Condition): string =>
  `pitch ${angle(pitch_deg)}, roll ${angle(roll_deg)}, n ${showNumber(n)}`;

/** Columns wide enough for their longest cell; columns of numbers are set to the right. */
export function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const all = [head, ...rows].map((row) => row.map(oneLine));
  const widths = head.map((_, c) => Math.max(...all.map((row) => row[c].length)));
  const isNumber = head.map((_, c) => rows.length > 0 && rows.every((row) => /^$|^−?[\d.]+(°| %)?$|^–$/.test(row[c])));
  const line = (row: readonly string[]) =>
    row
      .map((cell, c) => (isNumber[c] ? cell.padStart(widths[c]) : cell.padEnd(widths[c])))
      .join('  ')
      .trimEnd();
  return all.map((row) => `${line(row)}\n`).join('');
}
