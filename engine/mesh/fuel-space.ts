/** Which of a file's closed shells bound the fuel: bodies joined, cavities taken, and every unclear arrangement named. */
import type { Repair } from '../../shared/answers.ts';
import { many } from '../../shared/many.ts';
import type { MeshError } from '../../shared/mesh-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import { type Contact, findContacts } from './find-crossings.ts';
import { joinBodies } from './join-bodies.ts';
import { type MeshTolerances, THIN_BODY } from './mesh-tolerances.ts';
import { centreOf, flipShell, measureShells, placeOf, type Shell, shellOfTriangles } from './shells.ts';
import type { IndexedTriangles } from './weld.ts';

/** Enough for any assembly of tank parts; the nesting test grows with the square. */
export const MAX_SHELLS = 256;

export interface FuelSpace {
  readonly mesh: IndexedTriangles;
  readonly space: 'skin' | 'cavity' | 'outer';
  readonly repairs: readonly Repair[];
  readonly notices: readonly string[];
}

/** Bodies that overlap: their union has to be made and looked at anew. */
export interface OverlappingBodies {
  /** Corners of the union and of the shells it leaves alone. */
  readonly joined: Float64Array;
  readonly repairs: readonly Repair[];
}

/**
 * The fuel space among closed shells.
 *
 * A shell inside another and facing against it is the cavity of a thick-walled body: the fuel is in the cavities, all of them (`auto`),
 * or inside the outer skins (`outer`). A shell in a cavity is an island of wall. Bodies that overlap are joined.
 *
 * @param mesh - closed, m; its shells may be turned over in place
 */
export async function fuelSpace(
  mesh: IndexedTriangles,
  across: Int32Array,
  asked: 'auto' | 'outer',
  tolerances: MeshTolerances,
): Promise<Outcome<FuelSpace | OverlappingBodies, MeshError>> {
  const { shellOf, nShells } = shellOfTriangles(across);
  if (nShells > MAX_SHELLS) return failed({ code: 'mesh-too-many-shells', shells: nShells, limit: MAX_SHELLS });
  const shells = measureShells(mesh, shellOf, nShells);
  const flat = shells.filter((s) => Math.abs(s.volume) <= tolerances.touch * s.area);
  if (flat.length === nShells) return failed({ code: 'mesh-no-volume', triangles: shellOf.length });
  if (flat.length > 0) {
    const [first] = flat;
    return failed({ code: 'mesh-no-thickness', pairs: Math.ceil(first!.members.length / 2), first_m: centreOf(mesh, first!.members[0]!) });
  }
  const nest = nestShells(mesh, shells);
  const repairs: Repair[] = [];
  const inward = turnOutward(mesh.triangles, shells, nest);
  const turned = inward.filter(Boolean).length;
  if (turned > 0) repairs.push({ kind: 'inside-out', count: turned, text: `${many(turned, 'shell')} that faced inward turned over` });

  const contacts = findContacts(mesh, shellOf, tolerances.touch);
  if (contacts === null) return failed({ code: 'mesh-too-dense', triangles: shellOf.length });
  const itself = contacts.filter((c) => c.shells[0] === c.shells[1]);
  const own = itself.find((c) => c.kind !== 'back-to-back') ?? itself[0];
  if (own) {
    const code = own.kind === 'back-to-back' ? 'mesh-no-thickness' : 'mesh-self-crossing';
    return failed({ code, pairs: own.pairs, first_m: own.at });
  }
  // One the right way round through one inside out may be a body to add or one to cut away.
  const unclear = contacts.find((c) => c.kind !== 'back-to-back' && inward[c.shells[0]] !== inward[c.shells[1]]);
  if (unclear) return failed({ code: 'mesh-shells-cross', pairs: unclear.pairs, first_m: unclear.at });
  const wrong = wronglyNested(mesh, shells, nest, contacts, asked);
  if (wrong) return failed(wrong);
  if (contacts.length > 0) return joinOverlapping(mesh, shells, nest, contacts, repairs);
  return choose(mesh, shells, nest, asked, repairs);
}

/** For each shell, the shells it lies in, smallest first. */
type Nest = readonly (readonly number[])[];

function nestShells(mesh: IndexedTriangles, shells: readonly Shell[]): Nest {
  const size = (s: number): number => Math.abs(shells[s]!.volume);
  return shells.map((inner, i) => {
    const around: number[] = [];
    shells.forEach((outer, j) => {
      if (i !== j && size(j) > size(i) && placeOf(mesh, inner, outer) === 'inside') around.push(j);
    });
    return around.sort((p, q) => size(p) - size(q));
  });
}

