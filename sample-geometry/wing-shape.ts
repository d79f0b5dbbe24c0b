/**
 * The skin of a tapered, twisted wing between two spars, in mm: X aft, Y outboard from the root rib, Z up.
 *
 * Thickness and camber are laid off upright from the chord, so a section's area does not depend on camber or twist.
 * Source: NACA 4-digit series, thickness and camber line as in NASA TM 4741 (thickness seen, camber line from memory).
 */
import type { Manifold } from 'manifold-3d';
import { camberLine, halfThickness } from '../engine/shape/airfoil.ts';
import { type Column, type Kernel, loft, type Section, well } from '../engine/shape/solids.ts';

export interface WingShape {
  readonly rootChord: number;
  readonly tipChord: number;
  /** From root rib to tip rib. */
  readonly span: number;
  /** Of the chord. */
  readonly thickness: number;
  readonly camber: number;
  readonly camberAt: number;
  /** Spars, as shares of the chord. */
  readonly front: number;
  readonly rear: number;
  /** Nose-down twist of the tip rib against the root rib, degrees. */
  readonly washout_deg: number;
}

export const chordAt = (wing: WingShape, y: number): number => wing.rootChord + ((wing.tipChord - wing.rootChord) * y) / wing.span;

/** The lines at 30 % chord stand straight across the span; X counts from the root's leading edge. */
export const xAt = (wing: WingShape, share: number, y: number): number => 0.3 * wing.rootChord + (share - 0.3) * chordAt(wing, y);

export const shareAt = (wing: WingShape, x: number, y: number): number => 0.3 + (x - 0.3 * wing.rootChord) / chordAt(wing, y);

export function column(wing: WingShape, share: number, y: number): Column {
  const chord = chordAt(wing, y);
  const twist = Math.tan((wing.washout_deg * Math.PI * y) / (180 * wing.span));
  const middle = chord * camberLine(wing.camber, wing.camberAt, share) + (share - 0.3) * chord * twist;
  const half = chord * halfThickness(wing.thickness, share);
  return { x: xAt(wing, share, y), low: middle - half, high: middle + half };
}

/** Where a drain goes: in a well at the aft low corner by the root rib, clear of both walls by this much, mm. */
export const DRAIN_WELL = { offWalls: 20, radius: 30, depth: 10 };

/** Centre of that well. */
export function drainWellAt(wing: WingShape): [number, number] {
  return [xAt(wing, wing.rear, DRAIN_WELL.offWalls) - DRAIN_WELL.offWalls, DRAIN_WELL.offWalls];
}

/** The box, with the drain's well pressed into its floor as far as the walls let it. */
export function wingBox(kernel: Kernel, wing: WingShape, nColumns: number, nStations: number): Manifold {
  const sections = wingSections(wing, nColumns, nStations);
  const within = sections.map(({ y, columns }) => ({ y, columns: columns.map(({ x, low, high }) => ({ x, low: low - 50, high })) }));
  const [x, y] = drainWellAt(wing);
  const pressed = well(kernel, [x, y], column(wing, shareAt(wing, x, y), y).low, DRAIN_WELL.radius, DRAIN_WELL.depth);
  return loft(kernel, sections).add(pressed.intersect(loft(kernel, within)));
}

/** Sections of the whole box, evenly spaced. */
export function wingSections(wing: WingShape, nColumns: number, nStations: number): Section[] {
  return Array.from({ length: nStations }, (_, s) => {
    const y = (wing.span * s) / (nStations - 1);
    const columns = Array.from({ length: nColumns }, (_, c) =>
      column(wing, wing.front + ((wing.rear - wing.front) * c) / (nColumns - 1), y),
    );
    return { y, columns };
  });
}

/**
 * Volume of the smooth box between the spars, mm³: area of the section times the integral of chord².
 * The area's integral over the thickness law is in closed form, so this is a check on the mesh, not a copy of it.
 */
export function wingVolume(wing: WingShape): number {
  const area = (x: number): number =>
    10 * wing.thickness * (0.2969 * (2 / 3) * x ** 1.5 - 0.063 * x ** 2 - 0.1172 * x ** 3 + 0.071075 * x ** 4 - 0.0203 * x ** 5);
  const { rootChord: c0, tipChord: c1, span } = wing;
  return ((area(wing.rear) - area(wing.front)) * span * (c0 * c0 + c0 * c1 + c1 * c1)) / 3;
}
