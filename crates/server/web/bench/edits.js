// From an edit to verdict and drawing on screen, beside the server's bare answer to an edit of the same kind.
import { box, driveHash, field, settled } from '../e2e/stand.js';
import { beside, line, median, ms } from './figures.js';

/** Edits of each way that are timed. */
const EDIT_COUNT = 30;
/** Between two typed edits, as a hand makes them; the thorough look at the one before is then still in hand. */
const PAUSE_MS = 400;
/** Steps of the slider without a rest. */
const STEPS_A_RUN = 10;
const PATIENCE_MS = 10_000;
const PATH = 'geometry.eccentricity';

/** Runs in the page: tells when a verdict and a drawing that are newer than those at the edit have been painted. */
function watchAnswers() {
  const verdict = () => Number(document.querySelector('[data-generation]')?.dataset.generation);
  const drawing = () => Number(document.querySelector('[data-drawn]')?.dataset.drawn);
  const state = { begun: 0, from: 0, done: null };
  const begin = () => {
    state.begun = performance.now();
    state.from = Math.max(verdict(), drawing());
  };
  const look = () => {
    if (!state.done || !state.begun || !(Math.min(verdict(), drawing()) > state.from)) return;
    const { begun, done } = state;
    state.begun = 0;
    state.done = null;
    // After the next picture, when it is on the screen.
    requestAnimationFrame(() => setTimeout(() => done(performance.now() - begun)));
  };
  addEventListener('keydown', (event) => {
    if (event.key === 'Enter' || (event.key.startsWith('Arrow') && event.target.type === 'range')) begin();
  }, true);
  new MutationObserver(look).observe(document, { subtree: true, attributes: true, attributeFilter: ['data-generation', 'data-drawn'] });
  window.nextAnswer = () => new Promise((settle) => (state.done = settle));
}

/** The server's own time for an edit, as a program would ask it. */
async function bare(stand, file, text) {
  const begun = performance.now();
  const desk = await stand.edit(file, PATH, text);
  const verdict = await stand.json(`/drives/${file}/verdict`);
  if (verdict.generation < desk.generation) throw new Error('the verdict is older than the edit');
  return performance.now() - begun;
}

/** Values that were never looked at before, close to the present one. */
function values(text) {
  const now = Number.parseFloat(text);
  const unit = text.replace(/^[\d.]+/, '');
  let count = 0;
  return () => `${(now * (1 - 0.0004 * (count += 1))).toFixed(5)}${unit}`;
}

async function timed(page, act) {
  const seen = page.evaluate(() => window.nextAnswer());
  await act();
  let timer;
  const late = new Promise((_, fail) => (timer = setTimeout(() => fail(new Error('an edit got no answer')), PATIENCE_MS)));
  return Promise.race([seen, late]).finally(() => clearTimeout(timer));
}

/** One example: the baseline while nobody looks on, then typed values and slider steps. */
export async function edits(stand, page, file) {
  await page.goto('about:blank');
  const form = (await stand.json(`/drives/${file}`)).form.flatMap((section) => section.fields);
  const next = values(form.find((entry) => entry.path === PATH).text);
  const baseline = [];
  for (let count = 0; count < EDIT_COUNT; count += 1) {
    baseline.push(await bare(stand, file, next()));
    await new Promise((settle) => setTimeout(settle, PAUSE_MS));
  }
  await page.goto(`${stand.url}/${driveHash(file)}`);
  await settled(page);
  await page.evaluate(watchAnswers);
  const typed = [];
  for (let count = 0; count < EDIT_COUNT; count += 1) {
    await box(page, PATH).fill(next());
    typed.push(await timed(page, () => box(page, PATH).press('Enter')));
    await page.waitForTimeout(PAUSE_MS);
  }
  const begun = performance.now();
  await settled(page);
  const rest = performance.now() - begun + PAUSE_MS;
  const slid = await slide(page);
  beside(`${file}: typed, to verdict and drawing`, typed, baseline);
  beside(`${file}: slider, to verdict and drawing`, slid, baseline);
  line(`${file}: baseline`, `median ${ms(median(baseline))}`, `the file's own load model ${ms(rest)} later`);
}

async function slide(page) {
  await box(page, PATH).focus();
  const slider = field(page, PATH).locator('input[type=range]');
  await slider.waitFor();
  const slid = [];
  while (slid.length < EDIT_COUNT) {
    // One way only: there and back would find what is known already.
    slid.push(await timed(page, () => slider.press('ArrowLeft')));
    // The stops are renewed when the slider rests; without that it comes to their end.
    if (slid.length % STEPS_A_RUN === 0) await page.waitForTimeout(2 * PAUSE_MS);
  }
  return slid;
}
