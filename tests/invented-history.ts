/** An invented history for tests and timing: manoeuvre after manoeuvre, each with a change of attitude, a hold, and rough air. Seeded. */

import type { History } from '../engine/case/read-history.ts';
import { seeded } from './random-solids.ts';

interface Attitude {
  readonly pitch: number;
  readonly roll: number;
  readonly n: number;
}

/** What the fuel feels: a coordinated turn is roll 0 at a higher n, a slip is roll, a take-off run is pitch. Invented figures. */
const MANOEUVRES: readonly Attitude[] = [
  { pitch: 1.5, roll: 0, n: 1 },
  { pitch: 10, roll: 0, n: 1 },
  { pitch: 3, roll: 1, n: 1.41 },
  { pitch: 3, roll: -1, n: 1.15 },
  { pitch: -4, roll: 0, n: 1 },
  { pitch: -3, roll: 10, n: 1 },
  { pitch: -3, roll: -10, n: 1 },
  { pitch: 17, roll: 0, n: 1.05 },
  { pitch: -18, roll: 0, n: 1.06 },
  { pitch: 0, roll: 4, n: 0.6 },
];

/** @param step_s - between rows */
export function inventedHistory(nRows: number, seed: number, step_s = 0.1, flow_L_h = 30): History {
  const random = seeded(seed);
  const list = (): Float64Array => new Float64Array(nRows);
  const history = { time_s: list(), pitch_deg: list(), roll_deg: list(), n: list(), flow_m3_s: list() };
  let from = MANOEUVRES[0];
  let to = from;
  let began = 0;
  let change = 3;
  let ends = 10;
  let rough = 0;
  for (let row = 0; row < nRows; row++) {
    const time = row * step_s;
    if (time >= ends) {
      from = to;
      to = MANOEUVRES[Math.floor(random() * MANOEUVRES.length)];
      began = time;
      change = 2 + 4 * random();
      ends = time + change + 5 + 35 * random();
      rough = random() < 0.5 ? 0.1 : 0.6 * random();
    }
    const share = Math.min(1, (time - began) / change);
    const eased = share * share * (3 - 2 * share);
    const mix = (a: number, b: number): number => a + eased * (b - a);
    history.time_s[row] = time;
    history.pitch_deg[row] = mix(from.pitch, to.pitch) + rough * Math.sin(1.7 * time);
    history.roll_deg[row] = mix(from.roll, to.roll) + rough * Math.sin(2.3 * time + 1);
    history.n[row] = mix(from.n, to.n) + 0.05 * rough * Math.sin(3.1 * time);
    history.flow_m3_s[row] = flow_L_h / 3.6e6;
  }
  return { ...history, lines: Uint32Array.from({ length: nRows }, (_, i) => i + 2), notices: [] };
}
