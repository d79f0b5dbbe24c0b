/** Sample: a low-wing two-seater of our own invention. Ribbed wing tanks that keep water in their bays, and a collector that does not. */
import { braking, coordinatedTurn, speedingUp, steady, steadySlip } from '../engine/gravity/presets.ts';
import type { Kernel } from '../engine/shape/solids.ts';
import type { CaseFitting } from '../shared/case.ts';
import { AVGAS, condition, DOWN, type FittingPlan, fittings, LEFT, mirrored, RIGHT, type Sample, UP, upAtPitch } from './case-parts.ts';
import { COLLECTOR, COLLECTOR_AT, collector, PICKUP, PICKUP_MOUTH } from './collector-solids.ts';
import { lowWingCircuit } from './low-wing-circuit.ts';
import { NECK, ROOT, SAMPLE_DETAIL, WING, wingTank } from './low-wing-solids.ts';
import { ceilingAt, floorAt, lowestNear, type Point } from './probe.ts';
import { type Surface, surfaceOf } from './surface.ts';
import { DRAIN_WELL, drainWellAt, xAt } from './wing-shape.ts';

const PARKED_PITCH_DEG = 0.5;
/** The third rib of the left wing, counted from the root. */
const FORGOTTEN_RIB = 2;

export function lowWing(kernel: Kernel): Sample {
  const right = surfaceOf(kernel, wingTank(kernel, { detail: SAMPLE_DETAIL, forgottenRib: -1 }));
  const left = surfaceOf(kernel, wingTank(kernel, { detail: SAMPLE_DETAIL, forgottenRib: FORGOTTEN_RIB }).mirror([0, 1, 0]));
  const small = surfaceOf(kernel, collector(kernel));
  return {
    file: 'low-wing.case.json',
    meshes: new Map([
      ['low-wing-left.stl', left],
      ['low-wing-right.stl', right],
      ['low-wing-collector.stl', small],
    ]),
    histories: new Map([['low-wing-circuit.csv', lowWingCircuit()]]),
    case: {
      format: 'lowpoint-case',
      version: 1,
      name: 'Low-wing two-seater',
      note:
        'Invented for trying Lowpoint: no real aircraft. Each rib’s limber holes begin 3 mm above the floor, and floor stringers divide every bay: see what stays in each bay with the drains open. ' +
        'The left tank shows two mistakes of a build: its third rib has no aft limber hole, and its drain sits 90 mm outboard of the well made for it. ' +
        'Tilt to a slip with the wing down and see the wing outlet go dry while the collector still feeds. The collector’s wells empty fully at every slope of the ramp study.',
      fuel: AVGAS,
      tanks: [
        { id: 'left', name: 'Left wing tank', geometry: mesh('low-wing-left.stl'), fittings: leftFittings(left) },
        {
          id: 'right',
          name: 'Right wing tank',
          geometry: mesh('low-wing-right.stl'),
          fittings: fittings(right, wingPlans(right, 'well')),
        },
        { id: 'collector', name: 'Collector', geometry: mesh('low-wing-collector.stl'), fittings: collectorFittings(small) },
      ],
      lines: [
        feedLine('feedLeft', 'Left wing to collector', 'left/outlet', 'collector/inLeft'),
        feedLine('feedRight', 'Right wing to collector', 'right/outlet', 'collector/inRight'),
        {
          id: 'breather',
          name: 'Collector breather to right wing',
          from: 'collector/breather',
          to: 'right/breather',
          bore_m: 0.006,
          length_m: 1.9,
          valve: { kind: 'open' },
        },
      ],
      conditions: CONDITIONS,
      requirements: { rampSlope_deg: 2, unusableFuel_m3: 0.004, waterLeft_m3: 0.0002 },
    },
  };
}

const mesh = (file: string) => ({ kind: 'mesh', file, unit: 'mm' }) as const;

const feedLine = (id: string, name: string, from: string, to: string) => ({
  id,
  name,
  from,
  to,
  bore_m: 0.01,
  length_m: 0.72,
  lossK: 2.5,
  valve: { kind: 'check', opensAt_Pa: 50, leak_m3_s_at_1kPa: 0 } as const,
});

