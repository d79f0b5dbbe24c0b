// Runs after `npm ci`: builds everything, and links the command line where `npx lowpoint` looks first.
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';

if (!existsSync('node_modules/vite')) {
  console.error('lowpoint: development packages are missing, so nothing was built. Run: npm ci --include=dev');
  process.exit(0);
}
execFileSync(process.execPath, ['node_modules/vite/bin/vite.js', 'build', '--app', '--logLevel', 'warn'], { stdio: 'inherit' });
mkdirSync('node_modules/.bin', { recursive: true });
const link = 'node_modules/.bin/lowpoint';
rmSync(link, { force: true });
if (process.platform === 'win32') writeFileSync(`${link}.cmd`, '@node "%~dp0\\..\\..\\dist\\cli\\main.mjs" %*\r\n');
else symlinkSync('../../dist/cli/main.mjs', link);
