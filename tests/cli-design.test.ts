/** Verbs that help to choose a shape, by the built command line (`dist/cli/main.mjs`). `npm test` builds it first. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { CompareAnswer, MouldAnswer, SitingAnswer, UnusableTolerance } from '../shared/design-answers.ts';
import { assertWithin } from './assert-within.ts';
import { type Ended, expectRefused, lowpointIn } from './lowpoint.ts';
import { binaryStl, box } from './shapes.ts';

let folder: string;
const lowpoint = (...args: string[]): Promise<Ended> => lowpointIn(folder, args);

/** 1000 × 500 × 300 mm, an outlet and a drain in the middle of the floor; pitched up and down by 5°. */
const boxCase = (name: string, file: string) => ({
  format: 'lowpoint-case',
  version: 1,
  name,
  tanks: [
    {
      id: 'main',
      geometry: { kind: 'mesh', file, unit: 'mm' },
      fittings: [
        { id: 'out', kind: 'outlet', at_m: [0.5, 0.25, 0] },
        { id: 'low', kind: 'drain', at_m: [0.5, 0.25, 0] },
        { id: 'filler', kind: 'filler', at_m: [0.5, 0.25, 0.3] },
        { id: 'vent', kind: 'vent', at_m: [0.5, 0.25, 0.3] },
      ],
    },
  ],
  conditions: [5, -5].map((pitch_deg) => ({ id: pitch_deg > 0 ? 'climb' : 'glide', phase: 'flight', pitch_deg, roll_deg: 0, n: 1 })),
  requirements: { rampSlope_deg: 3 },
});

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'lowpoint-design-'));
  const write = (name: string, content: string | Uint8Array): void => writeFileSync(join(folder, name), content);
  write('box.stl', binaryStl(box([0, 0, 0], [1, 0.5, 0.3])));
  write('long.stl', binaryStl(box([0, 0, 0], [1.2, 0.5, 0.3])));
  write('=long.json', JSON.stringify(boxCase('longer, box', 'long.stl')));
  write('box.json', JSON.stringify(boxCase('plain box', 'box.stl')));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const tan = (angle: number): number => Math.tan((angle * Math.PI) / 180);

describe('siting', () => {
  test('help begins with examples and tells exit codes', async () => {
    const { code, out } = await lowpoint('siting', '--help');
    expect(code).toBe(0);
    expect(out).toMatch(/^Examples:\n {2}lowpoint siting /);
    expect(out).toContain('Exit codes');
  });
  test('a table for a person, one object for a program', async () => {
    const { code, out } = await lowpoint('siting', 'box.json', '--kind', 'drain', '--spacing', '125 mm');
    expect(code).toBe(0);
    // L²W tan 3° / 8 = 3.28 L from the middle of the floor.
    expect(out).toMatch(/^main: the best places for the only drain/);
    expect(out).toMatch(/Now \(low\): 3\.28\sL/);
    const answer: SitingAnswer = JSON.parse((await lowpoint('siting', 'box.json', '--kind', 'outlet', '--count', '2', '--json')).out);
    expect(answer.tanks[0].choices[0].left_m3).toBeCloseTo(0, 14);
    assertWithin(answer.tanks[0].present!.left_m3, (0.5 * tan(5)) / 8, 1e-7); // the file is float32
  });
  test.each([
    [['siting', 'box.json'], /Give --kind outlet or --kind drain/],
    [['siting', 'box.json', '--kind', 'vent'], /Allowed choices are outlet, drain/],
    [['siting', 'box.json', '--kind', 'drain', '--tank', 'left'], /no tank "left". It has main/],
    [['siting', 'box.json', '--kind', 'drain', '--slope', '60'], /--slope is 60. Give a number from 0 to 45/],
    [['siting', 'box.json', '--kind', 'drain', '--spacing', '0'], /Give a length above zero/],
    [['siting', 'box.json', '--kind', 'drain', '--spacing', '0.1 mm'], /Give a wider spacing/],
    [['siting', 'box.json', '--kind', 'outlet', '--slope', '3'], /--slope is for drains/],
    [['siting', 'none.json', '--kind', 'outlet'], /none\.json/],
  ])('%j is refused by line', async (args, line) => {
    expectRefused(await lowpoint(...args), line);
  });
});

