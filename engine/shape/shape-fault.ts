/** Parameters that do not go together: leaves the making of a shape; `makeShape` catches it. */
import type { ShapeError } from '../../shared/shapes.ts';

export class ShapeFault extends Error {
  readonly error: ShapeError;
  constructor(error: ShapeError) {
    super(error.code);
    this.error = error;
  }
}

export function refuseShape(error: ShapeError): never {
  throw new ShapeFault(error);
}

/** Refuses a number that is in its own range and outside what the others leave it. */
export function within(key: string, found: number, from: number | null, to: number | null, why: string): void {
  if ((from === null || found >= from) && (to === null || found <= to)) return;
  const isNone = from !== null && to !== null && from > to;
  refuseShape({ code: 'shape-parameter', key, found, from: isNone ? null : from, to: isNone ? null : to, why });
}
