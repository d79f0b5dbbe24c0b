/** Sample: a high-wing two-seat float-plane of our own invention. Two wing tanks from one mesh, a header, flight and mooring. */
import { braking, coordinatedTurn, skid, speedingUp, steady, steadySlip } from '../engine/gravity/presets.ts';
import type { Kernel } from '../engine/shape/solids.ts';
import type { CaseFitting } from '../shared/case.ts';
import { AVGAS, condition, DOWN, FORWARD, fittings, LEFT, mirrored, RIGHT, type Sample, UP, upAtPitch } from './case-parts.ts';
import { HEADER, HEADER_AT, header, NECK, ROOT, VENT, VENT_MOUTH, WING, wingTank } from './float-plane-solids.ts';
import { ceilingAt, floorAt, lowestNear, type Point } from './probe.ts';
import { type Surface, surfaceOf } from './surface.ts';
import { DRAIN_WELL, drainWellAt, xAt } from './wing-shape.ts';

const AFLOAT_PITCH_DEG = 1.5;

export function floatPlane(kernel: Kernel): Sample {
  const wing = surfaceOf(kernel, wingTank(kernel));
  const small = surfaceOf(kernel, header(kernel));
  const rightFittings = wingFittings(wing);
  return {
    file: 'floatplane.case.json',
    meshes: new Map([
      ['floatplane-wing.stl', wing],
      ['floatplane-header.stl', small],
    ]),
    case: {
      format: 'lowpoint-case',
      version: 1,
      name: 'High-wing two-seat float-plane',
      note:
        'Invented for trying Lowpoint: no real aircraft. The right wing tank’s mesh serves both wings; the left one is mirrored. ' +
        'The only outlet of each wing is aft at the root: see how much fuel stays when the nose goes down, and what the header still gives. ' +
        'Moored or beached it sits at other attitudes than a wheeled aircraft: compare the drains afloat, on a wave and beached tail-low.',
      fuel: AVGAS,
      tanks: [
        {
          id: 'left',
          name: 'Left wing tank',
          geometry: mesh('floatplane-wing.stl'),
          placement: { mirrorY: true },
          fittings: mirrored(rightFittings),
        },
        { id: 'right', name: 'Right wing tank', geometry: mesh('floatplane-wing.stl'), fittings: rightFittings },
        { id: 'header', name: 'Header', geometry: mesh('floatplane-header.stl'), fittings: headerFittings(small) },
      ],
      lines: [
        feedLine('feedLeft', 'Left wing to header', 'left/outlet', 'header/inLeft'),
        feedLine('feedRight', 'Right wing to header', 'right/outlet', 'header/inRight'),
        {
          id: 'breather',
          name: 'Header breather to right wing',
          from: 'header/breather',
          to: 'right/breather',
          bore_m: 0.008,
          length_m: 1.4,
          valve: { kind: 'open' },
        },
      ],
      conditions: CONDITIONS,
      requirements: { rampSlope_deg: 1, unusableFuel_m3: 0.006, waterLeft_m3: 0.0001 },
    },
  };
}

const mesh = (file: string) => ({ kind: 'mesh', file, unit: 'mm' }) as const;

const feedLine = (id: string, name: string, from: string, to: string) => ({
  id,
  name,
  from,
  to,
  bore_m: 0.012,
  length_m: 1.35,
  lossK: 3,
  valve: { kind: 'check', opensAt_Pa: 40, leak_m3_s_at_1kPa: 0 } as const,
});

