/** Solids of the kernel live outside JavaScript's memory: what is made inside `inWorkshop` is given back at its end. */
import type { ManifoldToplevel } from 'manifold-3d';
import { kernel } from '../mesh/kernel.ts';

interface Deletable {
  delete(): void;
}

let bench: Set<Deletable> | null = null;
let isWatched = false;

/** @param work - makes solids and answers plain data; it may not wait, and no solid may leave it */
export async function inWorkshop<T>(work: (top: ManifoldToplevel) => T): Promise<T> {
  const top = await kernel();
  if (!isWatched) {
    for (const holder of [top.Manifold, top.Manifold.prototype]) watch(holder);
    isWatched = true;
  }
  bench = new Set();
  try {
    return work(top);
  } finally {
    const made = bench;
    bench = null;
    for (const one of made) one.delete();
  }
}

const MAKERS = [
  'extrude',
  'revolve',
  'union',
  'difference',
  'ofMesh',
  'hull',
  'cube',
  'add',
  'subtract',
  'intersect',
  'decompose',
  'transform',
  'translate',
  'simplify',
  'trimByPlane',
];

/** Whatever these methods give while a bench is set is put on it. */
function watch(holder: object): void {
  const methods = holder as Record<string, ((this: unknown, ...args: unknown[]) => unknown) | undefined>;
  for (const name of MAKERS) {
    const made = methods[name];
    if (made === undefined || !Object.hasOwn(holder, name)) continue;
    methods[name] = function (this: unknown, ...args: unknown[]): unknown {
      const result = made.apply(this, args);
      for (const one of Array.isArray(result) ? result : [result]) bench?.add(one as Deletable);
      return result;
    };
  }
}
