/** Reads a 3MF file: what its build items ask for, copies put in place, in the unit the file states. Source: 3MF Core Specification (from memory). */

import type { MeshError } from '../../shared/mesh-errors.ts';
import { UNIT_METRES_3MF } from '../../shared/mesh-units.ts';
import { done, failed, type Outcome } from '../../shared/outcome.ts';
import type { MeshSoup } from './mesh-soup.ts';
import { type Copy, type Model, ModelReader, type Object3mf, type Transform, tooLarge } from './model-3mf.ts';
import { isPlainName, Package, Refusal, refuse, shown } from './package-3mf.ts';
import { MAX_TRIANGLES } from './read-stl.ts';

export const ASSEMBLY_LIMITS = { depth: 16, copies: 100_000 } as const;

const MODEL_RELATION = 'http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel';
const RELATIONS_BYTES = 4 * 1024 ** 2;

/** @returns corners in the file's unit, which comes with them; errors `mesh-3mf-…`, `mesh-empty`, `mesh-too-large` */
export async function read3mf(bytes: Uint8Array): Promise<Outcome<MeshSoup, MeshError>> {
  try {
    const parts = new Package(bytes);
    await parts.open();
    const model = new ModelReader();
    await parts.read(await modelName(parts), model);
    return done(assemble(model.whole()));
  } catch (fault) {
    if (fault instanceof Refusal) return failed(fault.error);
    throw fault;
  }
}

/** The package says in its relations which part is the model. */
async function modelName(parts: Package): Promise<string> {
  const targets: string[] = [];
  const open = ({ name, attributes }: { name: string; attributes: Record<string, string> }): void => {
    if (name.split(':').at(-1) === 'Relationship' && attributes['Type'] === MODEL_RELATION) targets.push(attributes['Target'] ?? '');
  };
  await parts.read('_rels/.rels', { open, close: () => {} }, RELATIONS_BYTES);
  const [target] = targets;
  if (target === undefined) return refuse({ code: 'mesh-3mf-part', part: 'with the model' });
  const name = target.replace(/^\//, '');
  return isPlainName(name) ? name : refuse({ code: 'mesh-3mf-name', part: shown(target) });
}

function assemble({ unit, objects, items }: Model): MeshSoup {
  const toMetre = UNIT_METRES_3MF.get(unit);
  if (toMetre === undefined)
    return refuse({
      code: 'mesh-3mf-value',
      line: 1,
      where: 'unit of model',
      found: shown(unit),
      wanted: [...UNIT_METRES_3MF.keys()].join(', '),
    });
  const sizes = new Sizes(objects);
  const built = items.filter((item) => !sizes.objectOf(item).isSupport);
  const total = built.reduce((sum, item) => sizes.triangles(item) + sum, 0);
  if (total === 0) refuse({ code: 'mesh-empty' });
  if (total > MAX_TRIANGLES || sizes.copies > ASSEMBLY_LIMITS.copies) refuse(tooLarge(Math.max(total, MAX_TRIANGLES + 1)));
  const corners = new Float64Array(9 * total);
  let used = 0;
  const place = (copy: Copy, before: readonly Transform[]): void => {
    const object = objects.get(copy.object)!;
    const chain = copy.transform === null ? before : [copy.transform, ...before];
    const isMirrored = chain.reduce((sign, one) => sign * determinant(one), 1) < 0;
    for (let i = 0; i < object.triangles.length; i++) {
      // A mirrored copy is wound the other way round.
      const corner = isMirrored && i % 3 > 0 ? (i % 3 === 1 ? i + 1 : i - 1) : i;
      const from = 3 * object.triangles[corner];
      let point = object.positions.slice(from, from + 3);
      for (const one of chain) point = moved(one, point);
      corners.set(point, used);
      used += 3;
    }
    for (const component of object.components) place(component, chain);
  };
  for (const item of built) place(item, []);
  const bad = corners.findIndex((x) => !Number.isFinite(x));
  if (bad >= 0) refuse({ code: 'mesh-not-finite', triangle: Math.floor(bad / 9) + 1 });
  const left = items.length - built.length;
  const notices = left > 0 ? [`${left} support bodies of the 3MF were left out.`] : [];
  return { format: '3mf', corners, unit: { name: unit, toMetre }, notices };
}

/** What each object comes to, counted before anything is copied: a few lines can ask for millions of copies. */
class Sizes {
  copies = 0;
  private readonly objects: Model['objects'];
  private readonly known = new Map<string, { triangles: number; copies: number; depth: number } | null>();

  constructor(objects: Model['objects']) {
    this.objects = objects;
  }

  objectOf({ object, line, transform }: Copy): Object3mf {
    if (transform !== null && !(Math.abs(determinant(transform)) > 0)) {
      refuse({
        code: 'mesh-3mf-value',
        line,
        where: 'transform',
        found: 'one that presses the body flat',
        wanted: 'a turn, a move or a scale',
      });
    }
    return (
      this.objects.get(object) ??
      refuse({ code: 'mesh-3mf-value', line, where: 'objectid', found: object, wanted: 'the id of an object in the file' })
    );
  }

  triangles(copy: Copy): number {
    const { triangles, copies } = this.measure(copy, []);
    this.copies += copies;
    return triangles;
  }

  private measure(copy: Copy, above: readonly string[]): { triangles: number; copies: number; depth: number } {
    const { id, triangles, components } = this.objectOf(copy);
    if (above.includes(id)) refuse({ code: 'mesh-3mf-cycle', objects: [...above.slice(above.indexOf(id)), id] });
    const before = this.known.get(id);
    if (before != null) return before;
    if (above.length > ASSEMBLY_LIMITS.depth) refuse({ code: 'mesh-3mf-deep', object: above[0], limit: ASSEMBLY_LIMITS.depth });
    const sum = { triangles: triangles.length / 3, copies: 1, depth: 0 };
    for (const component of components) {
      const part = this.measure(component, [...above, id]);
      sum.triangles += part.triangles;
      sum.copies += part.copies;
      sum.depth = Math.max(sum.depth, part.depth + 1);
    }
    if (sum.depth > ASSEMBLY_LIMITS.depth) refuse({ code: 'mesh-3mf-deep', object: id, limit: ASSEMBLY_LIMITS.depth });
    this.known.set(id, sum);
    return sum;
  }
}

const moved = (m: Transform, [x, y, z]: readonly number[]): number[] =>
  [0, 1, 2].map((k) => x * m[k] + y * m[3 + k] + z * m[6 + k] + m[9 + k]);

const determinant = (m: Transform): number =>
  m[0] * (m[4] * m[8] - m[5] * m[7]) - m[1] * (m[3] * m[8] - m[5] * m[6]) + m[2] * (m[3] * m[7] - m[4] * m[6]);
