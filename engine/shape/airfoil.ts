/**
 * Wing sections over their chord: x from the leading edge, y up, both as shares of the chord.
 * Source: NACA 4-digit series, thickness and camber line as in NASA TM 4741 (thickness seen, camber line from memory).
 */
import { done, failed, type Outcome } from '../../shared/outcome.ts';

/** Half thickness over chord. */
export function halfThickness(thickness: number, x: number): number {
  return 5 * thickness * (0.2969 * Math.sqrt(x) - 0.126 * x - 0.3516 * x ** 2 + 0.2843 * x ** 3 - 0.1015 * x ** 4);
}

/** Camber line over chord. */
export function camberLine(camber: number, at: number, x: number): number {
  return x < at ? (camber / at ** 2) * (2 * at * x - x ** 2) : (camber / (1 - at) ** 2) * (1 - 2 * at + 2 * at * x - x ** 2);
}

/** Both sides of a section from nose to tail, each with x rising. */
export interface SectionSides {
  readonly upper: readonly (readonly [number, number])[];
  readonly lower: readonly (readonly [number, number])[];
}

/** Points along each side, closer together at nose and tail, where the section bends. */
const SIDE_POINTS = 600;

/** Thickness is laid off square to the camber line, as the series defines it. @param digits - four, as 2412 */
export function naca4(digits: string): SectionSides {
  const camber = Number(digits[0]) / 100;
  const at = Number(digits[1]) / 10;
  const thickness = Number(digits.slice(2)) / 100;
  const side = (sign: number) =>
    Array.from({ length: SIDE_POINTS + 1 }, (_, i): readonly [number, number] => {
      const x = (1 - Math.cos((Math.PI * i) / SIDE_POINTS)) / 2;
      const slope = camber === 0 ? 0 : x < at ? ((2 * camber) / at ** 2) * (at - x) : ((2 * camber) / (1 - at) ** 2) * (at - x);
      const angle = Math.atan(slope);
      const half = halfThickness(thickness, x);
      const middle = camber === 0 ? 0 : camberLine(camber, at, x);
      return [x - sign * half * Math.sin(angle), middle + sign * half * Math.cos(angle)];
    });
  return { upper: side(1), lower: side(-1) };
}

/**
 * A section given by its outline: from the tail over the top to the nose and back below, or the reverse, in any scale.
 * @returns both sides over a chord of 1; or which point (from 1) stops it, and why
 */
export function sectionOfPoints(
  points: readonly (readonly [number, number])[],
): Outcome<SectionSides, { readonly point: number; readonly why: string }> {
  const xs = points.map(([x]) => x);
  const least = Math.min(...xs);
  const chord = Math.max(...xs) - least;
  const scaled = points.map(([x, y]): readonly [number, number] => [(x - least) / chord, y / chord]);
  const nose = xs.indexOf(least);
  if (!(chord > 0) || nose < 2 || nose > points.length - 3)
    return failed({ point: nose + 1, why: 'the nose must lie between two sides of three points or more, tail first' });
  const [one, other] = [scaled.slice(0, nose + 1).reverse(), scaled.slice(nose)];
  for (const [side, isFirst] of [
    [one, true],
    [other, false],
  ] as const) {
    const back = side.findIndex(([x], i) => i > 0 && x <= side[i - 1][0]);
    if (back > 0)
      return failed({
        point: (isFirst ? nose - back : nose + back) + 1,
        why: 'x must fall from the tail to the nose, then rise to the tail again',
      });
  }
  const middle = (side: readonly (readonly [number, number])[]): number => heightAt(side, 0.3);
  return done(middle(one) > middle(other) ? { upper: one, lower: other } : { upper: other, lower: one });
}

/** The side moved square to itself, to the left or right of its run from nose to tail. @param offset - as a share of the chord */
export function offsetSide(
  side: readonly (readonly [number, number])[],
  offset: number,
  turn: 'left' | 'right',
): readonly (readonly [number, number])[] {
  if (offset === 0) return side;
  const signed = turn === 'left' ? offset : -offset;
  return side.map(([x, y], i) => {
    const [a, b] = [side[Math.max(0, i - 1)], side[Math.min(side.length - 1, i + 1)]];
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    return [x - (signed * (b[1] - a[1])) / length, y + (signed * (b[0] - a[0])) / length];
  });
}

/** Height of a side at a share of the chord, straight between its points. The first stretch that covers it counts, from the tail forward. */
export function heightAt(side: readonly (readonly [number, number])[], share: number): number {
  for (let i = side.length - 1; i > 0; i--) {
    const [[x0, y0], [x1, y1]] = [side[i - 1], side[i]];
    if (x0 <= share && share <= x1) return x1 === x0 ? y0 : y0 + ((y1 - y0) * (share - x0)) / (x1 - x0);
  }
  return share <= side[0][0] ? side[0][1] : side[side.length - 1][1];
}

/** The plain text form: a name on the first line or none, then x and y on each line. @returns or the line (from 1) that stops it */
export function readSectionText(text: string): Outcome<[number, number][], { readonly line: number; readonly found: string }> {
  const points: [number, number][] = [];
  for (const [i, line] of text
    .replace(/^\ufeff/, '')
    .split(/\r\n|\n|\r/)
    .entries()) {
    const words = line.split(/[ \t]/).filter((word) => word !== '');
    if (words.length === 0) continue;
    const numbers = words.map((word) =>
      /^[-+]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][-+]?[0-9]+)?$/.test(word) && word.length < 40 ? Number(word) : Number.NaN,
    );
    if (numbers.length === 2 && numbers.every(Number.isFinite)) points.push([numbers[0], numbers[1]]);
    else if (points.length > 0 || i > 0) return failed({ line: i + 1, found: line.trim().slice(0, 60) });
  }
  return done(points);
}
