/**
 * Where the water of every face and vertex ends, as strips pulled back along the flow; what a strip is stands in catchment.ts.
 * Nodes are faces, then vertices.
 */
import { faceOf, nextCorner } from '../mesh/half-edges.ts';
import { SAME_PLACE } from '../tolerances.ts';
import { coversAll, type Landing } from './curtain.ts';
import type { Field } from './field.ts';
import * as run from './runoff.ts';
import { endOfWay } from './water-path.ts';

/** Of the whole floor: strips that are still open below this are not pulled round again. */
const OPEN_FLOOR = 1e-9;

/** A face's strips in order of its contour coordinate: strip i lies between cuts i − 1 and i and ends in arc ends[i], −1 while open. */
interface Strips {
  readonly cuts: readonly number[];
  readonly ends: readonly number[];
}

/** In `ends` of faces: not yet known; more than one, see the strips. */
const OPEN = -1;
const DIVIDED = -2;

/** Projected area of a face below a contour coordinate, as a share of the face. Corners c0 ≤ c1 ≤ c2 of a linear coordinate; two similar triangles. */
function shareBefore(c0: number, c1: number, c2: number, at: number): number {
  if (at <= c0) return 0;
  if (at >= c2) return 1;
  return at <= c1 ? (at - c0) ** 2 / ((c1 - c0) * (c2 - c0)) : 1 - (c2 - at) ** 2 / ((c2 - c1) * (c2 - c0));
}

/** The low point in whose own pocket a whole face lies, −1 when it lies in none. */
export function endOfFace(runoff: run.Runoff, face: number): number {
  const { arcs, highArc, heights, solid } = runoff.field;
  const arc = highArc[face];
  if (arcs[arc].children.length > 0) return OPEN;
  if (runoff.kind[face] !== run.LEVEL) return arc;
  return run.pocketAt(runoff, arc, heights[solid.triangles[3 * face]]);
}

export class Drainage {
  readonly field: Field;
  readonly runoff: run.Runoff;
  readonly nFaces: number;
  readonly ends: Int32Array;
  readonly strips = new Map<number, Strips>();
  readonly landings = new Map<number, Landing[]>();
  readonly ways = new Map<number, run.Way | null>();
  /** The low point in whose own pocket each vertex lies, −1 for none. */
  readonly pockets: Int32Array;
  /** Nodes in the order they were closed: what they drain to comes before, circles apart. */
  readonly closed: number[] = [];

  constructor(field: Field) {
    const { arcOf, highArc, heights } = field;
    this.field = field;
    this.runoff = run.runoffOf(field);
    this.nFaces = highArc.length;
    this.ends = new Int32Array(this.nFaces + arcOf.length);
    this.pockets = Int32Array.from(arcOf, (arc, v) => run.pocketAt(this.runoff, arc, heights[v]));
    for (let f = 0; f < this.nFaces; f++) this.ends[f] = endOfFace(this.runoff, f);
    this.ends.set(this.pockets, this.nFaces);
  }

  /** Visits the faces and all they drain to, lower ground first; without recursion, since ways are long. */
  follow(faces: readonly number[]): void {
    const state = new Uint8Array(this.ends.length); // 0 new, 1 waits for what it drains to, 2 closed
    const stack = faces.slice();
    const onward: number[] = [];
    while (stack.length > 0) {
      const node = stack[stack.length - 1];
      if (state[node] === 0 && this.ends[node] === OPEN) {
        state[node] = 1;
        onward.length = 0;
        this.listOnward(node, onward);
        for (const next of onward) if (state[next] === 0 && this.ends[next] === OPEN) stack.push(next);
        continue;
      }
      stack.pop();
      if (state[node] !== 1) continue;
      state[node] = 2;
      this.close(node);
      this.closed.push(node);
    }
  }

  listOnward(node: number, out: number[]): void {
    const { runoff, nFaces } = this;
    const way = this.wayOf(node);
    if (way !== undefined) {
      if (way !== null) out.push(way.to === 'vertex' ? nFaces + way.vertex : way.face);
      return;
    }
    for (let h = run.firstWayOut(runoff, node); run.leavesOver(runoff, h); h = nextCorner(h)) {
      if (this.lowUpTo(h) >= 1) continue;
      const beyond = run.beyond(runoff, h);
      if (beyond === 'across') out.push(faceOf(runoff.edges.twin[h]));
      if (beyond === 'off') for (const { triangle } of this.landingsOf(h)) out.push(triangle);
      if (beyond === 'along' || (beyond === 'off' && !coversAll(this.landingsOf(h)))) out.push(nFaces + run.lowerEnd(runoff, h));
    }
  }

