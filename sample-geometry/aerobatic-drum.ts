/** Sample: a drum-shaped fuselage tank of an aerobatic trainer of our own invention, with an upright and an inverted pickup. */
import { coordinatedTurn, inverted, steady, steadySlip } from '../engine/gravity/presets.ts';
import type { Kernel } from '../engine/shape/solids.ts';
import type { CaseFitting } from '../shared/case.ts';
import { AFT, AVGAS, condition, DOWN, fittings, type Sample, UP, upAtPitch } from './case-parts.ts';
import { DRUM_AT, drum, INVERTED_PICKUP, SUMP, VENT } from './drum-solids.ts';
import { ceilingAt, lowestNear, type Point } from './probe.ts';
import { type Surface, surfaceOf } from './surface.ts';

const PARKED_PITCH_DEG = 11;

export function aerobaticDrum(kernel: Kernel): Sample {
  const surface = surfaceOf(kernel, drum(kernel));
  return {
    file: 'aerobatic-drum.case.json',
    meshes: new Map([['aerobatic-drum.stl', surface]]),
    case: {
      format: 'lowpoint-case',
      version: 1,
      name: 'Aerobatic trainer, drum tank',
      note:
        'Invented for trying Lowpoint: no real aircraft. Turn it upside down, on edge and up and down a line, and watch which of the two pickups is covered. ' +
        'The mesh is drawn about its own middle and moved into place by the case. Two hoops stiffen the skin; their limber holes sit 22° off the bottom, so parked water stays in front of them. ' +
        'The vent’s tube ends at the drum’s middle: it stays dry upright and inverted up to about half full.',
      fuel: AVGAS,
      tanks: [
        {
          id: 'drum',
          name: 'Fuselage tank',
          geometry: { kind: 'mesh', file: 'aerobatic-drum.stl', unit: 'mm' },
          placement: { move_m: [DRUM_AT[0] / 1000, DRUM_AT[1] / 1000, DRUM_AT[2] / 1000] },
          fittings: drumFittings(surface),
        },
      ],
      lines: [],
      conditions: CONDITIONS,
      requirements: { rampSlope_deg: 3, unusableFuel_m3: 0.003, waterLeft_m3: 0.0002 },
    },
  };
}

function drumFittings(surface: Surface): CaseFitting[] {
  const { x, y, mouth, radius } = INVERTED_PICKUP;
  const onTop = (atX: number, atY: number): Point => [atX, atY, ceilingAt(surface, atX, atY)];
  return fittings(
    surface,
    [
      {
        id: 'upright',
        kind: 'outlet',
        name: 'Upright pickup, in the sump',
        at: [SUMP.x + SUMP.radius, 0, SUMP.bottom + 18],
        bore: 12,
        facing: AFT,
      },
      { id: 'inverted', kind: 'outlet', name: 'Inverted pickup, tube to the top', at: [x, y, mouth], bore: 2 * radius - 4, facing: DOWN },
      {
        id: 'drain',
        kind: 'drain',
        name: 'Sump drain',
        at: lowestNear(surface, SUMP.x, 0, SUMP.radius, upAtPitch(PARKED_PITCH_DEG)),
        bore: 9,
        facing: DOWN,
      },
      {
        id: 'vent',
        kind: 'vent',
        name: 'Vent, tube to the middle',
        at: [VENT.x, VENT.y, VENT.mouth],
        bore: 2 * VENT.radius - 4,
        facing: UP,
      },
      { id: 'filler', kind: 'filler', name: 'Filler', at: onTop(-60, 0), bore: 58, facing: UP },
    ],
    DRUM_AT,
  );
}

const PRACTICE = 'attitude: common practice, no source';
const CONDITIONS = [
  condition('parked', 'Parked, tail wheel', 'ground', steady(PARKED_PITCH_DEG), 'invented'),
  condition('towed', 'Tail lifted for towing', 'ground', steady(1), 'invented'),
  condition('cruise', 'Cruise', 'flight', steady(2), `14 CFR 23.959 (amdt 51): every intended operation; ${PRACTICE}`),
  condition('climb', 'Climb', 'flight', steady(12), `14 CFR 23.959; ${PRACTICE}`),
  condition(
    'slip',
    'Slip to land, left wing down',
    'flight',
    steadySlip(-15, -6),
    '14 CFR 23.177(b)(3) asks for 10° or more; 15° invented',
  ),
  condition(
    'turn',
    'Coordinated turn, 60° bank',
    'flight',
    coordinatedTurn(60),
    'n = 1/cos(bank), FAA load-factor chart; 60° 14 CFR 91.307(c)',
  ),
  condition('pullUp', 'Pull-up at 4 g', 'flight', { pitch_deg: 8, roll_deg: 0, n: 4 }, 'invented'),
  condition('inverted', 'Inverted level', 'flight', inverted(), 'n = −1: inverted, steady; 14 CFR 23.975(c) names inverted flight'),
  // Upside down, the nose above the horizon still sends the fuel aft: with n below zero that is a pitch below zero.
  condition(
    'invertedClimb',
    'Inverted, nose 10° above the horizon',
    'flight',
    inverted(-10),
    'from the definition of apparent gravity; 10° invented',
  ),
  condition('pushOver', 'Push-over at −2 g', 'flight', { pitch_deg: 0, roll_deg: 0, n: -2 }, 'invented'),
  condition(
    'knifeLeft',
    'Knife edge, left wing down',
    'flight',
    steady(0, -90),
    'steady flight on edge: roll is 90°; common practice, no source',
  ),
  condition(
    'knifeRight',
    'Knife edge, right wing down',
    'flight',
    steady(0, 90),
    'steady flight on edge: roll is 90°; common practice, no source',
  ),
  condition(
    'upLine',
    'Vertical line up, thrust above drag by half the weight',
    'flight',
    { pitch_deg: 90, roll_deg: 0, n: 0.5 },
    'n = (thrust − drag)/weight along the line; 0.5 invented',
  ),
  condition(
    'downLine',
    'Vertical line down, drag half the weight',
    'flight',
    { pitch_deg: -90, roll_deg: 0, n: 0.5 },
    'n = (drag − thrust)/weight along the line; 0.5 invented',
  ),
];
