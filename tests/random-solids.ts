/** Random solids with shelves, bowls, plates and holes, made by manifold-3d from a seed; and its view of the fuel below a level. */
import Module, { type Manifold, type ManifoldToplevel } from 'manifold-3d';
import { buildTankSolid, type TankSolid } from '../engine/mesh/tank-solid.ts';
import type { Vector3 } from '../shared/vector.ts';

let loaded: Promise<ManifoldToplevel> | null = null;
let kernelNow: ManifoldToplevel | null = null;
export function manifoldKernel(): Promise<ManifoldToplevel> {
  loaded ??= Module().then((kernel) => {
    kernel.setup();
    kernelNow = kernel;
    return kernel;
  });
  return loaded;
}

/** Mulberry32: a small seeded generator of numbers in [0, 1). */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** A unit direction; one in four lies along an axis, one in four in an axis plane, where ties abound. */
export function randomUp(random: () => number): Vector3 {
  const kind = random();
  const sign = random() < 0.5 ? -1 : 1;
  const axis = Math.floor(random() * 3);
  if (kind < 0.25) return [0, 1, 2].map((k) => (k === axis ? sign : 0)) as unknown as Vector3;
  const v = [random() * 2 - 1, random() * 2 - 1, random() * 2 - 1];
  if (kind < 0.5) v[axis] = 0;
  const norm = Math.hypot(v[0], v[1], v[2]) || 1;
  return [v[0] / norm, v[1] / norm, v[2] / norm];
}

/** A box of about 1 m with shelves, plates, stalactites, spheres and holes taken out or hung in; aligned solids keep every wall on a grid. */
export function randomSolid(kernel: ManifoldToplevel, seed: number): Manifold {
  const { Manifold } = kernel;
  const random = seeded(seed);
  const aligned = random() < 0.5;
  const grid = (value: number): number => (aligned ? Math.round(value * 8) / 8 : value);
  let tank = Manifold.cube([1, grid(0.5 + random()), grid(0.5 + random())], false);
  const parts = 4 + Math.floor(random() * 20);
  for (let i = 0; i < parts; i++) {
    const size: [number, number, number] = [
      grid(0.1 + random() * 0.6) || 0.125,
      grid(0.1 + random() * 0.6) || 0.125,
      grid(0.1 + random() * 0.4) || 0.125,
    ];
    const at: [number, number, number] = [grid(random() * 1.1 - 0.1), grid(random() * 1.2 - 0.1), grid(random() * 1.2 - 0.1)];
    const kind = random();
    let part: Manifold;
    if (kind < 0.25) part = Manifold.cube(size, false).translate(at);
    else if (kind < 0.6) {
      const thin: [number, number, number] = [...size];
      thin[Math.floor(random() * 3)] = 0.03125;
      part = Manifold.cube(thin, false).translate(at);
    } else if (kind < 0.75) {
      const wall = 0.03125;
      const open: [number, number, number] = [Math.max(size[0] - 2 * wall, 0.03), Math.max(size[1] - 2 * wall, 0.03), size[2]];
      part = Manifold.cube(size, false)
        .subtract(Manifold.cube(open, false).translate([wall, wall, wall]))
        .rotate(random() < 0.3 ? [180, 0, 0] : [0, 0, 0])
        .translate(at);
    } else if (kind < 0.9) part = Manifold.sphere(0.1 + random() * 0.25, 12).translate(at);
    else
      part = Manifold.cylinder(size[0], 0.03 + random() * 0.15, 0.03 + random() * 0.15, 10)
        .rotate(aligned ? [90 * Math.floor(random() * 4), 0, 0] : [random() * 360, random() * 360, 0])
        .translate(at);
    if (!aligned && random() < 0.5) part = part.rotate([random() * 40 - 20, random() * 40 - 20, random() * 40 - 20]);
    const next = tank.subtract(part);
    tank = next.volume() > 0.05 ? next : tank;
  }
  // The solid as float32 tells it: both sides of a comparison then see the same corners.
  return Manifold.ofMesh(tank.getMesh());
}

export function solidOf(manifold: Manifold): TankSolid {
  const mesh = manifold.getMesh();
  mesh.merge();
  const join = new Map<number, number>();
  for (let i = 0; i < mesh.mergeFromVert.length; i++) join.set(mesh.mergeFromVert[i], mesh.mergeToVert[i]);
  const resolve = (v: number): number => {
    while (join.has(v)) v = join.get(v)!;
    return v;
  };
  const used = new Map<number, number>();
  const positions: number[] = [];
  const triangles = Uint32Array.from(mesh.triVerts, (raw) => {
    const v = resolve(raw);
    let index = used.get(v);
    if (index === undefined) {
      index = used.size;
      used.set(v, index);
      for (let k = 0; k < 3; k++) positions.push(mesh.vertProperties[v * mesh.numProp + k]);
    }
    return index;
  });
  return buildTankSolid({ positions: Float64Array.from(positions), triangles }, 0);
}

/**
 * Pool volumes below a level as manifold-3d sees them, largest first. `level` is along `up` from the frame's origin.
 * `decompose` parts a solid by connected surface, so an obstacle that floats in the fuel comes out as a part of negative volume: it is
 * taken from the part that holds it.
 */
export function manifoldPools(manifold: Manifold, up: Vector3, level: number): number[] {
  const below = manifold.trimByPlane([-up[0], -up[1], -up[2]], -level);
  const parts = below.decompose();
  const pools = parts.filter((part) => part.volume() > 0).map((part) => ({ part, volume: part.volume() }));
  for (const hole of parts.filter((part) => part.volume() < 0)) {
    const { solid, volume } = turnedOut(hole);
    const holder = pools.find(({ part }) => {
      const shared = part.intersect(solid);
      const inside = shared.volume() > 0.5 * volume;
      shared.delete();
      return inside;
    });
    if (holder === undefined) throw new Error('a floating obstacle lies in no pool');
    holder.volume -= volume;
    solid.delete();
  }
  for (const part of parts) part.delete();
  below.delete();
  return pools.map(({ volume }) => volume).sort((a, b) => b - a);
}

/** A floating obstacle as a body of its own. */
export function turnedOut(hole: Manifold): { solid: Manifold; volume: number } {
  const mesh = hole.getMesh();
  const triVerts = mesh.triVerts.slice();
  for (let t = 0; t < triVerts.length; t += 3) [triVerts[t], triVerts[t + 1]] = [triVerts[t + 1], triVerts[t]];
  const { Mesh, Manifold: Solid } = kernelNow!;
  const turned = new Mesh({ numProp: mesh.numProp, vertProperties: mesh.vertProperties, triVerts });
  turned.merge();
  const solid = Solid.ofMesh(turned);
  return { solid, volume: -hole.volume() };
}