  /** The one way on of a vertex or of a level face; undefined for a face that runs. */
  wayOf(node: number): run.Way | null | undefined {
    const { runoff, nFaces, field } = this;
    if (node < nFaces && runoff.kind[node] !== run.LEVEL) return undefined;
    let way = this.ways.get(node);
    if (way !== undefined) return way;
    if (node >= nFaces) {
      const v = node - nFaces;
      way = run.wayFromVertex(runoff, v) ?? run.overflow(runoff, v, false, -1).way;
    } else {
      const [a, b, c] = field.solid.triangles.subarray(3 * node, 3 * node + 3);
      way = run.overflow(runoff, Math.min(a, b, c), true, -1).way;
    }
    if (way !== null && way.to !== 'vertex' && runoff.kind[way.face] === run.RUNS) {
      const vertex = run.exitOf(runoff, way.face, way.at)?.vertex ?? -1;
      if (vertex >= 0) way = { to: 'vertex', vertex };
    }
    this.ways.set(node, way);
    return way;
  }

  landingsOf(h: number): Landing[] {
    let found = this.landings.get(h);
    if (found === undefined) {
      found = run.landingsOff(this.runoff, h);
      this.landings.set(h, found);
    }
    return found;
  }

  /** How far up an edge, as a share of it from its lower end, lies in a low point's own pocket. */
  lowUpTo(h: number): number {
    const { heights, arcs, solid } = this.field;
    const low = run.lowerEnd(this.runoff, h);
    const high = low === solid.triangles[h] ? solid.triangles[nextCorner(h)] : solid.triangles[h];
    const arc = this.pockets[low];
    if (arc < 0) return 0;
    if (heights[high] <= arcs[arc].death) return 1;
    return Math.max(0, (arcs[arc].death - heights[low]) / (heights[high] - heights[low]));
  }

  close(node: number): void {
    const way = this.wayOf(node);
    if (way !== undefined) {
      this.ends[node] = way === null ? this.lowestUnder(node) : this.endOfWay(node, way);
      return;
    }
    this.ends[node] = this.oneEndOf(node);
    this.strips.delete(node);
    if (this.ends[node] !== DIVIDED) return;
    const { cuts, ends } = this.stripsOf(node);
    if (ends.length === 1) this.ends[node] = ends[0];
    else this.strips.set(node, { cuts, ends });
  }

  /** The end of all water of a face that runs, when that is plain without strips; else DIVIDED. Most faces end here. */
  oneEndOf(face: number): number {
    const { runoff, nFaces } = this;
    let one = DIVIDED;
    for (let h = run.firstWayOut(runoff, face); run.leavesOver(runoff, h); h = nextCorner(h)) {
      const low = this.lowUpTo(h);
      if (low > 0 && low < 1) return DIVIDED;
      let end: number;
      if (low >= 1) end = this.pockets[run.lowerEnd(runoff, h)];
      else {
        const beyond = run.beyond(runoff, h);
        if (beyond === 'off') return DIVIDED;
        end = this.ends[beyond === 'across' ? faceOf(runoff.edges.twin[h]) : nFaces + run.lowerEnd(runoff, h)];
      }
      if (end === DIVIDED || (one !== DIVIDED && end !== one)) return DIVIDED;
      one = end;
    }
    return one;
  }

  /** A valley's whole water may come this way, so where it meets the line between two strips the drop itself is followed. */
  endOfWay(node: number, way: run.Way): number {
    const { runoff, nFaces, field } = this;
    if (way.to === 'vertex') return this.ends[nFaces + way.vertex];
    const end = this.ends[way.face];
    if (end !== DIVIDED) return end;
    const c = run.contourAt(runoff, way.face, way.at);
    const { cuts, ends } = this.strips.get(way.face)!;
    const near = 10 * SAME_PLACE * field.solid.size * Math.hypot(...runoff.contour.subarray(3 * way.face, 3 * way.face + 3));
    let i = 0;
    while (i < cuts.length && cuts[i] < c) i++;
    const isOnLine = (cut: number | undefined): boolean => cut !== undefined && Math.abs(cut - c) <= near;
    if (isOnLine(cuts[i - 1]) || isOnLine(cuts[i])) return endOfWay(field, node < nFaces ? this.lowestCorner(node) : node - nFaces, way);
    return ends[i];
  }

