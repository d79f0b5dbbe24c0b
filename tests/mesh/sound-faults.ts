/** What `soundMesh` promises, checked plainly and apart from its own code. */

/** @returns what is wrong with the mesh, an empty list when it is sound */
export function soundFaults({ positions, triangles }: { positions: Float64Array; triangles: Uint32Array }): string[] {
  const faults: string[] = [];
  if (!positions.every(Number.isFinite)) faults.push('a coordinate is not finite');
  const across = new Map<string, number>();
  for (let h = 0; h < triangles.length; h++) {
    const t = h - (h % 3);
    const key = `${triangles[h]} ${triangles[t + ((h + 1) % 3)]}`;
    if (across.has(key)) faults.push(`edge ${key} is met twice in one direction`);
    across.set(key, h);
  }
  for (const key of across.keys()) {
    const [u, w] = key.split(' ');
    if (!across.has(`${w} ${u}`)) faults.push(`edge ${key} has no triangle across`);
  }
  if (faults.length > 0) return faults;
  // One fan: walking round a vertex from any of its corners meets all of them.
  const corners = new Map<number, number[]>();
  triangles.forEach((v, h) => {
    corners.set(v, [...(corners.get(v) ?? []), h]);
  });
  for (let v = 0; v < positions.length / 3; v++) {
    const own = corners.get(v) ?? [];
    let steps = 0;
    for (let h = own[0]!; own.length > 0 && (steps === 0 || h !== own[0]); steps++) {
      const t = h - (h % 3);
      const before = t + ((h + 2) % 3);
      h = across.get(`${v} ${triangles[before]}`)!;
    }
    if (steps !== own.length) faults.push(`vertex ${v} has ${own.length} corners and a fan of ${steps}`);
  }
  const seen = new Set<string>();
  for (let t = 0; t < triangles.length; t += 3) {
    const key = [...triangles.subarray(t, t + 3)].sort((p, q) => p - q).join(' ');
    if (seen.has(key)) faults.push(`triangle ${key} stands twice`);
    seen.add(key);
    const [a, b, c] = [0, 1, 2].map((k) => positions.subarray(3 * triangles[t + k]!, 3 * triangles[t + k]! + 3));
    const u = b!.map((x, i) => x - a![i]!);
    const w = c!.map((x, i) => x - a![i]!);
    const normal = [u[1]! * w[2]! - u[2]! * w[1]!, u[2]! * w[0]! - u[0]! * w[2]!, u[0]! * w[1]! - u[1]! * w[0]!];
    if (!(Math.hypot(...normal) > 0)) faults.push(`triangle ${t / 3} has no area`);
  }
  return faults;
}
