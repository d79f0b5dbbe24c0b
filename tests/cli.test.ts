/** The built command line (`dist/cli/main.mjs`), run as a person runs it. `npm test` builds it first. */
import { execFile, execFileSync, spawn } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { BROKEN_FILES } from './broken-files.ts';
import { CLI, type Ended, expectRefused, lowpointIn } from './lowpoint.ts';
import { binaryStl, box } from './shapes.ts';

let folder: string;
const lowpoint = (...args: string[]): Promise<Ended> => lowpointIn(folder, args);

/** A box of 600 × 300 × 200 mm: 36 L. */
const tank = binaryStl(box([0, 0, 0], [0.6, 0.3, 0.2]));
const CAPACITY = 0.036;

const good = {
  format: 'lowpoint-case',
  version: 1,
  name: 'one box',
  tanks: [
    {
      id: 'main',
      geometry: { kind: 'mesh', file: 'tank.stl', unit: 'mm' },
      fittings: [
        { id: 'out', kind: 'outlet', at_m: [0, 0.15, 0.02] },
        { id: 'low', kind: 'drain', at_m: [0.3, 0.15, 0] },
      ],
    },
  ],
  conditions: [
    { id: 'parked', phase: 'ground', pitch_deg: 0, roll_deg: 0, n: 1 },
    { id: 'climb', phase: 'flight', pitch_deg: 5, roll_deg: 0, n: 1 },
  ],
  requirements: { rampSlope_deg: 3, unusableFuel_m3: 0.01, waterLeft_m3: 0.001 },
};

const write = (name: string, content: string | Uint8Array): void => writeFileSync(join(folder, name), content);

/** The good case with one thing changed by its path; undefined takes it away. */
function changed(path: string, value: unknown): string {
  const copy = structuredClone(good) as never;
  const steps = path.split('.').map((step) => (/^\d+$/.test(step) ? Number(step) : step));
  let at = copy as Record<string | number, never>;
  for (const step of steps.slice(0, -1)) at = at[step];
  at[steps.at(-1)!] = value as never;
  return JSON.stringify(copy);
}

beforeAll(() => {
  const parent = mkdtempSync(join(tmpdir(), 'lowpoint-cli-'));
  folder = join(parent, 'design');
  mkdirSync(join(folder, 'sub'), { recursive: true });
  mkdirSync(join(folder, 'folder.stl'));
  writeFileSync(join(parent, 'outside.stl'), tank);
  symlinkSync(join(parent, 'outside.stl'), join(folder, 'link.stl'));
  symlinkSync(join(folder, 'tank.stl'), join(folder, 'inner-link.stl'));
  write('tank.stl', tank);
  write('TANK2.STL', tank);
  write('note.txt', 'hello');
  write('mesh.ply', 'ply');
  write('mesh.obj', 'v 0 0 0');
  write('empty.stl', '');
  write('good.json', JSON.stringify(good));
});
afterAll(() => rmSync(join(folder, '..'), { recursive: true, force: true }));

const jsonOf = ({ code, out, err }: Ended, expected = 0) => {
  expect({ code, err: code === expected ? '' : err }).toEqual({ code: expected, err: '' });
  return JSON.parse(out);
};

