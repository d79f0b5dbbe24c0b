/**
 * Volume, free surface and first moments of the fuel under a level, by the divergence theorem over the wall alone.
 *
 * With w = s − h (height above the level) the field w·up has divergence 1 and vanishes on the level, so the volume below is
 * Σ ∫ w (up·n) dA over the wall's part below it: the cap contributes nothing. Likewise the plan area is −Σ ∫ up·n dA, and
 * ∫ x dV = Σ ∫ x w (up·n) dA − up·½ Σ ∫ w² (up·n) dA. Derivation: divergence theorem applied to w·up, x·w·up and ½w²·up.
 *
 * Heights and levels here are local: along `up` from the solid's own origin, m.
 */

/**
 * One triangle's share of the volume below a level, per unit of its signed projected area: mean of w over the part below, times that part's share.
 * @param s0 s1 s2 - corner heights in ascending order, m
 */
export function shareBelow(s0: number, s1: number, s2: number, level: number): number {
  if (level >= s2) return (s0 + s1 + s2) / 3 - level;
  if (level <= s0) return 0;
  if (level <= s1) {
    const d = level - s0;
    return (-d * d * d) / (3 * (s1 - s0) * (s2 - s0));
  }
  const d = s2 - level;
  return (s0 + s1 + s2) / 3 - level - (d * d * d) / (3 * (s2 - s0) * (s2 - s1));
}

/** Share of a triangle's area that lies below a level, 0 to 1; corner heights ascending. */
export function areaShareBelow(s0: number, s1: number, s2: number, level: number): number {
  if (level >= s2) return 1;
  if (level <= s0) return 0;
  if (level <= s1) return (level - s0) ** 2 / ((s1 - s0) * (s2 - s0));
  return 1 - (s2 - level) ** 2 / ((s2 - s0) * (s2 - s1));
}
