import { expect, test } from 'vitest';
import { latestWins } from '../../renderer/latest-wins.ts';

/** Questions whose answers come only when told to. */
function bench() {
  const open: { readonly question: number; readonly answer: () => void }[] = [];
  const taken: { readonly question: number; readonly answer: string; readonly newerWaits: boolean }[] = [];
  const link = latestWins(
    (question: number) => new Promise<string>((resolve) => open.push({ question, answer: () => resolve(`a${question}`) })),
    (question, answer, newerWaits) => taken.push({ question, answer, newerWaits }),
  );
  const answerNext = async () => {
    open.shift()!.answer();
    await new Promise((resolve) => setTimeout(resolve));
  };
  return { link, open, taken, answerNext };
}

test('latestWins: one in flight, the newest waits, those between are never asked', async () => {
  const { link, open, taken, answerNext } = bench();
  for (const question of [1, 2, 3, 4]) link.ask(question);
  expect(open.map(({ question }) => question)).toEqual([1]);
  await answerNext();
  expect(open.map(({ question }) => question)).toEqual([4]);
  await answerNext();
  expect(open).toEqual([]);
  expect(taken).toEqual([
    { question: 1, answer: 'a1', newerWaits: true },
    { question: 4, answer: 'a4', newerWaits: false },
  ]);
});

test('latestWins: asked again after a rest, it answers again', async () => {
  const { link, taken, answerNext } = bench();
  link.ask(1);
  await answerNext();
  link.ask(2);
  await answerNext();
  expect(taken.map(({ question }) => question)).toEqual([1, 2]);
});
