/** The tank in a wing between two spars: a tapered, swept, twisted box inside the skin, with ribs and stringers standing in it. In mm. */
import type { Manifold } from 'manifold-3d';
import type { WingRib, WingShape, WingStringer } from '../../shared/shapes.ts';
import type { Vector3 } from '../../shared/vector.ts';
import { cosDeg, sinDeg } from '../gravity/condition.ts';
import { heightAt, naca4, offsetSide, type SectionSides, sectionOfPoints } from './airfoil.ts';
import { circleSides, steps } from './curve.ts';
import { lofted } from './loft.ts';
import { refuseShape, within } from './shape-fault.ts';
import { type Hole, type Kernel, plate, post, Z_TO_X } from './solids.ts';
import type { Ring } from './through-rings.ts';

type Skin = 'upper' | 'lower';

export function wing(kernel: Kernel, shape: WingShape): Manifold {
  const frame = new Frame(shape);
  const box = lofted(kernel, [frame.ring(0), frame.ring(1)], frame.error / 2, 'section');
  const ribs = shape.ribs.map((rib, i) => ribOf(kernel, frame, rib, `ribs[${i}]`));
  const stringers = shape.stringers.map((stringer, i) => stringerOf(kernel, frame, stringer, `stringers[${i}]`));
  shape.ribs.forEach(({ at_m }, i) => {
    const other = shape.ribs.findIndex((rib, j) => j !== i && rib.at_m <= at_m && at_m < rib.at_m + rib.thickness_m + 1e-4);
    if (other >= 0)
      within(`ribs[${i}].at_m`, at_m, shape.ribs[other].at_m + shape.ribs[other].thickness_m + 1e-4, null, `it stands in ribs[${other}]`);
  });
  const metal = [...ribs, ...stringers];
  return metal.length === 0 ? box : kernel.Manifold.difference([box, ...metal]);
}

/** Places in the wing by share of chord and of span. Each line of constant share runs straight from root to tip, as the skin does. */
export class Frame {
  readonly error: number;
  readonly span: number;
  private readonly shape: WingShape;
  private readonly ends: readonly [SectionSides, SectionSides];
  private readonly nColumns: number;

  constructor(shape: WingShape) {
    this.shape = shape;
    this.error = shape.chordError_m * 1000;
    this.span = shape.span_m * 1000;
    within('frontSpar_share', shape.frontSpar_share, null, shape.rearSpar_share - 0.01, 'the front spar stands ahead of the rear one');
    const bare = sidesOf(shape);
    this.ends = drawnIn(shape, bare, shape.skinOffset_m);
    this.nColumns = Math.max(...(['upper', 'lower'] as const).map((skin) => this.columns(bare[skin])));
    this.proveHeight(bare);
  }

  /** How many columns keep a side within half the error; the other half is the twist's. */
  private columns(side: SectionSides['upper']): number {
    const { frontSpar_share: front, rearSpar_share: rear, rootChord_m, tipChord_m } = this.shape;
    const chord = Math.max(rootChord_m, tipChord_m) * 1000;
    const curve = (t: number): [number, number] => {
      const share = front + (rear - front) * t;
      return [share * chord, heightAt(side, share) * chord];
    };
    const n = steps(curve, this.error / 2, MOST_COLUMNS);
    if (n !== null) return n;
    let works = this.error;
    while (works < 100 && steps(curve, works / 2, MOST_COLUMNS) === null) works *= 1.5;
    return refuseShape({
      code: 'shape-parameter',
      key: 'chordError_m',
      found: this.error / 1000,
      from: works / 1000,
      to: null,
      why: 'too fine for this section',
    });
  }

  /** The section must have height all the way between the spars, inside the skin too. */
  private proveHeight(bare: SectionSides): void {
    const { shape } = this;
    const shares = Array.from({ length: this.nColumns + 1 }, (_, c) => this.shareOf(c));
    const flat = shares.find((share) => !(heightAt(bare.upper, share) - heightAt(bare.lower, share) > 1e-6));
    if (flat !== undefined) within('rearSpar_share', shape.rearSpar_share, null, flat - 0.01, 'the section has no height there');
    const isOpen = (skin_m: number): boolean => {
      const [root, tip] = drawnIn(shape, bare, skin_m).map(({ upper, lower }) =>
        Math.min(...shares.map((share) => heightAt(upper, share) - heightAt(lower, share))),
      );
      return root * shape.rootChord_m > LEAST_HEIGHT && tip * shape.tipChord_m > LEAST_HEIGHT;
    };
    if (isOpen(shape.skinOffset_m)) return;
    let [works, fails] = [0, shape.skinOffset_m];
    for (let round = 0; round < 20; round++) {
      const middle = (works + fails) / 2;
      if (isOpen(middle)) works = middle;
      else fails = middle;
    }
    within('skinOffset_m', shape.skinOffset_m, 0, works, 'the skins meet inside the tank');
  }

