// The picture of the page for the README: `LOBEWRIGHT=path/of/lobewright npm run picture`.
import { writeFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { BINARY, box, closeBrowser, driveHash, open, settled, SHOULDER, Stand } from '../e2e/stand.js';

const TO = resolve(fileURLToPath(import.meta.url), '../../../../../docs/page.webp');
const SIZE = { width: 1600, height: 960 };

if (!BINARY) {
  console.error('LOBEWRIGHT must name the program whose page is to be shown');
  process.exit(2);
}
const stand = await new Stand(['orchard-arm-shoulder']).start();
const { page, context } = await open(stand, driveHash(SHOULDER), { viewport: SIZE, colorScheme: 'light' });
await settled(page);
await page.keyboard.press('n');
await page.keyboard.press('2');
await page.locator('[data-figure]').first().waitFor();
// A value in hand, with its slider and where geometry would break.
await box(page, 'geometry.eccentricity').focus();
await page.locator('.slider').waitFor();
await page.evaluate(() => document.fonts.ready);
await page.waitForTimeout(1500);
const png = await page.screenshot();
// The browser itself packs the picture, on a page that has no rules of its own.
const empty = await context.newPage();
const webp = await empty.evaluate(async (text) => {
  const bitmap = await createImageBitmap(await (await fetch(`data:image/png;base64,${text}`)).blob());
  const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
  canvas.getContext('2d').drawImage(bitmap, 0, 0);
  const blob = await canvas.convertToBlob({ type: 'image/webp', quality: 0.9 });
  return [...new Uint8Array(await blob.arrayBuffer())];
}, png.toString('base64'));
writeFileSync(TO, Buffer.from(webp));
console.log(`${TO}: ${(webp.length / 1000).toFixed(0)} kB`);
await closeBrowser();
await stand.close();
