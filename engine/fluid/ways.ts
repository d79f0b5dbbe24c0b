/**
 * Where fuel that leaves its place comes to rest, exactly: from a full pocket's saddle down the neighbour's side, and from a vertex that
 * holds no pool any more. Along the steepest descent of basins/water-path.ts. Nothing is built for a field in which every spill has one
 * low point to go to, and what is built is built once per field.
 */
import { type Field, isUnder } from '../basins/field.ts';
import { runoffOf, wayFromVertex } from '../basins/runoff.ts';
import { endOfWay } from '../basins/water-path.ts';
import { lowestAcross, lowestUnder, type SpillTarget } from './settle.ts';
import type { DropTarget, Ways } from './turn.ts';

const known = new WeakMap<Field, Map<number, number>>();

const spill: SpillTarget = (field, arc) => {
  const { arcs } = field;
  if (arcs[arc].saddle < 0) return lowestAcross(field, arc); // bodies that never meet: no way leads across
  const across = arcs[arcs[arc].parent].children.filter((part) => part !== arc);
  if (across.length === 1 && arcs[across[0]].children.length === 0) return across[0];
  let targets = known.get(field);
  if (targets === undefined) {
    targets = new Map();
    known.set(field, targets);
  }
  let target = targets.get(arc);
  if (target === undefined) {
    target = acrossSaddle(field, arc);
    targets.set(arc, target);
  }
  return target;
};

/**
 * The low point in which water ends that leaves a full arc over its saddle: the steepest way from the saddle on the other side, then on
 * as any water runs. Where no way leads down there (a level rim), it starts from the lowest vertex next to the saddle on that side.
 */
function acrossSaddle(field: Field, arc: number): number {
  const { arcs, arcOf, lowArc, heights, solid } = field;
  const { parent, saddle } = arcs[arc];
  const isAcross = (other: number): boolean => other !== parent && isUnder(field, other, parent) && !isUnder(field, other, arc);
  const side = { hasFace: (face: number) => isAcross(lowArc[face]), hasVertex: (vertex: number) => isAcross(arcOf[vertex]) };
  const way = wayFromVertex(runoffOf(field), saddle, side);
  if (way !== null) {
    const low = endOfWay(field, saddle, way);
    if (isAcross(low)) return low;
  }
  let beside = -1;
  for (let k = solid.neighbourStart[saddle]; k < solid.neighbourStart[saddle + 1]; k++) {
    const v = solid.neighbours[k];
    if (isAcross(arcOf[v]) && (beside < 0 || heights[v] < heights[beside])) beside = v;
  }
  if (beside >= 0) {
    const low = endOfWay(field, saddle, { to: 'vertex', vertex: beside });
    return isAcross(low) ? low : lowestUnder(field, arcOf[beside]);
  }
  return lowestAcross(field, arc);
}

const drop: DropTarget = (field, vertex) => {
  const arc = field.arcOf[vertex];
  return field.arcs[arc].children.length === 0 ? arc : endOfWay(field, vertex, { to: 'vertex', vertex });
};

export const exactWays: Ways = { spill, drop };