function wingFittings(surface: Surface): CaseFitting[] {
  const [x0, y0] = ROOT;
  const inX = (share: number): number => x0 + xAt(WING, share, 0);
  const [wellX, wellY] = drainWellAt(WING);
  const low = lowestNear(surface, x0 + wellX, y0 + wellY, DRAIN_WELL.radius, upAtPitch(AFLOAT_PITCH_DEG));
  const outletX = inX(WING.rear) - 70;
  const onCeiling = (x: number, y: number, below = 0): Point => [x, y, ceilingAt(surface, x, y) - below];
  return fittings(surface, [
    {
      id: 'outlet',
      kind: 'outlet',
      name: 'Outlet, aft at the root',
      at: [outletX, y0, floorAt(surface, outletX, y0 + 0.5) + 13],
      bore: 14,
      facing: LEFT,
    },
    { id: 'drain', kind: 'drain', name: 'Wing drain', at: low, bore: 9, facing: DOWN },
    { id: 'vent', kind: 'vent', name: 'Vent', at: onCeiling(inX(0.3), y0 + WING.span - 20), bore: 8, facing: UP },
    // Filled to the mouth of its neck: what lies above is expansion space.
    { id: 'filler', kind: 'filler', name: 'Filler neck', at: onCeiling(x0 + NECK[0], y0 + NECK[1], 30), bore: 58, facing: UP },
    { id: 'gauge', kind: 'gauge', name: 'Gauge sender', at: onCeiling(inX(0.31), y0 + 370, 20) },
    { id: 'breather', kind: 'line', name: 'Breather line end', at: onCeiling(inX(0.31), y0 + 60, 6), bore: 8 },
  ]);
}

function headerFittings(surface: Surface): CaseFitting[] {
  const { radius, height, sumpRadius, sumpBottom } = HEADER;
  const [x0, y0, z0] = HEADER_AT;
  const at = (x: number, y: number, z: number): Point => [x0 + x, y0 + y, z0 + z];
  return fittings(surface, [
    { id: 'outlet', kind: 'outlet', name: 'Outlet to the engine', at: at(-sumpRadius, 0, sumpBottom + 30), bore: 12, facing: FORWARD },
    { id: 'drain', kind: 'drain', name: 'Sump drain', at: at(0, 0, sumpBottom), bore: 9, facing: DOWN },
    { id: 'inLeft', kind: 'line', name: 'From the left wing', at: at(0, -radius, height - 30), bore: 12, facing: LEFT },
    { id: 'inRight', kind: 'line', name: 'From the right wing', at: at(0, radius, height - 30), bore: 12, facing: RIGHT },
    { id: 'breather', kind: 'line', name: 'Breather', at: at(VENT[0], VENT[1], VENT_MOUTH), bore: 8, facing: UP },
  ]);
}

const PRACTICE = 'attitude: common practice, no source';
const CONDITIONS = [
  condition('afloat', 'Parked on its floats', 'ground', steady(AFLOAT_PITCH_DEG), 'invented'),
  condition('waveBowUp', 'Moored, wave under the bows', 'ground', steady(AFLOAT_PITCH_DEG + 4, 3), 'invented'),
  condition('waveBowDown', 'Moored, wave under the sterns', 'ground', steady(AFLOAT_PITCH_DEG - 4, -3), 'invented'),
  condition('beached', 'Beached tail-low', 'ground', steady(8), 'invented'),
  condition('cruise', 'Cruise', 'flight', steady(1), `14 CFR 23.959 (amdt 51): every intended operation; ${PRACTICE}`),
  condition('climb', 'Climb', 'flight', steady(9), `14 CFR 23.959; ${PRACTICE}`),
  condition('descent', 'Descent to land on glassy water', 'flight', steady(-4), `14 CFR 23.959; ${PRACTICE}`),
  condition('steepDescent', 'Steep descent over trees', 'flight', steady(-10), `14 CFR 23.959; ${PRACTICE}`),
  condition('slipLeft', 'Slip, left wing down', 'flight', steadySlip(-10, -4), '14 CFR 23.177(b)(3): slip of at least 10° bank'),
  condition('slipRight', 'Slip, right wing down', 'flight', steadySlip(10, -4), '14 CFR 23.177(b)(3): slip of at least 10° bank'),
  condition('turn', 'Coordinated turn, 45° bank', 'flight', coordinatedTurn(45, 4), 'n = 1/cos(bank), FAA load-factor chart'),
  condition('skidLeft', 'Skid turning left at 0.1 g sideways', 'flight', skid(0.1, 2), 'tan θ = a/g; 0.1 g invented'),
  condition(
    'takeOff',
    'Take-off run on the water at 0.3 g, over the hump',
    'flight',
    speedingUp(0.3, 7),
    'tan θ = a/g; 0.3 g and 7° common practice, no source',
  ),
  condition('alighting', 'Coming off the step at 0.25 g', 'flight', braking(0.25, 2), 'tan θ = a/g; 0.25 g common practice, no source'),
];
