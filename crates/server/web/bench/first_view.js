// From the start of the navigation to the first complete drawing, and to the folder's cards.
import { driveHash, open } from '../e2e/stand.js';
import { line, median, ms } from './figures.js';

const REPEATS = 7;

/** Runs before the page: keeps when an element that tells of the whole was painted. */
function watchFor(selector) {
  const observer = new MutationObserver(() => {
    if (!document.querySelector(selector)) return;
    observer.disconnect();
    requestAnimationFrame(() => setTimeout(() => (window.completeAt = performance.now())));
  });
  observer.observe(document, { subtree: true, childList: true, attributes: true });
}

/** In a context of its own each time, so that nothing is kept from the visit before. */
async function visit(stand, hash, selector) {
  const { page, context } = await open(stand);
  await context.clearCookies();
  await page.goto('about:blank');
  await page.addInitScript(watchFor, selector);
  const session = await context.newCDPSession(page);
  await session.send('Network.enable');
  await session.send('Network.setCacheDisabled', { cacheDisabled: true });
  await page.goto(`${stand.url}/?first${hash}`);
  await page.waitForFunction(() => window.completeAt, null, { timeout: 120_000 });
  const at = await page.evaluate(() => window.completeAt);
  await context.close();
  return at;
}

async function visits(stand, what, hash, selector) {
  const all = [];
  for (let count = 0; count < REPEATS; count += 1) all.push(await visit(stand, hash, selector));
  line(`first view: ${what}`, `first visit ${ms(all[0])}`, `median ${ms(median(all))}`, `slowest ${ms(Math.max(...all))}`);
}

export async function firstViews(stand, files) {
  await visits(stand, 'cards of the folder', '', '.card .picture svg');
  // Loaded arrows are painted last of all.
  for (const file of files) await visits(stand, `drawing of ${file}`, driveHash(file), '.arrows > path[d^="M"]');
}
