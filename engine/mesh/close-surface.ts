/** From loose corners to a closed surface: every edge with two triangles in opposite directions, every vertex with one fan. */
import type { Repair } from '../../shared/answers.ts';
import { many } from '../../shared/many.ts';
import type { MeshError } from '../../shared/mesh-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { type BorderLoop, borderLoops, capFlatOpenings, MAX_LOOPS } from './cap-openings.ts';
import { dropCollapsed, dropDuplicates, slivers, turnOutSlivers } from './clean-triangles.ts';
import { closeCracks, divideBorders } from './close-cracks.ts';
import { type EdgeTable, edgeDegree, edgeTable, isClosedAndOriented } from './edge-table.ts';
import { FLAT_OPENING, type MeshTolerances } from './mesh-tolerances.ts';
import { orientPatches, vertexAt } from './orient-patches.ts';
import { centreOf } from './shells.ts';
import { divideDoubledEdges, pairHalfEdges, splitFans } from './split-sheets.ts';
import { type IndexedTriangles, weldExact } from './weld.ts';

export interface ClosedSurface {
  readonly mesh: IndexedTriangles;
  /** The half-edge across each one. */
  readonly across: Int32Array;
  readonly repairs: readonly Repair[];
}

/** @param corners - m, about the mesh's centre; shape (9·nTriangles) */
export function closeSurface(corners: Float64Array, tolerances: MeshTolerances): Outcome<ClosedSurface, MeshError> {
  const tally = new Tally();
  const welded = weldExact(corners);
  let mesh = clean(welded, tolerances, tally);
  if (mesh.triangles.length === 0) return failed({ code: 'mesh-no-volume', triangles: corners.length / 9 });
  const table = edgeTable(mesh.triangles, mesh.positions.length / 3);
  // A clean file ends here: nothing is moved that already fits.
  if (isClosedAndOriented(mesh.triangles, table)) {
    const whole = splitFans(mesh, acrossOf(table));
    return finish(whole, acrossOf(table), tolerances, tally.add('touching', whole.added));
  }
  for (const [kind, tolerance] of [
    ['near', tolerances.touch],
    ['cracks', tolerances.crack],
  ] as const) {
    if (!hasOpenEdges(mesh)) break;
    const zipped = closeCracks(mesh.positions, mesh.triangles, tolerance);
    if (zipped.welded + zipped.divided === 0) continue;
    tally.add(kind, zipped.welded + zipped.divided, tolerance);
    mesh = clean({ positions: mesh.positions, triangles: zipped.triangles }, tolerances, tally, true);
  }
  let sheets = takeApart(mesh, tally);
  if (!sheets.ok) return sheets;
  let loops = borderLoops(sheets.value.mesh.positions, sheets.value.mesh.triangles, sheets.value.across);
  if (loops.length > 0) {
    if (loops.length > MAX_LOOPS) return openLoops(loops);
    const capped = capFlatOpenings(sheets.value.mesh.positions, loops);
    if (capped.left.length > 0) return openLoops(capped.left);
    tally.add('caps', capped.caps, capped.area);
    const { positions, triangles } = sheets.value.mesh;
    const joined = new Uint32Array(triangles.length + capped.added.length);
    joined.set(triangles);
    joined.set(capped.added, triangles.length);
    const zipped = divideBorders(positions, joined, tolerances.crack);
    sheets = takeApart(clean({ positions, triangles: zipped.triangles }, tolerances, tally, true), tally);
    if (!sheets.ok) return sheets;
    loops = borderLoops(sheets.value.mesh.positions, sheets.value.mesh.triangles, sheets.value.across);
    if (loops.length > 0) return openLoops(loops);
  }
  return finish(sheets.value.mesh, sheets.value.across, tolerances, tally);
}

/** Drops collapsed, sliver and repeated triangles. Those that our own steps made are no fault of the file and are not counted. */
function clean(mesh: IndexedTriangles, tolerances: MeshTolerances, tally: Tally, ours = false): IndexedTriangles {
  const { positions } = mesh;
  const whole = dropCollapsed(mesh.triangles);
  const turnedOut = turnOutSlivers(positions, whole, tolerances.sliver);
  const single = dropDuplicates(turnedOut.triangles, positions.length / 3);
  if (!ours) {
    tally.add('degenerate', (mesh.triangles.length - whole.length) / 3 + turnedOut.count);
    tally.add('duplicates', (turnedOut.triangles.length - single.length) / 3);
  }
  return { positions, triangles: single };
}

function hasOpenEdges({ positions, triangles }: IndexedTriangles): boolean {
  const table = edgeTable(triangles, positions.length / 3);
  for (let e = 0; e < table.nEdges; e++) if (edgeDegree(table, e) === 1) return true;
  return false;
}

