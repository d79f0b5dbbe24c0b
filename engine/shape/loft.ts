/** A solid through given outlines, straight from each to the next. In mm. */
import type { Manifold } from 'manifold-3d';
import type { LoftShape } from '../../shared/shapes.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { refuseShape, within } from './shape-fault.ts';
import type { Kernel } from './solids.ts';
import { between, type Ring, ruledParts, throughRings } from './through-rings.ts';

export function loftShape(kernel: Kernel, { axis, outlines, chordError_m }: LoftShape): Manifold {
  const n = outlines[0].points_m.length;
  const rings = outlines.map(({ at_m, points_m }, i): Ring => {
    if (points_m.length !== n) {
      refuseShape({
        code: 'shape-list',
        key: `outlines[${i}].points_m`,
        why: `${points_m.length} points, and the first outline has ${n}; give each the same number`,
      });
    }
    if (i > 0) within(`outlines[${i}].at_m`, at_m, outlines[i - 1].at_m + 1e-4, null, 'outlines stand one behind the other');
    const flat = points_m.map(([a, b]) => [a * 1000, b * 1000] as const);
    const at = at_m * 1000;
    return { flat, points: flat.map(([a, b]): Vector3 => (axis === 'x' ? [at, a, b] : axis === 'y' ? [a, at, b] : [a, b, at])) };
  });
  return lofted(kernel, rings, chordError_m * 1000, 'outlines');
}

const MOST_RINGS = 2000;

/** Cut between the rings as finely as the error asks. @param key - names the outlines where they do not bound a body */
export function lofted(kernel: Kernel, rings: readonly Ring[], error: number, key: string): Manifold {
  const all = [rings[0]];
  for (let r = 1; r < rings.length; r++) {
    const parts = ruledParts(rings[r - 1], rings[r], error);
    if (all.length + parts > MOST_RINGS)
      refuseShape({
        code: 'shape-parameter',
        key: 'chordError_m',
        found: error / 1000,
        from: (error * (all.length + parts)) / MOST_RINGS / 1000,
        to: null,
        why: 'too fine for so twisted a body',
      });
    for (let p = 1; p <= parts; p++) all.push(p === parts ? rings[r] : between(rings[r - 1], rings[r], p / parts));
  }
  const solid = throughRings(kernel, all);
  return (
    solid ??
    refuseShape({
      code: 'shape-list',
      key,
      why: 'an outline crosses or touches itself, has no area, or runs the other way round; list its points in order around',
    })
  );
}