  private shareOf(column: number): number {
    const { frontSpar_share: front, rearSpar_share: rear } = this.shape;
    return front + ((rear - front) * column) / this.nColumns;
  }

  /** A point of the inner skin. @param out - share of the span, beyond 0 and 1 too. @param share - of the chord */
  at(out: number, share: number, skin: Skin): Vector3 {
    const [root, tip] = [this.atEnd(0, share, skin), this.atEnd(1, share, skin)];
    return [root[0] + (tip[0] - root[0]) * out, this.span * out, root[2] + (tip[2] - root[2]) * out];
  }

  private atEnd(end: 0 | 1, share: number, skin: Skin): Vector3 {
    const { rootChord_m, tipChord_m, twist_deg, sweep_deg, dihedral_deg } = this.shape;
    const chord = (end === 0 ? rootChord_m : tipChord_m) * 1000;
    const twist = end === 0 ? 0 : twist_deg;
    const [along, up] = [(share - 0.25) * chord, heightAt(this.ends[end][skin], share) * chord];
    const y = this.span * end;
    return [
      250 * rootChord_m + tanDeg(sweep_deg) * y + along * cosDeg(twist) + up * sinDeg(twist),
      y,
      tanDeg(dihedral_deg) * y - along * sinDeg(twist) + up * cosDeg(twist),
    ];
  }

  height(out: number, share: number): number {
    return this.at(out, share, 'upper')[2] - this.at(out, share, 'lower')[2];
  }

  /** Floor from front to rear, then top from rear to front. */
  ring(out: number): Ring {
    const shares = Array.from({ length: this.nColumns + 1 }, (_, c) => this.shareOf(c));
    const points = [
      ...shares.map((share) => this.at(out, share, 'lower')),
      ...shares.reverse().map((share) => this.at(out, share, 'upper')),
    ];
    return { points, flat: points.map(([x, , z]) => [x, z] as const) };
  }

  /** Shares of the middles of equal parts between the spars, and the width of one part, mm. */
  spread(out: number, count: number): { shares: number[]; width: number } {
    const { frontSpar_share: front, rearSpar_share: rear } = this.shape;
    const width = (this.at(out, rear, 'lower')[0] - this.at(out, front, 'lower')[0]) / count;
    return { shares: Array.from({ length: count }, (_, i) => front + ((rear - front) * (i + 0.5)) / count), width };
  }

  get spars(): readonly [number, number] {
    return [this.shape.frontSpar_share, this.shape.rearSpar_share];
  }
}

const MOST_COLUMNS = 400;
/** m: floor and top keep at least so far apart. */
const LEAST_HEIGHT = 0.0005;
/** mm: metal reaches so far through the skin, so that no gap is left. */
const THROUGH = 3;

const tanDeg = (angle: number): number => sinDeg(angle) / cosDeg(angle);

/** Root and tip section inside a skin. */
function drawnIn({ rootChord_m, tipChord_m }: WingShape, bare: SectionSides, skin_m: number): [SectionSides, SectionSides] {
  const inside = (chord_m: number): SectionSides => ({
    upper: offsetSide(bare.upper, skin_m / chord_m, 'right'),
    lower: offsetSide(bare.lower, skin_m / chord_m, 'left'),
  });
  return [inside(rootChord_m), inside(tipChord_m)];
}

function sidesOf({ section }: WingShape): SectionSides {
  if (section.kind === 'naca4') return naca4(section.digits);
  const read = sectionOfPoints(section.points);
  return read.ok ? read.value : refuseShape({ code: 'shape-list', key: `section.points[${read.error.point - 1}]`, why: read.error.why });
}

