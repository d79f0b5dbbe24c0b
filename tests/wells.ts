/** A low tank whose floor has square wells at random, in mm, and two drains in wells, in m; from a seed. */
import type { Vector3 } from '../shared/vector.ts';
import { seeded } from './random-solids.ts';

type Face = readonly [Vector3, Vector3, Vector3];

export function wells(seed: number): { readonly faces: readonly Face[]; readonly drains: readonly Vector3[] } {
  const random = seeded(seed);
  const axis = (width: number): number[] => {
    const ends = [0];
    for (let i = 0; i < 4; i++) ends.push(ends[i] + width * (1 + 3 * random()));
    return ends;
  };
  const at = [axis(60), axis(40), [0, 12, 60]];
  const filled = new Set<string>();
  for (let i = 0; i < 4; i++) {
    for (let j = 0; j < 4; j++) {
      filled.add(`${[i, j, 1]}`);
      if (random() < 0.6) filled.add(`${[i, j, 0]}`);
    }
  }
  const faces: Face[] = [];
  for (const name of filled) {
    const cell = name.split(',').map(Number);
    for (let side = 0; side < 3; side++) {
      for (const end of [0, 1]) {
        const beside = cell.map((k, a) => (a === side ? k + 2 * end - 1 : k));
        if (filled.has(`${beside}`)) continue;
        const [u, w] = [(side + 1) % 3, (side + 2) % 3];
        const corner = (du: number, dw: number): Vector3 => {
          const p = [0, 0, 0];
          p[side] = at[side][cell[side] + end];
          p[u] = at[u][cell[u] + du];
          p[w] = at[w][cell[w] + dw];
          return p as unknown as Vector3;
        };
        const [a, b, c, d] = [corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)];
        faces.push(
          ...(end === 1
            ? ([
                [a, b, c],
                [a, c, d],
              ] as const)
            : ([
                [a, c, b],
                [a, d, c],
              ] as const)),
        );
      }
    }
  }
  const low = [...filled].filter((name) => name.endsWith(',0')).map((name) => name.split(',').map(Number));
  const drains = [0, 1].map((): Vector3 => {
    const [i, j] = low[Math.floor(random() * low.length)];
    const within = (ends: readonly number[], k: number): number => (ends[k] + random() * (ends[k + 1] - ends[k])) / 1000;
    return [within(at[0], i), within(at[1], j), 0];
  });
  return { faces, drains };
}
