/**
 * Catchments: for each low point, the share of the tank's floor whose water ends there.
 *
 * **Share** is of the tank's whole floor: every wall on which water can rest (outward area against `up`), projected along apparent gravity.
 * Where floors stand over one another (a shelf, a stringer's flange) each counts, since drops settle on all of them. Shares add to 1.
 *
 * Method. Water on a face keeps its contour coordinate (runoff.ts), so a face is divided into **strips** by where its water ends, and a
 * strip's area is a closed form. The strips are those of the edges it leaves by, pulled back along the flow: over an edge, from the face
 * beyond; along a valley, from the vertex below; off a lip, from the floors in its shadow (curtain.ts). Nothing is sampled. Water below a
 * low point's saddle is already in its pocket and cannot leave it, since it only descends through fuel: so pulling back starts at the
 * saddles, level floors of pockets need no rule, and a pit joined by the field's tolerance counts for the low point it became.
 *
 * Accuracy: rounding. Faces may drain into one another in a circle though no drop's way does (it may cross a face more than once, or drip
 * from a face's end onto its beginning): their strips are pulled round until none is open. What rounding would keep open goes with the
 * face's lowest vertex, and `catchments` says how much floor that was; 0 in all tests.
 *
 * Source: steepest descent on triangulated terrains as in de Berg, Haverkort, Tsirogiannis 2011, Proc. 22nd ACM-SIAM Symp. Discrete
 * Algorithms, 285–296 (abstract: a watershed may have n³ pieces at worst; meshes of tanks come nowhere near); falls and strips are our own.
 */
import { Drainage, endOfFace } from './drainage.ts';
import type { Field } from './field.ts';
import { runoffOf } from './runoff.ts';

export interface Catchments {
  /** Of each arc's low point, 0 for arcs with parts; adds to 1. */
  readonly shares: Float64Array;
  /** Floor seen along apparent gravity, m². */
  readonly floor: number;
  /** Share of the floor that went with its face's lowest vertex because rounding kept its strips open. */
  readonly assigned: number;
}

export const catchmentShares = (field: Field): Float64Array => catchments(field).shares;

export function catchments(field: Field): Catchments {
  const { solid, up, arcs, lowArc } = field;
  const runoff = runoffOf(field);
  const { areas } = solid;
  const nFaces = lowArc.length;
  const shares = new Float64Array(arcs.length);
  const divided: number[] = [];
  let floor = 0;
  for (let f = 0, k = 0; f < nFaces; f++, k += 3) {
    const area = -(areas[k] * up[0] + areas[k + 1] * up[1] + areas[k + 2] * up[2]);
    if (area <= 0) continue;
    floor += area;
    const end = endOfFace(runoff, f);
    if (end >= 0) shares[end] += area;
    else divided.push(f);
  }
  let assigned = 0;
  if (divided.length > 0) {
    const drainage = new Drainage(field);
    drainage.follow(divided);
    assigned = drainage.closeOpen(floor) / floor;
    for (const f of divided) drainage.addShares(f, shares);
  }
  for (let arc = 0; arc < shares.length; arc++) shares[arc] /= floor;
  return { shares, floor, assigned };
}
