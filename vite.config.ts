import { chmodSync, readFileSync } from 'node:fs';
import { type BuildEnvironmentOptions, defineConfig, type EnvironmentOptions, type Plugin } from 'vite';

/** A Node-side bundle with flat names, so that `new URL('./x.mjs', import.meta.url)` finds its neighbour. */
function node(outDir: string, input: Record<string, string>, format: 'cjs' | 'es'): EnvironmentOptions {
  const extension = format === 'cjs' ? 'cjs' : 'mjs';
  return {
    consumer: 'server',
    resolve: { noExternal: true, external: ['electron'] },
    build: {
      outDir,
      target: 'node18',
      emptyOutDir: true,
      rolldownOptions: {
        input,
        external: ['electron', /^node:/],
        platform: 'node',
        output: { format, entryFileNames: `[name].${extension}`, chunkFileNames: `[name].${extension}` },
      },
    },
  };
}

/** manifold-3d looks for its wasm beside the script; a server bundle does not copy it by itself. */
const kernelBesideScript: Plugin = {
  name: 'kernel-beside-script',
  applyToEnvironment: (environment) => environment.name === 'cli',
  generateBundle() {
    this.emitFile({ type: 'asset', fileName: 'manifold.wasm', source: readFileSync('node_modules/manifold-3d/manifold.wasm') });
  },
};

/** Silent where all is well: the kernel's branch for Node is never taken in the page, and its chunk is as large as it is. */
const quiet: NonNullable<BuildEnvironmentOptions['rolldownOptions']> = {
  checks: { pluginTimings: false },
  onLog: (level, log, show) => log.message.includes('"node:module" has been externalized') || show(level, log),
};

/** Each build writes the command line anew, and `npx lowpoint` runs it as a program. */
const runnable: Plugin = {
  name: 'runnable',
  applyToEnvironment: (environment) => environment.name === 'cli',
  writeBundle: () => chmodSync('dist/cli/main.mjs', 0o755),
};

export default defineConfig({
  root: 'renderer',
  base: './',
  worker: { format: 'es', rolldownOptions: quiet },
  builder: {},
  plugins: [kernelBesideScript, runnable],
  oxc: { jsx: { runtime: 'automatic', importSource: 'preact' } },
  environments: {
    client: {
      build: { outDir: '../dist/renderer', emptyOutDir: true, target: 'chrome114', chunkSizeWarningLimit: 2000, rolldownOptions: quiet },
    },
    main: node('../dist/electron', { main: 'electron/main.ts' }, 'cjs'),
    preload: node('../dist/preload', { preload: 'electron/preload.ts' }, 'cjs'),
    cli: node(
      '../dist/cli',
      { main: 'engine/cli/main.ts', start: 'electron/start.ts', samples: 'sample-geometry/make.ts', bench: 'tests/bench/bench.ts' },
      'es',
    ),
  },
});
