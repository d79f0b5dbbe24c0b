/** Changes to a case as pure functions: the case before is never touched. */
import {
  CASE_FORMAT,
  CASE_VERSION,
  type CaseCondition,
  type CaseFile,
  type CaseFitting,
  type CaseTank,
  type MeshUnit,
} from '../shared/case.ts';

export const ID_RULE = /^[A-Za-z0-9_-]{1,40}$/;

/** A case around one mesh: one tank, no fittings yet. */
export function caseAround(fileName: string, unit: MeshUnit): CaseFile {
  const name = fileName.replace(/\.[^.]*$/, '') || fileName;
  return {
    format: CASE_FORMAT,
    version: CASE_VERSION,
    name,
    tanks: [{ id: 'tank', name, geometry: { kind: 'mesh', file: fileName, unit }, fittings: [] }],
    lines: [],
    conditions: [],
    requirements: {},
  };
}

export function changeTank(file: CaseFile, tank: string, change: (tank: CaseTank) => CaseTank): CaseFile {
  return { ...file, tanks: file.tanks.map((each) => (each.id === tank ? change(each) : each)) };
}

export function changeFitting(file: CaseFile, tank: string, fitting: string, change: (fitting: CaseFitting) => CaseFitting): CaseFile {
  return changeTank(file, tank, (each) => ({
    ...each,
    fittings: each.fittings.map((one) => (one.id === fitting ? change(one) : one)),
  }));
}

export function addFitting(file: CaseFile, tank: string, fitting: CaseFitting): CaseFile {
  return changeTank(file, tank, (each) => ({ ...each, fittings: [...each.fittings, fitting] }));
}

export function removeFitting(file: CaseFile, tank: string, fitting: string): CaseFile {
  return changeTank(file, tank, (each) => ({ ...each, fittings: each.fittings.filter((one) => one.id !== fitting) }));
}

/** @returns ids of the lines that end at a fitting, so that it is not taken away from under them */
export function linesAt(file: CaseFile, tank: string, fitting: string): string[] {
  const end = `${tank}/${fitting}`;
  return file.lines.filter((line) => line.from === end || line.to === end).map((line) => line.id);
}

export function removeLine(file: CaseFile, id: string): CaseFile {
  return { ...file, lines: file.lines.filter((each) => each.id !== id) };
}

export function addCondition(file: CaseFile, condition: CaseCondition): CaseFile {
  return { ...file, conditions: [...file.conditions, condition] };
}

export function changeCondition(file: CaseFile, id: string, change: (condition: CaseCondition) => CaseCondition): CaseFile {
  return { ...file, conditions: file.conditions.map((each) => (each.id === id ? change(each) : each)) };
}

export function removeCondition(file: CaseFile, id: string): CaseFile {
  return { ...file, conditions: file.conditions.filter((each) => each.id !== id) };
}

/** @returns `stem`, or `stem-2`, `stem-3` … where that is taken */
export function freeId(stem: string, taken: readonly string[]): string {
  if (!taken.includes(stem)) return stem;
  let count = 2;
  while (taken.includes(`${stem}-${count}`)) count++;
  return `${stem}-${count}`;
}

/** Sets an optional key, or takes it away: a case file has no empty keys. */
export function withKey<T extends object, K extends keyof T>(record: T, key: K, value: T[K] | undefined): T {
  const { [key]: _before, ...rest } = record;
  return (value === undefined ? rest : { ...rest, [key]: value }) as T;
}
