/**
 * Draft and undercuts of a closed wall, for a mould of two halves that come off along `pull` and against it.
 *
 * A wall belongs to the half it faces. Its **draft** is the angle between the wall and the pull: asin |n·pull|, exact per triangle. A wall is
 * **undercut** where the way straight out along its half's pull meets the tank again. An upright wall belongs to either half: it is undercut
 * where both ways are closed.
 *
 * Visibility is by rays through the ray tree: each triangle is halved across its longest side, again and again, until no side is longer than a
 * stated resolution, with one ray from the middle of each part. So a part counts whole or not at all: a triangle that is wholly free or wholly hidden is exact, one that a
 * shadow's edge crosses is good to the resolution along that edge. Rays start `ON_WALL` off the wall: what overhangs by less is float32's rounding.
 */
import { add, scale, type Vector3 } from '../../shared/vector.ts';
import { firstBelow, planBasis } from '../mesh/bvh.ts';
import type { TankSolid } from '../mesh/tank-solid.ts';
import { NO_DRAFT, ON_WALL } from '../tolerances.ts';

/** A triangle is halved no more often than this. */
const MOST_HALVINGS = 16;

/** Sine of a triangle's draft against the pull: above 0 it leaves along it, below 0 against it. */
export function sineOfDraft({ areas }: TankSolid, t: number, pull: Vector3): number {
  const k = 3 * t;
  const area = Math.hypot(areas[k], areas[k + 1], areas[k + 2]);
  if (area === 0) return 0;
  const sine = (areas[k] * pull[0] + areas[k + 1] * pull[1] + areas[k + 2] * pull[2]) / area;
  return Math.abs(sine) < NO_DRAFT ? 0 : Math.max(-1, Math.min(1, sine));
}

export interface Undercuts {
  /** Share of each triangle's area; shape (nTriangles) */
  readonly shares: Float64Array;
  /** Longest distance between samples, m. */
  readonly resolution: number;
}

/**
 * @param resolution - m; Infinity for one sample a triangle
 * @param only - triangles to look at; all by default
 */
export function undercuts(solid: TankSolid, pull: Vector3, resolution: number, only: Iterable<number> | null = null): Undercuts {
  const { triangles, positions, areas, size } = solid;
  const shares = new Float64Array(triangles.length / 3);
  const against = scale(pull, -1);
  const bases = [planBasis(pull), planBasis(against)] as const;
  const corner = (t: number, k: number): Vector3 => {
    const p = 3 * triangles[3 * t + k];
    return [positions[p], positions[p + 1], positions[p + 2]];
  };
  // firstBelow runs against its `up`, so the way out along a direction asks for the opposite one.
  const isClosed = (start: Vector3, alongPull: boolean): boolean =>
    firstBelow(solid.bvh, solid, start, alongPull ? against : pull, bases[alongPull ? 1 : 0]) !== null;
  let coarsest = 0;
  for (const t of only ?? shares.keys()) {
    const area = Math.hypot(areas[3 * t], areas[3 * t + 1], areas[3 * t + 2]);
    if (area === 0) continue;
    const sine = sineOfDraft(solid, t, pull);
    const outward = scale([areas[3 * t], areas[3 * t + 1], areas[3 * t + 2]], (ON_WALL * size) / area);
    const isHidden = (middle: Vector3): boolean => {
      const start = add(middle, outward);
      if (sine !== 0) return isClosed(start, sine > 0);
      return isClosed(start, true) && isClosed(start, false);
    };
    /** Hidden share of a part that is `share` of the triangle. */
    const hidden = (a: Vector3, b: Vector3, c: Vector3, share: number, halvings: number): number => {
      const [ab, bc, ca] = [distance(a, b), distance(b, c), distance(c, a)];
      const longest = Math.max(ab, bc, ca);
      if (longest > resolution && halvings < MOST_HALVINGS) {
        if (ab < longest && bc === longest) return hidden(b, c, a, share, halvings);
        if (ab < longest) return hidden(c, a, b, share, halvings);
        const middle = scale(add(a, b), 0.5);
        return hidden(a, middle, c, share / 2, halvings + 1) + hidden(middle, b, c, share / 2, halvings + 1);
      }
      coarsest = Math.max(coarsest, longest);
      return isHidden([(a[0] + b[0] + c[0]) / 3, (a[1] + b[1] + c[1]) / 3, (a[2] + b[2] + c[2]) / 3]) ? share : 0;
    };
    shares[t] = hidden(corner(t, 0), corner(t, 1), corner(t, 2), 1, 0);
  }
  return { shares, resolution: coarsest };
}

const distance = (a: Vector3, b: Vector3): number => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
