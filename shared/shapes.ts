/**
 * Shapes that the case file describes by their parameters, one schema each: the table from which the reader's checks, the JSON Schema and the
 * window's form are made. Every number has its unit in its key, a range and a help text. Own frame of each shape: X aft, Y right, Z up.
 */
import * as v from 'valibot';

/** A number with its range in the message, so that a slip is answered with what works. */
function range(least: number, most: number, help: string) {
  const wanted = `a number from ${least} to ${most}`;
  return v.pipe(v.number(wanted), v.finite(wanted), v.minValue(least, wanted), v.maxValue(most, wanted), v.description(help));
}
function count(least: number, most: number, help: string) {
  const wanted = `a whole number from ${least} to ${most}`;
  return v.pipe(v.number(wanted), v.integer(wanted), v.minValue(least, wanted), v.maxValue(most, wanted), v.description(help));
}
function pair(most: number, words: string) {
  const number = v.pipe(v.number(words), v.finite(words), v.minValue(-most, words), v.maxValue(most, words));
  return v.strictTuple([number, number], words);
}

const side = (help: string) => range(0.005, 20, help);
const chordError = v.optional(
  range(0.000_01, 0.02, 'How far flat facets may stand off the true curve. Smaller is smoother and slower.'),
  0.0002,
);

const box = v.strictObject({
  kind: v.literal('box'),
  length_m: side('Along X. The front left lower corner lies at the origin.'),
  width_m: side('Across, along Y.'),
  height_m: side('Upright, along Z.'),
  chordError_m: chordError,
});

const drumEnd = v.variant('kind', [
  v.strictObject({ kind: v.literal('flat') }),
  v.strictObject({
    kind: v.literal('dished'),
    depth_m: range(0.001, 10, 'Depth of the half ellipsoid beyond the cylinder.'),
  }),
  v.strictObject({
    kind: v.literal('spherical'),
    depth_m: range(0.001, 10, "Depth of the spherical cap beyond the cylinder, at most the cylinder's radius."),
  }),
  v.strictObject({
    kind: v.literal('torispherical'),
    dish_share: range(0.5, 3, "Radius of the dish as a share of the cylinder's diameter."),
    knuckle_share: range(0.01, 0.5, "Radius of the knuckle as a share of the cylinder's diameter."),
  }),
]);

const drum = v.strictObject({
  kind: v.literal('drum'),
  diameter_m: range(0.02, 10, 'Inside diameter.'),
  length_m: range(0.001, 20, 'Of the cylinder, between its ends. Its middle lies at the origin.'),
  axisUp_deg: v.optional(range(-90, 90, 'How far the axis rises from level towards its rear end: 0 lies, 90 stands on its front end.'), 0),
  axisTurn_deg: v.optional(
    range(-180, 180, 'Turn of the axis about the upright: 0 along X with its rear end aft, 90 with its rear end to the right.'),
    0,
  ),
  frontEnd: v.optional(drumEnd, { kind: 'flat' }),
  rearEnd: v.optional(drumEnd, { kind: 'flat' }),
  chordError_m: chordError,
});

const holes = {
  count: count(1, 60, 'How many, spread evenly from spar to spar.'),
  diameter_m: range(0.001, 0.5, 'Diameter of each.'),
};

const rib = v.strictObject({
  at_m: range(0, 20, 'Inboard face of the rib, from the root along the span.'),
  thickness_m: range(0.0002, 0.2, 'Thickness of its sheet.'),
  lighteningHoles: v.optional(
    v.strictObject({ count: holes.count, diameter_share: range(0.05, 0.9, 'Diameter as a share of the height of the rib there.') }),
  ),
  limberHoles: v.optional(
    v.strictObject({
      ...holes,
      rise_m: v.optional(range(0, 0.5, "The holes' centres above the floor: 0 makes half-round notches in the edge."), 0),
    }),
  ),
  airNotches: v.optional(
    v.strictObject({
      ...holes,
      drop_m: v.optional(range(0, 0.5, "The holes' centres below the top: 0 makes half-round notches in the edge."), 0),
    }),
  ),
});

