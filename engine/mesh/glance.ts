/** A first look at a mesh before its unit is known: its size in file units, and the unit that makes a likely tank of it. */
import type { MeshUnit } from '../../shared/case.ts';
import type { MeshGlance } from '../../shared/engine-contract.ts';
import { describeMeshError } from '../../shared/mesh-errors.ts';
import { toSi } from '../../shared/units.ts';
import type { StlSoup } from './read-stl.ts';
import { measureShells } from './shells.ts';
import { soundMesh } from './sound-mesh.ts';

/** Longest side of a light aircraft's tank, m, from a header tank to a wing tank: common practice, no source. */
const LIKELY_SIDE = { least: 0.1, most: 6 };
/** Millimetres first, as nearly all drawing programs export them; centimetres after inches, as few do. */
const UNITS_BY_LIKELIHOOD: readonly MeshUnit[] = ['mm', 'm', 'in', 'cm', 'ft'];

/** @returns the volume is null, and a notice says why, where the mesh does not bound one */
export async function glanceAt({ format, corners, notices }: StlSoup): Promise<MeshGlance> {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < corners.length; i++) {
    low[i % 3] = Math.min(low[i % 3]!, corners[i]!);
    high[i % 3] = Math.max(high[i % 3]!, corners[i]!);
  }
  const size: [number, number, number] = [high[0]! - low[0]!, high[1]! - low[1]!, high[2]! - low[2]!];
  const unit = likelyUnit(Math.max(...size));
  const unitToMetre = toSi(1, unit);
  const sound = await soundMesh(corners, { unitToMetre, space: 'auto' });
  const first = { format, triangles: corners.length / 9, size, likelyUnit: unit };
  if (!sound.ok) return { ...first, volume: null, repairs: [], notices: [...notices, describeMeshError(sound.error)] };
  const { mesh, repairs } = sound.value;
  const [whole] = measureShells(mesh, new Int32Array(mesh.triangles.length / 3), 1);
  return { ...first, volume: whole!.volume / unitToMetre ** 3, repairs, notices: [...notices, ...sound.value.notices] };
}

export function likelyUnit(longestSide: number): MeshUnit {
  const likely = UNITS_BY_LIKELIHOOD.find((unit) => {
    const side = toSi(longestSide, unit);
    return side >= LIKELY_SIDE.least && side <= LIKELY_SIDE.most;
  });
  return likely ?? (longestSide < LIKELY_SIDE.least ? 'm' : 'mm');
}
