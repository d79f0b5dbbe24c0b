/**
 * Who lies beyond each edge: half-edge `h = 3·triangle + corner` runs from that corner to the next one round its triangle.
 * Made once per solid, on first asking.
 */
import type { TankSolid } from './tank-solid.ts';

export interface HalfEdges {
  /** The same edge seen from the triangle beyond it; shape (3·nTriangles) */
  readonly twin: Uint32Array;
  /** Half-edge from v to `neighbours[k]`, at the same place k as in the solid's `neighbours`. */
  readonly outgoing: Uint32Array;
}

export const nextCorner = (h: number): number => (h % 3 === 2 ? h - 2 : h + 1);
export const faceOf = (h: number): number => (h / 3) | 0;

const known = new WeakMap<TankSolid, HalfEdges>();

export function halfEdges(solid: TankSolid): HalfEdges {
  let made = known.get(solid);
  if (made === undefined) {
    made = make(solid);
    known.set(solid, made);
  }
  return made;
}

function make({ triangles, neighbourStart, neighbours }: TankSolid): HalfEdges {
  const outgoing = new Uint32Array(neighbours.length);
  const twin = new Uint32Array(triangles.length);
  const place = (from: number, to: number): number => {
    let low = neighbourStart[from];
    let high = neighbourStart[from + 1] - 1;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (neighbours[middle] < to) low = middle + 1;
      else high = middle;
    }
    return low;
  };
  for (let h = 0; h < triangles.length; h++) outgoing[place(triangles[h], triangles[nextCorner(h)])] = h;
  for (let h = 0; h < triangles.length; h++) twin[h] = outgoing[place(triangles[nextCorner(h)], triangles[h])];
  return { twin, outgoing };
}
