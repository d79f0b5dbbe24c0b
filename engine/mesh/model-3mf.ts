/** The model part of a 3MF: its unit, its objects (triangles, or copies of other objects) and what is to be built. */
import type { SaxesTagPlain } from 'saxes';
import type { MeshError } from '../../shared/mesh-errors.ts';
import { refuse, shown, type XmlReader } from './package-3mf.ts';
import { MAX_TRIANGLES } from './read-stl.ts';
import { parseNumber } from './read-stl-text.ts';

/** x' = x·m00 + y·m10 + z·m20 + m30 and so on: twelve numbers, row by row. */
export type Transform = readonly number[];

export interface Copy {
  readonly object: string;
  readonly transform: Transform | null;
  readonly line: number;
}

export interface Object3mf {
  readonly id: string;
  readonly isSupport: boolean;
  readonly positions: number[];
  readonly triangles: number[];
  readonly components: Copy[];
}

export interface Model {
  readonly unit: string;
  readonly objects: ReadonlyMap<string, Object3mf>;
  readonly items: readonly Copy[];
}

const CORE = 'http://schemas.microsoft.com/3dmanufacturing/core/2015/02';
/** Where each element of the core stands; anything else of the core is refused, as it may change the shape. */
const HOME: ReadonlyMap<string, string> = new Map([
  ['resources', 'model'],
  ['build', 'model'],
  ['object', 'resources'],
  ['mesh', 'object'],
  ['components', 'object'],
  ['vertices', 'mesh'],
  ['triangles', 'mesh'],
  ['vertex', 'vertices'],
  ['triangle', 'triangles'],
  ['component', 'components'],
  ['item', 'build'],
]);
const DRESS = new Set(['metadata', 'metadatagroup', 'basematerials', 'base']);

export class ModelReader implements XmlReader {
  private prefix = '';
  private unit = '';
  private readonly path: string[] = [];
  private readonly objects = new Map<string, Object3mf>();
  private readonly items: Copy[] = [];
  private object: Object3mf | null = null;
  /** Depth at which a foreign element began, or 0. */
  private foreign = 0;
  private line = 0;

  open({ name, attributes }: SaxesTagPlain, line: number): void {
    this.line = line;
    if (this.path.length === 0) {
      this.openModel(name, attributes);
      return;
    }
    const element = this.ours(name);
    this.path.push(element ?? name);
    if (this.foreign > 0) return;
    if (element === null || DRESS.has(element)) {
      this.foreign = this.path.length; // another namespace, or dress: passed over with all it holds
      return;
    }
    if (Object.keys(attributes).some((key) => key === 'xmlns' || (this.prefix !== '' && key === `xmlns:${this.prefix.slice(0, -1)}`))) {
      this.wrong(element, 'given another namespace', 'the namespace of the model');
    }
    if (HOME.get(element) !== this.path.at(-2))
      this.wrong(element, `inside ${this.path.at(-2)}`, HOME.get(element) ?? 'an element of the core specification');
    this.openElement(element, attributes);
  }

  close(): void {
    if (this.path.length === this.foreign) this.foreign = 0;
    const element = this.path.pop();
    if (this.foreign > 0 || element !== 'object') return;
    const { positions, triangles } = this.object!;
    const far = triangles.findIndex((vertex) => 3 * vertex >= positions.length);
    if (far >= 0)
      this.wrong(
        `triangle ${Math.floor(far / 3) + 1} of object ${this.object!.id}`,
        `vertex ${triangles[far]}`,
        `a vertex below ${positions.length / 3}`,
      );
    this.object = null;
  }

  whole(): Model {
    return { unit: this.unit, objects: this.objects, items: this.items };
  }

  private openModel(name: string, attributes: Readonly<Record<string, string>>): void {
    const at = name.indexOf(':');
    this.prefix = name.slice(0, at + 1);
    if (name.slice(at + 1) !== 'model') this.wrong('the first element', shown(name), 'model');
    const namespace = attributes[at < 0 ? 'xmlns' : `xmlns:${name.slice(0, at)}`];
    if (namespace !== CORE) this.wrong('the namespace of model', namespace === undefined ? 'missing' : shown(namespace), CORE);
    const [needed] = (attributes['requiredextensions'] ?? '').split(/\s/).filter((one) => one !== '');
    if (needed !== undefined) refuse({ code: 'mesh-3mf-extension', extension: shown(attributes[`xmlns:${needed}`] ?? needed) });
    this.unit = attributes['unit'] ?? 'millimeter';
    this.path.push('model');
  }

  private openElement(element: string, attributes: Readonly<Record<string, string>>): void {
    const value = (key: string): string => attributes[key] ?? this.wrong(`${key} of ${element}`, 'missing', 'a value');
    switch (element) {
      case 'object': {
        const id = this.whollyNumber(value('id'), 'id of object');
        if (this.objects.has(id)) this.wrong('id of object', `${id}, used before`, 'an id of its own');
        const type = attributes['type'] ?? 'model';
        if (!['model', 'surface', 'support', 'solidsupport', 'other'].includes(type)) this.wrong('type of object', shown(type), 'model');
        this.object = { id, isSupport: type === 'support' || type === 'solidsupport', positions: [], triangles: [], components: [] };
        this.objects.set(id, this.object);
        break;
      }
      case 'vertex':
        for (const axis of ['x', 'y', 'z']) this.object!.positions.push(this.number(value(axis), `${axis} of vertex`));
        if (this.object!.positions.length > 9 * MAX_TRIANGLES) refuse(tooLarge(this.object!.positions.length / 9));
        break;
      case 'triangle':
        for (const corner of ['v1', 'v2', 'v3'])
          this.object!.triangles.push(Number(this.whollyNumber(value(corner), `${corner} of triangle`)));
        if (this.object!.triangles.length > 3 * MAX_TRIANGLES) refuse(tooLarge(this.object!.triangles.length / 3));
        break;
      case 'component':
      case 'item': {
        const object = this.whollyNumber(value('objectid'), `objectid of ${element}`);
        const transform = attributes['transform'] === undefined ? null : this.transform(attributes['transform'], element);
        (element === 'item' ? this.items : this.object!.components).push({ object, transform, line: this.line });
        break;
      }
    }
  }

  private transform(text: string, element: string): Transform {
    const words = text.split(/\s+/).filter((word) => word !== '');
    if (words.length !== 12) this.wrong(`transform of ${element}`, `${words.length} numbers`, 'twelve numbers');
    return words.map((word) => this.number(word, `transform of ${element}`));
  }

  private number(text: string, where: string): number {
    const value = parseNumber(text.trim().toLowerCase());
    return Number.isFinite(value) ? value : this.wrong(where, `"${shown(text)}"`, 'a finite number, written with a point,');
  }

  /** Kept as text: an id is a name. */
  private whollyNumber(text: string, where: string): string {
    const digits = text.trim();
    return /^[0-9]{1,10}$/.test(digits) ? String(Number(digits)) : this.wrong(where, `"${shown(text)}"`, 'a whole number');
  }

  /** The element's name where it belongs to the core, null where it does not. */
  private ours(name: string): string | null {
    if (!name.startsWith(this.prefix)) return null;
    const local = name.slice(this.prefix.length);
    return local.includes(':') ? null : local;
  }

  private wrong(where: string, found: string, wanted: string): never {
    return refuse({ code: 'mesh-3mf-value', line: this.line, where, found, wanted });
  }
}

export const tooLarge = (triangles: number): MeshError => ({
  code: 'mesh-too-large',
  triangles: Math.ceil(triangles),
  limit: MAX_TRIANGLES,
});
