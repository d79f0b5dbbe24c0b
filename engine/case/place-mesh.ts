/** A mesh into the tank frame: mirror, then turn about X, Y and Z, then move. Design §5. */
import type { Placement } from '../../shared/case.ts';
import { cosDeg, sinDeg } from '../gravity/condition.ts';
import type { SurfaceMesh } from '../mesh/tank-solid.ts';

/**
 * @param mesh - m, in its own frame
 * @returns the mesh in the tank frame, still wound outward: mirroring alone would turn it inside out. Exact at multiples of 90°.
 */
export function placeMesh(mesh: SurfaceMesh, { move_m = [0, 0, 0], turn_deg = [0, 0, 0], mirrorY = false }: Placement): SurfaceMesh {
  const [turnX, turnY, turnZ] = turn_deg;
  const sx = sinDeg(turnX),
    cx = cosDeg(turnX),
    sy = sinDeg(turnY),
    cy = cosDeg(turnY),
    sz = sinDeg(turnZ),
    cz = cosDeg(turnZ);
  const positions = new Float64Array(mesh.positions.length);
  for (let p = 0; p < positions.length; p += 3) {
    const x = mesh.positions[p],
      y = mirrorY ? -mesh.positions[p + 1] : mesh.positions[p + 1],
      z = mesh.positions[p + 2];
    const y1 = cx * y - sx * z,
      z1 = sx * y + cx * z; // about X: Y towards Z
    const x2 = cy * x + sy * z1,
      z2 = cy * z1 - sy * x; // about Y: Z towards X
    positions[p] = cz * x2 - sz * y1 + move_m[0]; // about Z: X towards Y
    positions[p + 1] = sz * x2 + cz * y1 + move_m[1];
    positions[p + 2] = z2 + move_m[2];
  }
  if (!mirrorY) return { positions, triangles: mesh.triangles };
  const triangles = mesh.triangles.slice();
  for (let t = 0; t < triangles.length; t += 3) [triangles[t + 1], triangles[t + 2]] = [triangles[t + 2], triangles[t + 1]];
  return { positions, triangles };
}
