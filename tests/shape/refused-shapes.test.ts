import { describe, expect, test } from 'vitest';
import { seeded } from '../random-solids.ts';
import { tryShape } from './shape-tank.ts';

const drum = { kind: 'drum', diameter_m: 0.5, length_m: 0.8 };
const wing = {
  kind: 'wing',
  rootChord_m: 1.2,
  tipChord_m: 1,
  span_m: 1.5,
  section: { kind: 'naca4', digits: '2412' },
  frontSpar_share: 0.15,
  rearSpar_share: 0.6,
};
const rib = { at_m: 0.5, thickness_m: 0.001, limberHoles: { count: 4, diameter_m: 0.01 } };
const stringer = { at_share: 0.3, on: 'floor', height_m: 0.015, thickness_m: 0.001 };
const corners = [
  [0, 0],
  [0.4, 0],
  [0.4, 0.3],
  [0, 0.3],
].map(([x_m, y_m]) => ({ x_m, y_m, radius_m: 0 }));
const collector = { kind: 'collector', corners, height_m: 0.1 };
const square: [number, number][] = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
];
const loft = { kind: 'loft', axis: 'z', outlines: [0, 1].map((at_m) => ({ at_m, points_m: square })) };
const coarse = Array.from({ length: 5 }, (_, i): [number, number] => [i, 0]);