/** Turns over every outermost shell that faces inward, with all that lies in it. @returns which shells were turned */
function turnOutward(triangles: Uint32Array, shells: readonly Shell[], nest: Nest): boolean[] {
  const outermost = (i: number): number => nest[i]![nest[i]!.length - 1] ?? i;
  const inward = shells.map((_, i) => shells[outermost(i)]!.volume < 0);
  shells.forEach((shell, i) => {
    if (inward[i]) flipShell(triangles, shell);
  });
  return inward;
}

/** A shell that faces the same way as the one it lies in, or a nest deeper than wall, cavity, island. */
function wronglyNested(
  mesh: IndexedTriangles,
  shells: readonly Shell[],
  nest: Nest,
  contacts: readonly Contact[],
  asked: 'auto' | 'outer',
): MeshError | null {
  if (asked === 'outer') return null; // what lies inside is left out, whichever way it faces
  const touched = new Set(contacts.flatMap((c) => c.shells)); // these are judged by their union
  const same: { inner: number; outer: number }[] = [];
  for (let i = 0; i < shells.length; i++) {
    const free = touched.has(i) ? [] : nest[i]!;
    const first_m = centreOf(mesh, shells[i]!.members[0]!);
    if (free.length > 2) return { code: 'mesh-nested-deep', depth: free.length + 1, first_m };
    const outer = free[0];
    if (outer !== undefined && shells[outer]!.volume > 0 === shells[i]!.volume > 0) same.push({ inner: i, outer });
  }
  const [first] = same;
  if (first === undefined) return null;
  return {
    code: 'mesh-nested-same-way',
    shells: same.length,
    inner_m3: Math.abs(shells[first.inner]!.volume),
    outer_m3: Math.abs(shells[first.outer]!.volume),
    first_m: centreOf(mesh, shells[first.inner]!.members[0]!),
  };
}

/** Joins the bodies that meet: each an outward shell with the cavities in it. */
async function joinOverlapping(
  mesh: IndexedTriangles,
  shells: readonly Shell[],
  nest: Nest,
  contacts: readonly Contact[],
  repairs: Repair[],
): Promise<Outcome<OverlappingBodies, MeshError>> {
  const unclear = (c: Contact): Outcome<never, MeshError> => failed({ code: 'mesh-shells-cross', pairs: c.pairs, first_m: c.at });
  const owner = shells.map((shell, i) => (shell.volume > 0 ? i : (nest[i]!.find((j) => shells[j]!.volume > 0) ?? -1)));
  for (const contact of contacts) {
    const [p, q] = contact.shells.map((s) => owner[s]!) as [number, number];
    if (p < 0 || q < 0 || p === q) return unclear(contact);
  }
  const involved = new Set(contacts.flatMap((c) => c.shells.map((s) => owner[s]!)));
  const bodies = [...involved].map((body) => shells.flatMap((_, i) => (owner[i] === body ? [i] : [])));
  const union = await joinBodies(
    bodies.map((body) =>
      extract(
        mesh,
        body.map((i) => shells[i]!),
      ),
    ),
  );
  if (!union.ok) return union;
  // A body that the union swallows whole may have been meant as a cavity.
  for (const i of involved) {
    const outer = nest[i]!.find((j) => shells[j]!.volume > 0);
    if (outer === undefined) continue;
    const without = [...involved].filter((j) => j !== i);
    const rest =
      without.length > 1
        ? await joinBodies(
            without.map((b) =>
              extract(
                mesh,
                shells.filter((_, s) => owner[s] === b),
              ),
            ),
          )
        : null;
    if (rest !== null && !rest.ok) return rest;
    const before =
      rest === null
        ? volumeOf(
            cornersOf(
              extract(
                mesh,
                shells.filter((_, s) => owner[s] === without[0]),
              ),
            ),
          )
        : volumeOf(rest.value);
    if (volumeOf(union.value) - before > 1e-6 * shells[i]!.volume) continue;
    return failed({
      code: 'mesh-nested-same-way',
      shells: 1,
      inner_m3: shells[i]!.volume,
      outer_m3: shells[outer]!.volume,
      first_m: centreOf(mesh, shells[i]!.members[0]!),
    });
  }
  const untouched = cornersOf(
    extract(
      mesh,
      shells.filter((_, i) => !involved.has(owner[i]!)),
    ),
  );
  const joined = new Float64Array(union.value.length + untouched.length);
  joined.set(union.value);
  joined.set(untouched, union.value.length);
  const sum = bodies.flat().reduce((total, i) => total + shells[i]!.volume, 0);
  const common = sum - volumeOf(union.value);
  // Below a millionth it is the kernel's float32, not an overlap.
  const text =
    common > 1e-6 * sum
      ? `${bodies.length} bodies that overlap joined into one; the ${litres(common)} L that they have in common count once`
      : `${bodies.length} bodies that share a face joined into one; fuel passes there`;
  return done({ joined, repairs: [...repairs, { kind: 'joined', count: bodies.length, text }] });
}

