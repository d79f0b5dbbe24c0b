import { describe, expect, test } from 'vitest';
import { kernel } from '../../engine/mesh/kernel.ts';
import { type SoundMesh, soundMesh } from '../../engine/mesh/sound-mesh.ts';
import { describeMeshError, type MeshError } from '../../shared/mesh-errors.ts';
import { assertWithin } from '../assert-within.ts';
import {
  box,
  boxSides,
  corners,
  cylinder,
  cylinderVolume,
  type Face,
  moved,
  type Point,
  quad,
  sphere,
  turnedOver,
  volumeOfMesh,
} from './shapes.ts';
import { soundFaults } from './sound-faults.ts';

async function sound(faces: readonly Face[], space: 'auto' | 'outer' = 'auto', unitToMetre = 1): Promise<SoundMesh> {
  const result = await soundMesh(corners(faces), { unitToMetre, space });
  if (!result.ok) throw new Error(describeMeshError(result.error));
  expect(soundFaults(result.value.mesh)).toEqual([]);
  return result.value;
}
async function refusal(faces: readonly Face[]): Promise<MeshError> {
  const result = await soundMesh(corners(faces), { unitToMetre: 1, space: 'auto' });
  if (result.ok) throw new Error(`it was taken, with ${volumeOfMesh(result.value.mesh)} m³`);
  return result.error;
}
const kinds = (mesh: SoundMesh): string[] => mesh.repairs.map((r) => r.kind).sort();

