/** From the engine's drawn triangles to what three draws. Tank frame, metres. */
import { BufferAttribute, BufferGeometry } from 'three';
import type { DrawnMesh } from '../../shared/engine-contract.ts';

export function geometryOf({ positions, triangles }: DrawnMesh): BufferGeometry {
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(positions, 3));
  geometry.setIndex(new BufferAttribute(triangles, 1));
  return geometry;
}

/**
 * The rim of an open mesh: edges that bound one triangle only. On a free surface this is the waterline.
 * Corners are told apart by where they are, so a mesh that repeats its vertices has the same rim.
 * @returns segment ends, xyz each
 */
export function rimOf({ positions, triangles }: DrawnMesh): number[] {
  const places = new Map<string, number>();
  const placeOf = (vertex: number): number => {
    const key = `${positions[3 * vertex]} ${positions[3 * vertex + 1]} ${positions[3 * vertex + 2]}`;
    const known = places.get(key);
    if (known !== undefined) return known;
    places.set(key, vertex);
    return vertex;
  };
  const edges = new Map<number, readonly [number, number]>();
  const nVertices = positions.length / 3;
  for (let t = 0; t < triangles.length; t += 3) {
    const corners = [placeOf(triangles[t]!), placeOf(triangles[t + 1]!), placeOf(triangles[t + 2]!)];
    for (let side = 0; side < 3; side++) {
      const from = corners[side]!;
      const to = corners[(side + 1) % 3]!;
      if (from === to) continue;
      const key = Math.min(from, to) * nVertices + Math.max(from, to);
      if (!edges.delete(key)) edges.set(key, [from, to]);
    }
  }
  const rim: number[] = [];
  for (const ends of edges.values())
    for (const vertex of ends) for (let axis = 0; axis < 3; axis++) rim.push(positions[3 * vertex + axis]!);
  return rim;
}

/** Signed volume under a part of a closed surface, about the tank frame's origin: the parts of one solid add up to its volume, m³. */
export function enclosed({ positions, triangles }: DrawnMesh): number {
  let sum = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [3 * triangles[t]!, 3 * triangles[t + 1]!, 3 * triangles[t + 2]!];
    const [ax, ay, az] = [positions[a]!, positions[a + 1]!, positions[a + 2]!];
    const [bx, by, bz] = [positions[b]!, positions[b + 1]!, positions[b + 2]!];
    const [cx, cy, cz] = [positions[c]!, positions[c + 1]!, positions[c + 2]!];
    sum += ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
  }
  return sum / 6;
}
