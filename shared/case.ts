/**
 * The case file: one design with its conditions. Design §5.
 * Lengths in metres and angles in degrees, as the key's ending says. Fitting positions are in the tank frame (fuselage station,
 * buttock line, waterline), that is, after the tank's placement.
 */
import * as v from 'valibot';
import { MESH_UNITS, type MeshUnit } from './mesh-units.ts';
import { SHAPE_SCHEMAS } from './shapes.ts';

export const CASE_FORMAT = 'lowpoint-case';
export const CASE_VERSION = 1;

const finite = v.pipe(v.number(), v.finite());
/** A length along an axis: a metre figure read as millimetres shows at once, and no digit is lost far from the origin. */
const coordinate = v.pipe(finite, v.minValue(-1000), v.maxValue(1000));
const angle = v.pipe(finite, v.minValue(-360), v.maxValue(360));
const positive = v.pipe(finite, v.gtValue(0));
const notNegative = v.pipe(finite, v.minValue(0));
const vector = v.strictTuple([coordinate, coordinate, coordinate]);
const turn = v.strictTuple([angle, angle, angle]);
const id = v.pipe(v.string(), v.regex(/^[A-Za-z0-9_-]{1,40}$/));
const text = v.pipe(v.string(), v.maxLength(4000));

export const FITTING_KINDS = ['outlet', 'drain', 'vent', 'filler', 'gauge', 'line'] as const;

const fitting = v.strictObject({
  id,
  kind: v.picklist(FITTING_KINDS),
  name: v.optional(text),
  at_m: vector,
  bore_m: v.optional(positive),
  /** Outward direction of the opening; without it the fitting is a point. Need not be a unit vector. */
  facing: v.optional(vector),
});

const geometry = v.variant('kind', [
  v.strictObject({
    kind: v.literal('mesh'),
    file: v.pipe(text, v.minLength(1)),
    unit: v.optional(v.picklist(MESH_UNITS)),
    /** `outer` takes the outer skin as the fuel space even where the body encloses a cavity. */
    space: v.optional(v.picklist(['auto', 'outer'])),
  }),
  ...SHAPE_SCHEMAS,
]);

const placement = v.strictObject({
  move_m: v.optional(vector),
  /** Turn about X, then Y, then Z of the tank frame, before the move. */
  turn_deg: v.optional(turn),
  /** Y is negated before turn and move: the other wing from one mesh. */
  mirrorY: v.optional(v.boolean()),
});

const tank = v.strictObject({
  id,
  name: v.optional(text),
  geometry,
  placement: v.optional(placement),
  /** A pocket shallower than the depth and smaller than the volume is joined to its neighbour; by default the mesh's facet error and 1e-6 of the tank. */
  pockets: v.optional(v.strictObject({ depth_m: v.optional(notNegative), volume_m3: v.optional(notNegative) })),
  fittings: v.optional(v.array(fitting), []),
});

const line = v.strictObject({
  id,
  name: v.optional(text),
  from: text,
  to: text,
  bore_m: positive,
  length_m: v.optional(notNegative),
  lossK: v.optional(notNegative),
  valve: v.optional(
    v.strictObject({
      kind: v.picklist(['open', 'check']),
      opensAt_Pa: v.optional(notNegative),
      leak_m3_s_at_1kPa: v.optional(notNegative),
    }),
  ),
});

const condition = v.strictObject({
  id,
  name: v.optional(text),
  phase: v.picklist(['ground', 'flight']),
  pitch_deg: angle,
  roll_deg: angle,
  /** Not 0: the reader refuses it, as no gravity has no free surface. */
  n: v.pipe(finite, v.minValue(-100), v.maxValue(100)),
  source: v.optional(text),
});

export const caseSchema = v.strictObject({
  format: v.literal(CASE_FORMAT),
  version: v.literal(CASE_VERSION),
  name: text,
  note: v.optional(text),
  fuel: v.optional(
    v.strictObject({
      name: v.optional(text),
      density_kg_m3: positive,
      kinematicViscosity_m2_s: v.optional(positive),
    }),
  ),
  tanks: v.pipe(v.array(tank), v.minLength(1)),
  lines: v.optional(v.array(line), []),
  conditions: v.optional(v.array(condition), []),
  requirements: v.optional(
    v.strictObject({
      rampSlope_deg: v.optional(v.pipe(finite, v.minValue(0), v.maxValue(45))),
      unusableFuel_m3: v.optional(notNegative),
      waterLeft_m3: v.optional(notNegative),
      flow_m3_s: v.optional(notNegative),
    }),
    {},
  ),
});

export type CaseFile = v.InferOutput<typeof caseSchema>;
export type CaseTank = CaseFile['tanks'][number];
export type CaseFitting = CaseTank['fittings'][number];
export type CaseCondition = CaseFile['conditions'][number];
export type CaseLine = CaseFile['lines'][number];
export type FittingKind = (typeof FITTING_KINDS)[number];
export { MESH_UNITS, type MeshUnit };
export type MeshGeometry = Extract<CaseTank['geometry'], { kind: 'mesh' }>;
export type Placement = NonNullable<CaseTank['placement']>;