const REFUSED: Record<string, [geometry: object, says: string]> = {
  'a length of zero': [{ kind: 'box', length_m: 0, width_m: 1, height_m: 1 }, 'geometry.length_m is 0. Give a number from 0.005 to 20.'],
  'a length in millimetres': [
    { kind: 'box', length_m: 600, width_m: 1, height_m: 1 },
    'geometry.length_m is 600. Give a number from 0.005 to 20.',
  ],
  'a length in quotes': [
    { kind: 'box', length_m: '1', width_m: 1, height_m: 1 },
    'geometry.length_m is "1". Give a number from 0.005 to 20.',
  ],
  'a side left out': [{ kind: 'box', length_m: 1, width_m: 1 }, 'geometry.height_m: missing'],
  'a key mistyped': [{ kind: 'box', lenght_m: 1, width_m: 1, height_m: 1 }, 'Did you mean "length_m"?'],
  'a kind mistyped': [{ kind: 'drumm' }, 'geometry.kind'],
  'a chord error of zero': [{ ...drum, chordError_m: 0 }, 'from 0.00001 to 0.02'],
  'a spherical end deeper than half a sphere': [
    { ...drum, rearEnd: { kind: 'spherical', depth_m: 0.3 } },
    'rearEnd.depth_m is 0.3: a spherical end is at most half a sphere. Give at most 0.25.',
  ],
  'a knuckle larger than its dish': [
    { ...drum, frontEnd: { kind: 'torispherical', dish_share: 0.5, knuckle_share: 0.6 } },
    'from 0.01 to 0.5',
  ],
  'an end of no kind': [{ ...drum, frontEnd: { kind: 'round' } }, '"flat" or "dished" or "spherical" or "torispherical"'],
  'spars the wrong way round': [
    { ...wing, frontSpar_share: 0.7 },
    'frontSpar_share is 0.7: the front spar stands ahead of the rear one. Give at most 0.59.',
  ],
  'a section of three digits': [{ ...wing, section: { kind: 'naca4', digits: '241' } }, 'four digits in quotes'],
  'a section without camber at a place': [{ ...wing, section: { kind: 'naca4', digits: '2012' } }, 'four digits in quotes'],
  'a skin thicker than the wing': [
    { ...wing, skinOffset_m: 0.08 },
    'skinOffset_m is 0.08: the skins meet inside the tank. Give a number from 0 to 0.0',
  ],
  'a rib beyond the tip': [
    { ...wing, ribs: [{ ...rib, at_m: 1.6 }] },
    'ribs[0].at_m is 1.6: a rib stands inside the span. Give a number from 0.001 to 1.498.',
  ],
  'a rib at the root': [{ ...wing, ribs: [{ ...rib, at_m: 0 }] }, 'ribs[0].at_m is 0'],
  'a rib in a rib': [
    { ...wing, ribs: [rib, { ...rib, at_m: 0.5005 }] },
    'ribs[1].at_m is 0.5005: it stands in ribs[0]. Give at least 0.5011.',
  ],
  'lightening holes that meet': [
    { ...wing, ribs: [{ ...rib, lighteningHoles: { count: 9, diameter_share: 0.8 } }] },
    'ribs[0].lighteningHoles.diameter_share is 0.8: the holes would meet. Give at most',
  ],
  'limber holes that meet': [
    { ...wing, ribs: [{ ...rib, limberHoles: { count: 60, diameter_m: 0.01 } }] },
    'ribs[0].limberHoles.diameter_m is 0.01: the holes would meet',
  ],
  'limber holes above the rib': [
    { ...wing, ribs: [{ ...rib, limberHoles: { count: 4, diameter_m: 0.01, rise_m: 0.4 } }] },
    'ribs[0].limberHoles.rise_m is 0.4',
  ],
  'a number of holes with a fraction': [
    { ...wing, ribs: [{ ...rib, limberHoles: { count: 2.5, diameter_m: 0.01 } }] },
    'a whole number from 1 to 60',
  ],
  'a rib without a hole': [
    { ...wing, ribs: [{ at_m: 0.5, thickness_m: 0.001 }] },
    'ribs: the tank falls into 2 closed parts. Give each wall between them a hole.',
  ],
  'a stringer on a spar': [
    { ...wing, stringers: [{ ...stringer, at_share: 0.15 }] },
    'stringers[0].at_share is 0.15: a stringer stands between the spars. Give a number from 0.155 to 0.595.',
  ],
  'a stringer up to the top': [
    { ...wing, stringers: [{ ...stringer, height_m: 0.3 }] },
    'stringers[0].height_m is 0.3: it would close the tank off. Give at most',
  ],
  'a section of too few points': [{ ...wing, section: { kind: 'points', points: coarse } }, 'points'],
  'a section that turns back': [
    {
      ...wing,
      section: {
        kind: 'points',
        points: [
          [1, 0],
          [0.5, 0.1],
          [0.6, 0.1],
          [0, 0],
          [0.3, -0.1],
          [0.6, -0.1],
          [1, 0],
        ],
      },
    },
    'x must fall from the tail to the nose',
  ],
  'a plan that crosses itself': [
    { ...collector, corners: [corners[0], corners[2], corners[1], corners[3]] },
    'corners: the plan crosses or touches itself',
  ],
  'a corner twice': [{ ...collector, corners: [...corners, corners[3]] }, 'it lies on its neighbour'],
  'a plan of two corners': [{ ...collector, corners: corners.slice(0, 2) }, 'corners'],
  'rounded corners that meet': [
    { ...collector, corners: corners.map((corner) => ({ ...corner, radius_m: 0.2 })) },
    'radius_m is 0.2: the rounded corners would meet. Give a number from 0 to 0.',
  ],
  'walls that meet above the floor': [
    { ...collector, height_m: 1, draft_deg: 20 },
    'draft_deg is 20: the walls would meet above the floor. Give a number from 0 to 8.',
  ],
  'a floor through the lid': [
    { ...collector, floorAlong_deg: 50 },
    'height_m is 0.1: the floor would rise through the lid. Give at least 0.2',
  ],
  'a well through the wall': [
    { ...collector, wells: [{ x_m: 0.02, y_m: 0.1, diameter_m: 0.06, depth_m: 0.01 }] },
    'wells[0].diameter_m is 0.06: the well would reach through the wall. Give at most 0.04.',
  ],
  'a well outside': [
    { ...collector, wells: [{ x_m: 0.6, y_m: 0.1, diameter_m: 0.06, depth_m: 0.01 }] },
    'wells[0]: its centre lies outside the floor',
  ],
  'outlines of unlike numbers': [
    { ...loft, outlines: [loft.outlines[0], { at_m: 1, points_m: square.slice(0, 3) }] },
    'outlines[1].points_m: 3 points, and the first outline has 4',
  ],
  'outlines out of order': [
    { ...loft, outlines: [loft.outlines[1], loft.outlines[0]] },
    'outlines[1].at_m is 0: outlines stand one behind the other. Give at least 1',
  ],
  'an outline that crosses itself': [
    { ...loft, outlines: loft.outlines.map(({ at_m }) => ({ at_m, points_m: [square[0], square[2], square[1], square[3]] })) },
    'outlines: an outline crosses or touches itself',
  ],
  'outlines that run opposite ways': [{ ...loft, outlines: [loft.outlines[0], { at_m: 1, points_m: [...square].reverse() }] }, 'outlines:'],
  'a point of three numbers': [{ ...loft, outlines: [{ at_m: 0, points_m: [[0, 0, 0], ...square] }, loft.outlines[1]] }, 'two numbers'],
};