/** Orients the patches and parts the sheets that only touch. */
function takeApart(mesh: IndexedTriangles, tally: Tally): Outcome<Pick<ClosedSurface, 'mesh' | 'across'>, MeshError> {
  const triangles = mesh.triangles.slice();
  let table = edgeTable(triangles, mesh.positions.length / 3);
  const patches = orientPatches(mesh.positions, triangles, table);
  if (!patches.ok) return patches;
  tally.add('turned', patches.value.turned);
  if (patches.value.changed) table = edgeTable(triangles, mesh.positions.length / 3);
  const pairing = pairHalfEdges(mesh.positions, triangles, table, patches.value.patchOf);
  if (!pairing.ok) return pairing;
  const { across, splitEdges } = pairing.value;
  const split = splitFans({ positions: mesh.positions, triangles }, across);
  if (splitEdges > 0) tally.add('touching', splitEdges);
  return done({ mesh: split, across });
}

/** The last look: doubled edges get a vertex between, and what still has no area is named. */
function finish(mesh: IndexedTriangles, across: Int32Array, tolerances: MeshTolerances, tally: Tally): Outcome<ClosedSurface, MeshError> {
  const table = edgeTable(mesh.triangles, mesh.positions.length / 3);
  let whole: Pick<ClosedSurface, 'mesh' | 'across'> = { mesh: { positions: mesh.positions, triangles: mesh.triangles }, across };
  if (!isClosedAndOriented(mesh.triangles, table)) {
    const divided = divideDoubledEdges(whole.mesh, table, across);
    const closed = edgeTable(divided.triangles, divided.positions.length / 3);
    if (!isClosedAndOriented(divided.triangles, closed)) return failed(stillShared(divided, closed));
    whole = { mesh: divided, across: acrossOf(closed) };
  }
  const thin = slivers(whole.mesh, tolerances.sliver);
  if (thin.length > 0) return failed({ code: 'mesh-sliver', count: thin.length, first_m: centreOf(whole.mesh, thin[0]!) });
  return done({ ...whole, repairs: tally.repairs() });
}

/** Two triangles back to back on the same three vertices cannot be told apart by a vertex between. */
function stillShared({ positions, triangles }: IndexedTriangles, table: EdgeTable): MeshError {
  let edges = 0;
  let worst = 0;
  for (let e = 0; e < table.nEdges; e++) {
    if (edgeDegree(table, e) === 2) continue;
    edges++;
    if (edgeDegree(table, e) > edgeDegree(table, worst)) worst = e;
  }
  const h = table.halfEdges[table.start[worst]!]!;
  return { code: 'mesh-edge-shared', edges, triangles: edgeDegree(table, worst), first_m: vertexAt(positions, triangles[h]!) };
}

function acrossOf(table: EdgeTable): Int32Array {
  const across = new Int32Array(table.edgeOf.length);
  for (let e = 0; e < table.nEdges; e++) {
    const h = table.halfEdges[table.start[e]!]!;
    const g = table.halfEdges[table.start[e]! + 1]!;
    across[h] = g;
    across[g] = h;
  }
  return across;
}

function openLoops(loops: readonly BorderLoop[]): Outcome<never, MeshError> {
  const widest = [...loops].sort((p, q) => q.width - p.width);
  return failed({
    code: 'mesh-open-loops',
    loops: loops.length,
    edges: loops.reduce((sum, l) => sum + l.vertices.length, 0),
    first_m: widest.slice(0, 3).map((l) => l.centre),
  });
}

const millimetres = (x: number): string => `${Number((x * 1000).toPrecision(2))} mm`;

/** Counts what is done, and says it once. */
class Tally {
  private readonly counts = new Map<string, number>();
  private readonly figures = new Map<string, number>();

  add(kind: string, count: number, figure = 0): this {
    if (count > 0) {
      this.counts.set(kind, (this.counts.get(kind) ?? 0) + count);
      this.figures.set(kind, Math.max(this.figures.get(kind) ?? 0, figure));
    }
    return this;
  }

  repairs(): Repair[] {
    const texts: Record<string, (n: number, figure: number) => string> = {
      degenerate: (n) => `${many(n, 'triangle')} without area taken out`,
      duplicates: (n) => `${many(n, 'repeated triangle')} taken out`,
      near: (n, tolerance) =>
        `open edges joined at ${many(n, 'place')} within ${millimetres(tolerance)} (rounding of the file's numbers, or an edge that ends on another)`,
      cracks: (n, tolerance) => `hairline cracks zipped at ${many(n, 'place')}, each narrower than ${millimetres(tolerance)}`,
      turned: (n) => `${many(n, 'triangle')} turned to face as the neighbours do`,
      touching: (n) => `sheets that only touch parted at ${many(n, 'place')}; no fuel passes a line or a point`,
      caps: (n, area) =>
        `${many(n, 'flat opening')} closed with ${Number(area.toPrecision(3))} m² of cap (flat within ${FLAT_OPENING} of the width); the tank is taken as closed there`,
    };
    return [...this.counts].map(([kind, count]) => ({ kind, count, text: texts[kind]!(count, this.figures.get(kind)!) }));
  }
}
