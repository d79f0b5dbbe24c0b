/** A loaded case from shapes, without files: for tests of the studies. */
import type { LoadedTanks } from '../engine/case/load-case.ts';
import { buildTankSolid, type SurfaceMesh } from '../engine/mesh/tank-solid.ts';
import type { CaseFile, CaseFitting } from '../shared/case.ts';
import { normalize } from '../shared/vector.ts';

export interface TankOfShape {
  readonly id: string;
  readonly shape: SurfaceMesh;
  readonly fittings?: readonly CaseFitting[];
}

export function loadedOf(tanks: readonly TankOfShape[], parts: Partial<Pick<CaseFile, 'conditions' | 'requirements'>> = {}): LoadedTanks {
  const file: CaseFile = {
    format: 'lowpoint-case',
    version: 1,
    name: 'test',
    tanks: tanks.map(({ id, fittings = [] }) => ({
      id,
      geometry: { kind: 'mesh', file: `${id}.stl`, unit: 'm' },
      fittings: [...fittings],
    })),
    lines: [],
    conditions: [],
    requirements: {},
    ...parts,
  };
  return {
    file,
    tanks: tanks.map(({ id, shape, fittings = [] }) => ({
      id,
      name: id,
      solid: buildTankSolid(shape, 0),
      fittings: fittings.map(({ id: fitting, kind, at_m, bore_m, facing }) => ({
        id: fitting,
        kind,
        at: at_m,
        bore: bore_m ?? 0,
        facing: facing === undefined ? null : normalize(facing),
      })),
      repairs: [],
      space: 'skin',
      notices: [],
    })),
  };
}
