/** One shape for each kind of fitting, in units of its size, opening at the origin, outward along +Z. */
import { BoxGeometry, type BufferGeometry, ConeGeometry, CylinderGeometry, Matrix4, TorusGeometry } from 'three';
import { mergeGeometries } from 'three/addons/utils/BufferGeometryUtils.js';
import type { FittingKind } from '../../shared/case.ts';

const upright = new Matrix4().makeRotationX(Math.PI / 2);

function cylinder(topRadius: number, bottomRadius: number, from: number, to: number, sides = 24): BufferGeometry {
  return new CylinderGeometry(topRadius, bottomRadius, to - from, sides).applyMatrix4(upright).translate(0, 0, (from + to) / 2);
}

function joined(...parts: BufferGeometry[]): BufferGeometry {
  const whole = mergeGeometries(parts.map((part) => part.toNonIndexed()));
  for (const part of parts) part.dispose();
  return whole;
}

/** Made once; shared by every fitting of a kind. */
export const FITTING_SHAPES: Record<FittingKind, BufferGeometry> = {
  /** A flanged pipe that leads away. */
  outlet: joined(cylinder(0.9, 0.9, 0, 0.25), cylinder(0.5, 0.5, 0.25, 2.2), new TorusGeometry(0.5, 0.16, 10, 24).translate(0, 0, 2.2)),
  /** A funnel that narrows away from the wall. */
  drain: joined(cylinder(0.25, 0.9, 0, 1.3), cylinder(0.2, 0.2, 1.3, 2)),
  /** A thin pipe with an open bell. */
  vent: joined(
    cylinder(0.28, 0.28, 0, 1.9),
    new ConeGeometry(0.75, 0.6, 24, 1, true).applyMatrix4(new Matrix4().makeRotationX(-Math.PI / 2)).translate(0, 0, 2.1),
  ),
  /** A wide low cap with a grip. */
  filler: joined(cylinder(1.5, 1.5, 0, 0.35, 32), new BoxGeometry(1.8, 0.4, 0.4).translate(0, 0, 0.55)),
  /** A square head. */
  gauge: joined(new BoxGeometry(1.5, 1.5, 0.5).translate(0, 0, 0.25), new BoxGeometry(0.7, 0.7, 0.5).translate(0, 0, 0.75)),
  /** A six-sided nut with a pipe. */
  line: joined(cylinder(0.95, 0.95, 0, 0.7, 6), cylinder(0.45, 0.45, 0.7, 2)),
};
