/** All samples, and the bytes of their files. */

import { loadKernel } from '../engine/shape/solids.ts';
import { aerobaticDrum } from './aerobatic-drum.ts';
import { caseText, type Sample } from './case-parts.ts';
import { floatPlane } from './float-plane.ts';
import { lowWing } from './low-wing.ts';
import { stlBytes } from './surface.ts';

export async function makeSamples(): Promise<Sample[]> {
  const kernel = await loadKernel();
  return [floatPlane(kernel), lowWing(kernel), aerobaticDrum(kernel)];
}

/** File names and contents of one sample, the case last. */
export function sampleFiles(sample: Sample): Map<string, Uint8Array> {
  const files = new Map<string, Uint8Array>();
  for (const [file, surface] of sample.meshes) files.set(file, stlBytes(surface, `lowpoint sample, invented: ${file}, mm`));
  for (const [file, text] of sample.histories ?? []) files.set(file, new TextEncoder().encode(text));
  return files.set(sample.file, new TextEncoder().encode(caseText(sample.case)));
}