describe('impossible parameters: one line that names the parameter and what works', () => {
  test.each(Object.entries(REFUSED))('%s', async (_, [geometry, says]) => {
    const made = await tryShape(geometry);
    if (made.ok) throw new Error(`taken, with ${made.value.solid.capacity} m³`);
    expect(made.error).toContain(says);
    expect(made.error).toMatch(/^[A-Za-z][^\n]{15,300}[.?]$/);
    expect(made.error).not.toMatch(/NaN|undefined|Infinity|\[object/);
  });
  test('the range that is named works', async () => {
    for (const [geometry, key] of [
      [{ ...wing, frontSpar_share: 0.7 }, 'frontSpar_share'],
      [{ ...collector, height_m: 1, draft_deg: 20 }, 'draft_deg'],
      [{ ...collector, floorAlong_deg: 50 }, 'height_m'],
      [{ ...wing, skinOffset_m: 0.08 }, 'skinOffset_m'],
    ] as const) {
      const made = await tryShape(geometry);
      const named = made.ok ? null : /(?:to|most|least) ([0-9.]+)\.$/.exec(made.error);
      const again = await tryShape({ ...geometry, [key]: Number(named![1]) * (key === 'height_m' ? 1.001 : 0.999) });
      expect(again.ok || again.error).toBe(true);
    }
  });
});

/** Any parameters within their ranges: a sound tank, or one line that names a parameter. Never a mesh fault, never a throw. */
describe('random parameters, seed 4', () => {
  const random = seeded(4);
  const between = (low: number, high: number): number => Number((low + (high - low) * random()).toPrecision(3));
  const some = <T>(most: number, one: () => T): T[] => Array.from({ length: Math.floor(random() * (most + 1)) }, one);
  const pick = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)]!;
  const end = () =>
    pick([
      () => ({ kind: 'flat' }),
      () => ({ kind: 'dished', depth_m: between(0.001, 1) }),
      () => ({ kind: 'spherical', depth_m: between(0.001, 0.5) }),
      () => ({ kind: 'torispherical', dish_share: between(0.5, 3), knuckle_share: between(0.01, 0.5) }),
    ])();
  const KINDS: Record<string, [rounds: number, make: () => object]> = {
    drum: [
      25,
      () => ({
        kind: 'drum',
        diameter_m: between(0.05, 1.5),
        length_m: between(0.01, 3),
        axisUp_deg: between(-90, 90),
        axisTurn_deg: between(-180, 180),
        frontEnd: end(),
        rearEnd: end(),
        chordError_m: pick([0.0005, 0.002]),
      }),
    ],
    wing: [
      25,
      () => ({
        kind: 'wing',
        rootChord_m: between(0.5, 2.5),
        tipChord_m: between(0.4, 2),
        span_m: between(0.3, 3),
        sweep_deg: between(-30, 30),
        dihedral_deg: between(-8, 8),
        twist_deg: between(-5, 5),
        section: { kind: 'naca4', digits: pick(['0008', '0012', '2412', '4415', '6421', '1410']) },
        frontSpar_share: between(0.02, 0.4),
        rearSpar_share: between(0.3, 0.9),
        skinOffset_m: pick([0, 0.0008, 0.01]),
        ribs: some(4, () => ({
          at_m: between(0.05, 2),
          thickness_m: between(0.0005, 0.01),
          lighteningHoles: { count: pick([1, 2, 4]), diameter_share: between(0.1, 0.8) },
          ...(random() < 0.7
            ? { limberHoles: { count: pick([1, 3, 6]), diameter_m: between(0.004, 0.03), rise_m: pick([0, 0.004, 0.02]) } }
            : {}),
          ...(random() < 0.7
            ? { airNotches: { count: pick([1, 3, 6]), diameter_m: between(0.004, 0.03), drop_m: pick([0, 0.004, 0.02]) } }
            : {}),
        })),
        stringers: some(3, () => ({
          at_share: between(0.1, 0.7),
          on: pick(['floor', 'top']),
          height_m: between(0.005, 0.04),
          thickness_m: between(0.0005, 0.004),
          ...(random() < 0.5 ? { weepHoles: { count: pick([1, 5]), diameter_m: between(0.003, 0.012), rise_m: pick([0, 0.003]) } } : {}),
        })),
      }),
    ],
    collector: [
      40,
      () => {
        const n = pick([3, 4, 5, 7]);
        return {
          kind: 'collector',
          corners: Array.from({ length: n }, (_, i) => ({
            x_m: Number((between(0.1, 0.3) * Math.cos((2 * Math.PI * i) / n)).toPrecision(4)),
            y_m: Number((between(0.1, 0.3) * Math.sin((2 * Math.PI * i) / n)).toPrecision(4)),
            radius_m: pick([0, 0.01, 0.03]),
          })),
          height_m: between(0.05, 0.3),
          lidAlong_deg: pick([0, between(-10, 10)]),
          lidAcross_deg: pick([0, between(-10, 10)]),
          lowPoint: pick([
            { kind: 'front' },
            { kind: 'rear' },
            { kind: 'bothEnds' },
            { kind: 'centre' },
            { kind: 'at', x_m: 0.02, y_m: 0.03 },
          ]),
          floorAlong_deg: pick([0, between(0, 10)]),
          floorAcross_deg: pick([0, between(0, 10)]),
          draft_deg: pick([0, between(0, 10)]),
          wells: some(2, () => ({
            x_m: between(-0.1, 0.1),
            y_m: between(-0.1, 0.1),
            diameter_m: between(0.02, 0.06),
            depth_m: between(0.002, 0.02),
          })),
        };
      },
    ],
  };
  for (const [kind, [rounds, make]] of Object.entries(KINDS)) {
    test(`${rounds} of kind ${kind}`, { timeout: 120_000 }, async () => {
      let taken = 0;
      for (let round = 0; round < rounds; round++) {
        const geometry = make();
        const made = await tryShape(geometry);
        if (made.ok) {
          taken++;
          expect(made.value.solid.capacity).toBeGreaterThan(0);
          continue;
        }
        expect(made.error, JSON.stringify(geometry)).toMatch(/^Tank "a", its shape: [a-zA-Z]+[\w.[\]]*( is [-0-9.e]+)?: [^\n]+\.$/);
        expect(made.error, JSON.stringify(geometry)).not.toMatch(/surface|triangle|NaN|Infinity/);
      }
      expect(taken).toBeGreaterThan(rounds / 4);
    });
  }
});
