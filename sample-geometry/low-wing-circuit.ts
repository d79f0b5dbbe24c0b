/**
 * An invented circuit of the low-wing sample as its fuel feels it, a row a second: taxi, take-off run, climb, turn, downwind, a slip with the
 * left wing down on final, landing, braking. A coordinated turn is roll 0 at a higher n; a run and braking are pitch (design §2).
 */

/** Where each phase ends (s), and what it comes to: pitch and roll (°), load factor, fuel flow (L/h), how rough it is (°). */
const PHASES: readonly (readonly [end: number, pitch: number, roll: number, n: number, flow: number, rough: number])[] = [
  [45, 0.5, 0, 1, 8, 0.4], // taxi
  [60, 0.5, 3, 1, 9, 0.4], // a taxi turn, the fuel thrown to the right
  [105, 1, -1, 1, 8, 0.5],
  [125, 0.5, 0, 1, 8, 0.1], // run-up
  [148, 17.2, 0, 1.05, 44, 0.3], // take-off run at 0.3 g
  [225, 10, 0, 1, 42, 0.3], // climb
  [255, 9, 1, 1.15, 42, 0.3], // climbing turn, 30° of bank
  [275, 8, 0, 1, 40, 0.3],
  [300, 3, -1, 1.41, 32, 0.3], // turn at 45° of bank
  [400, 1.5, 0, 1, 26, 0.6], // downwind, rough air
  [430, -3, 1, 1.15, 14, 0.5], // base turn, power back
  [465, -4, 0, 1, 13, 0.4],
  [520, -3, -10, 1, 12, 0.4], // slip, left wing down
  [532, -3, 0, 1, 12, 0.3],
  [542, 4, 0, 1.08, 9, 0.2], // round-out
  [560, -18.8, 0, 1.06, 8, 0.3], // braking at 0.35 g
  [605, 0.5, -2, 1, 8, 0.4], // taxi in
];

const CHANGE_S = 4;

export function lowWingCircuit(): string {
  const lines = ['time_s,pitch_deg,roll_deg,n,fuelFlow_L_h'];
  let before = PHASES[0];
  let began = 0;
  for (const phase of PHASES) {
    const [end, , , , , rough] = phase;
    for (let time = began; time < end; time++) {
      const share = Math.min(1, (time - began) / CHANGE_S);
      const eased = share * share * (3 - 2 * share);
      const [pitch, roll, n, flow] = [1, 2, 3, 4].map((k) => before[k] + eased * (phase[k] - before[k]));
      const figures = [
        pitch + rough * Math.sin(1.1 * time),
        roll + rough * Math.sin(0.7 * time + 1),
        n + 0.04 * rough * Math.sin(1.9 * time + 2),
        flow,
      ];
      lines.push([time, ...figures.map((figure) => Math.round(figure * 100) / 100)].join(','));
    }
    before = phase;
    began = end;
  }
  return `${lines.join('\n')}\n`;
}
