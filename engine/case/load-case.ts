/** From a case and the bytes of its meshes to tanks that can be asked: read, made sound, placed, fittings checked against their wall. */
import type { Repair } from '../../shared/answers.ts';
import type { CaseFile, CaseTank, MeshGeometry, Placement } from '../../shared/case.ts';
import type { EngineError } from '../../shared/errors.ts';
import type { MeshError } from '../../shared/mesh-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import type { ShapeError, ShapeGeometry } from '../../shared/shapes.ts';
import { type LengthUnit, showNumber, showQuantity, toSi } from '../../shared/units.ts';
import { normalize, subtract } from '../../shared/vector.ts';
import type { Fitting } from '../fittings/opening.ts';
import { firstBelow, nearestWall } from '../mesh/bvh.ts';
import { facetError } from '../mesh/facet-error.ts';
import { readMesh } from '../mesh/read-mesh.ts';
import { soundMesh } from '../mesh/sound-mesh.ts';
import { buildTankSolid, type TankSolid } from '../mesh/tank-solid.ts';
import { makeShape } from '../shape/make-shape.ts';
import { FITTING_REACH, USUAL_CAPACITY } from '../tolerances.ts';
import { placeMesh } from './place-mesh.ts';
import { checkCase } from './read-case.ts';

export interface LoadedTank {
  readonly id: string;
  readonly name: string;
  readonly solid: TankSolid;
  readonly fittings: readonly Fitting[];
  readonly repairs: readonly Repair[];
  readonly space: 'skin' | 'cavity' | 'outer';
  readonly notices: readonly string[];
}

export interface LoadedTanks {
  readonly file: CaseFile;
  readonly tanks: readonly LoadedTank[];
}

type Shape = Pick<LoadedTank, 'solid' | 'repairs' | 'space' | 'notices'>;

/** Shapes of the case before, by what made them: a case with only its fittings changed reads no mesh again. */
export type ShapeCache = Map<string, Shape>;

/**
 * @param file - checked once more here: an edited case comes through the same door as a read one
 * @param meshes - bytes by the name the case gives the file
 * @param cache - kept by the caller between loads; holds the shapes of the last case that loaded, and no others
 * @returns errors of the reader and of the mesh, with tank and file; `case-fittings-outside`, `case-bore-too-wide`
 */
export async function loadCase(
  file: CaseFile,
  meshes: ReadonlyMap<string, ArrayBuffer>,
  cache: ShapeCache = new Map(),
): Promise<Outcome<LoadedTanks, EngineError>> {
  const checked = checkCase(file);
  if (!checked.ok) return checked;
  const tanks: LoadedTank[] = [];
  const used: ShapeCache = new Map();
  for (const tank of checked.value.tanks) {
    const source = await sourceOf(tank, meshes);
    if (!source.ok) return source;
    const { key } = source.value;
    const known = used.get(key) ?? cache.get(key);
    const made = known === undefined ? await source.value.make() : done(known);
    if (!made.ok) return made;
    used.set(key, made.value);
    const shape = { ...made.value, solid: withPockets(made.value.solid, tank) };
    const fittings = placeFittings(tank, shape.solid);
    if (!fittings.ok) return fittings;
    tanks.push({ id: tank.id, name: tank.name ?? tank.id, fittings: fittings.value, ...shape });
  }
  cache.clear();
  for (const [key, shape] of used) cache.set(key, shape);
  return done({ file, tanks });
}

