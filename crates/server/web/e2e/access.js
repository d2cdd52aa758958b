// Keyboard, colours, and the rules of accessibility.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { assetSizes } from './assets.js';
import { box, driveHash, settled, SHOULDER, type, until } from './stand.js';
import { onDrive } from './drawing.js';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** What axe-core finds serious or worse. It is evaluated by the browser's own means, which the page's rule against foreign scripts lets pass. */
async function serious(page, where) {
  await page.evaluate(axe);
  const { violations } = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ['violations'] }));
  return violations
    .filter((each) => each.impact === 'serious' || each.impact === 'critical')
    .map((each) => `${where}: ${each.id}: ${each.nodes.slice(0, 3).map((node) => `${node.target.join(' ')} (${node.any[0]?.message ?? node.failureSummary})`).join('; ')}`);
}

const contrast = (one, other) => {
  const luminance = (text) => {
    const [r, g, b] = text.match(/[\d.]+/g).slice(0, 3).map((each) => Number(each) / 255)
      .map((each) => (each <= 0.04045 ? each / 12.92 : ((each + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const [a, b] = [luminance(one), luminance(other)].sort((x, y) => y - x);
  return (a + 0.05) / (b + 0.05);
};

/** Bytes, gzipped, that the page may fetch without the view in space, and for it. */
const LARGEST_PAGE = 400_000;
const LARGEST_SPACE = 250_000;

export default [
  ['keyboard alone: open, find a value, change it, undo, save, read a roller, turn the crank', onDrive(async ({ page, stand }) => {
    await page.getByRole('link', { name: 'orchard-arm-shoulder' }).waitFor();
    const tabTo = async (words, holds) => {
      for (let press = 0; press < 80; press += 1) {
        await page.keyboard.press('Tab');
        if (await page.evaluate(holds)) return;
      }
      throw new Error(`no ${words} by the tab key`);
    };
    await tabTo('card', () => Boolean(document.activeElement?.matches('.card a[href*="orchard-arm-shoulder"]')));
    await page.keyboard.press('Enter');
    await settled(page);
    await page.keyboard.press('/');
    await page.keyboard.type('eccentricity');
    await tabTo('field', () => Boolean(document.activeElement?.matches('[data-path="geometry.eccentricity"] input[type=text]')));
    await page.locator('[data-path="geometry.eccentricity"] input[type=range]').waitFor();
    await page.keyboard.press('ArrowDown');
    await until('one stop down', async () => (await box(page, 'geometry.eccentricity').inputValue()) === '1.20 mm');
    await page.keyboard.press('Control+z');
    await until('back', async () => (await box(page, 'geometry.eccentricity').inputValue()) === '1.25 mm');
    await page.keyboard.press('Control+a');
    await page.keyboard.type('1.2 mm');
    await page.keyboard.press('Control+s');
    await until('typed and saved', () => stand.read(SHOULDER).includes('eccentricity = "1.2 mm"'));
    await tabTo('crank', () => document.activeElement?.getAttribute('aria-label') === 'Crank');
    const angle = () => page.locator('output.angle').innerText();
    const before = await angle();
    await page.keyboard.press('ArrowUp');
    await until('the crank turns', async () => (await angle()) !== before);
    await page.evaluate(() => document.querySelector('[data-roller="0"]').focus());
    await page.keyboard.press('ArrowRight');
    await page.locator('.frame .numbers', { hasText: 'Roller 2' }).waitFor();
    await page.keyboard.press('v');
    await until('the verdict has the focus', () => page.evaluate(() => Boolean(document.activeElement?.closest('[aria-label="Verdict"]'))));
    await page.keyboard.press('Enter');
    await until('a value has it then', () => page.evaluate(() => Boolean(document.activeElement?.closest('[data-path]'))));
    await page.locator('h1').evaluate((element) => element.focus());
    await page.evaluate(() => document.activeElement?.blur());
    await page.keyboard.press('?');
    await page.getByRole('dialog', { name: 'Keys' }).waitFor();
    await page.keyboard.press('Escape');
    await until('help closes', async () => (await page.getByRole('dialog').count()) === 0);
  }, { file: null })],

  ['the first keys skip to drawing, answers and verdict, and brackets work on the third level of a keyboard', onDrive(async ({ page }) => {
    await settled(page);
    const focused = () => page.evaluate(() => ({
      label: document.activeElement?.getAttribute('aria-label'),
      tab: document.activeElement?.getAttribute('data-tab'),
      isVerdict: Boolean(document.activeElement?.closest('[aria-label="Verdict"]')),
    }));
    const skip = async (presses) => {
      await page.reload();
      await settled(page);
      for (let press = 0; press < presses; press += 1) await page.keyboard.press('Tab');
      await page.keyboard.press('Enter');
      await page.waitForTimeout(100);
      return focused();
    };
    assert.equal((await skip(1)).label, 'Crank');
    assert.equal((await skip(2)).tab, 'mesh');
    assert.ok((await skip(3)).isVerdict);
    await page.keyboard.press('a');
    assert.equal((await focused()).tab, 'mesh');
    await page.keyboard.press('c');
    assert.equal((await focused()).label, 'Crank');
    const angle = () => page.locator('output.angle').innerText();
    const before = await angle();
    await page.evaluate(() => dispatchEvent(new KeyboardEvent('keydown', { key: '}', ctrlKey: true, altKey: true, modifierAltGraph: true })));
    await until('the crank turns', async () => (await angle()) !== before);
  })],

  ['on a tablet the title keeps to one line and says what is not saved', onDrive(async ({ page }) => {
    await settled(page);
    for (const [width, height] of [[820, 1180], [1024, 768]]) {
      await page.setViewportSize({ width, height });
      if ((await page.locator('.unsaved').count()) === 0) await type(page, 'geometry.roller_radius', '2.76 mm');
      await page.locator('.unsaved').waitFor();
      const { head, state, title } = await page.evaluate(() => {
        const box = (words) => document.querySelector(words).getBoundingClientRect().toJSON();
        return { head: box('header .row'), state: box('.unsaved'), title: box('header h1') };
      });
      assert.ok(head.height < 60 && head.right <= width, `${head.height} px high, ${head.right} px wide at ${width}`);
      assert.ok(title.height < 40 && state.left >= title.right, `the title takes ${title.height} px at ${width}`);
      const right = await page.getByRole('button', { name: /^Undo/ }).boundingBox();
      assert.ok(state.width > 40 && state.right <= right.x, 'what is not saved is seen');
    }
  }, { options: { hasTouch: true } })],

  ['an address that names nothing leads to the folder, and says so', onDrive(async ({ page, stand }) => {
    for (const lost of ['#/nowhere', '#/drive/%E0%A4%A']) {
      await page.goto(`${stand.url}/?${encodeURIComponent(lost)}${lost}`);
      await page.getByRole('alert').filter({ hasText: 'names no drive' }).waitFor();
    }
    await page.locator('.card').nth(1).waitFor();
    await page.getByRole('link', { name: 'orchard-arm-shoulder' }).click();
    await page.getByRole('heading', { level: 1, name: /fruit-picking arm/ }).waitFor();
  }, { file: null })],

  ['light and dark, by choice and by the system', onDrive(async ({ page }) => {
    await settled(page);
    const look = () => page.evaluate(() => {
      const pane = getComputedStyle(document.querySelector('.pane'));
      return { sheet: pane.backgroundColor, ink: pane.color, holds: getComputedStyle(document.documentElement).getPropertyValue('--fig-holds') };
    });
    const dark = await look();
    await page.getByRole('button', { name: 'Light', exact: true }).click();
    const light = await look();
    assert.notDeepEqual(dark, light);
    assert.ok(contrast(dark.sheet, dark.ink) > 7 && contrast(light.sheet, light.ink) > 7);
    await page.reload();
    await settled(page);
    assert.deepEqual(await look(), light, 'the choice is kept');
    await page.getByRole('button', { name: 'As the system' }).click();
    assert.deepEqual(await look(), dark);
  }, { options: { colorScheme: 'dark' } })],

  ['axe-core finds nothing serious', onDrive(async ({ page, stand }) => {
    const found = [];
    await page.locator('.card .words').nth(1).waitFor({ timeout: 60_000 });
    found.push(...(await serious(page, 'folder')));
    for (const scheme of ['light', 'dark']) {
      await page.emulateMedia({ colorScheme: scheme });
      await page.goto(`${stand.url}/?${scheme}${driveHash(SHOULDER)}`);
      await settled(page);
      await box(page, 'geometry.eccentricity').fill('nonsense');
      await box(page, 'geometry.eccentricity').press('Enter');
      await page.locator('[data-path="geometry.eccentricity"] [role=alert]').waitFor();
      for (const name of ['Does it mesh?', 'Does it carry?', 'Does it last?', 'How exact is it?', 'What will the shop get?']) {
        await page.getByRole('tab', { name }).click();
        await page.waitForTimeout(700);
        found.push(...(await serious(page, `${scheme}, ${name}`)));
      }
      await page.getByRole('button', { name: 'In space' }).click();
      await page.locator('canvas[role="application"]').waitFor();
      found.push(...(await serious(page, `${scheme}, in space`)));
      await page.getByRole('button', { name: 'Keys' }).click();
      found.push(...(await serious(page, `${scheme}, keys`)));
      await page.keyboard.press('Escape');
    }
    await page.goto(`${stand.url}/?compare#/compare/orchard-arm-shoulder.toml/sorting-table-index.toml`);
    await page.locator('.check').first().waitFor({ timeout: 60_000 });
    found.push(...(await serious(page, 'side by side')));
    assert.deepEqual([...new Set(found)], []);
  }, { file: null })],

  ['what the page fetches stays small, and the view in space comes apart from it', onDrive(async ({ stand }) => {
    const { flat, space } = await assetSizes(stand);
    assert.ok(flat < LARGEST_PAGE, `${flat} bytes of page`);
    assert.ok(space > 50_000 && space < LARGEST_SPACE, `${space} bytes of the view in space`);
    return `${(flat / 1000).toFixed(0)} kB, and ${(space / 1000).toFixed(0)} kB in space`;
  }, { file: null })],
];
