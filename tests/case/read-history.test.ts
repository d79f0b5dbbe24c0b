/** Recorded histories: what is taken, and one clear line for each broken file. */
import { describe, expect, test } from 'vitest';
import { HISTORY_LIMITS, type History, readHistory } from '../../engine/case/read-history.ts';
import { describeHistoryError } from '../../shared/history-errors.ts';
import { assertWithin } from '../assert-within.ts';

const ANGLES = 'time_s,pitch_deg,roll_deg,n';

function taken(text: string): History {
  const read = readHistory(text);
  if (!read.ok) throw new Error(describeHistoryError(read.error));
  return read.value;
}

describe('histories taken', () => {
  test('angles, no flow', () => {
    const history = taken(`${ANGLES}\n0,1,2,1\n0.5,1.5,-2,-0.5\n`);
    expect([...history.time_s]).toEqual([0, 0.5]);
    expect([...history.pitch_deg]).toEqual([1, 1.5]);
    expect([...history.roll_deg]).toEqual([2, -2]);
    expect([...history.n]).toEqual([1, -0.5]);
    expect(history.flow_m3_s).toBeNull();
    expect(history.notices).toEqual([]);
  });
  test('any order of columns, byte order mark, Windows line ends, spaces, empty lines, a point at the end', () => {
    const history = taken('\uFEFFn, roll_deg ,time_s,pitch_deg\r\n1,2,0,3\r\n\r\n 1. ,2,1,3\r\n,,,\r\n');
    expect([...history.time_s]).toEqual([0, 1]);
    expect([...history.lines]).toEqual([2, 4]);
  });
  test('an accelerometer triple: braking at 0.3 g is nose down by atan 0.3 (design §2)', () => {
    const history = taken('time_s,nx,ny,nz\n0,0,0,1\n1,-0.3,0,1\n2,0,0.2,1\n');
    expect([history.pitch_deg[0], history.roll_deg[0], history.n[0]]).toEqual([0, 0, 1]);
    // Deceleration pushes fuel forward, as nose down does.
    assertWithin(history.pitch_deg[1], (-Math.atan(0.3) * 180) / Math.PI, 1e-12);
    assertWithin(history.n[1], Math.hypot(1, 0.3), 1e-15);
    assertWithin(Math.abs(history.roll_deg[2]), (Math.atan(0.2) * 180) / Math.PI, 1e-12);
  });
  // 60 L/h = 1.6667e-5 m³/s; US gallon of 231 in³, exact by definition.
  test.each([
    ['fuelFlow_m3_s', '0.00001', 1e-5],
    ['fuelFlow_L_h', '36', 1e-5],
    ['fuelFlow_USgal_h', '10', (10 * 231 * 0.0254 ** 3) / 3600],
  ])('%s', (column, cell, flow) => {
    assertWithin(taken(`${ANGLES},${column}\n0,0,0,1,${cell}\n1,0,0,1,${cell}\n`).flow_m3_s![1], flow, 1e-14);
  });
  test('gaps are told by line: over five times the median step', () => {
    const rows = [0, 1, 2, 3, 9, 10, 11].map((time) => `${time},0,0,1`).join('\n');
    expect(taken(`${ANGLES}\n${rows}`).notices).toEqual([
      'Line 6: 6 s after the row before, where 1 s are usual. The attitude is taken to turn evenly between them.',
    ]);
  });
});

