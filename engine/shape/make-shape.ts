/** From a shape's parameters to the closed surface of its fuel space. */
import type { Manifold } from 'manifold-3d';
import type { MeshError } from '../../shared/mesh-errors.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import type { ShapeError, ShapeGeometry } from '../../shared/shapes.ts';
import { toSi } from '../../shared/units.ts';
import { type SoundMesh, soundMesh } from '../mesh/sound-mesh.ts';
import { collector } from './collector.ts';
import { drum } from './drum.ts';
import { loftShape } from './loft.ts';
import { refuseShape, ShapeFault } from './shape-fault.ts';
import type { Kernel } from './solids.ts';
import { wing } from './wing.ts';
import { inWorkshop } from './workshop.ts';

export type MadeShape = Pick<SoundMesh, 'mesh' | 'repairs' | 'notices'>;

/** mm³: a part of the fuel space smaller than this, cut off between metal and skin, holds no fuel anyone could miss. */
const CRUMB = 1000;

/**
 * Where two facets pass closer than float32 can say, rounding may let them cross: the same shape, smoothed a little more, has no such place.
 * Shares of the chord error that are tried in turn.
 */
const SMOOTHING = [1 / 40, 1 / 10, 1 / 4];

/** @returns the sound surface of the shape in its own frame; or the parameter that does not work; or, by a fault of ours, what is wrong with the mesh */
export async function makeShape(shape: ShapeGeometry): Promise<Outcome<MadeShape, ShapeError | MeshError>> {
  let refused: Outcome<never, MeshError> | null = null;
  for (const share of SMOOTHING) {
    const drawn = await drawShape(shape, share * shape.chordError_m * 1000);
    if (!drawn.ok) return drawn;
    const sound = await soundMesh(drawn.value.corners, { unitToMetre: toSi(1, 'mm'), space: 'outer' });
    if (sound.ok) return done({ ...sound.value, notices: [...drawn.value.notices, ...sound.value.notices] });
    refused = sound;
  }
  return refused!;
}

interface Drawn {
  /** mm, float32 */
  readonly corners: Float64Array;
  readonly notices: readonly string[];
}

async function drawShape(shape: ShapeGeometry, finest: number): Promise<Outcome<Drawn, ShapeError>> {
  try {
    return done(await inWorkshop((kernel) => onePiece(solidOf(kernel, shape), shape, finest)));
  } catch (fault) {
    if (fault instanceof ShapeFault) return failed(fault.error);
    throw fault;
  }
}

function solidOf(kernel: Kernel, shape: ShapeGeometry): Manifold {
  switch (shape.kind) {
    case 'box':
      return kernel.Manifold.cube([shape.length_m * 1000, shape.width_m * 1000, shape.height_m * 1000]);
    case 'drum':
      return drum(kernel, shape);
    case 'wing':
      return wing(kernel, shape);
    case 'collector':
      return collector(kernel, shape);
    case 'loft':
      return loftShape(kernel, shape);
  }
}

/** What divides a shape, to be named where it falls apart. */
const DIVIDER: Record<ShapeGeometry['kind'], string> = { box: 'box', drum: 'drum', wing: 'ribs', collector: 'corners', loft: 'outlines' };

function onePiece(solid: Manifold, { kind }: ShapeGeometry, finest: number): Drawn {
  if (kind === 'box' || kind === 'drum') return { corners: cornersOf(solid, finest), notices: [] };
  const parts = solid.decompose().sort((a, b) => b.volume() - a.volume());
  if (parts.length === 0) refuseShape({ code: 'shape-list', key: DIVIDER[kind], why: 'nothing is left of the tank' });
  const [whole, ...others] = parts;
  const large = others.filter((part) => part.volume() > CRUMB).length;
  if (large > 0) refuseShape({ code: 'shape-parts', key: DIVIDER[kind], parts: large + 1 });
  const lost = others.reduce((sum, part) => sum + part.volume(), 0);
  const notices =
    others.length > 0
      ? [`${others.length} closed pockets of the shape, ${Number((lost / 1000).toPrecision(2))} mL together, were left out.`]
      : [];
  return { corners: cornersOf(whole, finest), notices };
}

/** Corners xyz of each triangle, mm. */
function cornersOf(solid: Manifold, finest: number): Float64Array {
  const { vertProperties, triVerts } = solid.simplify(finest).getMesh();
  const corners = new Float64Array(3 * triVerts.length);
  for (let i = 0; i < triVerts.length; i++) for (let k = 0; k < 3; k++) corners[3 * i + k] = vertProperties[3 * triVerts[i] + k];
  return corners;
}
