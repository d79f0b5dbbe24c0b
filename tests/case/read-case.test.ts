import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { caseJsonSchema } from '../../engine/case/json-schema.ts';
import { CASE_LIMITS, readCase } from '../../engine/case/read-case.ts';
import { readJson } from '../../engine/case/read-json.ts';
import { type CaseError, describeCaseError } from '../../shared/case-errors.ts';
import { suggest } from '../../shared/suggest.ts';

const good = {
  format: 'lowpoint-case',
  version: 1,
  name: 'two tanks',
  tanks: [
    {
      id: 'left',
      geometry: { kind: 'mesh', file: 'left.stl', unit: 'mm' },
      fittings: [
        { id: 'out', kind: 'outlet', at_m: [0, 0, 0.01], bore_m: 0.012, facing: [0, 0, 1] },
        { id: 'low', kind: 'drain', at_m: [0, 0, 0] },
      ],
    },
    {
      id: 'right',
      geometry: { kind: 'mesh', file: 'left.stl' },
      placement: { mirrorY: true },
      fittings: [{ id: 'in', kind: 'line', at_m: [0, 0, 0] }],
    },
  ],
  lines: [{ id: 'cross', from: 'left/out', to: 'right/in', bore_m: 0.01 }],
  conditions: [{ id: 'parked', phase: 'ground', pitch_deg: 11, roll_deg: 0, n: 1 }],
  requirements: { rampSlope_deg: 5 },
};

/** The good case with one thing changed by its path. */
function changed(path: string, value: unknown): string {
  const copy = structuredClone(good) as never;
  const steps = path.split('.').map((step) => (/^\d+$/.test(step) ? Number(step) : step));
  let at = copy as Record<string | number, never>;
  for (const step of steps.slice(0, -1)) at = at[step];
  const last = steps.at(-1)!;
  if (value === undefined) delete at[last];
  else at[last] = value as never;
  return JSON.stringify(copy);
}

const errorOf = (text: string): CaseError => {
  const read = readCase(text);
  if (read.ok) throw new Error('the broken case was taken');
  return read.error;
};

test('readCase: a good case, with its defaults filled in', () => {
  const read = readCase(`\ufeff${JSON.stringify(good)}`);
  expect(read.ok && read.value.tanks[0].fittings[1].id).toBe('low');
  expect(read.ok && read.value.requirements).toEqual({ rampSlope_deg: 5 });
  const least = readCase(changed('requirements', undefined));
  expect(least.ok && least.value.requirements).toEqual({});
});

describe('readCase: each fault gives its line', () => {
  const at = 'tanks.0.fittings.0';
  test.each<[string, string, string]>([
    ['unknown key', changed('tanks.0.fitings', []), 'tanks[0].fitings: unknown key. Did you mean "fittings"?'],
    ['mistyped needed key', changed('tanks.0.geometry.fil', 'a'), 'tanks[0].geometry.fil: unknown key. Did you mean "file"?'],
    ['unknown key, nothing near', changed('requirements.colour', 1), 'requirements.colour: unknown key. Known here: rampSlope_deg, '],
    ['unknown key in a fitting', changed(`${at}.bore`, 1), 'tanks[0].fittings[0].bore: unknown key. Did you mean "bore_m"?'],
    ['missing key', changed('name', undefined), 'name: missing. Add it.'],
    ['missing at_m', changed(`${at}.at_m`, undefined), 'tanks[0].fittings[0].at_m: missing. Add it.'],
    ['format missing', changed('format', undefined), 'format: missing.'],
    ['other format', changed('format', 'sketch'), 'format is "sketch", not "lowpoint-case".'],
    ['newer version', changed('version', 2), 'version 2: this program reads version 1.'],
    ['odd version', changed('version', 0.5), 'version is 0.5. Give 1.'],
    ['n of zero', changed('conditions.0.n', 0), 'conditions[0].n is 0: without apparent gravity'],
    ['n of minus zero', changed('conditions.0.n', 0).replace('"n":0', '"n":-0'), 'conditions[0].n is 0: '],
    ['facing nowhere', changed(`${at}.facing`, [0, 0, 0]), 'tanks[0].fittings[0].facing is [0, 0, 0]'],
    ['two numbers', changed(`${at}.at_m`, [0, 0]), 'tanks[0].fittings[0].at_m[2]: missing.'],
    ['four numbers', changed(`${at}.at_m`, [0, 0, 0, 0]), 'tanks[0].fittings[0].at_m is [0,0,0,0]. Give three numbers'],
    ['number in quotes', changed(`${at}.bore_m`, '0.01'), 'tanks[0].fittings[0].bore_m is "0.01". Give a finite number'],
    ['bore of zero', changed(`${at}.bore_m`, 0), 'tanks[0].fittings[0].bore_m is 0. Give a number above 0.'],
    [
      'millimetres in a metre key',
      changed(`${at}.at_m`, [1200, 0, 0]),
      'tanks[0].fittings[0].at_m[0] is 1200. Give a number of at most 1000.',
    ],
    ['out of range', JSON.stringify(good).replace('0.012', '1e999'), 'tanks[0].fittings[0].bore_m is Infinity. Give a finite number'],
    ['unknown kind', changed(`${at}.kind`, 'pickup'), 'tanks[0].fittings[0].kind is "pickup". Give "outlet" or "drain"'],
    ['unknown unit', changed('tanks.0.geometry.unit', 'yd'), 'tanks[0].geometry.unit is "yd". Give "mm" or "cm"'],
    [
      'unknown geometry',
      changed('tanks.0.geometry.kind', 'cloud'),
      'tanks[0].geometry.kind is "cloud". Give "mesh" or "box" or "drum" or "wing" or "collector" or "loft".',
    ],
    ['no tank', changed('tanks', []), 'tanks is []. Give at least one.'],
    ['tanks not a list', changed('tanks', {}), 'tanks is {}. Give a list'],
    ['id with a slash', changed('tanks.0.id', 'a/b'), 'tanks[0].id is "a/b". Give an id of'],
    ['same tank id', changed('tanks.1.id', 'left'), 'tanks[1].id: id "left" is already used by tanks[0].'],
    [
      'same fitting id',
      changed('tanks.0.fittings.1.id', 'out'),
      'tanks[0].fittings[1].id: id "out" is already used by tanks[0].fittings[0].',
    ],
    ['line end astray', changed('lines.0.to', 'right/inn'), 'lines[0].to: there is no fitting "right/inn". Did you mean "right/in"?'],
    ['slope too steep', changed('requirements.rampSlope_deg', 90), 'requirements.rampSlope_deg is 90. Give a number of at most 45.'],
    ['a list', '[]', 'the case is []. Give one object'],
    ['NaN', '{"format":"lowpoint-case",\n "version": NaN}', 'Not JSON at line 2, column 13: NaN stands where a value belongs.'],
    ['cut off', '{"format":"lowpoint-case"', 'Not JSON at line 1, column 26: a comma or } belongs here.'],
    ['decimal comma', '{"a": 2,5}', 'Not JSON at line 1, column 9: a key in double quotes belongs here.'],
    ['empty', '', 'Not JSON at line 1, column 1: the text ends too early.'],
    ['key twice', '{"format":"lowpoint-case","name":"a","name":"b"}', 'name: this key is given twice.'],
    ['prototype key', JSON.stringify(good).replace('"name"', '"__proto__":{"name":"x"},"name"'), '__proto__: unknown key.'],
    ['too deep', `${'['.repeat(100_000)}`, ': nested more than 64 deep.'],
    ['too big', ' '.repeat(CASE_LIMITS.size_bytes + 1), 'more than the 16777216 a case may have'],
  ])('%s', (_, text, line) => {
    const told = describeCaseError(errorOf(text));
    expect(told).toContain(line);
    expect(told).not.toMatch(/[\n\r]/);
    expect(told.length).toBeLessThan(400);
  });
});