describe('broken histories: one line that says what, where, what to do', () => {
  const row = '0,0,0,1';
  const BROKEN: [name: string, text: string, line: RegExp][] = [
    ['empty', '', /empty.*time_s,pitch_deg/],
    ['only line ends', '\n\n', /empty/],
    ['header alone', ANGLES, /no row/],
    ['one row', `${ANGLES}\n${row}`, /one row.*at least two/],
    ['semicolons', `${ANGLES.replaceAll(',', ';')}\n0;0;0;1`, /semicolons.*commas/],
    ['tabs', `${ANGLES.replaceAll(',', '\t')}\n0\t0\t0\t1`, /tabs.*commas/],
    ['a mistyped column', `time_s,pich_deg,roll_deg,n\n${row}`, /"pich_deg".*Did you mean "pitch_deg"/],
    ['wrong capitals', `Time_s,pitch_deg,roll_deg,n\n${row}`, /"Time_s".*Did you mean "time_s"/],
    ['an angle without its unit', `time_s,pitch,roll_deg,n\n${row}`, /"pitch" has no unit.*pitch_deg/],
    ['radians', `time_s,pitch_rad,roll_deg,n\n${row}`, /"pitch_rad".*pitch_deg/],
    ['a flow in an unknown unit', `${ANGLES},fuelFlow_kg_h\n${row},1`, /"fuelFlow_kg_h".*fuelFlow_L_h/],
    ['time without its unit', `time,pitch_deg,roll_deg,n\n${row}`, /"time" has no unit.*time_s/],
    ['an unknown column', `${ANGLES},heading_deg\n${row},1`, /unknown column "heading_deg".*Known: time_s/],
    ['a column without a name', `time_s,,pitch_deg,roll_deg,n\n${row},1`, /column 2 has no name/],
    ['a column twice', `${ANGLES},n\n${row},1`, /"n" is there twice/],
    ['no time', 'pitch_deg,roll_deg,n\n0,0,1', /"time_s" is missing/],
    ['no attitude', 'time_s,fuelFlow_L_h\n0,1', /no attitude/],
    ['half an attitude', 'time_s,pitch_deg,roll_deg\n0,1,1', /"n" is missing/],
    ['half a triple', 'time_s,nx,nz\n0,1,1', /"ny" is missing/],
    ['both attitudes', `${ANGLES},nx,ny,nz\n${row},0,0,1`, /"pitch_deg" and "nx" both/],
    ['two flows', `${ANGLES},fuelFlow_L_h,fuelFlow_m3_s\n${row},1,1`, /"fuelFlow_m3_s" and "fuelFlow_L_h" both/],
    ['no header', '0,0,0,1\n1,0,0,1', /Line 1: unknown column "0"/],
    ['a word for a number', `${ANGLES}\n${row}\n1,up,0,1\n2,0,0,1`, /^Line 3, pitch_deg: "up" is not a number/],
    ['a unit in a cell', `${ANGLES}\n${row}\n1,2°,0,1`, /^Line 3, pitch_deg: "°"/],
    ['not a number, written so', `${ANGLES}\n${row}\n1,NaN,0,1`, /^Line 3, pitch_deg: "NaN"/],
    ['without end', `${ANGLES}\n${row}\n1,0,0,Infinity`, /^Line 3, n: "Infinity"/],
    ['an empty cell', `${ANGLES}\n${row}\n1,,0,1`, /^Line 3: pitch_deg is missing/],
    ['a short row', `${ANGLES}\n${row}\n1,0`, /^Line 3: roll_deg is missing/],
    ['a long row', `${ANGLES}\n${row}\n1,0,5,0,1`, /^Line 3: 5 cells under 4 columns/],
    ['time standing', `${ANGLES}\n${row}\n0,0,0,1`, /^Line 3: time_s is 0 after 0/],
    ['time running back', `${ANGLES}\n5,0,0,1\n4,0,0,1`, /^Line 3: time_s is 4 after 5/],
    ['no gravity', `${ANGLES}\n${row}\n1,0,0,0`, /^Line 3: the load factor is 0/],
    ['no gravity, by triple', 'time_s,nx,ny,nz\n0,0,0,1\n1,0,0,0', /^Line 3: the load factor is 0/],
    ['an angle beyond a turn', `${ANGLES}\n${row}\n1,400,0,1`, /^Line 3: pitch_deg is 400.*−360 to 360/],
    ['a flow backwards', `${ANGLES},fuelFlow_L_h\n${row},1\n1,0,0,1,-5`, /^Line 3: fuelFlow_L_h is −5/],
    [
      'three bad rows: the first named, the rest counted',
      `${ANGLES}\n${row}\n1,x,0,1\n2,0,y,1\n3,0,0,1\n3,0,0,1`,
      /^Line 3, .* 2 more rows are bad\.$/,
    ],
    ['a quotation mark left open', `${ANGLES}\n${row}\n1,"0,0,1\n2,0,0,1`, /^Line 3: a quotation mark/],
    ['a cell over two lines', `${ANGLES}\n${row}\n1,"0\n0",0,1`, /^Line 3: a quotation mark/],
    ['a zero byte', `${ANGLES}\n${row}\n1,\0,0,1`, /^Line 3 holds a zero byte/],
    ['another kind of file', '{"format":"lowpoint-case"}', /^Line 1/],
    ['an exponent without end', `${ANGLES}\n${row}\n1,1e999,0,1`, /^Line 3, pitch_deg/],
  ];
  test.each(BROKEN)('%s', (_name, text, line) => {
    const read = readHistory(text);
    if (read.ok) throw new Error('was taken');
    const told = describeHistoryError(read.error);
    expect(told).toMatch(line);
    expect(told).not.toMatch(/\n|undefined|\[object|NaN(?!")/);
    expect(told.length).toBeLessThan(300);
  });
  test('too big', () => {
    const read = readHistory('1'.repeat(HISTORY_LIMITS.size_bytes + 1));
    expect(read).toMatchObject({ ok: false, error: { code: 'history-too-big' } });
  });
  test('too many rows', () => {
    const rows = Array.from({ length: HISTORY_LIMITS.rows + 1 }, (_, i) => `${i},0,0,1`);
    expect(readHistory(`${ANGLES}\n${rows.join('\n')}`)).toMatchObject({ ok: false, error: { code: 'history-too-long' } });
  });
});
