import { describe, expect, test } from 'vitest';
import { loadCase } from '../../engine/case/load-case.ts';
import { readCase } from '../../engine/case/read-case.ts';
import { heightAt, naca4, offsetSide, readSectionText, type SectionSides, sectionOfPoints } from '../../engine/shape/airfoil.ts';
import { checkAnswer } from '../../engine/studies/check.ts';
import { facetShare, shapeTank } from './shape-tank.ts';

const polygonArea = ({ upper, lower }: SectionSides): number => {
  const ring = [...lower, ...[...upper].reverse()];
  return ring.reduce((sum, [x, y], i) => sum + x * ring[(i + 1) % ring.length]![1] - ring[(i + 1) % ring.length]![0] * y, 0) / 2;
};

describe('sections against published values (see tests/published/airfoil-sections.test.ts for the thickness law itself)', () => {
  test.each<[string, string, number, number]>([
    ['G34', '0012', 0.08221, 1e-5],
    ['G34', '0006', 0.041105, 1e-6],
    ['G34', '0010', 0.0685083, 1e-6],
    // Thickness square to the camber line: ∫ 2y·√(1 + slope²) dx.
    ['G41', '2414', 0.0959958, 1e-6],
  ])('%s: area of %s over a chord of 1 is %d', (_, digits, area, tolerance) => {
    expect(Math.abs(polygonArea(naca4(digits)) - area)).toBeLessThan(tolerance);
  });
  test.each<[string, number, number]>([
    ['0006', 25, 13.07],
    ['0006', 100, 23.41],
    ['0006', 300, 30.01],
    ['0006', 700, 18.32],
    ['0010', 300, 50.02],
    ['0010', 700, 30.53],
  ])('G35 to G37: %s at %d thousandths is %d high on both sides', (digits, x, printed) => {
    const { upper, lower } = naca4(digits);
    // The table's 0010 is off the law by 0.012 thousandths at most; ours is straight between 600 points.
    expect(Math.abs(heightAt(upper, x / 1000) * 1000 - printed)).toBeLessThan(0.0125);
    expect(Math.abs(heightAt(lower, x / 1000) * 1000 + printed)).toBeLessThan(0.0125);
  });
  test('points, tail first over either side, in any scale, give the section they were taken from', () => {
    const { upper, lower } = naca4('2412');
    const clear = (side: SectionSides['upper']) => side.filter(([x]) => x > 0.002); // past the nose's own overhang
    const ring = [...clear(upper)]
      .reverse()
      .concat([[0, 0]], clear(lower))
      .map(([x, y]): [number, number] => [80 * x, 80 * y]);
    for (const points of [ring, [...ring].reverse()]) {
      const read = sectionOfPoints(points);
      if (!read.ok) throw new Error(read.error.why);
      for (const x of [0.05, 0.2, 0.5, 0.9]) {
        expect(heightAt(read.value.upper, x)).toBeCloseTo(heightAt(upper, x), 4);
        expect(heightAt(read.value.lower, x)).toBeCloseTo(heightAt(lower, x), 4);
      }
    }
  });
  test('the plain text form', () => {
    expect(readSectionText('\ufeffINVENTED 12\r\n 1.0  0.001\n0.5\t.06\n\n0 0\n.5 -6e-2\n1 -0.001')).toEqual({
      ok: true,
      value: [
        [1, 0.001],
        [0.5, 0.06],
        [0, 0],
        [0.5, -0.06],
        [1, -0.001],
      ],
    });
    expect(readSectionText('1 0\n0.5 0,06')).toEqual({ ok: false, error: { line: 2, found: '0.5 0,06' } });
    expect(readSectionText('name\nother name\n1 0')).toEqual({ ok: false, error: { line: 2, found: 'other name' } });
    expect(readSectionText('name\n1 nan')).toEqual({ ok: false, error: { line: 2, found: '1 nan' } });
  });
  test('a side moved by a skin stands off square to it', () => {
    const [[x, y]] = offsetSide(
      [
        [0, 0],
        [1, 1],
      ],
      Math.SQRT2 / 10,
      'right',
    );
    expect([x, y].map((v) => Math.round(v! * 1e12) / 1e12)).toEqual([0.1, -0.1]);
  });
});