test('readCase: any one value of a good case replaced by any JSON, or any key renamed: a case or one line, never a throw (fast-check, seed 4)', () => {
  const paths = placesOf(good, '');
  fc.assert(
    fc.property(
      fc.constantFrom(...paths),
      fc.oneof(fc.jsonValue(), fc.double(), fc.constantFrom('', -0, 1e308, '\u0000', '__proto__')),
      fc.boolean(),
      fc.string(),
      (path, value, renames, key) => {
        const text = renames ? changed(`${path.replace(/[^.]*$/, '')}${key.replaceAll('.', '_')}`, value) : changed(path, value);
        const read = readCase(text);
        if (read.ok) expect(readCase(JSON.stringify(read.value))).toEqual(read);
        else expect(describeCaseError(read.error)).toMatch(/^[^\n\r]{10,700}$/);
      },
    ),
    { seed: 4, numRuns: 3000 },
  );
});

/** Dotted paths of every key and item. */
function placesOf(value: unknown, path: string): string[] {
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, inner]) => {
    const place = path === '' ? key : `${path}.${key}`;
    return [place, ...placesOf(inner, place)];
  });
}

describe('readJson', () => {
  test('agrees with JSON.parse on any JSON (fast-check, seed 1)', () => {
    fc.assert(
      fc.property(fc.json(), fc.integer({ min: 0, max: 2 }), (text, indent) => {
        const spaced = JSON.stringify(JSON.parse(text), null, indent);
        const read = readJson(spaced, 64);
        expect(read.ok && JSON.stringify(read.value)).toBe(JSON.stringify(JSON.parse(spaced)));
      }),
      { seed: 1, numRuns: 500 },
    );
  });
  test('refuses what JSON.parse refuses, on texts cut and changed anywhere (fast-check, seed 2)', () => {
    const base = '{"a":[1,-2.5e3,true,null,"x\\n\\u0041"],"b":{"c":""}}';
    fc.assert(
      fc.property(fc.nat(base.length), fc.nat(3), fc.string({ maxLength: 2 }), (at, cut, put) => {
        const text = base.slice(0, at) + put + base.slice(at + cut);
        let plain: unknown;
        try {
          plain = JSON.parse(text);
        } catch {
          plain = undefined;
        }
        const read = readJson(text, 64);
        if (plain === undefined) expect(read.ok).toBe(false);
        else if (!read.ok) expect(read.error.code).toBe('case-repeated-key');
        else expect(JSON.stringify(read.value)).toBe(JSON.stringify(plain));
      }),
      { seed: 2, numRuns: 2000 },
    );
  });
});

test('suggest: nearest word, a swap counts once, nothing when all are far', () => {
  expect(suggest('roll_dge', ['pitch_deg', 'roll_deg'])).toBe('roll_deg');
  expect(suggest('colour', ['pitch_deg', 'n'])).toBeNull();
});

test('caseJsonSchema: the published copy is the one the program makes (npm run schema)', () => {
  const published = JSON.parse(readFileSync(new URL('../../shared/lowpoint-case.schema.json', import.meta.url), 'utf8'));
  expect(published).toEqual(JSON.parse(JSON.stringify(caseJsonSchema())));
});
