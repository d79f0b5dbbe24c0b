/** How a sample is handed over, and the small steps from millimetres to a case file with short numbers. */
import type { Condition } from '../shared/answers.ts';
import type { CASE_FORMAT, CASE_VERSION, CaseCondition, CaseFitting, CaseLine, CaseTank, FittingKind } from '../shared/case.ts';
import { distanceOutside, type Point } from './probe.ts';
import type { Surface } from './surface.ts';

/** A case as written: optional keys may be left out. */
export interface SampleCase {
  readonly format: typeof CASE_FORMAT;
  readonly version: typeof CASE_VERSION;
  readonly name: string;
  readonly note: string;
  readonly fuel: { readonly name: string; readonly density_kg_m3: number; readonly kinematicViscosity_m2_s: number };
  readonly tanks: readonly CaseTank[];
  readonly lines: readonly CaseLine[];
  readonly conditions: readonly CaseCondition[];
  readonly requirements: { readonly rampSlope_deg: number; readonly unusableFuel_m3: number; readonly waterLeft_m3: number };
}

export interface Sample {
  /** File name of the case. */
  readonly file: string;
  readonly case: SampleCase;
  /** Surfaces by the file name the case gives them. */
  readonly meshes: ReadonlyMap<string, Surface>;
  /** Recorded histories to play on it, as text, by file name. */
  readonly histories?: ReadonlyMap<string, string>;
}

/** Density 0.721 kg/L at 15 °C (seen: an encyclopedia article on avgas); viscosity from memory, no specification limits it. */
export const AVGAS = { name: 'Avgas 100LL at 15 °C', density_kg_m3: 721, kinematicViscosity_m2_s: 6e-7 };

const metres = (mm: number): number => Math.round(mm * 10) / 10_000 + 0;
const point_m = (at: Point): [number, number, number] => [metres(at[0]), metres(at[1]), metres(at[2])];

export const FORWARD: Point = [-1, 0, 0];
export const AFT: Point = [1, 0, 0];
export const LEFT: Point = [0, -1, 0];
export const RIGHT: Point = [0, 1, 0];
export const UP: Point = [0, 0, 1];
export const DOWN: Point = [0, 0, -1];

export interface FittingPlan {
  readonly id: string;
  readonly kind: FittingKind;
  readonly name: string;
  /** mm, in the mesh's own frame. */
  readonly at: Point;
  /** mm */
  readonly bore?: number;
  readonly facing?: Point;
}

/** Fittings of one mesh, each proved to lie inside the fuel space or within 0.1 mm of its wall. */
export function fittings(surface: Surface, plans: readonly FittingPlan[], move: Point = [0, 0, 0]): CaseFitting[] {
  return plans.map(({ id, kind, name, at, bore, facing }): CaseFitting => {
    const outside = distanceOutside(surface, at);
    if (outside > 0.1) throw new Error(`${id} lies ${outside} mm outside the tank`);
    return {
      id,
      kind,
      name,
      at_m: point_m([at[0] + move[0], at[1] + move[1], at[2] + move[2]]),
      ...(bore === undefined ? {} : { bore_m: metres(bore) }),
      ...(facing === undefined ? {} : { facing: [...facing] }),
    };
  });
}

/** The same fittings on the other side of the plane of symmetry. */
export function mirrored(list: readonly CaseFitting[]): CaseFitting[] {
  return list.map((fitting) => ({
    ...fitting,
    at_m: [fitting.at_m[0], 0 - fitting.at_m[1], fitting.at_m[2]],
    ...(fitting.facing === undefined ? {} : { facing: [fitting.facing[0], 0 - fitting.facing[1], fitting.facing[2]] }),
  }));
}

export function condition(
  id: string,
  name: string,
  phase: 'ground' | 'flight',
  { pitch_deg, roll_deg, n }: Condition,
  source: string,
): CaseCondition {
  const short = (value: number): number => Math.round(value * 1e4) / 1e4 + 0;
  return { id, name, phase, pitch_deg: short(pitch_deg), roll_deg: short(roll_deg), n: short(n), source };
}

/** Unit vector against gravity at a pitch, nose up, degrees. */
export function upAtPitch(pitch_deg: number): Point {
  const pitch = (pitch_deg * Math.PI) / 180;
  return [-Math.sin(pitch), 0, Math.cos(pitch)];
}

/** The case as text: what fits stands on one line of 140 characters, as the project's formatter has it. */
export function caseText(file: SampleCase): string {
  return `${spread(file, '', 140)}\n`;
}

/** @param room - characters left on the line, 140 for the whole case, which never stands on one */
function spread(value: unknown, indent: string, room: number): string {
  const flat = oneLine(value);
  if (typeof value !== 'object' || value === null || (indent !== '' && flat.length <= room)) return flat;
  const inner = `${indent}  `;
  const items = Array.isArray(value)
    ? value.map((item) => entry(inner, '', item))
    : Object.entries(value).map(([key, item]) => entry(inner, `${JSON.stringify(key)}: `, item));
  const [open, close] = Array.isArray(value) ? '[]' : '{}';
  return `${open}\n${items.join(',\n')}\n${indent}${close}`;
}

function entry(indent: string, key: string, value: unknown): string {
  const lead = indent + key;
  return lead + spread(value, indent, 140 - lead.length - ','.length);
}

function oneLine(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(oneLine).join(', ')}]`;
  if (typeof value !== 'object' || value === null) return JSON.stringify(value);
  return `{ ${Object.entries(value)
    .map(([key, item]) => `${JSON.stringify(key)}: ${oneLine(item)}`)
    .join(', ')} }`;
}