/** Content, not identity: the window sends a fresh copy of the bytes each time. */
async function fingerprint(bytes: ArrayBuffer): Promise<string> {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

interface Source {
  /** Changes with everything that changes the shape, and with nothing else. */
  readonly key: string;
  readonly make: () => Promise<Outcome<Shape, EngineError>>;
}

/** Where a tank's shape comes from: the bytes of a mesh, or parameters. */
async function sourceOf(
  { id, geometry, placement }: CaseTank,
  meshes: ReadonlyMap<string, ArrayBuffer>,
): Promise<Outcome<Source, EngineError>> {
  const described = JSON.stringify([geometry, placement]);
  if (geometry.kind !== 'mesh') {
    const make = async (): Promise<Outcome<Shape, EngineError>> => {
      const shape = await shapeOfParameters(geometry, placement);
      return 'code' in shape ? failed({ code: 'tank-shape', tank: id, error: shape }) : done(shape);
    };
    return done({ key: described, make });
  }
  const bytes = meshes.get(geometry.file);
  if (bytes === undefined) return failed({ code: 'case-mesh-missing', tank: id, file: geometry.file, why: 'not-found' });
  const make = async (): Promise<Outcome<Shape, EngineError>> => {
    const shape = await shapeOfMesh(geometry, placement, bytes);
    return 'code' in shape ? failed({ code: 'tank-mesh', tank: id, file: geometry.file, error: shape }) : done(shape);
  };
  return done({ key: `${await fingerprint(bytes)} ${described}`, make });
}

async function shapeOfParameters(geometry: ShapeGeometry, placement: Placement | undefined): Promise<Shape | ShapeError | MeshError> {
  const made = await makeShape(geometry);
  if (!made.ok) return made.error;
  const { mesh, repairs, notices } = made.value;
  const solid = buildTankSolid(placement === undefined ? mesh : placeMesh(mesh, placement), facetError(mesh));
  return { solid, repairs, space: 'skin', notices };
}

async function shapeOfMesh(geometry: MeshGeometry, placement: Placement | undefined, bytes: ArrayBuffer): Promise<Shape | MeshError> {
  const read = await readMesh(geometry.file, new Uint8Array(bytes));
  if (!read.ok) return read.error;
  const own = read.value.unit;
  const given: LengthUnit = geometry.unit ?? 'mm';
  if (own !== null && geometry.unit !== undefined && toSi(1, given) !== own.toMetre) {
    return { code: 'mesh-3mf-unit', inFile: own.name, given };
  }
  const sound = await soundMesh(read.value.corners, { unitToMetre: own?.toMetre ?? toSi(1, given), space: geometry.space ?? 'auto' });
  if (!sound.ok) return sound.error;
  const { mesh, repairs, space, notices } = sound.value;
  const solid = buildTankSolid(placement === undefined ? mesh : placeMesh(mesh, placement), facetError(mesh));
  const assumed =
    geometry.unit === undefined && own === null ? [`${geometry.file}: no unit given, read as mm; the tank is ${sizeOf(solid)}.`] : [];
  const isUsual = solid.capacity >= USUAL_CAPACITY.least && solid.capacity <= USUAL_CAPACITY.most;
  const odd = isUsual
    ? []
    : [
        `${geometry.file}: a tank of ${sizeOf(solid)} that holds ${showQuantity(solid.capacity, 'L')} is no light aircraft's. Check the unit.`,
      ];
  return { solid, repairs, space, notices: [...assumed, ...odd, ...read.value.notices, ...notices] };
}

function sizeOf({ min, max }: TankSolid): string {
  return `${subtract(max, min)
    .map((side) => showNumber(side * 1000, 4))
    .join(' × ')} mm`;
}

/** The case may say itself which pockets are too small to count. */
function withPockets(solid: TankSolid, { pockets }: CaseTank): TankSolid {
  if (pockets === undefined) return solid;
  const { depth, volume } = solid.pocketTolerance;
  return { ...solid, pocketTolerance: { depth: pockets.depth_m ?? depth, volume: pockets.volume_m3 ?? volume } };
}

/** Directions are made unit vectors; a fitting too far outside the fuel space is an error, with the farthest named, and so is one wider than the tank. */
function placeFittings(tank: CaseTank, solid: TankSolid): Outcome<Fitting[], EngineError> {
  const limit = Math.max(FITTING_REACH.length, FITTING_REACH.ofSize * solid.size);
  const outside = tank.fittings
    .map(({ id, at_m }) => ({ id, distance: distanceOutside(solid, at_m) }))
    .filter(({ distance }) => distance > limit)
    .sort((a, b) => b.distance - a.distance);
  if (outside.length > 0) {
    const [{ id, distance }] = outside;
    return failed({
      code: 'case-fittings-outside',
      tank: tank.id,
      fitting: id,
      count: outside.length,
      distance_m: distance,
      limit_m: limit,
    });
  }
  const wide = tank.fittings.find(({ bore_m = 0 }) => bore_m > solid.size);
  if (wide !== undefined) {
    return failed({ code: 'case-bore-too-wide', tank: tank.id, fitting: wide.id, bore_m: wide.bore_m!, size_m: solid.size });
  }
  return done(
    tank.fittings.map(({ id, kind, at_m, bore_m, facing }) => ({
      id,
      kind,
      at: at_m,
      bore: bore_m ?? 0,
      facing: facing === undefined ? null : normalize(facing),
    })),
  );
}

/** @returns how far a point lies outside the fuel space, m; 0 inside */
export function distanceOutside(solid: TankSolid, at: readonly [number, number, number]): number {
  const point = subtract(at, solid.origin);
  const { distance } = nearestWall(solid.bvh, solid, point);
  if (distance === 0) return 0;
  // A direction no wall of a real tank lies along, so that the ray crosses walls and does not run in them.
  const up = normalize([0.2718281828, 0.3141592654, 0.9104]);
  const below = firstBelow(solid.bvh, solid, point, up);
  if (below === null) return distance;
  const { areas } = solid;
  const t = 3 * below.triangle;
  const leavesFuel = areas[t] * up[0] + areas[t + 1] * up[1] + areas[t + 2] * up[2] < 0;
  return leavesFuel ? 0 : distance;
}
