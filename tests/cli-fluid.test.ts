/** Verbs `fill` and `replay`, and settling with history, by the built command line (`dist/cli/main.mjs`). `npm test` builds it first. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { assertWithin } from './assert-within.ts';
import { twoBasins } from './basin-tanks.ts';
import { type Ended, expectRefused, lowpointIn } from './lowpoint.ts';
import { binaryStl, box } from './shapes.ts';

let folder: string;
const lowpoint = (...args: string[]): Promise<Ended> => lowpointIn(folder, args);

/** 600 × 300 × 200 mm; the filler's rim 10 mm under the ceiling at the side, or at the ceiling. */
const caseWith = (fillerZ: number) => ({
  format: 'lowpoint-case',
  version: 1,
  name: 'box',
  tanks: [
    {
      id: 'main',
      geometry: { kind: 'mesh', file: 'box.stl', unit: 'mm' },
      fittings: [
        { id: 'out', kind: 'outlet', at_m: [0, 0.15, 0.05] },
        { id: 'vent', kind: 'vent', at_m: [0.3, 0.15, 0.2] },
        { id: 'filler', kind: 'filler', at_m: [0.6, 0.15, fillerZ] },
      ],
    },
  ],
});

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'lowpoint-fluid-'));
  const write = (name: string, content: string | Uint8Array): void => writeFileSync(join(folder, name), content);
  write('box.stl', binaryStl(box([0, 0, 0], [0.6, 0.3, 0.2])));
  write('basins.stl', binaryStl(twoBasins()));
  write('good.json', JSON.stringify(caseWith(0.19)));
  write('full.json', JSON.stringify(caseWith(0.2)));
  // An hour at 36 L/h; half full is 18 L at 100 mm, and 9 L reach to the outlet at 50 mm.
  write(
    'flight.csv',
    ['time_s,pitch_deg,roll_deg,n,fuelFlow_L_h', ...Array.from({ length: 61 }, (_, i) => `${60 * i},0,0,1,36`)].join('\n'),
  );
  write('bad.csv', 'time_s,pitch_deg,roll_deg,n\n0,0,0,1\n1,x,0,1\n2,0,0,1');
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('fill', () => {
  test('5 % of expansion space: met, exit 0, the keys the design names', async () => {
    const { code, out } = await lowpoint('fill', 'good.json', '--json');
    const answer = JSON.parse(out);
    expect(code).toBe(0);
    assertWithin(answer.capacity_m3, 0.036, 1e-6);
    assertWithin(answer.expansionShare, 0.05, 1e-5);
    assertWithin(answer.mostFuel_m3, 0.95 * 0.036, 1e-5);
    expect(answer.trappedAir_m3).toBe(0);
    expect(answer.pockets).toEqual([]);
  });
  test('filled to the ceiling: no expansion space, exit 1; the table says so', async () => {
    const { code, out } = await lowpoint('fill', 'full.json');
    expect(code).toBe(1);
    expect(out).toContain('14 CFR 23.969');
    expect(out).toContain('NOT MET');
  });
  test('findings name it', async () => {
    const { out } = await lowpoint('findings', 'full.json', '--json');
    const ids = (JSON.parse(out).findings as { id: string; state: string }[]).filter(({ id }) => id === 'expansion:main');
    expect(ids).toMatchObject([{ state: 'not met' }]);
  });
});

describe('settle with history', () => {
  // The two-basin tank of basin-tanks.ts: 0.5 m³ poured as parked lie in the right basin, and stay there when it is tipped nose down by
  // tan 0.4; poured nose down they run to the left one, which then reaches lower.
  const tipped = ['settle', 'basins.stl', '--unit', 'mm', '--pitch', '-21.8', '--fuel_m3', '0.5'];
  const centroid = async (...more: string[]): Promise<number> => {
    const { code, out } = await lowpoint(...tipped, '--json', ...more);
    expect(code).toBe(0);
    return JSON.parse(out).fuelCentroid_m[0];
  };
  test('from parked the fuel stays behind the baffle it was poured behind; --pour-here pours it where it is lowest now', async () => {
    expect(await centroid()).toBeGreaterThan(1.5);
    expect(await centroid('--pour-here')).toBeLessThan(1);
  });
  test('--pour-at a point in the left basin: it stays there; a point in no tank is refused', async () => {
    const level = ['settle', 'basins.stl', '--unit', 'mm', '--fuel_m3', '0.5', '--json'];
    const { out } = await lowpoint(...level, '--pour-at', '0.5,0.5,2');
    assertWithin(JSON.parse(out).fuelCentroid_m[0], 0.5, 1e-9);
    expectRefused(await lowpoint(...level, '--pour-at', '0.5,0.5,9'), /No tank holds the point 0.5, 0.5, 9 m/);
    expectRefused(await lowpoint(...level, '--pour-at', '0.5'), /--pour-at is "0.5"\. Give three/);
    expectRefused(await lowpoint(...level, '--pour-at', '0.5,x,1'), /--pour-at: "x" is not a number/);
  });
  test('the table says how it came there', async () => {
    expect((await lowpoint(...tipped)).out).toMatch(/turned to this attitude in up to \d+ steps/);
    expect((await lowpoint(...tipped, '--pour-here')).out).toContain('Poured at this attitude.');
  });
});

describe('replay', () => {
  test('a level box: 18 L less 36 L/h reach the outlet at 9 L after a quarter of an hour', async () => {
    const { code, out } = await lowpoint('replay', 'good.json', 'flight.csv', '--fill', '0.5', '--json');
    expect(code).toBe(0);
    const answer = JSON.parse(out);
    assertWithin(answer.left_m3, 0.009, 1e-5);
    expect(answer.dry).toHaveLength(1);
    assertWithin(answer.dry[0].from_s, 900, 1e-4);
    expect(answer.fuel_m3).toHaveLength(61);
    assertWithin(answer.fuel_m3[10], 0.018 - 0.006, 1e-5);
  });
  test('the table', async () => {
    const { code, out } = await lowpoint('replay', 'good.json', 'flight.csv', '--fuel_m3', '18 L');
    expect(code).toBe(0);
    expect(out).toContain('main/out');
    expect(out).toMatch(/61 rows, 3600 s: 18\sL/);
  });
  test.each<[string, string[], RegExp]>([
    ['a bad row', ['good.json', 'bad.csv', '--fill', '0.5'], /bad\.csv: Line 3, pitch_deg: "x" is not a number/],
    ['no amount', ['good.json', 'flight.csv'], /needs an amount/],
    ['the other way round', ['flight.csv', 'good.json', '--fill', '1'], /Give the case first/],
    ['no history', ['good.json', '--fill', '1'], /missing required argument/],
    ['no such history', ['good.json', 'none.csv', '--fill', '1'], /none\.csv: there is no such file/],
    ['a folder', ['good.json', '.', '--fill', '1'], /lowpoint: \./],
  ])('%s: exit 2 and one line', async (_name, args, line) => {
    expectRefused(await lowpoint('replay', ...args), line);
  });
  test.each(['fill', 'replay'])('%s --help: examples first', async (verb) => {
    const { code, out } = await lowpoint(verb, '--help');
    expect(code).toBe(0);
    expect(out).toMatch(new RegExp(`^Examples:\\n {2}lowpoint ${verb} `));
  });
});
