/**
 * The known word a mistyped one most likely meant.
 *
 * @returns the nearest word at an edit distance of at most a third of its length (at least 1, at most 3), else null; ties by order
 */
export function suggest(typed: string, known: readonly string[]): string | null {
  let best: string | null = null;
  let bestDistance = Number.POSITIVE_INFINITY;
  for (const word of known) {
    const limit = Math.min(3, Math.max(1, Math.round(word.length / 3)));
    if (Math.abs(word.length - typed.length) > limit) continue;
    const distance = editDistance(typed.toLowerCase(), word.toLowerCase());
    if (distance <= limit && distance < bestDistance) [best, bestDistance] = [word, distance];
  }
  return best;
}

/** Fewest single-character insertions, deletions, replacements and swaps of neighbours. Source: optimal string alignment, common practice. */
function editDistance(a: string, b: string): number {
  let before: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1] ? 0 : 1;
      row[j] = Math.min(last[j] + 1, row[j - 1] + 1, last[j - 1] + same);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) row[j] = Math.min(row[j], before[j - 2] + 1);
    }
    [before, last] = [last, row];
  }
  return last[b.length];
}