const stringer = v.strictObject({
  at_share: range(0, 1, 'Where it stands along the chord, between the spars.'),
  on: v.picklist(['floor', 'top']),
  height_m: range(0.001, 0.5, 'Height of its web.'),
  thickness_m: range(0.0002, 0.1, 'Thickness of its web.'),
  weepHoles: v.optional(
    v.strictObject({
      count: count(1, 60, 'How many, spread evenly from root to tip.'),
      diameter_m: range(0.001, 0.2, 'Diameter of each.'),
      rise_m: v.optional(range(0, 0.5, "The holes' centres off the skin: 0 makes half-round notches in the edge."), 0),
    }),
  ),
});

const section = v.variant('kind', [
  v.strictObject({
    kind: v.literal('naca4'),
    digits: v.pipe(v.string(), v.regex(/^(00|[1-9][1-9])(0[1-9]|[1-4][0-9])$/, 'four digits in quotes, "0006" to "9949"')),
  }),
  v.strictObject({
    kind: v.literal('points'),
    /** From the tail over one side to the nose and back along the other; any scale. */
    points: v.pipe(v.array(pair(10_000, 'two numbers, [x, y]')), v.minLength(7), v.maxLength(2000)),
  }),
]);

const wing = v.strictObject({
  kind: v.literal('wing'),
  rootChord_m: range(0.05, 20, "Chord at the root. The root's leading edge lies at the origin; the span runs to the right."),
  tipChord_m: range(0.05, 20, "Chord at the tank's outboard end."),
  span_m: range(0.02, 20, 'From the root to the outboard end of the tank.'),
  sweep_deg: v.optional(range(-60, 60, 'Of the line at a quarter of the chord, aft positive.'), 0),
  dihedral_deg: v.optional(range(-30, 30, 'Rise of the outboard end, up positive.'), 0),
  twist_deg: v.optional(range(-20, 20, 'Of the outboard end against the root about a quarter of the chord, nose up positive.'), 0),
  section,
  frontSpar_share: range(0.005, 0.95, 'Front wall of the tank, as a share of the chord.'),
  rearSpar_share: range(0.02, 0.995, 'Rear wall of the tank, as a share of the chord.'),
  skinOffset_m: v.optional(range(0, 0.1, 'How far the fuel lies inside the section: thickness of the skin.'), 0),
  ribs: v.optional(v.pipe(v.array(rib), v.maxLength(60)), []),
  stringers: v.optional(v.pipe(v.array(stringer), v.maxLength(40)), []),
  chordError_m: chordError,
});

const collector = v.strictObject({
  kind: v.literal('collector'),
  /** Plan at the height of the lid, in order around; a corner with a radius is rounded. */
  corners: v.pipe(
    v.array(
      v.strictObject({
        x_m: range(-20, 20, 'Corner of the plan, aft.'),
        y_m: range(-20, 20, 'Corner of the plan, to the right.'),
        radius_m: v.optional(range(0, 10, 'Radius of the rounded corner.'), 0),
      }),
    ),
    v.minLength(3),
    v.maxLength(60),
  ),
  height_m: range(0.005, 5, 'From the lowest floor, at Z 0, up to the lid over the origin.'),
  lidAlong_deg: v.optional(range(-45, 45, 'Slope of the lid fore and aft, rising aft positive.'), 0),
  lidAcross_deg: v.optional(range(-45, 45, 'Slope of the lid across, rising to the right positive.'), 0),
  lowPoint: v.optional(
    v.variant('kind', [
      v.strictObject({ kind: v.literal('front') }),
      v.strictObject({ kind: v.literal('rear') }),
      v.strictObject({ kind: v.literal('bothEnds') }),
      v.strictObject({ kind: v.literal('centre') }),
      v.strictObject({
        kind: v.literal('at'),
        x_m: range(-20, 20, 'Where the floor is lowest, aft.'),
        y_m: range(-20, 20, 'Where the floor is lowest, to the right.'),
      }),
    ]),
    { kind: 'centre' },
  ),
  floorAlong_deg: v.optional(range(0, 60, 'Fall of the floor fore and aft towards the low point.'), 0),
  floorAcross_deg: v.optional(range(0, 60, 'Fall of the floor from both sides towards the low line.'), 0),
  draft_deg: v.optional(range(0, 30, 'How far the walls lean outward from floor to lid, so that a mould lets go.'), 0),
  wells: v.optional(
    v.pipe(
      v.array(
        v.strictObject({
          x_m: range(-20, 20, 'Centre of the well, aft.'),
          y_m: range(-20, 20, 'Centre of the well, to the right.'),
          diameter_m: range(0.004, 2, 'Diameter of its rim.'),
          depth_m: range(0.001, 1, 'Depth of its dish below the floor at its centre.'),
        }),
      ),
      v.maxLength(20),
    ),
    [],
  ),
  chordError_m: chordError,
});