type Vertex = [number, number, number];
const verticesOf = ({ positions, origin }: { positions: Float64Array; origin: readonly number[] }): Vertex[] =>
  Array.from(
    { length: positions.length / 3 },
    (_, i): Vertex => [positions[3 * i]! + origin[0]!, positions[3 * i + 1]! + origin[1]!, positions[3 * i + 2]! + origin[2]!],
  );

const straight = {
  kind: 'wing',
  rootChord_m: 1,
  tipChord_m: 1,
  span_m: 2,
  section: { kind: 'naca4', digits: '0012' },
  frontSpar_share: 0.15,
  rearSpar_share: 0.65,
};
const AREA = 0.0546413; // G40

describe('wing: volumes', () => {
  test('G40: 0012 between 15 % and 65 % of the chord, to the chord error', async () => {
    for (const chordError_m of [0.0005, 0.0002, 0.000_02]) {
      const tank = await shapeTank({ ...straight, chordError_m });
      expect(2 * AREA - tank.solid.capacity).toBeGreaterThan(-1e-7);
      expect(2 * AREA - tank.solid.capacity).toBeLessThan(facetShare(tank, chordError_m));
      expect(tank.repairs).toEqual([]);
    }
  });
  test('tapered: area goes with the square of the chord, h(A1 + A2 + √(A1·A2))/3', async () => {
    const tank = await shapeTank({ ...straight, rootChord_m: 1.4, tipChord_m: 0.9 });
    const exact = (AREA * 2 * (1.4 ** 2 + 1.4 * 0.9 + 0.9 ** 2)) / 3;
    expect(Math.abs(tank.solid.capacity - exact)).toBeLessThan(facetShare(tank, 0.0002));
  });
  test('sweep and dihedral shear the tank: the volume stays, its ends move', async () => {
    const plain = await shapeTank({ ...straight, tipChord_m: 0.8 });
    const { solid } = await shapeTank({ ...straight, tipChord_m: 0.8, sweep_deg: 20, dihedral_deg: 6 });
    expect(Math.abs(solid.capacity / plain.solid.capacity - 1)).toBeLessThan(1e-6);
    expect(solid.max[2] - plain.solid.max[2]).toBeCloseTo(2 * Math.tan((6 * Math.PI) / 180) + (0.8 - 1) * 0.06002, 3);
    // Aft end at the tip: a quarter of the root's chord, the sweep, 40 % of the tip's chord.
    expect(solid.max[0]).toBeCloseTo(0.25 + 2 * Math.tan((20 * Math.PI) / 180) + 0.4 * 0.8, 5);
  });
  test('twist: each end keeps its area, the middle is that of the straight lines between', async () => {
    const chordError_m = 0.0001;
    const tank = await shapeTank({ ...straight, twist_deg: -6, chordError_m });
    const ring = (turn: number): [number, number][] => {
      const { upper, lower } = naca4('0012');
      const shares = Array.from({ length: 2001 }, (_, i) => 0.15 + (0.5 * i) / 2000);
      const points = [...shares.map((x) => [x, heightAt(lower, x)]), ...shares.reverse().map((x) => [x, heightAt(upper, x)])];
      const [c, s] = [Math.cos(turn), Math.sin(turn)];
      return points.map(([x, y]) => [(x! - 0.25) * c + y! * s, -(x! - 0.25) * s + y! * c]);
    };
    const area = (p: [number, number][]) =>
      p.reduce((sum, [x, y], i) => sum + x * p[(i + 1) % p.length]![1] - p[(i + 1) % p.length]![0] * y, 0) / 2;
    const [root, tip] = [ring(0), ring((-6 * Math.PI) / 180)];
    const middle = root.map(([x, y], i): [number, number] => [(x + tip[i]![0]) / 2, (y + tip[i]![1]) / 2]);
    const exact = (2 / 6) * (area(root) + 4 * area(middle) + area(tip));
    expect(Math.abs(tank.solid.capacity - exact)).toBeLessThan(facetShare(tank, chordError_m));
  });
  test('which way it turns: nose up is positive, about a quarter of the chord', async () => {
    for (const twist_deg of [-6, 6]) {
      const { solid } = await shapeTank({ ...straight, twist_deg });
      const tip = verticesOf(solid).filter(([, y]) => y > 2 - 1e-6);
      const middle = (points: Vertex[]): number => (Math.min(...points.map(([, , z]) => z)) + Math.max(...points.map(([, , z]) => z))) / 2;
      // Middle of the rear wall: 40 % of the chord behind the point it turns about.
      const rear = tip.filter(([x]) => x > Math.max(...tip.map(([x0]) => x0)) - 0.02);
      expect(middle(rear)).toBeCloseTo(-0.4 * Math.sin((twist_deg * Math.PI) / 180), 2);
    }
  });
  test('limber holes lie along the floor and air notches along the top: fuel behind a rib runs out through the first alone', async () => {
    const rib = { at_m: 1, thickness_m: 0.001 };
    const kept = async (holes: object): Promise<number> => {
      const geometry = { ...straight, dihedral_deg: 5, ribs: [{ ...rib, ...holes }] };
      const file = readCase(JSON.stringify({ format: 'lowpoint-case', version: 1, name: 'a', tanks: [{ id: 'a', geometry }] }));
      const loaded = file.ok ? await loadCase(file.value, new Map()) : file;
      if (!loaded.ok) throw new Error(loaded.error.code);
      const outboard = checkAnswer(loaded.value).tanks[0]!.lowPoints.filter(({ at_m }) => at_m[1] > 0.99);
      return outboard.reduce((sum, { holds_m3 }) => sum + holds_m3, 0);
    };
    expect(await kept({ limberHoles: { count: 12, diameter_m: 0.02 } })).toBeLessThan(0.000_05);
    // Up to the notches a wedge stands behind the rib: more than two litres.
    expect(await kept({ airNotches: { count: 12, diameter_m: 0.02 } })).toBeGreaterThan(0.002);
  });
  test('the skin takes its thickness times the length of both sides', async () => {
    const chordError_m = 0.000_02;
    const [bare, inside] = [
      await shapeTank({ ...straight, chordError_m }),
      await shapeTank({ ...straight, skinOffset_m: 0.002, chordError_m }),
    ];
    const { upper } = naca4('0012');
    const between = upper.filter(([x]) => x > 0.15 && x < 0.65);
    const ends = [0.15, 0.65].map((x): [number, number] => [x, heightAt(upper, x)]);
    const side = [ends[0]!, ...between, ends[1]!];
    const length = side.slice(1).reduce((sum, [x, y], i) => sum + Math.hypot(x - side[i]![0], y - side[i]![1]), 0);
    // Off by the offset's square times the turn of the side, 0.25 rad, and what the two ends' slopes cut off.
    const lost = bare.solid.capacity - inside.solid.capacity;
    expect(Math.abs(lost - 2 * 2 * 0.002 * length)).toBeLessThan(2 * 2 * 0.002 ** 2);
  });
  test('a rib takes its sheet less its holes', async () => {
    const bare = await shapeTank({ ...straight, chordError_m: 0.000_05 });
    const rib = { at_m: 0.9, thickness_m: 0.004 };
    const withHoles = (holes: object) => shapeTank({ ...straight, chordError_m: 0.000_05, ribs: [{ ...rib, ...holes }] });
    const { upper } = naca4('0012');
    const three = await withHoles({ lighteningHoles: { count: 3, diameter_share: 0.5 } });
    const heights = [0.5 / 3, 1.5 / 3, 2.5 / 3].map((s) => 2 * heightAt(upper, 0.15 + 0.5 * s));
    const holes = heights.reduce((sum, h) => sum + (Math.PI / 4) * (h / 2) ** 2, 0);
    expect(bare.solid.capacity - three.solid.capacity - 0.004 * (AREA - holes)).toBeGreaterThan(-1e-7);
    expect(Math.abs(bare.solid.capacity - three.solid.capacity - 0.004 * (AREA - holes))).toBeLessThan(
      0.004 * 3 * Math.PI * 0.06 * 0.000_05 + 2e-7,
    );
    // Half-round notches at the floor: half of each circle, but for the floor's curve, lies in the rib.
    const notched = await withHoles({ limberHoles: { count: 4, diameter_m: 0.02 } });
    const cut = bare.solid.capacity - notched.solid.capacity;
    expect(Math.abs((0.004 * AREA - cut) / (0.004 * 4 * (Math.PI / 8) * 0.02 ** 2) - 1)).toBeLessThan(0.02);
  });
  test('a stringer takes its web, less its weep holes', async () => {
    const bare = await shapeTank(straight);
    const web = { at_share: 0.3, on: 'floor', height_m: 0.02, thickness_m: 0.002 };
    const plain = await shapeTank({ ...straight, stringers: [web] });
    // Highest thickness of the section: the floor is level there, so the web is a right block.
    expect(Math.abs((bare.solid.capacity - plain.solid.capacity) / (2 * 0.02 * 0.002) - 1)).toBeLessThan(0.002);
    const weeping = await shapeTank({
      ...straight,
      stringers: [{ ...web, on: 'top', weepHoles: { count: 5, diameter_m: 0.008, rise_m: 0.01 } }],
    });
    const holes = weeping.solid.capacity - plain.solid.capacity;
    expect(holes).toBeGreaterThan(0);
    expect(Math.abs(holes / (5 * 0.002 * Math.PI * 0.004 ** 2) - 1)).toBeLessThan(0.06); // twelve sides and more, inside the circle
  });
});

