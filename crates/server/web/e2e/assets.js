// How much the page fetches to be whole, without and with the view in space, as gzip would send it.
import { gzipSync } from 'node:zlib';
import { driveHash, open, settled, SHOULDER } from './stand.js';

/** Opens everything that a page can show and weighs what came from the server besides answers. */
export async function assetSizes(stand) {
  const { page, context } = await open(stand);
  await page.goto('about:blank');
  const sizes = new Map();
  const weighing = [];
  page.on('response', (response) => {
    const path = new URL(response.url()).pathname;
    if (!response.url().startsWith(stand.url) || path.startsWith('/api/')) return;
    weighing.push(response.body().then((body) => sizes.set(path, gzipSync(body).length)));
  });
  const weighed = async () => {
    // Faces and icons come a moment after what uses them.
    await page.waitForTimeout(500);
    await Promise.all(weighing.splice(0));
    return [...sizes.values()].reduce((sum, size) => sum + size, 0);
  };
  await page.goto(stand.url);
  await page.locator('.card').first().waitFor();
  await page.goto(`${stand.url}/${driveHash(SHOULDER)}`);
  await settled(page);
  for (const question of ['1', '2', '3', '4', '5']) {
    await page.keyboard.press(question);
    await page.waitForTimeout(100);
  }
  await page.goto(`${stand.url}/#/compare`);
  const flat = await weighed();
  await page.goto(`${stand.url}/${driveHash(SHOULDER)}`);
  await settled(page);
  await page.getByRole('button', { name: 'In space' }).click();
  await page.locator('canvas[role="application"]').waitFor();
  const whole = await weighed();
  await context.close();
  return { flat, space: whole - flat, sizes };
}
