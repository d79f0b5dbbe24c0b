/**
 * Filling a tank through its filler with the vents open: which air cannot leave, the most fuel that fits, and the expansion space above it.
 *
 * The tank is turned upside down in thought: there air drains as fuel does here. It leaves a pocket through a vent or the filler until fuel
 * covers the opening, and nowhere does fuel rise past the filler's lowest rim, where it runs out.
 */
import type { Condition, CoveredVent, FillAnswer, TankFill } from '../../shared/answers.ts';
import { add, scale } from '../../shared/vector.ts';
import { type Field, isUnder, makeField } from '../basins/field.ts';
import type { LoadedTank, LoadedTanks } from '../case/load-case.ts';
import { coverOf } from '../fittings/cover.ts';
import { arcOfPlace, openingAt } from '../fittings/opening.ts';
import { drainDown, type Residue } from '../fluid/drain-down.ts';
import { settle } from '../fluid/settle.ts';
import { vertexAt } from '../surface/pool.ts';
import { fieldsOfCase, parkedCondition, plain } from './parked.ts';

/** Least expansion space, share of capacity. Source: 14 CFR 23.969, unless the vent discharges clear of the airplane. */
export const LEAST_EXPANSION = 0.02;

export function fillStudy(loaded: LoadedTanks): FillAnswer {
  const condition = fuellingCondition(loaded);
  const fields = fieldsOfCase(loaded, condition);
  const tanks = loaded.tanks.map((tank, i) => fillTank(tank, fields[i]));
  const sum = (pick: (tank: TankFill) => number): number => tanks.reduce((total, tank) => total + pick(tank), 0);
  const capacity_m3 = sum((tank) => tank.capacity_m3);
  return {
    condition,
    capacity_m3,
    mostFuel_m3: sum((tank) => tank.mostFuel_m3),
    trappedAir_m3: sum((tank) => tank.trappedAir_m3),
    expansionShare: sum((tank) => tank.expansionShare * tank.capacity_m3) / capacity_m3,
    pockets: tanks.flatMap((tank) => tank.pockets.map((pocket) => ({ tank: tank.id, ...pocket }))),
    tanks,
    coveredVents: coveredVents(loaded, tanks),
    requirement: {
      expansionShare: LEAST_EXPANSION,
      met: tanks.every(({ expansionShare, isJudged }) => !isJudged || expansionShare >= LEAST_EXPANSION),
    },
    notices: loaded.tanks.flatMap(noticesOf),
  };
}

/** A tank without filler and vent of its own, as a collector, fills and breathes through its lines; the tanks at their other ends are judged. */
const hasOwnAir = (fittings: LoadedTank['fittings']): boolean => fittings.some(({ kind }) => kind === 'filler' || kind === 'vent');

/** The condition with id "fuelling", else as parked. */
export function fuellingCondition({ file }: LoadedTanks): Condition {
  const own = file.conditions.find(({ id }) => id === 'fuelling');
  return own === undefined ? parkedCondition(file) : plain(own);
}

/** The air that stays in a tank filled as far as it goes, in the field of the tank turned over: there it lies as fuel does here. */
export interface AirLeft {
  readonly turned: Field;
  readonly trapped: readonly Residue[];
  /** Bodies that a vent still serves. */
  readonly expansion: readonly Residue[];
}

export function airLeft({ solid, fittings }: LoadedTank, { up }: Field): AirLeft {
  const turned = makeField(solid, scale(up, -1));
  const breathers = fittings.filter(({ kind }) => kind === (hasOwnAir(fittings) ? 'vent' : 'line'));
  const vents = breathers.map((vent) => ({ id: vent.id, place: openingAt(turned, vent).bottom }));
  const fillers = fittings
    .filter(({ kind }) => kind === 'filler')
    .map((filler) => ({ id: filler.id, place: openingAt(turned, filler).top }));
  // Turned over, "no lower" is "no higher": fuel runs out at the lowest rim of the lowest filler.
  const rim = fillers.length === 0 ? Number.NEGATIVE_INFINITY : Math.max(...fillers.map(({ place }) => place.level));
  const air = drainDown(turned, [...vents, ...fillers], rim).filter(({ volume }) => volume > 0);
  const isVented = ({ arc, level }: Residue): boolean =>
    vents.some(({ place }) => place.level < level && isUnder(turned, arcOfPlace(turned, place), arc));
  return { turned, trapped: air.filter((body) => !isVented(body)), expansion: air.filter(isVented) };
}

function fillTank(tank: LoadedTank, field: Field): TankFill {
  const { id, solid, fittings } = tank;
  const { turned, trapped, expansion } = airLeft(tank, field);
  const total = (bodies: readonly Residue[]): number => bodies.reduce((sum, { volume }) => sum + volume, 0);
  const trappedAir_m3 = total(trapped);
  const expansion_m3 = total(expansion);
  return {
    id,
    capacity_m3: solid.capacity,
    mostFuel_m3: solid.capacity - trappedAir_m3 - expansion_m3,
    trappedAir_m3,
    expansionShare: expansion_m3 / solid.capacity,
    isJudged: hasOwnAir(fittings),
    pockets: trapped
      .filter(({ volume }) => volume > turned.tolerance.volume)
      .sort((a, b) => b.volume - a.volume)
      .map(({ arc, volume }) => ({ at_m: add(vertexAt(turned, turned.arcs[arc].lowest), solid.origin), volume_m3: volume })),
  };
}

/** Vents that fuel reaches with the tanks as full as they go, at each condition of the case. */
function coveredVents(loaded: LoadedTanks, tanks: readonly TankFill[]): CoveredVent[] {
  return loaded.file.conditions.flatMap((condition) => {
    const fields = fieldsOfCase(loaded, condition);
    return loaded.tanks.flatMap((tank, i) => {
      const pools = settle(fields[i], tanks[i].mostFuel_m3);
      return tank.fittings
        .filter(({ kind }) => kind === 'vent')
        .map((vent) => coverOf(fields[i], vent, pools))
        .filter(({ cover }) => cover !== 'dry')
        .map(({ id, cover, depth_m }) => ({ tank: tank.id, vent: id, condition: condition.id, at: plain(condition), cover, depth_m }));
    });
  });
}

function noticesOf({ id, fittings }: LoadedTank): string[] {
  const has = (wanted: string): boolean => fittings.some(({ kind }) => kind === wanted);
  if (!hasOwnAir(fittings)) {
    return [
      has('line')
        ? `Tank "${id}" has neither filler nor vent: it is taken to fill and breathe through its lines, and is not judged for expansion space by itself.`
        : `Tank "${id}" has neither filler nor vent nor line: its air has no way out.`,
    ];
  }
  return [
    ...(has('filler') ? [] : [`Tank "${id}" has no filler: it is taken to fill through its lines until its vents are covered.`]),
    ...(has('vent') ? [] : [`Tank "${id}" has no vent: what air stays above the filler counts as trapped.`]),
  ];
}
