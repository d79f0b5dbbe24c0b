/** The person's main job, in the window, in both desktops: open, tilt, read, save; and what happens to files that are no tank. */
import { execFileSync } from 'node:child_process';
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import type { Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { SettleAnswer } from '../../shared/answers.ts';
import type { CaseFile } from '../../shared/case.ts';
import { binaryStl, box, together } from '../shapes.ts';
import { type Desktop, startDesktop } from './desktop.ts';
import { fluidTests } from './fluid-window-tests.ts';
import { axeFindings, dragPad, setFill, settled, type } from './hands.ts';
import type { DesktopKind } from './runtimes.ts';

/** A box tank 400 × 1000 × 200 mm about the centre line, its outlet at the left end, 10 mm above the floor. Capacity 80 L. */
const BOX = { length: 0.4, width: 1, height: 0.2, outletAbove: 0.01 };
const BOX_CASE = {
  format: 'lowpoint-case',
  version: 1,
  name: 'Box across the cabin',
  fuel: { name: 'a test fuel', density_kg_m3: 720 },
  tanks: [
    {
      id: 'box',
      name: 'Box tank',
      geometry: { kind: 'mesh', file: 'box.stl', unit: 'mm' },
      fittings: [
        { id: 'out', kind: 'outlet', at_m: [0.2, -BOX.width / 2, BOX.outletAbove] },
        { id: 'vent', kind: 'vent', at_m: [0.2, 0, BOX.height] },
      ],
    },
  ],
  conditions: [{ id: 'slip', name: 'Slip', phase: 'flight', pitch_deg: 0, roll_deg: 20, n: 1 }],
};

export function windowTests(kind: DesktopKind): void {
  const folder = `artifacts/${kind}-files`;
  beforeAll(() => {
    mkdirSync(folder, { recursive: true });
    const stl = binaryStl(box([0, -BOX.width / 2, 0], [BOX.length, BOX.width / 2, BOX.height]));
    writeFileSync(`${folder}/box.stl`, stl);
    writeFileSync(`${folder}/box.case.json`, JSON.stringify(BOX_CASE));
    writeFileSync(`${folder}/cut-off.stl`, stl.subarray(0, 300)); // its header tells of 12 triangles
    writeFileSync(`${folder}/torn.stl`, withoutCorner(binaryStl(box([0, 0, 0], [1, 1, 1]))));
    const twoBoxes = together(box([0, 0, 0], [1, 1, 1]), box([0.5, 0.5, 0.5], [1.5, 1.5, 1.5]));
    writeFileSync(`${folder}/two-boxes.stl`, binaryStl(twoBoxes, 1));
    writeFileSync(`${folder}/notes.txt`, 'not a tank');
    writeFileSync(`${folder}/wrong-key.case.json`, JSON.stringify({ ...BOX_CASE, tanks: [{ ...BOX_CASE.tanks[0], fitings: [] }] }));
  });

  describe(`window in ${kind}, on the sample`, () => {
    let desktop: Desktop;
    let page: Page;
    beforeAll(async () => {
      desktop = await startDesktop(kind);
      page = desktop.page;
      await settled(page);
    });
    afterAll(() => desktop?.close());

    test('it opens on a sample, marked as invented, with pools and findings', async () => {
      expect(await page.getByText('sample, invented').count()).toBe(1);
      expect(await poolRows(page).count()).toBeGreaterThan(0);
      await page.waitForSelector('[data-findings=current]');
      expect(await page.getByRole('list', { name: 'Findings' }).getByRole('listitem').count()).toBeGreaterThan(0);
      await desktop.picture('sample');
      expect(desktop.complaints).toEqual([]);
    });

    test('the window says of the sample what the command line says, level and in a slip', async () => {
      for (const roll_deg of [0, 15]) {
        await dragPad(page, 0, roll_deg);
        const told = commandLine('floatplane', roll_deg, 0.5).tanks.flatMap((tank) => tank.fittings.map(({ cover }) => WORDS[cover]));
        expect(await fittingStates(page)).toEqual(told);
      }
      await desktop.picture('sample-slip');
    });

    test.each(['light', 'dark'] as const)('accessibility: axe finds nothing against WCAG 2 A and AA, %s', async (colorScheme) => {
      await page.emulateMedia({ colorScheme });
      expect(await axeFindings(page)).toEqual([]);
      await desktop.picture(`sample-${colorScheme}`);
    });

    test('every sample opens', async () => {
      const choice = page.getByRole('combobox', { name: 'Sample' });
      const names = readdirSync('sample-geometry').filter((name) => name.endsWith('.case.json'));
      expect(await choice.locator('option').count()).toBe(names.length);
      for (const name of names) {
        await choice.selectOption(name.replace('.case.json', ''));
        await page.waitForFunction(
          (title) => document.title.startsWith(title),
          (JSON.parse(readFileSync(`sample-geometry/${name}`, 'utf8')) as { name: string }).name,
        );
        await settled(page);
        expect(await page.getByRole('alert').allTextContents()).toEqual([]);
        await desktop.picture(`sample-${name.replace('.case.json', '')}`);
      }
    });
  });

  fluidTests(kind, folder);

  describe(`window in ${kind}, on a case from the command line`, () => {
    let desktop: Desktop;
    let page: Page;
    beforeAll(async () => {
      desktop = await startDesktop(kind, `${folder}/box.case.json`);
      page = desktop.page;
      await settled(page);
    });
    afterAll(() => desktop?.close());

    test('the case and the mesh beside it are there', async () => {
      expect(await page.title()).toContain(BOX_CASE.name);
      expect(
        (await page.getByText('of 80.00').count()) +
          (await page.getByText('of 80 L').count()) +
          (await page.getByText('of 80\u00a0L').count()),
      ).toBeGreaterThan(0);
    });

    test('level, then 10° of roll: the level over the outlet, by the rigid-body tilt of a wall-sided tank', async () => {
      // Half full the surface turns about the middle of the box: level over outlet = (H/2 − z)·cos φ − (W/2)·sin φ, along up.
      for (const roll_deg of [0, 10]) {
        await type(page, 'Roll', String(roll_deg));
        const angle = (roll_deg * Math.PI) / 180;
        const depth_mm = 1000 * ((BOX.height / 2 - BOX.outletAbove) * Math.cos(angle) - (BOX.width / 2) * Math.sin(angle));
        const shown = (await fittingRow(page, 'out').textContent()) ?? '';
        expect(shown).toContain('Covered');
        const figure = Number(/([\d.]+)\s*mm above/.exec(shown)?.[1]);
        expect(Math.abs(figure / depth_mm - 1)).toBeLessThan(0.006); // shown to three digits
      }
    });

    test('drag the pad to a slip: the outlet at the high end is dry; the picture is saved', async () => {
      await setFill(page, 25);
      await dragPad(page, 0, 0);
      expect(await fittingStates(page)).toEqual(['Covered', 'Dry']);
      await dragPad(page, 0, 20);
      expect(await page.locator('.pad').getAttribute('data-roll')).toBe('20');
      // A quarter (20 L) would be a wedge √(2·0.05 m²/tan 20°) = 0.52 m wide and 0.19 m high against the right wall: shorter than the box
      // is wide, lower than it is high, so none is left at the left end.
      expect(await fittingStates(page)).toEqual(['Dry', 'Dry']);
      // The level runs through that wedge's thin edge, on the floor.
      const angle = (20 * Math.PI) / 180;
      const reach = Math.sqrt((2 * 0.25 * BOX.width * BOX.height) / Math.tan(angle));
      const below_mm = 1000 * ((BOX.width - reach) * Math.sin(angle) + BOX.outletAbove * Math.cos(angle));
      const figure = Number(/([\d.]+)\s*mm below/.exec((await fittingRow(page, 'out').textContent()) ?? '')?.[1]);
      expect(Math.abs(figure / below_mm - 1)).toBeLessThan(0.006);
      expect(await page.getByTestId('spoken').textContent()).toContain('box out: dry');
      await desktop.save(`${folder}/slip.png`, () => page.getByRole('button', { name: 'Save picture…' }).click());
      const picture = readFileSync(`${folder}/slip.png`);
      expect([...picture.subarray(0, 8)]).toEqual([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
      expect(await coloursIn(page, picture)).toBeGreaterThan(50); // a blank or lost canvas has one
      await desktop.picture('box-slip');
    });

    test('arrow keys move the pad by one degree, Home brings it level', async () => {
      await page.locator('.pad').focus();
      for (const key of ['Home', 'ArrowUp', 'ArrowUp', 'ArrowLeft']) await page.keyboard.press(key);
      expect([await page.locator('.pad').getAttribute('data-pitch'), await page.locator('.pad').getAttribute('data-roll')]).toEqual([
        '2',
        '-1',
      ]);
      await page.keyboard.press('Home');
      await settled(page);
    });

    test('n of 0 is one line beside the field, and the last good state stays', async () => {
      await type(page, 'Load factor n', '0', false);
      await page.waitForSelector('text=Load factor n is 0: without apparent gravity there is no free surface.');
      expect(await poolRows(page).count()).toBe(1);
      await type(page, 'Load factor n', '1');
    });

    test('upside down the fuel lies on the ceiling: the vent is covered, the outlet dry', async () => {
      await type(page, 'Load factor n', '-1');
      expect(await fittingStates(page)).toEqual(['Dry', 'Covered']);
      await type(page, 'Load factor n', '1');
    });

    test.each([
      ['cut-off.stl', /cut-off\.stl: .*\d/],
      ['torn.stl', /torn\.stl: .*open/i],
      ['wrong-key.case.json', /tanks\[0\]\.fitings.*fittings/],
      ['notes.txt', /notes\.txt is neither a case \(\.json\) nor a mesh \(\.stl\)/],
    ])('open %s: one line with what to do, and the last good state stays', async (name, line) => {
      await desktop.open(`${folder}/${name}`, () => page.getByRole('button', { name: 'Open…' }).click());
      if (name === 'torn.stl') await answerUnit(page, 'mm');
      const message = page.getByTestId('message').filter({ hasText: line });
      await message.waitFor();
      const text = await message.textContent();
      expect(text).not.toMatch(/ at .*\.js|undefined|NaN|\[object/);
      expect(await page.title()).toContain(BOX_CASE.name);
      expect(await fittingStates(page)).toHaveLength(2);
      await desktop.picture(`open-${name}`);
      await page.getByRole('button', { name: 'Dismiss' }).click();
    });

    test('drop an STL: its unit is asked with the size each would give; the answer makes a case', async () => {
      await desktop.drop(`${folder}/box.stl`);
      const dialog = page.getByRole('dialog', { name: 'Which unit is this mesh in?' });
      await dialog.waitFor();
      expect(await dialog.getByRole('row', { name: /^mm/ }).textContent()).toMatch(/400\s*mm\s*1,?000\s*mm\s*200\s*mm\s*80\s*L/);
      await desktop.picture('unit-question');
      await answerUnit(page, 'cm'); // ten times as long, a thousand times as much
      await settled(page);
      expect(await page.locator('.fuel header').textContent()).toMatch(/80,?000|8.*10⁴/);
    });

    test('two bodies that overlap are joined in the worker: the kernel runs there too', async () => {
      await desktop.drop(`${folder}/two-boxes.stl`);
      const dialog = page.getByRole('dialog', { name: 'Which unit is this mesh in?' });
      await dialog.waitFor();
      // 1 m³ each, an eighth shared: 1.875 m³ whatever is said of the parts.
      expect(await dialog.getByRole('row', { name: /^m / }).textContent()).toMatch(/1,?875\s*L/);
      await answerUnit(page, 'm');
      await settled(page);
      expect(await page.locator('.fuel header').textContent()).toMatch(/1,?875\s*L/);
    });

    test('drop the case alone: its mesh is found beside it where the shell can, else the line names it', async () => {
      await desktop.drop(`${folder}/box.case.json`);
      if (kind === 'electron') {
        await page.waitForFunction((name) => document.title.startsWith(name), BOX_CASE.name);
        await settled(page);
      } else await page.getByTestId('message').filter({ hasText: 'box.stl' }).waitFor();
    });

    test('drop the case with its mesh: it opens in both', async () => {
      await desktop.drop(`${folder}/box.case.json`, `${folder}/box.stl`);
      await page.waitForFunction((name) => document.title.startsWith(name), BOX_CASE.name);
      await settled(page);
      expect(await fittingStates(page)).toHaveLength(2);
    });

    test('click on the tank wall: a fitting is placed there, on the very wall', async () => {
      const view = await page.getByTestId('view-canvas').boundingBox();
      if (view === null) throw new Error('the view is not shown');
      await page.mouse.click(view.x + view.width / 2, view.y + view.height / 2);
      const card = page.getByRole('dialog', { name: 'Place a fitting here' });
      await card.getByRole('combobox', { name: 'Kind' }).selectOption('drain');
      await desktop.picture('place-fitting');
      await card.getByRole('button', { name: 'Place', exact: true }).click();
      await page.waitForFunction(() => document.querySelectorAll('table.fittings tbody .state').length === 3);
      await settled(page);
      await desktop.save(`${folder}/edited.json`, () => page.getByRole('button', { name: 'Save case…' }).click());
      const saved = JSON.parse(readFileSync(`${folder}/edited.json`, 'utf8')) as CaseFile;
      const placed = saved.tanks[0].fittings.find(({ kind }) => kind === 'drain');
      const [x, y, z] = placed?.at_m ?? [Number.NaN, Number.NaN, Number.NaN];
      const toWalls = [x, BOX.length - x, y + BOX.width / 2, BOX.width / 2 - y, z, BOX.height - z];
      expect(Math.min(...toWalls.map(Math.abs))).toBeLessThan(2e-6); // the file keeps micrometres
      expect(Math.min(...toWalls)).toBeGreaterThan(-2e-6);
      expect(desktop.complaints).toEqual([]);
    });
  });
}

/** The box without the triangles about its corner (0, 0, 0): the hole is folded, so no flat cap closes it. */
function withoutCorner(stl: Uint8Array): Uint8Array {
  const view = new DataView(stl.buffer, stl.byteOffset);
  const touchesCorner = (facet: number): boolean =>
    [12, 24, 36].some((corner) => [0, 4, 8].every((axis) => view.getFloat32(84 + 50 * facet + corner + axis, true) === 0));
  const kept = Array.from({ length: view.getUint32(80, true) }, (_, facet) => facet).filter((facet) => !touchesCorner(facet));
  const torn = new Uint8Array(84 + 50 * kept.length);
  new DataView(torn.buffer).setUint32(80, kept.length, true);
  for (const [place, facet] of kept.entries()) torn.set(stl.subarray(84 + 50 * facet, 134 + 50 * facet), 84 + 50 * place);
  return torn;
}

const WORDS = { covered: 'Covered', partly: 'Partly covered', dry: 'Dry' } as const;

async function answerUnit(page: Page, unit: string): Promise<void> {
  const dialog = page.getByRole('dialog', { name: 'Which unit is this mesh in?' });
  await dialog.getByRole('radio', { name: unit, exact: true }).check();
  await dialog.getByRole('button', { name: 'Open it' }).click();
}

const poolRows = (page: Page): Locator => page.getByRole('table', { name: 'Pools at this attitude' }).getByRole('row');
const fittingRow = (page: Page, id: string): Locator =>
  page
    .getByRole('table', { name: 'Fittings at this attitude' })
    .getByRole('row')
    .filter({ has: page.getByRole('button', { name: id, exact: true }) });

/** The state in words of each fitting, in the order of the case. */
async function fittingStates(page: Page): Promise<string[]> {
  const texts = await page.getByRole('table', { name: 'Fittings at this attitude' }).locator('tbody .state').allInnerTexts();
  return texts.map((text) => text.trim());
}

function commandLine(sample: string, roll_deg: number, fill: number): SettleAnswer {
  const args = [
    'dist/cli/main.mjs',
    'settle',
    `sample-geometry/${sample}.case.json`,
    '--roll',
    String(roll_deg),
    '--fill',
    String(fill),
    '--json',
  ];
  return JSON.parse(execFileSync(process.execPath, args, { encoding: 'utf8' })) as SettleAnswer;
}

/** How many colours a PNG holds, by the browser's own decoder. */
function coloursIn(page: Page, png: Buffer): Promise<number> {
  return page.evaluate(
    async (bytes) => {
      const bitmap = await createImageBitmap(new Blob([Uint8Array.from(bytes)], { type: 'image/png' }));
      const context = new OffscreenCanvas(bitmap.width, bitmap.height).getContext('2d');
      context?.drawImage(bitmap, 0, 0);
      return new Set(new Uint32Array(context?.getImageData(0, 0, bitmap.width, bitmap.height).data.buffer ?? new ArrayBuffer(0))).size;
    },
    [...png],
  );
}
