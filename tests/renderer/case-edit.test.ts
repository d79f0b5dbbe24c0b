import { expect, test } from 'vitest';
import { checkCase } from '../../engine/case/read-case.ts';
import {
  addCondition,
  addFitting,
  caseAround,
  changeFitting,
  freeId,
  linesAt,
  removeCondition,
  removeFitting,
  withKey,
} from '../../renderer/case-edit.ts';
import type { CaseFile } from '../../shared/case.ts';

const outlet = { id: 'out', kind: 'outlet', at_m: [0.1, 0, 0], bore_m: 0.012, facing: [0, 0, -1] } as const;
const start = caseAround('left wing.stl', 'mm');
const withOutlet = addFitting(start, 'tank', { ...outlet, at_m: [0.1, 0, 0], facing: [0, 0, -1] });
const accepted = (file: CaseFile) => checkCase(JSON.parse(JSON.stringify(file)));

test('a case made around a mesh passes the case reader as it stands and after every kind of edit', () => {
  const edits = [
    start,
    withOutlet,
    changeFitting(withOutlet, 'tank', 'out', (one) => ({ ...one, name: 'Pickup' })),
    changeFitting(withOutlet, 'tank', 'out', (one) => withKey(one, 'bore_m', undefined)),
    removeFitting(withOutlet, 'tank', 'out'),
    addCondition(withOutlet, { id: 'climb', name: 'Climb', phase: 'flight', pitch_deg: 12, roll_deg: 0, n: 1 }),
  ];
  for (const file of edits) expect(accepted(file)).toEqual({ ok: true, value: file });
});

test('an edit leaves the case before as it was', () => {
  const before = structuredClone(withOutlet);
  changeFitting(withOutlet, 'tank', 'out', (one) => ({ ...one, at_m: [1, 2, 3] }));
  removeFitting(withOutlet, 'tank', 'out');
  expect(withOutlet).toEqual(before);
});

test('adding and removing the same thing gives the case before', () => {
  expect(removeFitting(withOutlet, 'tank', 'out')).toEqual(start);
  const added = addCondition(start, { id: 'x', phase: 'flight', pitch_deg: 0, roll_deg: 0, n: 1 });
  expect(removeCondition(added, 'x')).toEqual(start);
});

test('withKey: an optional key that is taken away leaves no trace', () => {
  expect(Object.keys(withKey({ a: 1, b: 2 } as { a?: number; b: number }, 'a', undefined))).toEqual(['b']);
  expect(withKey({ b: 2 } as { a?: number; b: number }, 'a', 3)).toEqual({ a: 3, b: 2 });
});

test('freeId: the next number that is not taken', () => {
  expect(freeId('drain', [])).toBe('drain');
  expect(freeId('drain', ['drain', 'drain-2'])).toBe('drain-3');
});

test('linesAt: a line that ends at a fitting is named', () => {
  const file: CaseFile = { ...withOutlet, lines: [{ id: 'feed', from: 'tank/out', to: 'tank/other', bore_m: 0.01 }] };
  expect(linesAt(file, 'tank', 'out')).toEqual(['feed']);
  expect(linesAt(file, 'tank', 'vent')).toEqual([]);
});
