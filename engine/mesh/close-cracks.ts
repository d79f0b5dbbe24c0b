/** Zips open edges that lie closer together than a stated tolerance, T-junctions along the crack included. */
import { dropCollapsed, keepTriangles } from './clean-triangles.ts';
import { edgeDegree, edgeTable, nextHalfEdge, previousHalfEdge } from './edge-table.ts';
import { weldNear } from './weld.ts';

export interface Zipped {
  readonly triangles: Uint32Array;
  /** Border vertices that were moved onto another one. */
  readonly welded: number;
  /** Border edges that were divided at a vertex lying on them. */
  readonly divided: number;
}

/** Welds border vertices within `tolerance`, then divides border edges at the border vertices within `tolerance` of them. */
export function closeCracks(positions: Float64Array, triangles: Uint32Array, tolerance: number): Zipped {
  const border = borderOf(positions, triangles);
  const moved = triangles.slice();
  const welded = weldNear(positions, moved, border.vertices, tolerance);
  const zipped = divideBorders(positions, dropCollapsed(moved), tolerance);
  return { ...zipped, welded };
}

/** Divides border edges at border vertices within `tolerance` of them, in rounds, as one triangle may have several such edges. */
export function divideBorders(positions: Float64Array, triangles: Uint32Array, tolerance: number): Zipped {
  let out = triangles;
  let divided = 0;
  for (let round = 0; round < 16; round++) {
    const border = borderOf(positions, out);
    if (border.halfEdges.length === 0) break;
    const axis = border.longestAxis;
    const sorted = [...border.vertices].sort((p, q) => positions[3 * p + axis]! - positions[3 * q + axis]!);
    const along = Float64Array.from(sorted, (v) => positions[3 * v + axis]!);
    if (comparisons(positions, out, border, along, tolerance) > MOST_COMPARISONS) break;
    const split = new Set<number>();
    const added: number[] = [];
    for (const h of border.halfEdges) {
      const t = Math.floor(h / 3);
      if (split.has(t)) continue;
      const [a, b, apex] = [out[h]!, out[nextHalfEdge(h)]!, out[previousHalfEdge(h)]!];
      const low = Math.min(positions[3 * a + axis]!, positions[3 * b + axis]!) - tolerance;
      const high = Math.max(positions[3 * a + axis]!, positions[3 * b + axis]!) + tolerance;
      const between: { v: number; share: number }[] = [];
      for (let i = lowerBound(along, low); i < sorted.length && along[i]! <= high; i++) {
        const v = sorted[i]!;
        if (v === a || v === b || v === apex) continue;
        const share = shareAlong(positions, a, b, v, tolerance);
        if (share > 0) between.push({ v, share });
      }
      if (between.length === 0) continue;
      between.sort((p, q) => p.share - q.share);
      split.add(t);
      divided++;
      let last = a;
      for (const { v } of between) {
        added.push(last, v, apex);
        last = v;
      }
      added.push(last, b, apex);
    }
    if (split.size === 0) break;
    const kept = keepTriangles(out, (t) => !split.has(t));
    const joined = new Uint32Array(kept.length + added.length);
    joined.set(kept);
    joined.set(added, kept.length);
    out = joined;
  }
  return { triangles: out, welded: 0, divided };
}

/**
 * Comparisons of a border edge with a border vertex beyond which a mesh is not zipped: a second's worth, met only by loose triangles.
 * They stay open and are refused as such.
 */
const MOST_COMPARISONS = 2e7;

function comparisons(positions: Float64Array, triangles: Uint32Array, border: Border, along: Float64Array, tolerance: number): number {
  const axis = border.longestAxis;
  let sum = 0;
  for (const h of border.halfEdges) {
    const a = positions[3 * triangles[h]! + axis]!;
    const b = positions[3 * triangles[nextHalfEdge(h)]! + axis]!;
    sum += lowerBound(along, Math.max(a, b) + tolerance) - lowerBound(along, Math.min(a, b) - tolerance);
  }
  return sum;
}

/** Where along a→b vertex v lies, as a share of its length, or −1 when it is further off than the tolerance or at an end. */
function shareAlong(positions: Float64Array, a: number, b: number, v: number, tolerance: number): number {
  const [ax, ay, az] = [positions[3 * a]!, positions[3 * a + 1]!, positions[3 * a + 2]!];
  const [ex, ey, ez] = [positions[3 * b]! - ax, positions[3 * b + 1]! - ay, positions[3 * b + 2]! - az];
  const [px, py, pz] = [positions[3 * v]! - ax, positions[3 * v + 1]! - ay, positions[3 * v + 2]! - az];
  const lengthSquared = ex * ex + ey * ey + ez * ez;
  const share = (px * ex + py * ey + pz * ez) / lengthSquared;
  if (!(share > 0 && share < 1)) return -1;
  const off = Math.hypot(px - share * ex, py - share * ey, pz - share * ez);
  return off <= tolerance ? share : -1;
}

interface Border {
  readonly halfEdges: readonly number[];
  readonly vertices: readonly number[];
  readonly longestAxis: number;
}

/** Half-edges with no partner, and the vertices on them in ascending order of index. */
function borderOf(positions: Float64Array, triangles: Uint32Array): Border {
  const table = edgeTable(triangles, positions.length / 3);
  const halfEdges: number[] = [];
  const onBorder = new Uint8Array(positions.length / 3);
  for (let e = 0; e < table.nEdges; e++) {
    if (edgeDegree(table, e) !== 1) continue;
    const h = table.halfEdges[table.start[e]!]!;
    halfEdges.push(h);
    onBorder[triangles[h]!] = onBorder[triangles[nextHalfEdge(h)]!] = 1;
  }
  const vertices: number[] = [];
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let v = 0; v < onBorder.length; v++) {
    if (!onBorder[v]) continue;
    vertices.push(v);
    for (let k = 0; k < 3; k++) {
      low[k] = Math.min(low[k]!, positions[3 * v + k]!);
      high[k] = Math.max(high[k]!, positions[3 * v + k]!);
    }
  }
  const size = high.map((x, k) => x - low[k]!);
  return { halfEdges, vertices, longestAxis: size.indexOf(Math.max(...size)) };
}

function lowerBound(sorted: Float64Array, value: number): number {
  let low = 0;
  let high = sorted.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (sorted[middle]! < value) low = middle + 1;
    else high = middle;
  }
  return low;
}
