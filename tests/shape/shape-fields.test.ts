import { describe, expect, test } from 'vitest';
import { type ShapeField, type ShapeKind, shapeFields } from '../../shared/shape-fields.ts';
import { tryShape } from './shape-tank.ts';

const KINDS: readonly ShapeKind[] = ['box', 'drum', 'wing', 'collector', 'loft'];

/** All rows, those inside groups, lists and kinds too. */
const all = (fields: readonly ShapeField[]): ShapeField[] =>
  fields.flatMap((field) => {
    if (field.type === 'kinds') return [field, ...Object.values(field.kinds).flatMap(all)];
    return field.type === 'group' || field.type === 'list' ? [field, ...all(field.fields)] : [field];
  });

describe('shapeFields', () => {
  test.each(KINDS)('%s: every number has its unit in its key, a range, help, and a default inside the range', (kind) => {
    const numbers = all(shapeFields(kind)).flatMap((field) => (field.type === 'number' ? [field] : []));
    expect(numbers.length).toBeGreaterThan(kind === 'loft' ? 1 : 3);
    for (const { key, unit, isWhole, least, most, byDefault, help } of numbers) {
      expect(key).toMatch(isWhole ? /^count$/ : /_(m|deg|share)$/);
      expect(unit).toBe(key.endsWith('_m') ? 'm' : key.endsWith('_deg') ? '°' : null);
      expect(least).toBeLessThan(most);
      expect(help).toMatch(/^[A-Z].{8,}\.$/);
      if (byDefault !== undefined) expect(byDefault >= least && byDefault <= most).toBe(true);
    }
  });
  test('the ranges are those the reader holds', async () => {
    for (const field of shapeFields('box')) {
      if (field.type !== 'number') throw new Error(field.type);
      const box = { kind: 'box', length_m: 1, width_m: 1, height_m: 1 };
      for (const [value, isTaken] of [
        [field.least, true],
        [field.most, true],
        [field.least * 0.99, false],
        [field.most * 1.01, false],
      ] as const) {
        expect((await tryShape({ ...box, [field.key]: value })).ok, `${field.key} ${value}`).toBe(isTaken);
      }
    }
  });
  test('a wing shows its section by kind, its ribs as a list', () => {
    const fields = shapeFields('wing');
    const section = fields.find(({ key }) => key === 'section')!;
    expect(section.type === 'kinds' && Object.keys(section.kinds)).toEqual(['naca4', 'points']);
    expect(fields.find(({ key }) => key === 'ribs')).toMatchObject({ type: 'list', most: 60 });
    expect(fields.find(({ key }) => key === 'twist_deg')).toMatchObject({ type: 'number', unit: '°', least: -20, most: 20, byDefault: 0 });
  });
});
