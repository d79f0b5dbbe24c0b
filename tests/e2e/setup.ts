/** Before the desktop tests: says what is missing, and gives Electron a display of its own where there is none. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdirSync } from 'node:fs';
import { runtimes } from './runtimes.ts';

export default async function setup(): Promise<() => void> {
  const { missing } = await runtimes(false);
  for (const line of missing) console.error(`desktop tests: ${line}`);
  if (!existsSync('dist/renderer/index.html')) throw new Error('dist/ is missing. Run: npm run build');
  mkdirSync('artifacts', { recursive: true });
  if (process.platform !== 'linux' || process.env['DISPLAY'] || !existsSync('/usr/bin/Xvfb')) return () => undefined;
  const screen = spawn('/usr/bin/Xvfb', ['-displayfd', '1', '-screen', '0', '1600x1000x24', '-nolisten', 'tcp'], {
    stdio: ['ignore', 'pipe', 'ignore'],
  });
  const [number] = (await once(screen.stdout, 'data')) as [Buffer];
  process.env['DISPLAY'] = `:${number.toString().trim()}`;
  return () => screen.kill();
}