function choose(
  mesh: IndexedTriangles,
  shells: readonly Shell[],
  nest: Nest,
  asked: 'auto' | 'outer',
  repairs: readonly Repair[],
): Outcome<FuelSpace, MeshError> {
  const outer = shells.filter((_, i) => nest[i]!.length === 0);
  const cavities = shells.filter((_, i) => nest[i]!.length === 1);
  const islands = shells.filter((_, i) => nest[i]!.length === 2);
  const notices: string[] = [];
  const total = (list: readonly Shell[]): number => list.reduce((sum, s) => sum + Math.abs(s.volume), 0);
  if (cavities.length === 0 || asked === 'outer') {
    if (cavities.length > 0)
      notices.push(
        `The outer skin was taken as the fuel space, as asked; left out: ${many(shells.length - outer.length, 'shell')} inside it.`,
      );
    if (outer.length > 1) notices.push(`The fuel space has ${outer.length} separate parts; no fuel passes between them.`);
    const fuel = extract(mesh, outer);
    const thickness = (2 * total(outer)) / outer.reduce((sum, s) => sum + s.area, 0);
    const narrowest = Math.min(...outer.map((s) => Math.min(...s.high.map((x, k) => x - s.low[k]!))));
    if (thickness < THIN_BODY * narrowest) {
      notices.push(
        `The body is thin everywhere (about ${Number((thickness * 1000).toPrecision(2))} mm on average), as a wall is: if this is the tank's wall and not its fuel space, close its openings so that the cavity is found.`,
      );
    }
    return done({ mesh: fuel, space: cavities.length > 0 ? 'outer' : 'skin', repairs, notices });
  }
  const holders = new Set(shells.flatMap((_, i) => (nest[i]!.length === 1 ? [nest[i]![0]!] : [])));
  const without = shells.filter((_, i) => nest[i]!.length === 0 && !holders.has(i));
  if (without.length > 0) {
    return failed({
      code: 'mesh-bodies-differ',
      hollow: holders.size,
      solid: without.length,
      first_m: centreOf(mesh, without[0]!.members[0]!),
    });
  }
  for (const shell of [...cavities, ...islands]) flipShell(mesh.triangles, shell);
  const held = total(cavities) - total(islands);
  notices.push(
    `The body has a thick wall: its ${cavities.length === 1 ? 'cavity' : `${cavities.length} cavities, not connected,`} of ${litres(held)} L ${cavities.length === 1 ? 'is' : 'are'} taken as the fuel space (the outer skin holds ${litres(total(outer))} L; "space": "outer" takes that).`,
  );
  if (islands.length > 0)
    notices.push(`Taken as solid: ${many(islands.length, 'body', 'bodies')} inside the cavity, of ${litres(total(islands))} L.`);
  return done({ mesh: extract(mesh, [...cavities, ...islands]), space: 'cavity', repairs, notices });
}

/** The given shells alone, with vertices numbered anew. */
function extract({ positions, triangles }: IndexedTriangles, shells: readonly Shell[]): IndexedTriangles {
  const name = new Int32Array(positions.length / 3).fill(-1);
  const out = new Uint32Array(shells.reduce((sum, s) => sum + 3 * s.members.length, 0));
  const kept = new Float64Array(positions.length);
  let nVertices = 0;
  let used = 0;
  for (const { members } of shells) {
    for (const t of members) {
      for (let k = 0; k < 3; k++) {
        const v = triangles[3 * t + k]!;
        if (name[v]! < 0) {
          for (let axis = 0; axis < 3; axis++) kept[3 * nVertices + axis] = positions[3 * v + axis]!;
          name[v] = nVertices++;
        }
        out[used++] = name[v]!;
      }
    }
  }
  return { positions: kept.slice(0, 3 * nVertices), triangles: out };
}

function cornersOf({ positions, triangles }: IndexedTriangles): Float64Array {
  const corners = new Float64Array(3 * triangles.length);
  for (let c = 0; c < triangles.length; c++) for (let k = 0; k < 3; k++) corners[3 * c + k] = positions[3 * triangles[c]! + k]!;
  return corners;
}

/** Signed volume of a closed set of triangles, m³. */
export function volumeOf(c: Float64Array): number {
  let six = 0;
  for (let t = 0; t < c.length; t += 9) {
    six +=
      c[t]! * (c[t + 4]! * c[t + 8]! - c[t + 5]! * c[t + 7]!) +
      c[t + 1]! * (c[t + 5]! * c[t + 6]! - c[t + 3]! * c[t + 8]!) +
      c[t + 2]! * (c[t + 3]! * c[t + 7]! - c[t + 4]! * c[t + 6]!);
  }
  return six / 6;
}

const litres = (volume: number): string => String(Number((volume * 1000).toPrecision(4)));
