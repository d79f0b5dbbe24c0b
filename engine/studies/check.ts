/** What a loaded case is: its tanks' health and capacity, and their low points as parked. */
import type { CheckAnswer, TankCheck } from '../../shared/answers.ts';
import { add } from '../../shared/vector.ts';
import { type Field, lowPoints } from '../basins/field.ts';
import type { LoadedTank, LoadedTanks } from '../case/load-case.ts';
import { vertexAt } from '../surface/pool.ts';
import { fieldsOfCase, parkedCondition } from './parked.ts';

export function checkAnswer(loaded: LoadedTanks): CheckAnswer {
  const condition = parkedCondition(loaded.file);
  const fields = fieldsOfCase(loaded, condition);
  const tanks = loaded.tanks.map((tank, i) => checkTank(tank, fields[i]));
  return { case: loaded.file.name, condition, tanks, capacity_m3: tanks.reduce((sum, { capacity_m3 }) => sum + capacity_m3, 0) };
}

/** A low point holds what its pocket takes before it spills; the only one of a tank holds the whole tank. */
function checkTank({ id, name, solid, repairs, space, notices }: LoadedTank, field: Field): TankCheck {
  const at = (vertex: number) => add(vertexAt(field, vertex), solid.origin);
  return {
    id,
    name,
    capacity_m3: solid.capacity,
    triangles: solid.triangles.length / 3,
    watertight: true, // soundMesh refuses what it cannot close, and buildTankSolid has proved every edge
    repairs,
    space,
    bounds_m: { min: solid.min, max: solid.max },
    surface_m2: solid.wallArea,
    lowest_m: at(field.arcs[field.root].lowest),
    lowPoints: lowPoints(field).map((arc) => ({ at_m: at(field.arcs[arc].lowest), holds_m3: field.arcs[arc].holds })),
    facetError_m: solid.facetError,
    pocketTolerance: { depth_m: field.tolerance.depth, volume_m3: field.tolerance.volume },
    notices,
  };
}
