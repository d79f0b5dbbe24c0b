/** The sample cases as the program loads them. */
import { readFileSync } from 'node:fs';
import { type LoadedTanks, loadCase } from '../engine/case/load-case.ts';
import { readCase } from '../engine/case/read-case.ts';

export const SAMPLES = ['low-wing', 'floatplane', 'aerobatic-drum'] as const;

export async function loadSample(name: (typeof SAMPLES)[number]): Promise<LoadedTanks> {
  const read = (file: string): Uint8Array<ArrayBuffer> =>
    Uint8Array.from(readFileSync(new URL(`../sample-geometry/${file}`, import.meta.url)));
  const file = readCase(new TextDecoder().decode(read(`${name}.case.json`)));
  if (!file.ok) throw new Error(file.error.code);
  const names = file.value.tanks.flatMap(({ geometry }) => (geometry.kind === 'mesh' ? [geometry.file] : []));
  const meshes = new Map(names.map((name) => [name, read(name).buffer]));
  const loaded = await loadCase(file.value, meshes);
  if (!loaded.ok) throw new Error(loaded.error.code);
  return loaded.value;
}
