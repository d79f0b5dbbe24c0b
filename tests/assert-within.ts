/** The one numeric comparison of the tests: relative, two-sided, and false for anything that is not a number. */

/**
 * @param relative - largest |actual − expected| as a share of `of`
 * @param of - what the share is taken of; give the tank's size or volume where `expected` may be 0
 * @throws with all three figures; also when a figure is NaN or infinite
 */
export function assertWithin(actual: number, expected: number, relative: number, of = Math.abs(expected)): void {
  const off = Math.abs(actual - expected);
  if (Number.isFinite(actual) && Number.isFinite(expected) && off <= relative * of) return;
  throw new Error(`${actual} should be ${expected} within ${relative} of ${of}: off by ${off} (${off / of} of it)`);
}

/**
 * Halving the facets must divide the error by about 4: between 3.5 and 4.5, room for the facet that the level cuts.
 * @param errors - for facets halved from one to the next
 */
export function assertSecondOrder(errors: readonly number[]): void {
  const ratios = errors.slice(1).map((error, i) => errors[i] / error);
  if (ratios.length > 0 && ratios.every((ratio) => ratio >= 3.5 && ratio <= 4.5)) return;
  throw new Error(`errors ${errors.join(', ')} should fall by about 4 each time, they fell by ${ratios.join(', ')}`);
}
