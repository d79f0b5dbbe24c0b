/** `npm run samples`: writes the sample cases and meshes into sample-geometry/. */
import { writeFileSync } from 'node:fs';
import { makeSamples, sampleFiles } from './samples.ts';
import { enclosedVolume } from './surface.ts';

const folder = new URL('../../sample-geometry/', import.meta.url); // seen from dist/cli/
for (const sample of await makeSamples()) {
  for (const [file, surface] of sample.meshes) {
    const litres = (enclosedVolume(surface) / 1e6).toFixed(3);
    console.log(`${file}: ${surface.triangles.length / 3} triangles, ${litres} L`);
  }
  for (const [file, bytes] of sampleFiles(sample)) writeFileSync(new URL(file, folder), bytes);
  console.log(`${sample.file}: ${sample.case.tanks.length} tanks, ${sample.case.conditions.length} conditions`);
}
