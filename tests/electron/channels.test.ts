import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { answering, CHANNELS, type Desk } from '../../electron/channels.ts';
import { openedFiles } from '../../electron/file-access.ts';
import { BRIDGE_KEYS } from '../../shared/shell-bridge.ts';
import { describeShellError } from '../../shared/shell-errors.ts';

const SEED = 20261125;
const asked: string[] = [];
const desk: Desk = {
  files: openedFiles('sample-geometry'),
  samplesFolder: 'sample-geometry',
  startPath: () => null,
  askOpen: async () => null,
  async askSave(name) {
    asked.push(name);
    return null;
  },
  save: async (path) => ({ ok: true, value: path }),
};
const answer = answering(desk);

test("channels: each bridge function has its channel; the drop note is the preload's own", () => {
  const functions = BRIDGE_KEYS.filter((key) => !['kind', 'onOpen', 'onCommand'].includes(key));
  expect([...CHANNELS].sort()).toEqual([...functions, 'noteDrop'].sort());
});

describe('channels: a foreign sender is refused on every one, whatever it sends', () => {
  test.each(CHANNELS)('%s', async (channel) => {
    expect(await answer(channel, false, [])).toEqual({ ok: false, error: { code: 'sender-not-ours' } });
  });
});

describe(`channels: 1,000 random argument lists each end in a value or a typed error (seed ${SEED})`, () => {
  test.each(CHANNELS)('%s', async (channel) => {
    const anything = fc.anything({ withBigInt: true, withDate: true, withMap: true, withTypedArray: true, withNullPrototype: true });
    await fc.assert(
      fc.asyncProperty(fc.array(anything, { maxLength: 4 }), async (args) => {
        const outcome = await answer(channel, true, args);
        if (outcome.ok) return;
        expect(outcome.error.code).toBe('argument-not-valid');
        expect(describeShellError(outcome.error)).not.toMatch(/\n| at /);
      }),
      { numRuns: 1000, seed: SEED },
    );
  });
});

test('channels: wrong arguments are refused, right ones are not', async () => {
  const refused = { ok: false, error: { code: 'argument-not-valid' } };
  expect(await answer('readBeside', true, ['handle'])).toMatchObject(refused);
  expect(await answer('readBeside', true, ['handle', 'name', 'more'])).toMatchObject(refused);
  expect(await answer('openSample', true, ['x'.repeat(5000)])).toMatchObject(refused);
  expect(await answer('save', true, ['a.png', 'text'])).toMatchObject(refused);
  expect(await answer('readBeside', true, ['handle', 'name'])).toEqual({ ok: true, value: null });
});

test('save: the page suggests a name, never a folder', async () => {
  asked.length = 0;
  for (const name of ['../../etc/passwd', 'C:\\x\\y.png', '.hidden', '\n', 'slip at 12°.png'])
    await answer('save', true, [name, new ArrayBuffer(1)]);
  expect(asked).toEqual(['etcpasswd', 'Cxy.png', 'hidden', 'untitled', 'slip at 12°.png']);
});

test('dropped: a handle for what the person dropped last, and for nothing else', async () => {
  await answer('noteDrop', true, [[{ name: 'left.stl', path: '/somewhere/left.stl' }]]);
  expect(await answer('dropped', true, ['left.stl'])).toMatchObject({ ok: true, value: expect.any(String) });
  expect(await answer('dropped', true, ['other.stl'])).toEqual({ ok: true, value: null });
  await answer('noteDrop', true, [[]]);
  expect(await answer('dropped', true, ['left.stl'])).toEqual({ ok: true, value: null });
});