const loft = v.strictObject({
  kind: v.literal('loft'),
  axis: v.picklist(['x', 'y', 'z']),
  /** Straight from each outline to the next. The same number of points in each, corresponding ones in the same place of the list. */
  outlines: v.pipe(
    v.array(
      v.strictObject({
        at_m: range(-50, 50, 'Where the outline stands along the axis; rising from one to the next.'),
        points_m: v.pipe(
          v.array(pair(50, 'two numbers from -50 to 50, the other two coordinates in the order x, y, z')),
          v.minLength(3),
          v.maxLength(400),
        ),
      }),
    ),
    v.minLength(2),
    v.maxLength(200),
  ),
  chordError_m: chordError,
});

export const SHAPE_SCHEMAS = [box, drum, wing, collector, loft] as const;

export type BoxShape = v.InferOutput<typeof box>;
export type DrumShape = v.InferOutput<typeof drum>;
export type DrumEnd = v.InferOutput<typeof drumEnd>;
export type WingShape = v.InferOutput<typeof wing>;
export type WingRib = v.InferOutput<typeof rib>;
export type WingStringer = v.InferOutput<typeof stringer>;
export type CollectorShape = v.InferOutput<typeof collector>;
export type LoftShape = v.InferOutput<typeof loft>;
export type ShapeGeometry = BoxShape | DrumShape | WingShape | CollectorShape | LoftShape;

/** Why parameters that are each in range do not go together. Facts only. */
export type ShapeError =
  | {
      readonly code: 'shape-parameter';
      /** Path inside the geometry, as `ribs[1].at_m`. */
      readonly key: string;
      readonly found: number;
      /** What works with the other parameters as they are; null where nothing does. */
      readonly from: number | null;
      readonly to: number | null;
      readonly why: string;
    }
  | { readonly code: 'shape-list'; readonly key: string; readonly why: string }
  | { readonly code: 'shape-parts'; readonly key: string; readonly parts: number };

/** One line for a person. */
export function describeShapeError(error: ShapeError): string {
  switch (error.code) {
    case 'shape-parameter': {
      const { key, found, from, to, why } = error;
      const works =
        from === null && to === null
          ? 'No value works with the other parameters as they are.'
          : from === null
            ? `Give at most ${short(to!)}.`
            : to === null
              ? `Give at least ${short(from)}.`
              : `Give a number from ${short(from)} to ${short(to)}.`;
      return `${key} is ${short(found)}: ${why}. ${works}`;
    }
    case 'shape-list':
      return `${error.key}: ${error.why}.`;
    case 'shape-parts':
      return `${error.key}: the tank falls into ${error.parts} closed parts. Give each wall between them a hole.`;
    default:
      return error satisfies never;
  }
}

const short = (value: number): string => String(Number(value.toPrecision(4)));