/** Plans for a right wing. */
function wingPlans(surface: Surface, drainPlace: 'well' | 'misplaced'): FittingPlan[] {
  const [x0, y0] = ROOT;
  const inX = (share: number, y: number): number => x0 + xAt(WING, share, y);
  const [wellX, wellY] = drainWellAt(WING);
  const low = lowestNear(surface, x0 + wellX, y0 + wellY, DRAIN_WELL.radius, upAtPitch(PARKED_PITCH_DEG));
  const drain: Point = drainPlace === 'well' ? low : [low[0], low[1] + 90, floorAt(surface, low[0], low[1] + 90)];
  const outletX = inX(WING.rear, 0) - 70;
  const onCeiling = (x: number, y: number, below = 0): Point => [x, y, ceilingAt(surface, x, y) - below];
  const tip = y0 + WING.span - 22;
  return [
    {
      id: 'outlet',
      kind: 'outlet',
      name: 'Outlet with finger strainer',
      at: [outletX, y0, floorAt(surface, outletX, y0 + 0.5) + 14],
      bore: 14,
      facing: LEFT,
    },
    { id: 'drain', kind: 'drain', name: 'Wing drain', at: drain, bore: 9, facing: DOWN },
    { id: 'vent', kind: 'vent', name: 'Vent at the tip', at: onCeiling(inX(0.24, WING.span), tip), bore: 8, facing: UP },
    { id: 'filler', kind: 'filler', name: 'Filler', at: onCeiling(x0 + NECK[0], y0 + NECK[1]), bore: 58, facing: UP },
    { id: 'gauge', kind: 'gauge', name: 'Gauge sender', at: onCeiling(inX(0.29, 420), y0 + 420, 20) },
    { id: 'breather', kind: 'line', name: 'Collector breather comes in', at: onCeiling(inX(0.29, 60), y0 + 60, 6), bore: 6 },
  ];
}

/** Planned on the wing's mirror image, then turned over: the left mesh differs from the right one only in a hole far from any fitting. */
function leftFittings(left: Surface): CaseFitting[] {
  const positions = left.positions.map((value, i) => (i % 3 === 1 ? -value : value));
  const triangles = left.triangles.slice().reverse();
  const image: Surface = { positions, triangles };
  return mirrored(
    fittings(
      image,
      wingPlans(image, 'misplaced').filter(({ id }) => id !== 'breather'),
    ),
  );
}

function collectorFittings(surface: Surface): CaseFitting[] {
  const { lengthY, height, wellX, wellDepth } = COLLECTOR;
  const at = (x: number, y: number, z: number): Point => [COLLECTOR_AT[0] + x, COLLECTOR_AT[1] + y, COLLECTOR_AT[2] + z];
  return fittings(surface, [
    { id: 'outlet', kind: 'outlet', name: 'Pickup to the engine', at: at(PICKUP[0], PICKUP[1], PICKUP_MOUTH), bore: 14, facing: UP },
    { id: 'drainForward', kind: 'drain', name: 'Forward drain', at: at(-wellX, 0, -wellDepth), bore: 9, facing: DOWN },
    { id: 'drainAft', kind: 'drain', name: 'Aft drain', at: at(wellX, 0, -wellDepth), bore: 9, facing: DOWN },
    { id: 'inLeft', kind: 'line', name: 'From the left wing', at: at(40, -lengthY / 2, 72), bore: 10, facing: LEFT },
    { id: 'inRight', kind: 'line', name: 'From the right wing', at: at(40, lengthY / 2, 72), bore: 10, facing: RIGHT },
    { id: 'breather', kind: 'line', name: 'Breather', at: at(-100, 30, height), bore: 6, facing: UP },
  ]);
}

const PRACTICE = 'attitude: common practice, no source';
const CONDITIONS = [
  condition('parked', 'Parked on its wheels', 'ground', steady(PARKED_PITCH_DEG), 'invented'),
  condition('parkedLeftLow', 'Parked, left wheel in a dip', 'ground', steady(PARKED_PITCH_DEG, -3), 'invented'),
  condition('cruise', 'Cruise', 'flight', steady(1.5), `14 CFR 23.959 (amdt 51): every intended operation; ${PRACTICE}`),
  condition('climb', 'Climb', 'flight', steady(10), `14 CFR 23.959; ${PRACTICE}`),
  condition('descent', 'Power-off descent', 'flight', steady(-5), `14 CFR 23.959; ${PRACTICE}`),
  condition(
    'slipLeft',
    'Descent in a slip, left wing down',
    'flight',
    steadySlip(-10, -3),
    '14 CFR 23.177(b)(3): slip of at least 10° bank',
  ),
  condition(
    'slipRight',
    'Descent in a slip, right wing down',
    'flight',
    steadySlip(10, -3),
    '14 CFR 23.177(b)(3): slip of at least 10° bank',
  ),
  condition('turn', 'Coordinated turn, 45° bank', 'flight', coordinatedTurn(45, 3), 'n = 1/cos(bank), FAA load-factor chart'),
  condition(
    'takeOff',
    'Take-off run at 0.3 g',
    'flight',
    speedingUp(0.3, PARKED_PITCH_DEG),
    'tan θ = a/g; 0.3 g common practice, no source',
  ),
  condition('braking', 'Braking at 0.35 g', 'flight', braking(0.35, PARKED_PITCH_DEG), 'tan θ = a/g; 0.35 g common practice, no source'),
];
