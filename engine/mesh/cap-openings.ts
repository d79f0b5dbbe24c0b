/** Closes flat openings, as the top of an open sump, with a flat cap; an opening inside another in the same plane becomes its hole. */
import earcut, { deviation, flatten } from 'earcut';
import type { Vector3 } from '../../shared/vector.ts';
import { cross, dot, length, normalize, scale, subtract } from '../../shared/vector.ts';
import { nextHalfEdge } from './edge-table.ts';
import { FLAT_OPENING } from './mesh-tolerances.ts';
import { vertexAt } from './orient-patches.ts';

/** More loops than any mesh with a few faults has; beyond it a file is refused rather than patched. */
export const MAX_LOOPS = 10_000;

export interface BorderLoop {
  /** In the order a cap runs along them, counter-clockwise seen from outside. */
  readonly vertices: readonly number[];
  readonly centre: Vector3;
  /** Unit normal of the cap, outward; null where the loop bounds no area. */
  readonly normal: Vector3 | null;
  readonly area: number;
  readonly width: number;
  readonly depth: number;
}

/** The open loops of a mesh whose vertices have one fan each (so each lies on one loop at most). */
export function borderLoops(positions: Float64Array, triangles: Uint32Array, across: Int32Array): BorderLoop[] {
  const outgoing = new Map<number, number>();
  for (let h = 0; h < across.length; h++) if (across[h]! < 0) outgoing.set(triangles[nextHalfEdge(h)]!, h);
  // `outgoing` leads against the triangles' way: from the head of an open half-edge to its tail, as the cap runs.
  const loops: BorderLoop[] = [];
  const seen = new Set<number>();
  for (const start of outgoing.keys()) {
    if (seen.has(start)) continue;
    const vertices: number[] = [];
    for (let v = start; !seen.has(v); v = triangles[outgoing.get(v)!]!) {
      seen.add(v);
      vertices.push(v);
    }
    loops.push(measure(positions, vertices));
  }
  return loops;
}

function measure(positions: Float64Array, vertices: readonly number[]): BorderLoop {
  const points = vertices.map((v) => vertexAt(positions, v));
  const centre = scale(
    points.reduce((s, p): Vector3 => [s[0] + p[0], s[1] + p[1], s[2] + p[2]], [0, 0, 0] as Vector3),
    1 / points.length,
  );
  let doubled: Vector3 = [0, 0, 0];
  let width = 0;
  for (let i = 0; i < points.length; i++) {
    const p = subtract(points[i]!, centre);
    const q = subtract(points[(i + 1) % points.length]!, centre);
    const c = cross(p, q);
    doubled = [doubled[0] + c[0], doubled[1] + c[1], doubled[2] + c[2]];
    width = Math.max(width, 2 * length(p));
  }
  const area = length(doubled) / 2;
  if (!(area > 1e-9 * width * width)) return { vertices, centre, normal: null, area, width, depth: 0 };
  const normal = normalize(doubled);
  const depth = Math.max(
    ...points
      .reduce(
        ([low, high], p) => {
          const d = dot(subtract(p, centre), normal);
          return [Math.min(low!, d), Math.max(high!, d)];
        },
        [0, 0],
      )
      .map(Math.abs),
  );
  return { vertices, centre, normal, area, width, depth };
}

export interface Capped {
  /** The caps' triangles. */
  readonly added: Uint32Array;
  readonly caps: number;
  readonly area: number;
  readonly left: readonly BorderLoop[];
}

export function capFlatOpenings(positions: Float64Array, loops: readonly BorderLoop[]): Capped {
  const flat = loops.filter((l) => l.normal !== null && l.depth <= FLAT_OPENING * l.width);
  flat.sort((p, q) => q.area - p.area);
  const holesOf = new Map<BorderLoop, BorderLoop[]>();
  for (const loop of flat) {
    // The smallest opening around it that runs the other way round in the same plane: then the cap is the ring between them.
    let host: BorderLoop | null = null;
    for (const outer of holesOf.keys()) {
      if (outer.area > loop.area && dot(outer.normal!, loop.normal!) < -1 + 1e-6 && surrounds(positions, outer, loop)) host = outer;
    }
    if (host) holesOf.get(host)!.push(loop);
    else holesOf.set(loop, []);
  }
  const added: number[] = [];
  const left = loops.filter((l) => !flat.includes(l));
  let caps = 0;
  let area = 0;
  for (const [outer, holes] of holesOf) {
    const triangles = triangulate(positions, outer, holes);
    if (triangles === null) {
      left.push(outer, ...holes);
      continue;
    }
    added.push(...triangles);
    caps++;
    area += outer.area - holes.reduce((sum, hole) => sum + hole.area, 0);
  }
  return { added: Uint32Array.from(added), caps, area, left };
}

function surrounds(positions: Float64Array, outer: BorderLoop, inner: BorderLoop): boolean {
  if (Math.abs(dot(subtract(inner.centre, outer.centre), outer.normal!)) > FLAT_OPENING * outer.width) return false;
  const plane = planeAxes(outer.normal!);
  const [x, y] = plane(vertexAt(positions, inner.vertices[0]!));
  let inside = false;
  const ring = outer.vertices.map((v) => plane(vertexAt(positions, v)));
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [p, q] = [ring[i]!, ring[j]!];
    if (p[1] > y !== q[1] > y && x < ((q[0] - p[0]) * (y - p[1])) / (q[1] - p[1]) + p[0]) inside = !inside;
  }
  return inside;
}

/** Triangles over the outer loop less the holes, or null where they cannot be laid out flat without overlap. */
function triangulate(positions: Float64Array, outer: BorderLoop, holes: readonly BorderLoop[]): number[] | null {
  const plane = planeAxes(outer.normal!);
  const rings = [outer, ...holes].map((loop) => loop.vertices.map((v) => plane(subtract(vertexAt(positions, v), outer.centre))));
  const names = [outer, ...holes].flatMap((loop) => loop.vertices);
  const data = flatten(rings);
  const found = earcut(data.vertices, data.holes, 2);
  if (found.length === 0 || !(deviation(data.vertices, data.holes, 2, found) < 1e-6)) return null;
  const v = data.vertices;
  let turn = 0; // earcut winds all its triangles one way; one without area could not tell which
  for (let i = 0; i < found.length; i += 3) {
    const [a, b, c] = [2 * found[i]!, 2 * found[i + 1]!, 2 * found[i + 2]!];
    turn += (v[b]! - v[a]!) * (v[c + 1]! - v[a + 1]!) - (v[c]! - v[a]!) * (v[b + 1]! - v[a + 1]!);
  }
  const out = found.map((k) => names[k]!);
  return turn > 0 ? out : out.reverse();
}

/** Coordinates in the plane with this normal, such that counter-clockwise stays so seen from the normal's side. */
function planeAxes(normal: Vector3): (point: Vector3) => [number, number] {
  const lean: Vector3 = Math.abs(normal[0]) < 0.6 ? [1, 0, 0] : [0, 1, 0];
  const u = normalize(cross(lean, normal));
  const w = cross(normal, u);
  return (p) => [dot(p, u), dot(p, w)];
}
