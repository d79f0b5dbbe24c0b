/** What a person does in the window, in both desktops. */
import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';

/** Waits until the case is loaded and what is shown belongs to the condition and amount in hand. */
export async function settled(page: Page): Promise<void> {
  await page.waitForSelector('[data-testid=window][data-state=ready][data-settled=current]', { timeout: 20_000 });
}

/** Drags the pad's handle by the mouse, in steps, to a pitch and roll within its reach. */
export async function dragPad(page: Page, pitch_deg: number, roll_deg: number): Promise<void> {
  const box = await page.locator('.pad svg').boundingBox();
  if (box === null) throw new Error('the pad is not shown');
  const perDegree = box.width / 76; // the drawing's own width in degrees
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + roll_deg * perDegree, y - pitch_deg * perDegree, { steps: 8 });
  await page.mouse.up();
  await settled(page);
}

export async function type(page: Page, label: string, text: string, settles = true): Promise<void> {
  const field = page.getByRole('textbox', { name: label, exact: true });
  await field.fill(text);
  await field.press('Enter');
  if (settles) await settled(page);
}

export async function setFill(page: Page, percent: number): Promise<void> {
  await page.getByRole('slider', { name: 'Fuel, share of capacity' }).fill(String(percent));
  await settled(page);
}

/** Opens a sample and waits until the window is on it. */
export async function openSample(page: Page, name: string): Promise<void> {
  await page.getByRole('combobox', { name: 'Sample' }).selectOption(name);
  const { name: title } = JSON.parse(readFileSync(`sample-geometry/${name}.case.json`, 'utf8')) as { name: string };
  await page.waitForFunction((wanted) => document.title.startsWith(wanted), title);
  await settled(page);
}

/** What axe finds against WCAG 2, A and AA. */
export async function axeFindings(page: Page): Promise<string[]> {
  await page.evaluate(readFileSync('node_modules/axe-core/axe.min.js', 'utf8'));
  return page.evaluate(async () => {
    const { axe } = globalThis as unknown as { axe: typeof import('axe-core') };
    const { violations } = await axe.run({ runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] });
    return violations.map(
      ({ id, nodes }) => `${id}: ${nodes.map(({ target, failureSummary }) => `${target} ${failureSummary}`).join('; ')}`,
    );
  });
}
