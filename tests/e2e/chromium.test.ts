import { expect, test } from 'vitest';
import { startChromium } from './desktop.ts';
import { shellTests } from './shell-tests.ts';
import { windowTests } from './window-tests.ts';

shellTests('chromium');
windowTests('chromium');

test('without WebGL one line says so, and the figures are all there', async () => {
  const desktop = await startChromium(undefined, ['--disable-3d-apis']);
  try {
    const { page } = desktop;
    await page.waitForSelector('[data-testid=window][data-settled=current]');
    await page.getByText('No WebGL here, so no 3D view').waitFor();
    expect(await page.getByRole('table', { name: 'Pools at this attitude' }).getByRole('row').count()).toBeGreaterThan(1);
    await desktop.picture('no-webgl');
  } finally {
    await desktop.close();
  }
});
