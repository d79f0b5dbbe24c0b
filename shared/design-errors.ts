/** Why siting, tolerance, comparison or mould cannot be answered, and the one line for each. */

export type DesignError =
  | { readonly code: 'design-no-pull' }
  | { readonly code: 'design-resolution-too-fine'; readonly resolution_m: number; readonly least_m: number }
  | { readonly code: 'design-no-tank'; readonly tank: string; readonly tanks: readonly string[] }
  | { readonly code: 'design-spacing-too-fine'; readonly spacing_m: number; readonly places: number; readonly most: number };

/** One line for a person: what, where, what to do. */
export function describeDesignError(error: DesignError): string {
  switch (error.code) {
    case 'design-no-pull':
      return 'The pull is 0, 0, 0: it has no direction. Give one, such as 0,0,1, or auto.';
    case 'design-resolution-too-fine':
      return `A resolution of ${millimetres(error.resolution_m)} mm is too fine for a tank of this size. Give at least ${millimetres(error.least_m)} mm.`;
    case 'design-no-tank':
      return `The case has no tank "${error.tank}". It has ${error.tanks.join(', ')}.`;
    case 'design-spacing-too-fine':
      return `A spacing of ${millimetres(error.spacing_m)} mm gives ${error.places} places, more than the ${error.most} that are looked at. Give a wider spacing.`;
    default:
      return error satisfies never;
  }
}

const millimetres = (length: number): number => Number((1000 * length).toPrecision(3));