function ribOf(kernel: Kernel, frame: Frame, rib: WingRib, key: string): Manifold {
  const { span, error } = frame;
  const [at, thickness] = [rib.at_m * 1000, rib.thickness_m * 1000];
  within(`${key}.at_m`, rib.at_m, 0.001, (span - thickness) / 1000 - 0.001, 'a rib stands inside the span');
  const out = (at + thickness / 2) / span;
  const holes: Hole[] = [];
  const drill = (x: number, z: number, diameter: number): number =>
    holes.push({ centre: [x, z], radius: diameter / 2, sides: circleSides(diameter / 2, error) });
  const { lighteningHoles, limberHoles, airNotches } = rib;
  if (lighteningHoles !== undefined) {
    const { shares, width } = frame.spread(out, lighteningHoles.count);
    const tallest = Math.max(...shares.map((share) => frame.height(out, share)));
    within(`${key}.lighteningHoles.diameter_share`, lighteningHoles.diameter_share, null, (0.95 * width) / tallest, 'the holes would meet');
    for (const share of shares) {
      const [low, high] = [frame.at(out, share, 'lower'), frame.at(out, share, 'upper')];
      drill((low[0] + high[0]) / 2, (low[2] + high[2]) / 2, lighteningHoles.diameter_share * (high[2] - low[2]));
    }
  }
  const edges = [
    { holes: limberHoles, off: limberHoles?.rise_m ?? 0, skin: 'lower', sign: 1, name: 'limberHoles', offName: 'rise_m' },
    { holes: airNotches, off: airNotches?.drop_m ?? 0, skin: 'upper', sign: -1, name: 'airNotches', offName: 'drop_m' },
  ] as const;
  for (const { holes: row, off, skin, sign, name, offName } of edges) {
    if (row === undefined) continue;
    const { shares, width } = frame.spread(out, row.count);
    const lowest = Math.min(...shares.map((share) => frame.height(out, share))) / 1000;
    within(`${key}.${name}.diameter_m`, row.diameter_m, null, (0.95 * width) / 1000, 'the holes would meet');
    within(`${key}.${name}.${offName}`, off, 0, lowest, 'the holes would leave the rib');
    for (const share of shares) {
      const [x, , z] = frame.at(out, share, skin);
      drill(x, z + sign * off * 1000, row.diameter_m * 1000);
    }
  }
  const { flat } = frame.ring(out);
  const [xs, zs] = [flat.map(([x]) => x), flat.map(([, z]) => z)];
  const size = {
    min: [Math.min(...xs) - 50, Math.min(...zs) - 50] as [number, number],
    max: [Math.max(...xs) + 50, Math.max(...zs) + 50] as [number, number],
    thickness,
  };
  return plate(kernel, 'y', at, size, holes);
}

/** A web along the span, with weep holes through it. */
function stringerOf(kernel: Kernel, frame: Frame, { at_share, on, height_m, thickness_m, weepHoles }: WingStringer, key: string): Manifold {
  const [skin, up] = on === 'floor' ? (['lower', 1] as const) : (['upper', -1] as const);
  const [front, rear] = frame.spars;
  within(`${key}.at_share`, at_share, front + 0.005, rear - 0.005, 'a stringer stands between the spars');
  const lowest = Math.min(frame.height(0, at_share), frame.height(1, at_share)) / 1000;
  within(`${key}.height_m`, height_m, null, 0.95 * lowest, 'it would close the tank off');
  const half = thickness_m * 500;
  const past = THROUGH / frame.span;
  const web = [-past, 1 + past].map((out): Ring => {
    const [x, y, z] = frame.at(out, at_share, skin);
    const [foot, edge] = [z - up * THROUGH, z + up * height_m * 1000];
    const flat = (
      [
        [x - half, foot],
        [x + half, foot],
        [x + half, edge],
        [x - half, edge],
      ] as const
    ).map(([a, b]) => [a, b] as const);
    return { flat, points: flat.map(([a, b]): Vector3 => [a, y, b]) };
  });
  const bar = lofted(kernel, web, frame.error, key);
  if (weepHoles === undefined) return bar;
  const { count, diameter_m, rise_m } = weepHoles;
  within(`${key}.weepHoles.diameter_m`, diameter_m, null, (0.95 * frame.span) / count / 1000, 'the holes would meet');
  within(`${key}.weepHoles.rise_m`, rise_m, 0, height_m, 'the holes would stand above the web');
  const radius = diameter_m * 500;
  const reach = half + 4 * radius + THROUGH;
  const drill = post(kernel, [0, 0], radius, -reach, reach, circleSides(radius, frame.error)).transform(Z_TO_X);
  const drills = Array.from({ length: count }, (_, i) => {
    const [x, y, z] = frame.at((i + 0.5) / count, at_share, skin);
    return drill.translate([x, y, z + up * rise_m * 1000]);
  });
  return bar.subtract(kernel.Manifold.union(drills));
}
