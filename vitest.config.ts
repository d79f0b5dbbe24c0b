import { defineConfig } from 'vitest/config';
import { runtimes } from './tests/e2e/runtimes.ts';

// Desktop tests are collected for the desktops this machine has; a line says what is missing. Under CI all are collected, so a missing one
// fails. Only `npm test` may fetch Electron.
const { here, missing } = await runtimes(process.env['npm_lifecycle_event'] === 'test');
for (const line of missing) console.error(`desktop tests: ${line}`);
const wanted = process.env['CI'] === 'true' ? ['electron', 'chromium'] : here;
const files = wanted.map((kind) => `tests/e2e/${kind}*.test.ts`);

export default defineConfig({
  test: {
    projects: [
      { test: { name: 'unit', include: ['tests/**/*.test.ts'], exclude: ['tests/e2e/**'], testTimeout: 120_000 } },
      {
        test: {
          name: 'e2e',
          include: files.length === 0 ? ['none'] : files,
          globalSetup: 'tests/e2e/setup.ts',
          fileParallelism: false,
          testTimeout: 60_000,
          hookTimeout: 60_000,
        },
      },
    ],
  },
});