test('a wing of about 10,000 triangles: every part, sound; the time is printed', { timeout: 60_000 }, async () => {
  const rib = (at_m: number) => ({
    at_m,
    thickness_m: 0.0012,
    lighteningHoles: { count: 3, diameter_share: 0.55 },
    limberHoles: { count: 6, diameter_m: 0.012, rise_m: 0.008 },
    airNotches: { count: 4, diameter_m: 0.01 },
  });
  const stringer = (at_share: number, on: string) => ({
    at_share,
    on,
    height_m: 0.014,
    thickness_m: 0.0012,
    weepHoles: { count: 8, diameter_m: 0.006, rise_m: 0.004 },
  });
  const wing = (twist_deg: number) => ({
    kind: 'wing',
    rootChord_m: 1.3,
    tipChord_m: 1.1,
    span_m: 1.9,
    sweep_deg: 2,
    dihedral_deg: 5,
    twist_deg,
    section: { kind: 'naca4', digits: '2413' },
    frontSpar_share: 0.14,
    rearSpar_share: 0.58,
    skinOffset_m: 0.0008,
    ribs: [0.3, 0.6, 0.9, 1.2, 1.5].map(rib),
    stringers: [stringer(0.24, 'floor'), stringer(0.36, 'floor'), stringer(0.48, 'floor'), stringer(0.3, 'top'), stringer(0.44, 'top')],
  });
  const times: string[] = [];
  for (let round = 0; round < 6; round++) {
    const shape = wing(-1.5 - 0.1 * round); // each another shape: nothing is kept from the one before
    const begun = performance.now();
    const before = process.cpuUsage();
    const tank = await shapeTank(shape);
    const { user, system } = process.cpuUsage(before);
    times.push(`${(performance.now() - begun).toFixed(0)} (${((user + system) / 1000).toFixed(0)})`);
    if (round > 0) continue;
    console.info(`wing of ${tank.solid.triangles.length / 3} triangles`);
    expect(tank.solid.triangles.length / 3).toBeGreaterThan(8000);
    expect(tank.repairs).toEqual([]);
  }
  console.info(`wing: from parameters to a tank that can be asked, ms by the clock (of the processor): ${times.join(', ')}`);
});