/** Numbers from a linear congruence (Numerical Recipes, 2nd ed., §7.1), the same in every run. */
function seeded(seed: number): () => number {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

const cube = box([0, 0, 0], [1, 1, 1]);

describe("soundFaults, the tests' own check, finds", () => {
  const mesh = (triangles: number[]) => ({
    positions: Float64Array.of(0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1),
    triangles: Uint32Array.from(triangles),
  });
  test('nothing in a tetrahedron', () => expect(soundFaults(mesh([0, 2, 1, 0, 1, 3, 1, 2, 3, 2, 0, 3]))).toEqual([]));
  test('a missing triangle', () => expect(soundFaults(mesh([0, 2, 1, 0, 1, 3, 1, 2, 3])).length).toBeGreaterThan(0));
  test('a turned triangle', () => expect(soundFaults(mesh([0, 1, 2, 0, 1, 3, 1, 2, 3, 2, 0, 3])).length).toBeGreaterThan(0));
  test('two fans at one vertex', () => {
    const twice = mesh([0, 2, 1, 0, 1, 3, 1, 2, 3, 2, 0, 3, 0, 5, 4, 0, 4, 6, 4, 5, 6, 5, 0, 6]);
    const positions = Float64Array.of(...twice.positions, -1, 0, 0, 0, -1, 0, 0, 0, -1);
    expect(soundFaults({ positions, triangles: twice.triangles })).toContainEqual(expect.stringContaining('fan'));
  });
});

describe('soundMesh leaves a clean mesh as it is', () => {
  test('positions, count, volume, unit', async () => {
    const { mesh, repairs, space, notices } = await sound(cylinder(300, 1000, 64), 'auto', 1e-3);
    expect([mesh.triangles.length / 3, mesh.positions.length / 3, repairs, space, notices]).toEqual([256, 130, [], 'skin', []]);
    assertWithin(volumeOfMesh(mesh), cylinderVolume(0.3, 1, 64), 1e-12);
  });
  test('10 km off the origin', async () => {
    const { mesh, repairs } = await sound(moved(cylinder(0.3, 1, 64), [1e4, -1e4, 1e4]));
    expect(repairs).toEqual([]);
    assertWithin(volumeOfMesh(mesh), cylinderVolume(0.3, 1, 64), 1e-10);
  });
  test('a needle with area is kept', async () => {
    const { left, right, front, back, bottom } = boxSides([0, 0, 0], [1, 1, 1]);
    const m: Point = [0.5, 1e-6, 1];
    const top: Face[] = [
      [[0, 0, 1], [1, 0, 1], m],
      [[1, 0, 1], [1, 1, 1], m],
      [[1, 1, 1], [0, 1, 1], m],
      [[0, 1, 1], [0, 0, 1], m],
    ];
    const made = await sound([...left, ...right, ...front, ...back, ...bottom, ...top]);
    expect([made.mesh.triangles.length / 3, made.repairs]).toEqual([14, []]);
  });
  test('a wedge of 0.1°, as a trailing edge, is not taken for a fold', async () => {
    const h = Math.tan(Math.PI / 1800);
    const wedge: Face[] = [
      [
        [0, 0, 0],
        [1, 0, 0],
        [0, 0, h],
      ],
      [
        [0, 1, 0],
        [0, 1, h],
        [1, 1, 0],
      ],
    ];
    wedge.push(
      ...quad([0, 0, 0], [0, 1, 0], [1, 1, 0], [1, 0, 0]),
      ...quad([0, 0, h], [1, 0, 0], [1, 1, 0], [0, 1, h]),
      ...quad([0, 0, 0], [0, 0, h], [0, 1, h], [0, 1, 0]),
    );
    assertWithin(volumeOfMesh((await sound(wedge)).mesh), h / 2, 1e-9);
  });
});

describe('soundMesh repairs, and says how often', () => {
  const { bottom, top, front, back, left, right } = boxSides([0, 0, 0], [1, 1, 1]);
  const open = [...bottom, ...front, ...back, ...left, ...right];
  test('a flat opening is capped', async () => {
    const made = await sound(open);
    expect(made.repairs).toEqual([{ kind: 'caps', count: 1, text: expect.stringContaining('1 m²') }]);
    expect(volumeOfMesh(made.mesh)).toBe(1);
  });
  test('an opening with many vertices in line', async () => {
    const n = 20;
    const rim: Point[] = Array.from({ length: n + 1 }, (_, i): Point => [i / n, 0, 1]);
    const fan: Face[] = rim.slice(1).map((p, i): Face => [[0, 0, 0], p, rim[i]!]);
    const frontFan = [
      ...fan,
      [
        [0, 0, 0],
        [1, 0, 0],
        [1, 0, 1],
      ] as Face,
    ];
    const made = await sound([...bottom, ...back, ...left, ...right, ...frontFan]);
    expect(kinds(made)).toEqual(['caps']);
    assertWithin(volumeOfMesh(made.mesh), 1, 1e-12);
  });
  test('L-shaped openings above and below', async () => {
    const ell: Point[] = [
      [0, 0, 0],
      [2, 0, 0],
      [2, 1, 0],
      [1, 1, 0],
      [1, 2, 0],
      [0, 2, 0],
    ];
    const walls = ell.flatMap((p, i) => {
      const q = ell[(i + 1) % 6]!;
      return quad(p, q, [q[0], q[1], 1], [p[0], p[1], 1]);
    });
    const made = await sound(walls); // open above and below
    expect(made.repairs).toEqual([{ kind: 'caps', count: 2, text: expect.stringContaining('6 m²') }]);
    assertWithin(volumeOfMesh(made.mesh), 3, 1e-12);
  });
  test('a T-junction chain along a border is zipped', async () => {
    const strips: Face[] = [];
    for (let i = 0; i < 10; i++) strips.push(...quad([i / 10, 0, 1], [(i + 1) / 10, 0, 1], [(i + 1) / 10, 1, 1], [i / 10, 1, 1]));
    const made = await sound([...open, ...strips]);
    expect(kinds(made)).toEqual(['near']);
    assertWithin(volumeOfMesh(made.mesh), 1, 1e-12);
  });
  test('a crack of 0.05 mm along a curved seam of a metre', async () => {
    const n = 48;
    const upper = moved(cylinder(0.5, 0.5, n, ['high']), [0, 0, 0.50005]);
    const made = await sound([...cylinder(0.5, 0.5, n, ['low']), ...upper]);
    expect(made.repairs).toEqual([{ kind: 'cracks', count: n, text: expect.stringContaining('mm') }]);
    assertWithin(volumeOfMesh(made.mesh), cylinderVolume(0.5, 1, n), 1e-4);
  });
  test('a gap of 2 mm is no crack: two openings, each capped, two parts, said so', async () => {
    const n = 48;
    const made = await sound([...cylinder(0.5, 0.5, n, ['low']), ...moved(cylinder(0.5, 0.5, n, ['high']), [0, 0, 0.502])]);
    expect(made.repairs).toEqual([{ kind: 'caps', count: 2, text: expect.any(String) }]);
    expect(made.notices).toEqual([expect.stringContaining('2 separate parts')]);
    assertWithin(volumeOfMesh(made.mesh), cylinderVolume(0.5, 1, n), 1e-12);
  });
  test('half of a sphere facing wrongly', async () => {
    const faces = sphere(0.5, 3);
    const made = await sound(faces.map((f, i) => (i % 3 === 0 ? turnedOver([f])[0]! : f)));
    expect(made.repairs).toEqual([{ kind: 'turned', count: Math.ceil(faces.length / 3), text: expect.any(String) }]);
    expect(volumeOfMesh(made.mesh)).toBeGreaterThan(0);
  });
  test('a body that touches itself along an edge inside one fan gets its vertices apart', async () => {
    // Two cubes that share an edge, bridged by a third so that they are one body.
    const faces = [...cube, ...moved(cube, [1, 1, 0]), ...moved(box([0, 0, 0], [2, 2, 1]), [0, 0, -1])];
    const made = await sound(faces);
    expect(kinds(made)).toContain('joined');
    assertWithin(volumeOfMesh(made.mesh), 6, 1e-6);
  });
  test('open-topped tub of wall thickness is capped as a ring, and the thin body is remarked on', async () => {
    const inner = boxSides([0.002, 0.002, 0.002], [0.998, 0.998, 1]);
    const made = await sound([...open, ...turnedOver([...inner.bottom, ...inner.front, ...inner.back, ...inner.left, ...inner.right])]);
    expect(kinds(made)).toEqual(['caps']);
    expect(made.notices).toEqual([expect.stringContaining('thin everywhere')]);
    assertWithin(volumeOfMesh(made.mesh), 1 - 0.996 * 0.996 * 0.998, 1e-9);
  });
  test('an open sump drawn with its walls, 5 mm of 100, is remarked on; a plain box is not', async () => {
    const inner = boxSides([0.05, 0.05, 0.05], [0.95, 0.95, 1]);
    const rim = [0, 1, 2, 3].flatMap((k): Face[] => {
      const corner = (half: number, i: number): Point => [0.5 + half * [-1, 1, 1, -1][i % 4]!, 0.5 + half * [-1, -1, 1, 1][i % 4]!, 1];
      return quad(corner(0.5, k), corner(0.5, k + 1), corner(0.45, k + 1), corner(0.45, k));
    });
    const made = await sound([
      ...open,
      ...rim,
      ...turnedOver([...inner.bottom, ...inner.front, ...inner.back, ...inner.left, ...inner.right]),
    ]);
    expect(made.repairs).toEqual([]);
    assertWithin(volumeOfMesh(made.mesh), 1 - 0.9 * 0.9 * 0.95, 1e-9);
    expect(made.notices).toEqual([expect.stringContaining('thin everywhere')]);
    expect((await sound(cube)).notices).toEqual([]);
  });
  test('the top alone, moved by less than rounding', async () => {
    expect(kinds(await sound([...open, ...moved(top, [1e-8, 1e-8, 1e-8])]))).toEqual(['near']);
  });
});

describe('soundMesh chooses the fuel space', () => {
  const wall = turnedOver(box([0.1, 0.1, 0.1], [0.9, 0.9, 0.9]));
  test('the cavity of a thick wall, with both volumes told', async () => {
    const made = await sound([...cube, ...wall]);
    expect([made.space, made.repairs]).toEqual(['cavity', []]);
    expect(made.notices).toEqual([expect.stringMatching(/cavity of 512 L .* outer skin holds 1000 L/)]);
    assertWithin(volumeOfMesh(made.mesh), 0.512, 1e-12);
  });
  test('the outer skin when asked', async () => {
    const made = await sound([...cube, ...wall], 'outer');
    expect([made.space, volumeOfMesh(made.mesh)]).toEqual(['outer', 1]);
    expect(made.notices).toEqual([expect.stringContaining('as asked')]);
  });
  test('asked for the outer skin where there is no cavity', async () => expect((await sound(cube, 'outer')).space).toBe('skin'));
  test('plates that overlap to a closed box enclose a cavity', async () => {
    const t = 0.1;
    const plates = [
      box([0, 0, 0], [1, 1, t]),
      box([0, 0, 1 - t], [1, 1, 1]),
      box([0, 0, 0], [1, t, 1]),
      box([0, 1 - t, 0], [1, 1, 1]),
      box([0, 0, 0], [t, 1, 1]),
      box([1 - t, 0, 0], [1, 1, 1]),
    ];
    const made = await sound(plates.flat());
    expect([kinds(made), made.space]).toEqual([['joined'], 'cavity']);
    assertWithin(volumeOfMesh(made.mesh), 0.512, 1e-6);
  });
  test('a rib that overlaps the wall from inside the cavity is joined to it', async () => {
    const made = await sound([...cube, ...wall, ...box([0.4, 0.05, 0.05], [0.5, 0.95, 0.5])]);
    expect([kinds(made), made.space]).toEqual([['joined'], 'cavity']);
    assertWithin(volumeOfMesh(made.mesh), 0.512 - 0.1 * 0.8 * 0.4, 1e-6);
  });
});

test('soundMesh refuses with place and number: two openings that are not flat', async () => {
  const lifted = sphere(1, 3).filter((f) => !f.some((p) => p[2] > 0.9 || p[2] < -0.9));
  const error = await refusal(moved(lifted, [5, 0, 0]));
  expect(error).toMatchObject({ code: 'mesh-open-loops', loops: 2 });
  if (error.code !== 'mesh-open-loops') return;
  expect(error.first_m.length).toBe(2);
  for (const [x, y, z] of error.first_m) {
    assertWithin(x, 5, 1e-9);
    assertWithin(y, 0, 1e-9, 1);
    expect(Math.abs(z)).toBeGreaterThan(0.6);
  }
});

test('soundMesh refuses a mesh with a coordinate that is not finite', async () => {
  const result = await soundMesh(corners(cube).fill(Number.NaN, 20, 21), { unitToMetre: 1, space: 'auto' });
  expect(result).toEqual({ ok: false, error: { code: 'mesh-not-finite', triangle: 3 } });
});

test('soundMesh: 150 random sets of boxes on a grid (seed 4711) hold what counting cells gives, or are refused', async () => {
  const random = seeded(4711);
  const whole = (n: number): number => Math.floor(random() * n);
  let taken = 0;
  for (let run = 0; run < 150; run++) {
    const boxes = Array.from({ length: 2 + whole(4) }, () => {
      const low: Point = [whole(4), whole(4), whole(4)];
      return { low, high: [low[0] + 1 + whole(3), low[1] + 1 + whole(3), low[2] + 1 + whole(3)] as Point };
    });
    const result = await soundMesh(corners(boxes.flatMap(({ low, high }) => box(low, high))), { unitToMetre: 1, space: 'auto' });
    if (!result.ok) continue;
    expect(soundFaults(result.value.mesh)).toEqual([]);
    const { filled, enclosed } = countCells(boxes);
    assertWithin(volumeOfMesh(result.value.mesh), result.value.space === 'cavity' ? enclosed : filled, 1e-6);
    taken++;
  }
  expect(taken).toBeGreaterThan(100);
});

/** Unit cells inside any box, and empty cells that the outside does not reach through faces. */
function countCells(boxes: readonly { low: Point; high: Point }[]): { filled: number; enclosed: number } {
  const n = 9; // one empty cell around the 7 that boxes reach
  const at = (x: number, y: number, z: number): number => (x * n + y) * n + z;
  const state = new Uint8Array(n ** 3); // 1 filled, 2 reached from outside
  for (const { low, high } of boxes) {
    for (let x = low[0]; x < high[0]; x++)
      for (let y = low[1]; y < high[1]; y++) for (let z = low[2]; z < high[2]; z++) state[at(x + 1, y + 1, z + 1)] = 1;
  }
  const stack: Point[] = [[0, 0, 0]];
  for (let p = stack.pop(); p !== undefined; p = stack.pop()) {
    const [x, y, z] = p;
    if (Math.min(x, y, z) < 0 || Math.max(x, y, z) >= n || state[at(x, y, z)] !== 0) continue;
    state[at(x, y, z)] = 2;
    stack.push([x + 1, y, z], [x - 1, y, z], [x, y + 1, z], [x, y - 1, z], [x, y, z + 1], [x, y, z - 1]);
  }
  return { filled: state.filter((s) => s === 1).length, enclosed: state.filter((s) => s === 0).length };
}

test("soundMesh: 60 random solids by manifold-3d (seed 12345), turned and rounded to float32, keep manifold's volume", async () => {
  const { Manifold } = await kernel();
  const random = seeded(12345);
  const angle = (): [number, number, number] => [random() * 360, random() * 360, random() * 360];
  for (let run = 0; run < 60; run++) {
    let solid = Manifold.cube([1, 0.8, 0.5], true);
    for (let k = 0; k < 8; k++) {
      const kind = random();
      const plain =
        kind < 0.4
          ? Manifold.sphere(0.1 + 0.2 * random(), 24)
          : kind < 0.7
            ? Manifold.cylinder(0.2 + random(), 0.05 + 0.2 * random(), -1, 24, true)
            : Manifold.cube([0.1 + random(), 0.1 + 0.5 * random(), 0.02 + 0.1 * random()], true);
      const turned = plain.rotate(angle());
      const placed = turned.translate([random() - 0.5, 0.8 * random() - 0.4, 0.5 * random() - 0.25]);
      const next = random() < 0.7 ? solid.subtract(placed) : solid.add(placed);
      for (const old of [plain, turned, placed, solid]) old.delete();
      solid = next;
    }
    const { vertProperties, triVerts } = solid.getMesh();
    const found = Float64Array.from({ length: 3 * triVerts.length }, (_, i) => vertProperties[3 * triVerts[Math.floor(i / 3)]! + (i % 3)]!);
    const result = await soundMesh(found, { unitToMetre: 1, space: 'auto' });
    if (!result.ok) throw new Error(`run ${run}: ${describeMeshError(result.error)}`);
    expect(soundFaults(result.value.mesh)).toEqual([]);
    if (result.value.space === 'skin') assertWithin(volumeOfMesh(result.value.mesh), solid.volume(), 1e-6);
    solid.delete();
  }
});
