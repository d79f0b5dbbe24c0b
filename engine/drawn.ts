/** What studies answered, as the window draws it: figures with the triangles cut for them. */
import type { Condition } from '../shared/answers.ts';
import type { DrawnPool, FillView, SettledView, WaterPathView } from '../shared/engine-contract.ts';
import type { AmountError } from '../shared/errors.ts';
import { done, failed, type Outcome } from '../shared/outcome.ts';
import { add, subtract, type Vector3 } from '../shared/vector.ts';
import { catchmentShares } from './basins/catchment.ts';
import type { Field } from './basins/field.ts';
import { LEAST_DRAIN_SLOPE_DEG, waterPath } from './basins/water-path.ts';
import type { LoadedTank, LoadedTanks } from './case/load-case.ts';
import { nearestWall } from './mesh/bvh.ts';
import { airLeft, fillStudy } from './studies/fill.ts';
import { fieldsOfCase } from './studies/parked.ts';
import { drainResidues, waterLeft } from './studies/ramp.ts';
import type { SettledCase } from './studies/settle-case.ts';
import { cutDryWall, cutPool } from './surface/cut-pool.ts';
import { type PoolState, vertexAt } from './surface/pool.ts';

/** @param withShares - of the floor, by low point: as much work again as the rest */
export function settledView(tanks: readonly LoadedTank[], { answer, fields, pools }: SettledCase, withShares: boolean): SettledView {
  const drawn = tanks.flatMap((tank, i) => drawPools(tank.id, fields[i], pools[i]));
  const residues = tanks.map((tank, i) => drainResidues(tank, fields[i]));
  const lowPoints = tanks.flatMap((tank, i) =>
    waterLeft(tank, fields[i], residues[i], withShares ? catchmentShares(fields[i]) : null).lowPoints.map((point) => ({
      ...point,
      tank: tank.id,
    })),
  );
  // A tank without a drain keeps all its water: drawing it full would say nothing.
  const water = tanks.flatMap((tank, i) => {
    const hasDrain = tank.fittings.some(({ kind }) => kind === 'drain');
    const kept = residues[i].filter(({ volume }) => volume > fields[i].tolerance.volume);
    return hasDrain ? drawPools(tank.id, fields[i], kept) : [];
  });
  return { settle: answer, up: fields[0].up, pools: drawn, lowPoints, water };
}

const drawPools = (tank: string, field: Field, pools: readonly PoolState[]): DrawnPool[] =>
  pools.map((pool) => ({ tank, ...cutPool(field, pool) }));

/** Air is cut in the tank turned over; the fuel is what it leaves of the wall, under the same surfaces. */
export function fillView(loaded: LoadedTanks): FillView {
  const fill = fillStudy(loaded);
  const fields = fieldsOfCase(loaded, fill.condition);
  const left = loaded.tanks.map((tank, i) => airLeft(tank, fields[i]));
  const fuel = loaded.tanks.map(({ id }, i): DrawnPool => {
    const { turned, trapped, expansion } = left[i];
    return { tank: id, wall: cutDryWall(turned, [...trapped, ...expansion]), surface: NOTHING() };
  });
  const air = loaded.tanks.flatMap(({ id }, i) => {
    const { turned, trapped, expansion } = left[i];
    const isDrawn = ({ volume }: PoolState): boolean => volume > turned.tolerance.volume;
    return [
      ...drawPools(id, turned, trapped.filter(isDrawn)).map((pool) => ({ ...pool, kind: 'trapped' as const })),
      ...drawPools(id, turned, expansion.filter(isDrawn)).map((pool) => ({ ...pool, kind: 'expansion' as const })),
    ];
  });
  return { fill, up: fields[0].up, fuel, air };
}

const NOTHING = () => ({ positions: new Float32Array(), triangles: new Uint32Array() });

export function waterPathView(
  tanks: readonly LoadedTank[],
  fields: readonly Field[],
  point_m: Vector3,
  condition: Condition,
): Outcome<WaterPathView, AmountError> {
  const away = tanks.map(({ solid }) => nearestWall(solid.bvh, solid, subtract(point_m, solid.origin)).distance);
  const nearestFirst = [...tanks.keys()].sort((a, b) => away[a] - away[b]);
  for (const i of nearestFirst) {
    const [tank, field] = [tanks[i], fields[i]];
    const path = waterPath(field, point_m);
    if (path === null) continue;
    const { points, endsAt, ...figures } = path;
    const lowPoint_m = add(vertexAt(field, field.arcs[endsAt].lowest), field.solid.origin);
    const served = waterLeft(tank, field, drainResidues(tank, field)).lowPoints.find(({ at_m }) =>
      at_m.every((x, axis) => x === lowPoint_m[axis]),
    );
    return done({
      tank: tank.id,
      condition,
      points_m: points,
      leastDrainSlope_deg: LEAST_DRAIN_SLOPE_DEG,
      lowPoint_m,
      drain: served?.drain ?? null,
      ...figures,
    });
  }
  return failed({ code: 'pour-outside', at_m: point_m });
}
