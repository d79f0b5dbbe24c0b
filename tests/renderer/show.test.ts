/** What a person reads of a figure, in the unit they chose. The state module starts workers when it is read: a stand-in takes their place. */
import { afterAll, beforeEach, expect, test, vi } from 'vitest';
import type { CaseFile } from '../../shared/case.ts';

vi.stubGlobal(
  'Worker',
  class extends EventTarget {
    postMessage(): void {}
    terminate(): void {}
  },
);
afterAll(() => vi.unstubAllGlobals());
const { density_kg_m3, fuelUnit, fuelUnitInUse, lengthUnit, openCase } = await import('../../renderer/state.ts');
const { kindBeside, needsLook, showCondition, showDepth, showFuel, showWater } = await import('../../renderer/show.ts');

/** A no-break space stands between figure and unit. */
const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

function withDensity(density: number | null): void {
  const fuel = density === null ? {} : { fuel: { density_kg_m3: density } };
  openCase.value = { file: { name: 'a case', ...fuel } as CaseFile, meshes: {}, origin: { kind: 'file', name: 'a.json' } };
}

beforeEach(() => {
  withDensity(720);
  fuelUnit.value = 'L';
  lengthUnit.value = 'mm';
});

test.each([
  ['L', 0.05, '50 L'],
  ['US gal', 0.05, '13.2 US gal'],
  ['imp gal', 0.05, '11 imp gal'],
  ['kg', 0.05, '36 kg'],
  ['lb', 0.05, '79.4 lb'],
  ['L', 0.00005, '50 mL'],
  ['L', 0, '0 L'],
  ['kg', 1e-9, 'under 0.1 mL'],
  ['US gal', 1e-9, 'under 0.1 mL'],
] as const)('showFuel in %s: %d m³ reads "%s"', (unit, volume_m3, text) => {
  fuelUnit.value = unit;
  expect(plain(showFuel(volume_m3))).toBe(text);
});

test('without a density no mass is shown: litres are, and the choice is kept for a case that has one', () => {
  fuelUnit.value = 'kg';
  withDensity(null);
  expect(density_kg_m3.value).toBeNull();
  expect(fuelUnitInUse.value).toBe('L');
  expect(plain(showFuel(0.05))).toBe('50 L');
  withDensity(800);
  expect(plain(showFuel(0.05))).toBe('40 kg');
});

test('what stays in a low point is a volume even where fuel is shown as a mass', () => {
  fuelUnit.value = 'kg';
  expect(plain(showWater(0.00023))).toBe('230 mL');
});

test('showDepth: above, below, and no fuel there, in the chosen length', () => {
  expect(plain(showDepth({ depth_m: 0.0123 }))).toBe('12.3 mm above');
  lengthUnit.value = 'in';
  expect(plain(showDepth({ depth_m: -0.0254 }))).toBe('1 in below');
  expect(showDepth({ depth_m: null })).toBe('not below it');
});

test('showCondition: as a person says it', () => {
  expect(showCondition({ pitch_deg: 0, roll_deg: 0, n: 1 })).toBe('level');
  expect(showCondition({ pitch_deg: -3, roll_deg: 10, n: 1 })).toBe('3° nose down, 10° right side down');
  expect(showCondition({ pitch_deg: 12.5, roll_deg: -4, n: -1 })).toBe('12.5° nose up, 4° left side down, n −1');
});

test('needsLook: air at an outlet, fuel at a vent, nothing else', () => {
  expect(needsLook({ kind: 'outlet', cover: 'dry' })).toBe(true);
  expect(needsLook({ kind: 'outlet', cover: 'partly' })).toBe(true);
  expect(needsLook({ kind: 'outlet', cover: 'covered' })).toBe(false);
  expect(needsLook({ kind: 'vent', cover: 'covered' })).toBe(true);
  expect(needsLook({ kind: 'vent', cover: 'dry' })).toBe(false);
  expect(needsLook({ kind: 'drain', cover: 'dry' })).toBe(false);
});

test('kindBeside: the kind is told where the name does not', () => {
  expect(kindBeside('Wing drain', 'drain')).toBe('');
  expect(kindBeside('Finger strainer', 'outlet')).toBe('Outlet');
});
