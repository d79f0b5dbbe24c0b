/** Liquid with a memory, in the window: from parked or from now, a water drop, the tanks filled, a recording played. */
import { execFileSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { FillAnswer } from '../../shared/answers.ts';
import type { ReplayAnswer } from '../../shared/replay-answer.ts';
import { showQuantity } from '../../shared/units.ts';
import { twoBasins } from '../basin-tanks.ts';
import { binaryStl } from '../shapes.ts';
import { type Desktop, startDesktop } from './desktop.ts';
import { axeFindings, openSample, setFill, settled, type } from './hands.ts';
import type { DesktopKind } from './runtimes.ts';

/** Two basins (tests/basin-tanks.ts): the nose is at x = 0, a baffle 1 m high from x = 1 to 1.5, the right one deeper. */
const BASINS_CASE = {
  format: 'lowpoint-case',
  version: 1,
  name: 'Two basins',
  tanks: [
    {
      id: 'basins',
      geometry: { kind: 'mesh', file: 'basins.stl', unit: 'mm' },
      fittings: [{ id: 'sump', kind: 'drain', at_m: [4, 0.5, 0] }],
    },
  ],
  conditions: [{ id: 'parked', phase: 'ground', pitch_deg: 0, roll_deg: 0, n: 1 }],
};

export function fluidTests(kind: DesktopKind, folder: string): void {
  describe(`liquid with a memory in ${kind}, on two basins`, () => {
    let desktop: Desktop;
    let page: Page;
    beforeAll(async () => {
      mkdirSync(folder, { recursive: true });
      writeFileSync(`${folder}/basins.stl`, binaryStl(twoBasins()));
      writeFileSync(`${folder}/basins.case.json`, JSON.stringify(BASINS_CASE));
      desktop = await startDesktop(kind, `${folder}/basins.case.json`);
      page = desktop.page;
      await settled(page);
    });
    afterAll(() => desktop?.close());

    test('fuel from parked lies in one basin, fuel from where it is now in both, by hand', async () => {
      await type(page, 'Fuel amount', '1000 L');
      expect(await poolFigures(page)).toEqual([1000]);
      // Nose down by 40° the baffle holds back a wedge 1 m high and 1/tan 40° long; the rest runs over to the left and stays there.
      const right = 1000 / (2 * Math.tan((40 * Math.PI) / 180));
      await page.getByRole('radio', { name: 'where it is now' }).check();
      await type(page, 'Pitch', '-40');
      expect(await page.getByTestId('history').textContent()).toMatch(/^Fuel followed from where it lay in \d+ steps\./);
      await type(page, 'Pitch', '0');
      const now = await poolFigures(page);
      expect(now).toHaveLength(2);
      for (const [i, expected] of [right, 1000 - right].entries()) expect(Math.abs(now[i] / expected - 1)).toBeLessThan(0.003); // three digits
      await desktop.picture('from-now');
      await page.getByRole('radio', { name: 'as parked' }).check();
      await settled(page);
      expect(await poolFigures(page)).toEqual([1000]);
    });

    test('while the pad is held the fuel is followed in quick steps; a steady answer comes once it rests', async () => {
      const box = await page.locator('.pad svg').boundingBox();
      if (box === null) throw new Error('the pad is not shown');
      const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
      await page.mouse.move(x, y);
      await page.mouse.down();
      await page.mouse.move(x, y + (20 * box.height) / 76);
      await settled(page);
      expect(await page.getByTestId('history').textContent()).toMatch(/^Fuel followed from parked in \d+ steps\. Half as many/);
      await page.mouse.up();
      await page.locator('.pad').press('Home');
      await settled(page);
    });

    test('a water drop: on a slope it falls, runs and reaches the drain, by hand; on level floor it rests where it lands', async () => {
      await page.getByRole('button', { name: 'Drop water' }).click();
      const view = await page.getByTestId('view-canvas').boundingBox();
      if (view === null) throw new Error('the view is not shown');
      await page.mouse.click(view.x + view.width / 2, view.y + view.height / 2);
      const card = page.getByRole('dialog', { name: 'Water drop' });
      await card.getByTestId('water-path').waitFor();
      // Nose up by 10° the right basin's floor falls aft by 10°: from x = 2, z = 1 the drop falls along gravity by 1 m / cos 10° and lands
      // 1 m · tan 10° further aft; from there it runs to the low edge at x = 4.
      await type(page, 'Pitch', '10');
      for (const [axis, metres] of [
        ['Aft X', 2],
        ['Right Y', 0.5],
        ['Up Z', 1],
      ] as const) {
        const field = card.getByRole('textbox', { name: `${axis} of the water drop` });
        await field.fill(`${metres} m`);
        await field.press('Enter');
      }
      const angle = (10 * Math.PI) / 180;
      const run = 2 - Math.tan(angle);
      const fall = 1 / Math.cos(angle);
      await page.waitForFunction(
        (wanted) => document.querySelector('[data-testid=water-path]')?.textContent?.includes(wanted),
        `Fallsonce, ${showQuantity(fall, 'mm')}`,
      );
      const told = (await card.getByTestId('water-path').textContent()) ?? '';
      expect(told).toContain(`Runs${showQuantity(run, 'mm')} along the wall, least slope 10°`);
      expect(told).toContain('Flatnowhere under 1° (common practice, no source)');
      expect(told).toMatch(/Drainsump$/);
      await desktop.picture('water-drop');
      // Level, the floor is flat: it rests where it lands.
      await type(page, 'Pitch', '0');
      await page.waitForFunction(() => /Runsnowhere/.test(document.querySelector('[data-testid=water-path]')?.textContent ?? ''));
      await page.keyboard.press('Escape');
      await card.getByRole('button', { name: 'Close the water drop' }).click();
      // By keyboard: a low point of the list lets one go too.
      const row = page.getByRole('table', { name: 'Low points at this attitude' }).getByRole('button').first();
      await row.focus();
      await page.keyboard.press('Enter');
      await card.getByTestId('water-path').waitFor();
      expect(await axeFindings(page)).toEqual([]);
      await card.getByRole('button', { name: 'Close the water drop' }).click();
      expect(await card.count()).toBe(0);
    });

    test('each low point tells its share of the floor, by hand', async () => {
      // Nose up by 10° water rests on the floors and on the walls that face the nose. Left: 1 m of floor and 0.75 m of the baffle; right: the
      // baffle's top, 0.5 m, 2.5 m of floor and the 3 m of the aft wall.
      await type(page, 'Pitch', '10');
      const [along, against] = [Math.cos((10 * Math.PI) / 180), Math.sin((10 * Math.PI) / 180)];
      const [left, right] = [along + 0.75 * against, 3 * along + 3 * against];
      const cells = await page.getByRole('table', { name: 'Low points at this attitude' }).getByRole('row').allTextContents();
      const shares = cells.map((text) => Number(/([\d.]+)\s*% of the floor/.exec(text)?.[1])).sort((a, b) => a - b);
      expect(shares).toEqual([left, right].map((floor) => Number(((100 * floor) / (left + right)).toFixed(1))));
    });
  });

  describe(`filling and replay in ${kind}, on the samples`, () => {
    let desktop: Desktop;
    let page: Page;
    beforeAll(async () => {
      desktop = await startDesktop(kind);
      page = desktop.page;
      await settled(page);
    });
    afterAll(() => desktop?.close());

    test("filled as far as it goes: the command line's figures; off again, the attitude and amount before", async () => {
      await openSample(page, 'aerobatic-drum');
      await setFill(page, 30);
      await page.getByRole('checkbox', { name: 'Filled as far as it goes' }).check();
      const table = page.getByRole('table', { name: 'Tanks filled as far as they go' });
      await table.waitFor();
      const { tanks } = commandLine<FillAnswer>(['fill', 'sample-geometry/aerobatic-drum.case.json']);
      const text = (await table.textContent()) ?? '';
      for (const { mostFuel_m3, trappedAir_m3, expansionShare } of tanks) {
        near(/Most fuel([\d.,]+)\s*L/.exec(text)?.[1], 1000 * mostFuel_m3, 1e-3);
        near(/cannot leave([\d.,]+)\s*mL/.exec(text)?.[1], 1e6 * trappedAir_m3, 6e-3);
        near(/Expansion space([\d.,]+)\s*%/.exec(text)?.[1], 100 * expansionShare, 6e-3);
        expect(text).toContain(expansionShare >= 0.02 ? 'met: at least 2' : 'not met: at least 2');
      }
      expect(await axeFindings(page)).toEqual([]);
      await desktop.picture('filled');
      await page.getByRole('checkbox', { name: 'Filled as far as it goes' }).uncheck();
      await settled(page);
      expect(await page.getByRole('slider', { name: 'Fuel, share of capacity' }).inputValue()).toBe('30');
    });

    test("the findings have the filling's, as the command line does", async () => {
      await page.waitForSelector('[data-findings=current]', { timeout: 60_000 });
      const { findings } = commandLine<{ findings: { title: string }[] }>(['findings', 'sample-geometry/aerobatic-drum.case.json']);
      const shown = await page.getByRole('list', { name: 'Findings' }).getByRole('listitem').locator('strong').allTextContents();
      expect(shown).toEqual(findings.map(({ title }) => title));
      expect(shown.some((title) => title.startsWith('Expansion space'))).toBe(true);
    });

    test("the sample circuit is replayed: its dry intervals are the command line's", async () => {
      await openSample(page, 'low-wing');
      await setFill(page, 25);
      const start = page.getByRole('button', { name: 'Replay the sample circuit' });
      await start.click();
      // Stopped while it is worked out, it leaves nothing behind, and can be started again.
      await page.waitForSelector('[data-testid=replay][data-state=running] progress');
      await page.getByRole('region', { name: 'Replay' }).getByRole('button', { name: 'Stop' }).click();
      expect(await page.getByTestId('replay').count()).toBe(0);
      await start.click();
      await page.waitForSelector('[data-testid=replay][data-state=ready]', { timeout: 60_000 });
      await settled(page);
      const files = ['sample-geometry/low-wing.case.json', 'sample-geometry/low-wing-circuit.csv'];
      const { dry, condition, time_s } = commandLine<ReplayAnswer>(['replay', ...files, '--fill', '0.25']);
      expect(dry.length).toBeGreaterThan(0);
      const items = page.getByRole('list', { name: 'Dry intervals' }).getByRole('listitem');
      const texts = await items.allTextContents();
      expect(texts).toHaveLength(dry.length);
      for (const [i, { from_s, to_s, fuelOnBoard_m3 }] of dry.entries()) {
        const [, m1, s1, m2, s2, litres] = /(\d+):([\d.]+) to (\d+):([\d.]+)\D.*?([\d.]+)\s*L on board/.exec(texts[i]) ?? [];
        expect(Math.abs(60 * Number(m1) + Number(s1) - from_s)).toBeLessThan(0.051);
        expect(Math.abs(60 * Number(m2) + Number(s2) - to_s)).toBeLessThan(0.051);
        near(litres, 1000 * fuelOnBoard_m3, 6e-3);
      }
      // "Show me" goes to its first row: pad, fittings and words follow.
      await items.first().getByRole('button').click();
      await page.waitForFunction(
        (roll) => document.querySelector('.pad')?.getAttribute('data-roll') === roll,
        String(condition.roll_deg[dry[0].row]),
      );
      await settled(page);
      expect(await page.getByTestId('replay-now').textContent()).toContain('dry');
      expect(await page.getByTestId('history').textContent()).toBe('Fuel as the recording left it.');
      for (const colorScheme of ['dark', 'light'] as const) {
        await page.emulateMedia({ colorScheme });
        expect(await axeFindings(page)).toEqual([]);
        await desktop.picture(`replay-${colorScheme}`);
      }
      expect(Number(await page.getByRole('slider', { name: 'Time' }).getAttribute('max'))).toBe(time_s.length - 1);
    });

    test('it plays and pauses by the space bar, and moves by the arrows', async () => {
      const time = page.getByRole('slider', { name: 'Time' });
      await time.focus();
      const at = async (): Promise<number> => Number(await time.inputValue());
      const before = await at();
      await page.keyboard.press('ArrowRight');
      await page.waitForFunction((row) => (document.querySelector('.plots input') as HTMLInputElement).value === String(row), before + 1);
      await page.keyboard.press(' ');
      await page.waitForFunction((row) => Number((document.querySelector('.plots input') as HTMLInputElement).value) > row + 2, before);
      await page.keyboard.press(' ');
      await page.getByRole('button', { name: 'Play', exact: true }).waitFor();
    });

    test('a hand on the pad leaves the recording, and closing it gives the fuel back', async () => {
      await page.locator('.pad').press('Home');
      await settled(page);
      expect(await page.getByTestId('replay-now').textContent()).toContain('Your own attitude');
      await page.getByRole('slider', { name: 'Time' }).fill('10');
      await page.waitForFunction(() => /on board/.test(document.querySelector('[data-testid=replay-now]')?.textContent ?? ''));
      await page.getByRole('region', { name: 'Replay' }).getByRole('button', { name: 'Close' }).click();
      await settled(page);
      expect(await page.getByTestId('replay').count()).toBe(0);
      expect(await page.getByRole('slider', { name: 'Fuel, share of capacity' }).inputValue()).toBe('25');
    });

    test('a history with a fault is one line that says where', async () => {
      writeFileSync(`${folder}/bad.csv`, 'time_s,pitch_deg,roll_deg,n\n0,0,0,1\n1,steep,0,1\n');
      await desktop.drop(`${folder}/bad.csv`);
      const message = page.getByTestId('message').filter({ hasText: /bad\.csv: Line 3, pitch_deg/ });
      await message.waitFor();
      expect(await page.getByTestId('replay').count()).toBe(0);
      expect(desktop.complaints).toEqual([]);
    });
  });
}

/** Litres of each pool, as shown. */
async function poolFigures(page: Page): Promise<number[]> {
  const cells = await page.getByRole('table', { name: 'Pools at this attitude' }).locator('td').allTextContents();
  return cells.map((text) => Number(text.replace(/[^\d.]/g, ''))).sort((a, b) => b - a);
}

function near(figure: string | undefined, expected: number, relative: number): void {
  const value = Number(figure?.replace(/,/g, ''));
  expect(Math.abs(value - expected)).toBeLessThanOrEqual(relative * Math.abs(expected));
}

function commandLine<T>(args: readonly string[]): T {
  const [verb, ...rest] = args;
  try {
    return JSON.parse(execFileSync(process.execPath, ['dist/cli/main.mjs', verb, ...rest, '--json'], { encoding: 'utf8' })) as T;
  } catch (thrown) {
    // A requirement that is not met ends the command with another code; its answer is whole.
    const { stdout } = thrown as { stdout?: string };
    if (!stdout) throw thrown;
    return JSON.parse(stdout) as T;
  }
}
