/**
 * One question in flight, one waiting: a newer question takes the place of the one that waits, so a drag is answered at the pace
 * the engine can hold and the last position is always answered.
 */
export interface LatestWins<Q> {
  ask(question: Q): void;
  /** Forgets what waits and drops the answer in flight. */
  drop(): void;
}

/**
 * @param answer - must not throw
 * @param take - gets the answer and whether a newer question already waits; answers from before `drop` never reach it
 */
export function latestWins<Q, A>(
  answer: (question: Q) => Promise<A>,
  take: (question: Q, answer: A, newerWaits: boolean) => void,
): LatestWins<Q> {
  let waiting: { readonly question: Q } | null = null;
  let busy = false;
  let era = 0;

  async function run(question: Q): Promise<void> {
    busy = true;
    const asked = era;
    const result = await answer(question);
    busy = false;
    if (asked === era) take(question, result, waiting !== null);
    const next = waiting;
    waiting = null;
    if (next !== null && !busy) void run(next.question);
  }

  return {
    ask(question) {
      if (busy) waiting = { question };
      else void run(question);
    },
    drop() {
      waiting = null;
      era++;
    },
  };
}
