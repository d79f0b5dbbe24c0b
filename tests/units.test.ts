import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { describeNumberError, fromSi, readNumber, showNumber, showQuantity, toSi, UNITS, type UnitName } from '../shared/units.ts';

const names = Object.keys(UNITS) as UnitName[];
/** What a person may type: zero, or between a billionth and a million. Below lie figures that a factor would denormalise. */
const figure = fc.double({ min: -1e6, max: 1e6, noNaN: true }).map((value) => (Math.abs(value) < 1e-9 ? 0 : value));

describe('units: factors', () => {
  test.each([
    ['in', 0.0254, '16 CFR 500.19, exact'],
    ['ft', 0.3048, '16 CFR 500.19, exact'],
    ['lb', 0.45359237, 'exact by definition (1959 agreement, from memory; 16 CFR 500.19 prints 0.453592)'],
    ['US gal', 0.003785411784, '231 in³, exact'],
    ['imp gal', 0.00454609, 'UK Weights and Measures Act 1985, exact'],
    ['L', 0.001, 'SI brochure'],
    ['mm', 0.001, 'SI brochure'],
  ] as const)('1 %s is %d in SI (%s)', (unit, si, _source) => {
    expect(toSi(1, unit)).toBe(si);
  });

  test('US gallon: 231 cubic inches', () => {
    expect(fromSi(231 * toSi(1, 'in') ** 3, 'US gal')).toBeCloseTo(1, 14);
  });

  test('there and back is the same to the last digits (200 figures a unit)', () => {
    for (const unit of names) {
      fc.assert(
        fc.property(figure, (value) => Math.abs(fromSi(toSi(value, unit), unit) - value) <= 4e-16 * Math.abs(value)),
        {
          seed: 20,
          numRuns: 200,
        },
      );
    }
  });
});

describe('units: typed numbers', () => {
  test.each([
    ['2,5', 'mm', 0.0025],
    ['2.5', 'mm', 0.0025],
    ['.5 in', 'mm', 0.0127],
    ['−3', '°', -3],
    ['-3°', '°', -3],
    ['180 deg', '°', 180],
    ['1e-3', 'm', 0.001],
    ['5 US gal', 'L', 0.01892705892],
    ['5 usgal', 'L', 0.01892705892],
    ['5 Imp Gal', 'L', 0.02273045],
    ['12"', 'mm', 0.3048],
    ["1'", 'mm', 0.3048],
    ['1 ft', 'mm', 0.3048],
    ['12 l', 'US gal', 0.012],
    ['  7  ', 'L', 0.007],
    ['+4', 'L', 0.004],
  ] as const)('"%s" in a field of %s is %d', (text, unit, si) => {
    const read = readNumber(text, unit);
    expect(read.ok).toBe(true);
    if (read.ok) expect(read.value.value).toBeCloseTo(si, 15);
  });

  test.each([
    ['1,234.5', '1234.5'],
    ['1.234,5', '1234.5'],
    ['1 234', '1234'],
    ["1'234", '1234'],
    ['1’234.5', '1234.5'],
    ['1.234.567', '1234567'],
  ])('"%s" is refused and says to write %s', (text, plain) => {
    const read = readNumber(text, 'mm');
    expect(read.ok).toBe(false);
    if (!read.ok) {
      expect(read.error.code).toBe('number-grouped');
      expect(describeNumberError(read.error)).toContain(`write ${plain},`);
    }
  });

  test.each([
    ['', 'number-empty'],
    ['   ', 'number-empty'],
    ['abc', 'number-not-read'],
    ['--3', 'number-not-read'],
    ['1e999', 'number-not-read'],
    ['NaN', 'number-not-read'],
    ['Infinity', 'number-not-read'],
    ['.', 'number-not-read'],
    ['5 gal', 'unit-unknown'],
    ['5 kg', 'unit-unknown'],
    ['5 parsec', 'unit-unknown'],
  ])('"%s" in a field of mm fails as %s', (text, code) => {
    const read = readNumber(text, 'mm');
    expect(read.ok).toBe(false);
    if (!read.ok && code !== 'unit-unknown') expect(read.error.code).toBe(code);
    if (!read.ok) expect(describeNumberError(read.error)).not.toContain('\n');
  });

  test('a bare gallon is refused, never guessed', () => {
    for (const text of ['5 gal', '5 gallons', '5 GAL']) {
      const read = readNumber(text, 'L');
      expect(read.ok ? 'read' : read.error.code).toBe('unit-ambiguous');
    }
  });

  test('a unit of another quantity is refused unless the field takes it', () => {
    expect(readNumber('5 kg', 'L').ok).toBe(false);
    const read = readNumber('5 kg', 'L', ['volume', 'mass']);
    expect(read).toEqual({ ok: true, value: { value: 5, unit: 'kg' } });
    expect(readNumber('5 mm', null).ok).toBe(false);
    expect(readNumber('1.5', null)).toEqual({ ok: true, value: { value: 1.5, unit: null } });
  });

  test('what is shown can be typed back (300 figures a unit)', () => {
    for (const unit of names) {
      fc.assert(
        fc.property(figure, (value) => {
          const read = readNumber(showQuantity(value, unit, 9), unit);
          return read.ok && Math.abs(read.value.value - value) <= 5e-9 * Math.abs(value) + toSi(1e-12, unit);
        }),
        { seed: 21, numRuns: 300 },
      );
    }
  });

  test('with either decimal mark the same number is read (300 figures)', () => {
    fc.assert(
      fc.property(figure, (value) => {
        const point = readNumber(value.toFixed(4), 'mm');
        const comma = readNumber(value.toFixed(4).replace('.', ','), 'mm');
        return point.ok && comma.ok && point.value.value === comma.value.value;
      }),
      { seed: 22, numRuns: 300 },
    );
  });
});

test('shown figures: three digits, whole numbers kept, a true minus', () => {
  expect(showNumber(1234.56)).toBe('1235');
  expect(showNumber(-0.012345)).toBe('−0.0123');
  expect(showNumber(-0.00001, 3)).toBe('−0.00001');
  expect(showNumber(0)).toBe('0');
  expect(showNumber(-0)).toBe('0');
  expect(showNumber(1e-7)).toBe('0.0000001');
  expect(showNumber(12.3456)).toBe('12.3');
  expect(showNumber(Number.NaN)).toBe('–');
});
