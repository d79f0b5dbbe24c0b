/** Why siting, tolerance, comparison or mould cannot be answered, and the one line for each. */

export type DesignError =
  | { readonly code: 'design-no-tank'; readonly tank: string; readonly tanks: readonly string[] }
  | { readonly code: 'design-spacing-too-fine'; readonly spacing_m: number; readonly places: number; readonly most: number };

/** One line for a person: what, where, what to do. */
export function describeDesignError(error: DesignError): string {
  switch (error.code) {
    case 'design-no-tank':
      return `The case has no tank "${error.tank}". It has ${error.tanks.join(', ')}.`;
    case 'design-spacing-too-fine':
      return `A spacing of ${Number((1000 * error.spacing_m).toPrecision(4))} mm gives ${error.places} places, more than the ${error.most} that are looked at. Give a wider spacing.`;
    default:
      return error satisfies never;
  }
}
