import { CASE_FORMAT, CASE_VERSION, type CaseFile, type MeshUnit } from '../../shared/case.ts';

/**
 * A bare mesh as a case: one tank named for its file, no fittings.
 *
 * @param unit - left out where the person has not said it; loading then takes mm and says so
 */
export function caseOfMesh(fileName: string, unit: MeshUnit | undefined): CaseFile {
  const name = fileName.replace(/\.[^.]*$/, '');
  const id = name.replace(/[^A-Za-z0-9_-]+/g, '-').slice(0, 40) || 'tank';
  return {
    format: CASE_FORMAT,
    version: CASE_VERSION,
    name: name || 'tank',
    tanks: [
      { id, name: name || 'tank', geometry: { kind: 'mesh', file: fileName, ...(unit === undefined ? {} : { unit }) }, fittings: [] },
    ],
    lines: [],
    conditions: [],
    requirements: {},
  };
}