describe('tolerances of unusable and ramp', () => {
  test('margins stand beside each figure', async () => {
    const { code, out } = await lowpoint('unusable', 'box.json', '--tolerance_deg', '1', '--scale_share', '0.1%');
    expect(code).toBe(0);
    expect(out).toMatch(/Margins: each tank installed up to 1° off in any direction; smaller or larger by 0\.1 %/);
    // L²W tan p / 8: 5.47 L at 5°, 6.57 L at 6°.
    expect(out).toMatch(/climb +5\.47 +−1\.1 +\+1\.1 +−0\.0164 +\+0\.0164/);
    const json = await lowpoint('unusable', 'box.json', '--tolerance_deg', '1', '--json');
    const { tolerance }: { tolerance: UnusableTolerance } = JSON.parse(json.out);
    assertWithin(tolerance.worst.leastTurned_m3, (0.5 * tan(4)) / 8, 1e-7);
    expect(tolerance.worst.larger_m3).toBe(tolerance.worst.asDrawn_m3);
  });
  test('on the ramp; help names the options', async () => {
    const { code, out } = await lowpoint('ramp', 'box.json', '--tolerance_deg', '1');
    expect(code).toBe(0);
    // L²W tan s / 8: 2.183, 3.275 and 4.370 L at 2°, 3° and 4°.
    expect(out).toMatch(/together +3\.28 +−1\.09 +\+1\.09 +0 +0/);
    expect((await lowpoint('ramp', '--help')).out).toContain('--tolerance_deg');
  });
  test.each([
    [['unusable', 'box.json', '--tolerance_deg', '20'], /Give an angle from 0 to 10/],
    [['ramp', 'box.json', '--scale_share', '0.5'], /Give a share from 0 to 0\.1/],
    [['ramp', 'box.json', '--scale_share', 'much'], /not a number/],
  ])('%j is refused by line', async (args, line) => {
    expectRefused(await lowpoint(...args), line);
  });
});

describe('compare', () => {
  test('help begins with examples; a table with differences and the best marked', async () => {
    expect((await lowpoint('compare', '--help')).out).toMatch(/^Examples:\n {2}lowpoint compare /);
    const { code, out, err } = await lowpoint('compare', 'box.json', '=long.json');
    expect({ code, err }).toEqual({ code: 0, err: '' });
    expect(out).toMatch(/capacity +L +150 +180 best +\+30/);
    // L²W tan 5° / 8 and the outlet 0.1 m forward of the middle of the longer one: (0.7)²·W·tan 5° / 2.
    expect(out).toMatch(/unusable at climb +L +5\.47 best +10\.7 +\+5\.25/);
  });
  test('JSON is the answer, CSV is SI with quoting and no formulas', async () => {
    const answer: CompareAnswer = JSON.parse((await lowpoint('compare', 'box.json', '=long.json', '--json')).out);
    assertWithin(answer.figures[0].values[1]!, 0.18, 1e-6);
    const { out } = await lowpoint('compare', 'box.json', '=long.json', '--csv');
    const rows = out.split('\r\n');
    expect(rows[0]).toBe("figure,box.json,'=long.json,best");
    expect(rows[1]).toMatch(/^capacity_m3,0\.1[45]\d*,0\.1[78]\d*,'=long\.json$/);
    expect(rows).toHaveLength(answer.figures.length + 2);
  });
  test('bare meshes take the unit', async () => {
    const { code, out } = await lowpoint('compare', 'box.stl', 'long.stl', '--unit', 'cm');
    expect(code).toBe(0);
    expect(out).toMatch(/capacity +L +150000 +180000 best/);
  });
  test.each([
    [['compare', 'box.json'], /two to four cases; 1 given/],
    [['compare', 'box.json', 'box.json', 'box.json', 'box.json', 'box.json'], /5 given/],
    [['compare', 'box.json', 'none.json'], /none\.json/],
    [['compare', 'box.json', '=long.json', '--json', '--csv'], /Give one of them/],
  ])('%j is refused by line', async (args, line) => {
    expectRefused(await lowpoint(...args), line);
  });
});

describe('mould', () => {
  test('a box pulled upright: four walls without draft, a flat parting, its own stock', async () => {
    expect((await lowpoint('mould', '--help')).out).toMatch(/^Examples:\n {2}lowpoint mould /);
    const { code, out } = await lowpoint('mould', 'box.json', '--pull', '0,0,1', '--draft_deg', '3');
    expect(code).toBe(0);
    // Walls 2·(1 + 0.5)·0.3 = 0.9 m² of 1.9 m².
    expect(out).toMatch(/wall below 3° of draft +9000 +cm² +47\.4 % of the wall/);
    expect(out).toMatch(/undercut wall +0 +cm²/);
    expect(out).toMatch(/parting outline +3000 +mm +flat/);
    const answer: MouldAnswer = JSON.parse((await lowpoint('mould', 'box.json', '--pull=-1,0,0', '--json')).out);
    assertWithin(answer.tanks[0].stock.along_m, 1, 1e-6);
    assertWithin(answer.tanks[0].stock.long_m, 0.5, 1e-6);
    expect(answer.draft_deg).toBe(2);
  });
  test('by default a pull is suggested', async () => {
    const { code, out } = await lowpoint('mould', 'box.stl', '--unit', 'mm');
    expect(code).toBe(0);
    expect(out).toMatch(/the best of \d+ directions 10\.2° apart/);
  });
  test.each([
    [['mould', 'box.json', '--pull', '0,0'], /Give three numbers along X, Y and Z/],
    [['mould', 'box.json', '--pull', '0,0,0'], /has no direction/],
    [['mould', 'box.json', '--pull', '0,up,0'], /"up" is not a number/],
    [['mould', 'box.json', '--draft_deg', '90'], /from 0 to 45/],
    [['mould', 'box.json', '--resolution', '0.01'], /too fine.*at least/],
    [['mould', 'box.json', '--tank', 'left'], /no tank "left"/],
  ])('%j is refused by line', async (args, line) => {
    expectRefused(await lowpoint(...args), line);
  });
});
