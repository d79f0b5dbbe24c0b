/** Before the desktop tests: makes sure there is something to test, and gives Electron a display of its own where there is none. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdirSync } from 'node:fs';

export default async function setup(): Promise<() => void> {
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