  /** The lowest low point under a node: where no rule leads on. */
  lowestUnder(node: number): number {
    const { arcs, arcOf, highArc } = this.field;
    let arc = node < this.nFaces ? highArc[node] : arcOf[node - this.nFaces];
    while (arcs[arc].children.length > 0) arc = arcs[arc].children[0];
    return arc;
  }

  stripsOf(face: number): Strips {
    const { runoff, nFaces } = this;
    const { c } = runoff;
    const out = new StripList();
    for (let h = run.firstWayOut(runoff, face); run.leavesOver(runoff, h); h = nextCorner(h)) {
      const c0 = c[h];
      const c1 = c[nextCorner(h)];
      const low = this.lowUpTo(h);
      const lower = run.lowerEnd(runoff, h);
      const lowEnd = low > 0 ? this.pockets[lower] : OPEN;
      const isUp = lower === this.field.solid.triangles[h]; // the edge rises along c
      const from = isUp ? low : 0;
      const to = isUp ? 1 : 1 - low;
      if (isUp && low > 0) out.add(c0 + low * (c1 - c0), lowEnd);
      if (low < 1) {
        const beyond = run.beyond(runoff, h);
        if (beyond === 'along') out.add(c0 + to * (c1 - c0), this.ends[nFaces + lower]);
        else if (beyond === 'across') this.pullOver(out, h, from, to);
        else this.pullUp(out, h, from, to);
      }
      if (!isUp && low > 0) out.add(c1, lowEnd);
    }
    if (out.ends.length === 0) out.add(0, this.ends[nFaces + this.lowestCorner(face)]); // too thin for double precision
    return out;
  }

  lowestCorner(face: number): number {
    const { solid, heights } = this.field;
    let low = solid.triangles[3 * face];
    for (const v of solid.triangles.subarray(3 * face + 1, 3 * face + 3)) if (heights[v] < heights[low]) low = v;
    return low;
  }

  /** Strips of the face beyond an edge, between shares `from` and `to` of it. */
  pullOver(out: StripList, h: number, from: number, to: number): void {
    const { c, edges } = this.runoff;
    const twin = edges.twin[h];
    const g0 = c[nextCorner(twin)];
    const g1 = c[twin];
    const f0 = c[h];
    const f1 = c[nextCorner(h)];
    this.pull(out, faceOf(twin), g0 + from * (g1 - g0), g0 + to * (g1 - g0), f0 + from * (f1 - f0), f0 + to * (f1 - f0));
  }

  /** Strips of the floors in the shadow of a lip; where there is none below, water runs along it. */
  pullUp(out: StripList, h: number, from: number, to: number): void {
    const { runoff, nFaces } = this;
    const [start, end] = run.lip(runoff, h);
    const f0 = runoff.c[h];
    const f1 = runoff.c[nextCorner(h)];
    const along = this.ends[nFaces + run.lowerEnd(runoff, h)];
    let done = from;
    for (const landing of this.landingsOf(h)) {
      const a = Math.max(landing.from, done);
      const b = Math.min(landing.to, to);
      if (b <= a) continue;
      if (a > done) out.add(f0 + a * (f1 - f0), along);
      const g0 = run.contourAt(runoff, landing.triangle, start);
      const g1 = run.contourAt(runoff, landing.triangle, end);
      this.pull(out, landing.triangle, g0 + a * (g1 - g0), g0 + b * (g1 - g0), f0 + a * (f1 - f0), f0 + b * (f1 - f0));
      done = b;
    }
    if (done < to) out.add(f0 + to * (f1 - f0), along);
  }

  /** Appends a face's strips between contour coordinates g0 and g1 (in either order), mapped on f0 to f1. */
  pull(out: StripList, face: number, g0: number, g1: number, f0: number, f1: number): void {
    const strips = this.strips.get(face);
    if (strips === undefined) {
      out.add(f1, this.ends[face]);
      return;
    }
    const { cuts, ends } = strips;
    const at = (cut: number): number => f0 + ((cut - g0) / (g1 - g0)) * (f1 - f0);
    let i = 0;
    if (g1 >= g0) {
      while (i < cuts.length && cuts[i] <= g0) i++;
      for (; i < cuts.length && cuts[i] < g1; i++) out.add(at(cuts[i]), ends[i]);
    } else {
      i = cuts.length;
      while (i > 0 && cuts[i - 1] >= g0) i--;
      for (; i > 0 && cuts[i - 1] > g1; i--) out.add(at(cuts[i - 1]), ends[i]);
    }
    out.add(f1, ends[i]);
  }

