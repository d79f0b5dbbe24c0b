import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    projects: [
      { test: { name: 'unit', include: ['tests/**/*.test.ts'], exclude: ['tests/e2e/**'], testTimeout: 120_000 } },
      { test: { name: 'e2e', include: ['tests/e2e/**/*.test.ts'], fileParallelism: false, testTimeout: 60_000, hookTimeout: 60_000 } },
    ],
  },
});
