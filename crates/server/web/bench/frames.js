// Pictures a second while the crank plays with all that can be drawn, and what one picture costs the page.
import { driveHash, settled } from '../e2e/stand.js';
import { line, ms } from './figures.js';

const SECONDS = 5;
/** What the browser's own account calls the work of the page's thread. */
const PARTS = { script: 'ScriptDuration', style: 'RecalcStyleDuration', layout: 'LayoutDuration', all: 'TaskDuration' };

/** Counts pictures for some seconds. */
const pictures = (page) => page.evaluate((seconds) => new Promise((settle) => {
  let count = 0;
  let begun = 0;
  const next = (now) => {
    begun ||= now;
    if (now - begun >= 1000 * seconds) settle({ count, rate: (count * 1000) / (now - begun) });
    else {
      count += 1;
      requestAnimationFrame(next);
    }
  };
  requestAnimationFrame(next);
}), SECONDS);

async function accounted(page, run) {
  const session = await page.context().newCDPSession(page);
  // Time on the processor, so that other work on the machine does not count.
  await session.send('Performance.enable', { timeDomain: 'threadTicks' });
  const read = async () => {
    const { metrics } = await session.send('Performance.getMetrics');
    return new Map(metrics.map(({ name, value }) => [name, value]));
  };
  const before = await read();
  const result = await run();
  const after = await read();
  await session.detach();
  const spent = (name) => (1000 * (after.get(name) - before.get(name))) / result.count;
  return { ...result, spent: Object.fromEntries(Object.entries(PARTS).map(([part, name]) => [part, spent(name)])) };
}

/** The rate of a page that draws nothing but asks for every picture. */
export async function emptyRate(page) {
  await page.goto('about:blank');
  return (await pictures(page)).rate;
}

/** The drive with arrows, pressures, normals, other discs, every plot that follows the crank. */
export async function frames(stand, page, file, empty) {
  await page.goto(`${stand.url}/?frames-${file}${driveHash(file)}`);
  await settled(page);
  for (const key of ['n', 'g']) await page.keyboard.press(key);
  await page.getByRole('button', { name: 'Turn the crank' }).click();
  await page.waitForTimeout(500);
  const { rate, spent } = await accounted(page, () => pictures(page));
  await page.getByRole('button', { name: 'Stop the crank' }).click();
  line(`${file}: the crank plays`, `${rate.toFixed(0)} pictures a second (× ${(rate / empty).toFixed(2)} of an empty page)`,
    `own work a picture ${ms(spent.all)}`, `script ${ms(spent.script)}, style ${ms(spent.style)}, layout ${ms(spent.layout)}`);
}