describe('help and words', () => {
  test('no verb: help on stdout, exit 0; examples first', async () => {
    const { code, out, err } = await lowpoint();
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out).toMatch(/^Examples:\n {2}lowpoint check /);
    for (const verb of ['check', 'settle', 'ramp', 'unusable', 'findings', 'schema']) expect(out).toContain(`\n  ${verb}`);
    expect(out).toContain("licensed person's judgement");
  });
  test.each(['check', 'settle', 'ramp', 'unusable', 'findings', 'schema'])('%s --help: examples first', async (verb) => {
    const { code, out, err } = await lowpoint(verb, '--help');
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out).toMatch(new RegExp(`^Examples:\\n {2}lowpoint ${verb} `));
  });
  test('help loads no geometry: the frame imports the rest only when a verb runs', () => {
    const frame = readFileSync(CLI, 'utf8');
    expect(frame).toMatch(/import\(["']\.\/run\.mjs["']\)/);
    expect(frame).not.toMatch(/from ["']\.\/run\.mjs["']|WebAssembly/);
  });
  test('--version', async () => {
    expect((await lowpoint('--version')).out).toMatch(/^\d+\.\d+\.\d+\n$/);
  });
  test('help with a verb', async () => {
    expect((await lowpoint('help', 'settle')).out).toMatch(/^Examples:\n {2}lowpoint settle /);
  });
  test.each<[string, string[], string]>([
    ['mistyped verb', ['chek', 'tank.stl'], 'Did you mean check?'],
    ['unknown verb', ['frobnicate'], 'Use one of check, '],
    ['help with a mistyped verb', ['help', 'chek'], 'Did you mean check?'],
    ['no verb but a file', ['tank.stl'], 'lowpoint check tank.stl'],
    ['mistyped option', ['check', 'tank.stl', '--jsn'], '--json'],
    ['no file', ['check'], 'file'],
    ['two files', ['check', 'tank.stl', 'tank.stl'], 'too many arguments'],
    ['option without its value', ['settle', 'tank.stl', '--pitch'], '--pitch'],
    ['unknown unit', ['check', 'tank.stl', '--unit', 'yd'], 'mm, cm, m, in, ft'],
    ['unit for a case', ['check', 'good.json', '--unit', 'mm'], 'Leave --unit out'],
  ])('%s', async (_, args, hint) => {
    const ended = await lowpoint(...args);
    expectRefused(ended);
    expect(ended.err).toContain(hint);
  });
});

describe('check', () => {
  test('case', async () => {
    const answer = jsonOf(await lowpoint('check', 'good.json', '--json'));
    expect(answer).toMatchObject({ case: 'one box', tanks: [{ id: 'main', triangles: 12, watertight: true, repairs: [] }] });
    expect(answer.capacity_m3).toBeCloseTo(CAPACITY, 8);
    expect(answer.tanks[0].lowest_m[2]).toBeCloseTo(0, 12);
  });
  test('bare mesh: default mm with a notice on stderr; --unit is quiet and scales', async () => {
    const bare = await lowpoint('check', 'tank.stl', '--json');
    expect(bare.err).toMatch(/^Notice: tank\.stl: no unit given, read as mm; the tank is 600 × 300 × 200 mm\.\n$/);
    expect(jsonOf(bare).capacity_m3).toBeCloseTo(CAPACITY, 8);
    const inches = await lowpoint('check', 'TANK2.STL', '--unit', 'in', '--json');
    expect(inches.err).toMatch(
      /^Notice: TANK2\.STL: a tank of 15240 × 7620 × 5080 mm that holds 589934\sL is no light aircraft's\. Check the unit\.\n$/,
    );
    expect(jsonOf(inches).capacity_m3 / (CAPACITY * 25.4 ** 3)).toBeCloseTo(1, 7);
  });
  test('table: litres and US gallons', async () => {
    const { out, code } = await lowpoint('check', 'good.json');
    expect(code).toBe(0);
    expect(out).toMatch(/main\s+36\s+9\.51\s+12/);
  });
  test('placement: mirrored, turned and moved', async () => {
    write(
      'placed.json',
      changed('tanks.0', { ...good.tanks[0], fittings: [], placement: { mirrorY: true, turn_deg: [0, 0, 90], move_m: [1, 2, 3] } }),
    );
    const { min, max } = jsonOf(await lowpoint('check', 'placed.json', '--json')).tanks[0].bounds_m;
    // Mirrored: Y from −0.3 to 0; a quarter turn X→Y makes that X from 0 to 0.3 and X to Y from 0 to 0.6.
    expect(min.map((x: number) => Math.round(x * 1e6) / 1e6)).toEqual([1, 2, 3]);
    expect(max.map((x: number) => Math.round(x * 1e6) / 1e6)).toEqual([1.3, 2.6, 3.2]);
  });
  test('a mesh named by a way through its own folder, or by a link inside it, is taken', async () => {
    write('ways.json', changed('tanks.0.geometry.file', 'sub/../tank.stl'));
    write('link.json', changed('tanks.0.geometry.file', 'inner-link.stl'));
    expect((await lowpoint('check', 'ways.json')).code).toBe(0);
    expect((await lowpoint('check', 'link.json')).code).toBe(0);
  });
});

describe('settle', () => {
  test('closed form at pitch 4°, typed with signs, units and commas', async () => {
    for (const pitch of ['4', '4°', '4,0', '+4 deg']) {
      const answer = jsonOf(await lowpoint('settle', 'good.json', '--pitch', pitch, '--fill', '0.5', '--json'));
      expect(answer.condition).toEqual({ pitch_deg: 4, roll_deg: 0, n: 1 });
      expect(answer.fuelCentroid_m[0]).toBeCloseTo(0.3 + (0.36 * Math.tan((4 * Math.PI) / 180)) / (12 * 0.1), 7);
      expect(answer.tanks[0].fittings[0]).toMatchObject({ id: 'out', kind: 'outlet', cover: 'covered' });
    }
  });
  test('amounts: m³, litres, gallons, per cent', async () => {
    const fuel = async (...args: string[]) => jsonOf(await lowpoint('settle', 'good.json', '--json', ...args)).fuel_m3;
    expect(await fuel('--fuel_m3', '0.02')).toBeCloseTo(0.02, 12);
    expect(await fuel('--fuel_m3', '20 L')).toBeCloseTo(0.02, 12);
    expect(await fuel('--fuel_m3', '2 US gal')).toBeCloseTo(2 * 0.003785411784, 12);
    expect(await fuel('--fill', '50%')).toBeCloseTo(CAPACITY / 2, 8);
  });
  test('a condition by its id; inverted', async () => {
    expect(jsonOf(await lowpoint('settle', 'good.json', '--condition', 'climb', '--fill', '1', '--json')).condition.pitch_deg).toBe(5);
    const inverted = jsonOf(await lowpoint('settle', 'good.json', '--n', '-1', '--roll', '-0', '--fill', '0.1', '--json'));
    expect(inverted.tanks[0].centroid_m[2]).toBeCloseTo(0.19, 8);
    expect(inverted.tanks[0].fittings[0].cover).toBe('dry');
  });
  test.each<[string, string[], string]>([
    ['no amount', [], '--fill 0.5'],
    ['more than fits', ['--fuel_m3', '0.04'], 'more than the 36 L'],
    ['more than full', ['--fill', '1.01'], 'fill is 1.01'],
    ['less than nothing', ['--fuel_m3', '-1'], 'fuel_m3 is -1'],
    ['both amounts', ['--fill', '1', '--fuel_m3', '1'], 'Give one of them'],
    ['NaN angle', ['--pitch', 'NaN', '--fill', '1'], '--pitch: "NaN" is not a number'],
    ['infinite', ['--roll', '1e999', '--fill', '1'], '--roll: '],
    ['thousands', ['--fuel_m3', '1,234.5'], 'write 1234.5'],
    ['bare gallon', ['--fuel_m3', '5 gal'], 'US gal or imp gal'],
    ['wrong unit', ['--pitch', '5 mm', '--fill', '1'], 'not a unit here'],
    ['empty number', ['--pitch', '', '--fill', '1'], '--pitch: '],
    ['n of zero', ['--n', '0', '--fill', '1'], 'Load factor n is 0'],
    ['angle too large', ['--pitch', '1e9', '--fill', '1'], '-360 to 360'],
    ['unknown condition', ['--condition', 'clim', '--fill', '1'], 'Did you mean "climb"?'],
    ['condition twice', ['--condition', 'climb', '--pitch', '1', '--fill', '1'], 'Give one of them'],
  ])('refused: %s', async (_, args, hint) => {
    const ended = await lowpoint('settle', 'good.json', ...args);
    expectRefused(ended);
    expect(ended.err).toContain(hint);
  });
});

describe('ramp and unusable', () => {
  test('ramp: closed form L²W tan s / 8, requirement met', async () => {
    const answer = jsonOf(await lowpoint('ramp', 'good.json', '--json'));
    expect(answer.worst.left_m3).toBeCloseTo((0.36 * 0.3 * Math.tan((3 * Math.PI) / 180)) / 8, 8);
    expect(answer.requirement).toEqual({ waterLeft_m3: 0.001, met: true });
    expect(answer.slopes[0].tanks[0].lowPoints[0]).toMatchObject({ drain: 'low' });
  });
  test('exit 1 where the requirement is not met, and the answer still comes', async () => {
    write('strict.json', changed('requirements', { rampSlope_deg: 3, unusableFuel_m3: 1e-6, waterLeft_m3: 1e-6 }));
    expect(jsonOf(await lowpoint('ramp', 'strict.json', '--json'), 1).requirement.met).toBe(false);
    expect(jsonOf(await lowpoint('unusable', 'strict.json', '--json'), 1).requirement.met).toBe(false);
    const { out, code } = await lowpoint('unusable', 'strict.json');
    expect(code).toBe(1);
    expect(out).toContain('NOT MET');
    expect((await lowpoint('findings', 'strict.json')).code).toBe(1);
  });
  test('unusable: closed form W·L·(h + ½ L tan θ)', async () => {
    const answer = jsonOf(await lowpoint('unusable', 'good.json', '--json'));
    expect(answer.unusable_m3).toBeCloseTo(0.3 * 0.6 * (0.02 + 0.3 * Math.tan((5 * Math.PI) / 180)), 8);
    expect(answer).toMatchObject({ worst: 'climb', conditions: [{ id: 'climb', tanks: [{ id: 'main', outlet: 'out' }] }] });
  });
  test('ramp --slope', async () => {
    expect(jsonOf(await lowpoint('ramp', 'good.json', '--slope', '1', '--json')).rampSlope_deg).toBe(1);
    expectRefused(await lowpoint('ramp', 'good.json', '--slope', '50'));
  });
});

describe('output', () => {
  test('one JSON object, every number finite, stderr quiet', async () => {
    for (const verb of ['check', 'ramp', 'unusable', 'findings']) {
      const { out, err } = await lowpoint(verb, 'good.json', '--json');
      expect(err).toBe('');
      expect(out.endsWith('}\n') && out.indexOf('\n') === out.length - 1).toBe(true);
      expect(out).not.toMatch(/null,null,null|NaN|Infinity/);
    }
  });
  test('no colour codes, with or without NO_COLOR', async () => {
    expect((await lowpoint('check', 'good.json')).out).not.toContain('\u001b');
    expect((await lowpoint('--help')).out).not.toContain('\u001b');
  });
  test('a reader that closes early is no fault', async () => {
    const child = spawn(process.execPath, [CLI, 'ramp', 'good.json', '--json'], { cwd: folder });
    child.stdout.destroy();
    let err = '';
    child.stderr.on('data', (chunk) => {
      err += chunk;
    });
    await new Promise((resolve) => child.on('close', resolve));
    expect(err).toBe('');
  });
  test('names from a file cannot break a line or steer the terminal', async () => {
    write('names.json', changed('name', 'two\nlines \u001b[31mred\u2028'));
    const { out, code } = await lowpoint('check', 'names.json');
    expect(code).toBe(0);
    expect(out.replaceAll('\n', '')).not.toMatch(/[\p{Cc}\u2028]/u);
    expect(out.split('\n')[0]).toContain('two lines  [31mred : as parked');
  });
  test('a full disk is one line', async () => {
    const ended = await new Promise<Ended>((resolve) =>
      execFile('sh', ['-c', `exec '${process.execPath}' '${CLI}' check good.json > /dev/full`], { cwd: folder }, (fault, out, err) =>
        resolve({ code: Number(fault?.code ?? 0), out, err }),
      ),
    );
    expectRefused(ended);
    expect(ended.err).toContain('ENOSPC');
  });
  test('schema: JSON Schema draft-07', async () => {
    expect(jsonOf(await lowpoint('schema')).$schema).toBe('http://json-schema.org/draft-07/schema#');
  });
});

describe('sample cases: every verb gives the keys of design §6', () => {
  const samples = join(import.meta.dirname, '../sample-geometry');
  const files = readdirSync(samples).filter((name) => name.endsWith('.case.json'));
  const point = [expect.any(Number), expect.any(Number), expect.any(Number)];
  test('there are three', () => expect(files.length).toBeGreaterThanOrEqual(3));
  test.each(files)('%s', async (file) => {
    const path = join(samples, file);
    const of = async (...args: string[]) => JSON.parse((await lowpoint(args[0], path, '--json', ...args.slice(1))).out);
    const check = await of('check');
    for (const tank of check.tanks) {
      expect(tank).toMatchObject({ id: expect.any(String), watertight: true, repairs: expect.any(Array), lowest_m: point });
      expect(tank.capacity_m3).toBeGreaterThan(0.001);
      expect(tank.triangles).toBeGreaterThan(1000);
    }
    const settle = await of('settle', '--fill', '0.3', '--pitch', '4', '--roll', '-10');
    expect(settle).toMatchObject({ condition: { pitch_deg: 4, roll_deg: -10, n: 1 }, fuelCentroid_m: point });
    expect(settle.fuel_m3 / (0.3 * check.capacity_m3)).toBeCloseTo(1, 12);
    for (const tank of settle.tanks) {
      expect(tank.pools.reduce((sum: number, pool: { volume_m3: number }) => sum + pool.volume_m3, 0) / tank.fuel_m3).toBeCloseTo(1, 12);
      for (const pool of tank.pools) expect(Object.keys(pool)).toEqual(['volume_m3', 'level_m', 'surface_m2', 'centroid_m', 'lowest_m']);
      for (const { id, kind, depth_m, cover } of tank.fittings) {
        expect([typeof id, typeof kind, depth_m === null || Number.isFinite(depth_m)]).toEqual(['string', 'string', true]);
        expect(['covered', 'partly', 'dry']).toContain(cover);
      }
    }
    const ramp = await of('ramp');
    expect(ramp).toMatchObject({
      rampSlope_deg: expect.any(Number),
      worst: { pitch_deg: expect.any(Number), roll_deg: expect.any(Number) },
    });
    for (const { left_m3 } of [...ramp.slopes, ...ramp.map]) expect(left_m3).toBeLessThanOrEqual(ramp.worst.left_m3 * (1 + 1e-8));
    expect(ramp.grid.change).toBeLessThan(0.02);
    for (const slope of ramp.slopes) {
      for (const { lowPoints } of slope.tanks) {
        expect(lowPoints.reduce((sum: number, { share }: { share: number }) => sum + share, 0)).toBeCloseTo(1, 9);
        for (const lowPoint of lowPoints) expect(Object.keys(lowPoint)).toEqual(['at_m', 'holds_m3', 'share', 'drain']);
      }
      const points = slope.tanks.flatMap(({ lowPoints }: { lowPoints: { holds_m3: number }[] }) => lowPoints);
      const held = points.reduce((sum: number, { holds_m3 }: { holds_m3: number }) => sum + holds_m3, 0);
      expect(Math.abs(held - slope.left_m3)).toBeLessThan(1e-12);
    }
    const unusable = await of('unusable');
    expect(unusable.conditions.map(({ id }: { id: string }) => id)).toContain(unusable.worst);
    for (const condition of unusable.conditions) {
      const left = condition.tanks.reduce((sum: number, { left_m3 }: { left_m3: number }) => sum + left_m3, 0);
      expect(condition.unusable_m3).toBeCloseTo(left, 15);
      expect(condition.unusable_m3).toBeLessThanOrEqual(unusable.unusable_m3 * (1 + 1e-9));
    }
  });
});

describe('files that cannot be opened', () => {
  test.each<[string, string, string]>([
    ['missing', 'nothing.stl', 'there is no such file'],
    ['missing, no ending', 'nothing', 'there is no such file'],
    ['a folder', 'sub', 'is not a file'],
    ['a folder named like a mesh', 'folder.stl', 'is not a file'],
    ['another kind', 'note.txt', 'Give a case (.json) or a mesh (.stl, .obj, .3mf)'],
    ['a mesh of another kind', 'mesh.ply', 'Give a case (.json) or a mesh (.stl, .obj, .3mf)'],
    ['empty mesh', 'empty.stl', 'no triangles'],
    ['a name too long', `${'x'.repeat(5000)}.stl`, 'there is no such file'],
  ])('%s', async (_, name, hint) => {
    const ended = await lowpoint('check', name);
    expect(ended.code).toBe(2);
    expect(ended.err).toContain(hint);
    if (name.length < 300) expectRefused(ended);
  });
  test('a pipe does not hang', async () => {
    execFileSync('mkfifo', [join(folder, 'pipe.stl')]);
    expectRefused(await lowpoint('check', 'pipe.stl'));
  });
});

describe('broken cases: exit 2 and one line, within 10 s', { timeout: 10_000 }, () => {
  const cases: Record<string, string> = {
    'unknown key': changed('tanks.0.fitings', []),
    'unknown key at the top': changed('colour', 'red'),
    'newer version': changed('version', 2),
    'no format': changed('format', undefined),
    'no tanks': changed('tanks', []),
    'NaN in the text': JSON.stringify(good).replace('0.02', 'NaN'),
    'number out of range': JSON.stringify(good).replace('0.02', '1e999'),
    'decimal comma': JSON.stringify(good).replace('0.02', '0,02]'),
    'number in quotes': JSON.stringify(good).replace('0.02', '"0.02"'),
    'repeated tank id': changed('tanks', [good.tanks[0], good.tanks[0]]),
    'repeated fitting id': changed('tanks.0.fittings.1.id', 'out'),
    'repeated condition id': changed('conditions.1.id', 'parked'),
    'mesh missing': changed('tanks.0.geometry.file', 'lost.stl'),
    'mesh outside the folder': changed('tanks.0.geometry.file', '../outside.stl'),
    'mesh by a link that leads outside': changed('tanks.0.geometry.file', 'link.stl'),
    'mesh by an absolute path': changed('tanks.0.geometry.file', '/dev/zero'),
    'mesh is a folder': changed('tanks.0.geometry.file', 'folder.stl'),
    'mesh is the folder itself': changed('tanks.0.geometry.file', '.'),
    'mesh of another kind': changed('tanks.0.geometry.file', 'mesh.ply'),
    'mesh without a face': changed('tanks.0.geometry.file', 'mesh.obj'),
    'mesh name with a zero byte': changed('tanks.0.geometry.file', 'tank.stl\u0000.stl'),
    'mesh name with line breaks': changed('tanks.0.geometry.file', 'a\nb\u2028c.stl'),
    'mesh empty': changed('tanks.0.geometry.file', 'empty.stl'),
    'wrong unit': changed('tanks.0.geometry.unit', 'yard'),
    'no unit, and a drain 3 m off': changed('tanks.0.geometry.unit', undefined).replace('[0.3,0.15,0]', '[3,0.15,0]'),
    'fitting far outside the tank': changed('tanks.0.fittings.0.at_m', [0.3, 0.15, 0.9]),
    'fitting with two numbers': changed('tanks.0.fittings.0.at_m', [0.3, 0.15]),
    'facing nowhere': changed('tanks.0.fittings.0.facing', [0, 0, 0]),
    'negative bore': changed('tanks.0.fittings.0.bore_m', -0.01),
    'unknown fitting kind': changed('tanks.0.fittings.0.kind', 'tap'),
    'n of zero': changed('conditions.1.n', 0),
    'pitch beyond a turn': changed('conditions.1.pitch_deg', 1e9),
    'line to nowhere': changed('lines', [{ id: 'l', from: 'main/out', to: 'main/in', bore_m: 0.01 }]),
    'negative limit': changed('requirements.unusableFuel_m3', -1),
    'moved a thousand times too far': changed('tanks.0.placement', { move_m: [25_400, 0, 0] }),
    'turn without end': JSON.stringify(good).replace('"fittings"', '"placement":{"turn_deg":[1e400,0,0]},"fittings"'),
    'a key twice': JSON.stringify(good).replace('"version":1', '"version":1,"version":1'),
    prototype: JSON.stringify(good).replace('"version":1', '"version":1,"__proto__":{"json":true}'),
    constructor: changed('constructor', { prototype: {} }),
    'deep nesting': `{"format":"lowpoint-case","version":1,"name":${'['.repeat(200_000)}${']'.repeat(200_000)}}`,
    'empty file': '',
    'cut off': JSON.stringify(good).slice(0, 200),
    'a list': '[]',
    null: 'null',
    'a mesh named as a case': 'solid x\nendsolid x\n',
    'text after the end': `${JSON.stringify(good)}x`,
    'very long name': changed('name', 'x'.repeat(5000)),
    huge: `${JSON.stringify(good)}${' '.repeat(17 * 1024 * 1024)}`,
  };
  test('there are at least 25', () => expect(Object.keys(cases).length).toBeGreaterThanOrEqual(25));
  test.each(Object.entries(cases))('%s', async (name, text) => {
    const file = `broken-${Object.keys(cases).indexOf(name)}.json`;
    write(file, text);
    expectRefused(await lowpoint('unusable', file, '--json'));
  });
  test('not UTF-8', async () => {
    write('latin.json', Uint8Array.of(0x7b, 0x22, 0xe9, 0x22, 0x7d));
    expectRefused(await lowpoint('check', 'latin.json'));
  });
  test('the fittings message names the fitting, its distance and the limit', async () => {
    write('far.json', changed('tanks.0.fittings.0.at_m', [0.3, 0.15, 0.9]));
    expect((await lowpoint('check', 'far.json')).err).toContain(
      'Tank "main": fitting "out" lies 700 mm outside the tank; up to 7 mm is taken.',
    );
  });
});

describe('broken meshes: exit 2 and one line, or exit 0 with the repairs it states, within 10 s', { timeout: 10_000 }, () => {
  test.each(BROKEN_FILES)('$name', async ({ name, bytes, expected }) => {
    write(`${name}.stl`, bytes());
    const ended = await lowpoint('check', `${name}.stl`, '--unit', 'mm', '--json');
    if ('error' in expected) return expectRefused(ended);
    expect(ended.err).not.toMatch(/\bat .*:\d+:\d+/);
    expect(ended.code).toBe(0);
    const [tankCheck] = JSON.parse(ended.out).tanks;
    expect(tankCheck.repairs.map(({ kind }: { kind: string }) => kind).sort()).toEqual([...expected.repairs].sort());
    expect(tankCheck.capacity_m3 * 1000).toBeCloseTo(expected.volume_L, 3);
    expect(tankCheck.watertight).toBe(true);
  });
});
