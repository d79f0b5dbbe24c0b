/** The parameters of each kind of shape as rows for a form: read off the schemas, so that form, file and JSON Schema cannot differ. */
import { SHAPE_SCHEMAS, type ShapeGeometry } from './shapes.ts';

export type ShapeKind = ShapeGeometry['kind'];

export type ShapeField =
  | {
      readonly type: 'number';
      readonly key: string;
      readonly unit: 'm' | '°' | null;
      readonly isWhole: boolean;
      readonly least: number;
      readonly most: number;
      /** Taken where the case leaves the key out; undefined where it must be given. */
      readonly byDefault: number | undefined;
      readonly help: string;
    }
  | { readonly type: 'choice'; readonly key: string; readonly choices: readonly string[] }
  | { readonly type: 'text'; readonly key: string; readonly wanted: string }
  /** One of several kinds, each with fields of its own. */
  | {
      readonly type: 'kinds';
      readonly key: string;
      readonly isOptional: boolean;
      readonly kinds: Readonly<Record<string, readonly ShapeField[]>>;
    }
  | { readonly type: 'group'; readonly key: string; readonly isOptional: boolean; readonly fields: readonly ShapeField[] }
  | { readonly type: 'list'; readonly key: string; readonly most: number; readonly fields: readonly ShapeField[] }
  /** Pairs of numbers: an outline or a section. */
  | { readonly type: 'points'; readonly key: string; readonly least: number; readonly most: number };

/** What the walk needs to know of a schema of the library. */
interface Schema {
  readonly type: string;
  readonly wrapped?: Schema;
  readonly default?: unknown;
  readonly entries?: Readonly<Record<string, Schema>>;
  readonly options?: readonly (Schema | string)[];
  readonly literal?: string;
  readonly item?: Schema;
  readonly pipe?: readonly (Schema & { readonly requirement?: unknown; readonly description?: string; readonly message?: string })[];
}

/** @returns rows in the schema's order, without `kind` */
export function shapeFields(kind: ShapeKind): readonly ShapeField[] {
  const schema = (SHAPE_SCHEMAS as unknown as readonly Schema[]).find(({ entries }) => entries!['kind'].literal === kind)!;
  return fieldsOf(schema);
}

const fieldsOf = ({ entries }: Schema): ShapeField[] =>
  Object.entries(entries!).flatMap(([key, schema]) => (key === 'kind' ? [] : [fieldOf(key, schema)]));

function fieldOf(key: string, given: Schema): ShapeField {
  const isOptional = given.type === 'optional';
  const schema = isOptional ? given.wrapped! : given;
  const part = (type: string) => schema.pipe?.find((one) => one.type === type);
  const limit = (type: string): number => part(type)!.requirement as number;
  switch (schema.type) {
    case 'number':
      return {
        type: 'number',
        key,
        unit: /_m$/.test(key) ? 'm' : /_deg$/.test(key) ? '°' : null,
        isWhole: part('integer') !== undefined,
        least: limit('min_value'),
        most: limit('max_value'),
        byDefault: given.default as number | undefined,
        help: part('description')!.description!,
      };
    case 'picklist':
      return { type: 'choice', key, choices: schema.options as readonly string[] };
    case 'string':
      return { type: 'text', key, wanted: part('regex')!.message! };
    case 'variant':
      return {
        type: 'kinds',
        key,
        isOptional,
        kinds: Object.fromEntries((schema.options as readonly Schema[]).map((one) => [one.entries!['kind'].literal!, fieldsOf(one)])),
      };
    case 'strict_object':
      return { type: 'group', key, isOptional, fields: fieldsOf(schema) };
    case 'array':
      return schema.item!.type === 'strict_tuple'
        ? { type: 'points', key, least: limit('min_length'), most: limit('max_length') }
        : { type: 'list', key, most: limit('max_length'), fields: fieldsOf(schema.item!) };
    default:
      throw new Error(`${key}: a form has no row for ${schema.type}`);
  }
}