  /**
   * Pulls circling strips round until little is open or no more closes; then the lowest node with an open strip is assigned, and so on.
   * @returns floor that was open when the first was assigned, m²
   */
  closeOpen(floor: number): number {
    const isOpen = (node: number): boolean => this.ends[node] === OPEN || (this.strips.get(node)?.ends.includes(OPEN) ?? false);
    let nodes = this.closed.filter(isOpen);
    let assigned = -1;
    let before = Infinity;
    while (nodes.length > 0) {
      for (const node of nodes) this.close(node);
      nodes = nodes.filter(isOpen);
      const open = nodes.reduce((sum, node) => sum + this.openShare(node), 0);
      if (open < before && (assigned >= 0 || this.openArea(nodes) > OPEN_FLOOR * floor)) {
        before = open;
        continue;
      }
      if (assigned < 0) assigned = this.openArea(nodes);
      const lowest = nodes.reduce((a, b) => (this.lowestOf(b) < this.lowestOf(a) ? b : a), nodes[0]);
      if (lowest === undefined) break;
      this.assign(lowest);
      nodes = nodes.filter((node) => node !== lowest);
      before = Infinity;
    }
    return Math.max(0, assigned);
  }

  lowestOf(node: number): number {
    return this.field.heights[node < this.nFaces ? this.lowestCorner(node) : node - this.nFaces];
  }

  /** Share of a node that is open. */
  openShare(node: number): number {
    const strips = this.strips.get(node);
    if (strips === undefined) return this.ends[node] === OPEN ? 1 : 0;
    const { c } = this.runoff;
    const low = Math.min(c[3 * node], c[3 * node + 1], c[3 * node + 2]);
    const high = Math.max(c[3 * node], c[3 * node + 1], c[3 * node + 2]);
    return (
      strips.ends.reduce((sum, end, i) => (end === OPEN ? sum + (strips.cuts[i] ?? high) - (strips.cuts[i - 1] ?? low) : sum), 0) /
      (high - low)
    );
  }

  openArea(nodes: readonly number[]): number {
    let area = 0;
    for (const node of nodes) if (node < this.nFaces) this.eachStrip(node, (end, part) => (area += end === OPEN ? part : 0));
    return area;
  }

  assign(node: number): void {
    const known = node < this.nFaces ? this.ends[this.nFaces + this.lowestCorner(node)] : OPEN;
    const end = known === OPEN ? this.lowestUnder(node) : known;
    const strips = this.strips.get(node);
    if (strips === undefined) this.ends[node] = end;
    else this.strips.set(node, { cuts: strips.cuts, ends: strips.ends.map((known) => (known === OPEN ? end : known)) });
  }

  addShares(face: number, shares: Float64Array): void {
    this.eachStrip(face, (end, area) => {
      shares[end] += area;
    });
  }

  eachStrip(face: number, visit: (end: number, area: number) => void): void {
    const { solid, up } = this.field;
    const k = 3 * face;
    const area = -(solid.areas[k] * up[0] + solid.areas[k + 1] * up[1] + solid.areas[k + 2] * up[2]);
    if (!(area > 0)) return;
    const strips = this.strips.get(face);
    if (strips === undefined) {
      visit(this.ends[face], area);
      return;
    }
    const [c0, c1, c2] = this.runoff.c.slice(k, k + 3).sort();
    let before = 0;
    strips.ends.forEach((end, i) => {
      const upTo = i < strips.cuts.length ? Math.max(before, shareBefore(c0, c1, c2, strips.cuts[i])) : 1;
      visit(end, (upTo - before) * area);
      before = upTo;
    });
  }
}

/** Strips in the making; neighbours with one end are one strip. */
class StripList implements Strips {
  readonly cuts: number[] = [];
  readonly ends: number[] = [];
  reached = 0;

  add(upTo: number, end: number): void {
    const last = this.ends.length - 1;
    if (last < 0 || this.ends[last] !== end) {
      if (last >= 0) this.cuts.push(this.reached);
      this.ends.push(end);
    }
    this.reached = upTo;
  }
}
