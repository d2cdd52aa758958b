// The drives as cards, the drawing that moves, and the view in space.
import assert from 'node:assert/strict';
import { Stand, box, driveHash, open, settled, SHOULDER, type, until } from './stand.js';

/** Runs a case with a stand and a page on a drive, and checks that nothing was complained of. */
export function onDrive(run, { file = SHOULDER, options = {}, names } = {}) {
  return async () => {
    const stand = new Stand(names);
    try {
      await stand.start();
      const opened = await open(stand, file ? driveHash(file) : '', options);
      const measured = await run({ stand, ...opened });
      assert.deepEqual(opened.complaints, []);
      await opened.context.close();
      return measured;
    } finally {
      await stand.close();
    }
  };
}

const knob = (page) => page.getByRole('slider', { name: 'Crank' });
const angleOf = async (page) => Number.parseFloat(await page.locator('output.angle').innerText());

/** Translation and turn of an element as they are set on it. */
async function placeOf(page, selector) {
  const text = await page.locator(selector).first().getAttribute('transform');
  const numbers = text.match(/-?[\d.]+(e-?\d+)?/g).map(Number);
  return { x: numbers[0], y: numbers[1], turn: numbers[2] };
}

async function dragKnob(page, toDeg) {
  const svg = await page.locator('.frame > svg').boundingBox();
  const at = await knob(page).boundingBox();
  const middle = { x: svg.x + svg.width / 2, y: svg.y + svg.height / 2 };
  const from = { x: at.x + at.width / 2, y: at.y + at.height / 2 };
  const radius = Math.hypot(from.x - middle.x, from.y - middle.y);
  const begun = Math.atan2(middle.y - from.y, from.x - middle.x);
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  for (let step = 1; step <= 12; step += 1) {
    const angle = begun + ((toDeg * Math.PI) / 180) * (step / 12);
    await page.mouse.move(middle.x + radius * Math.cos(angle), middle.y - radius * Math.sin(angle));
  }
  await page.mouse.up();
}

/** Whether a canvas shows more than one colour, and a sum that tells pictures apart. */
const painted = (page) =>
  page.locator('canvas[role="application"]').evaluate((canvas) => {
    const gl = canvas.getContext('webgl2');
    const pixels = new Uint8Array(gl.drawingBufferWidth * gl.drawingBufferHeight * 4);
    gl.readPixels(0, 0, gl.drawingBufferWidth, gl.drawingBufferHeight, gl.RGBA, gl.UNSIGNED_BYTE, pixels);
    const colours = new Set();
    let sum = 0;
    /** Painted pixels at the edges of the view. */
    let cut = 0;
    const [wide, high] = [gl.drawingBufferWidth, gl.drawingBufferHeight];
    for (let at = 0; at < pixels.length; at += 4) {
      const [x, y] = [(at / 4) % wide, Math.floor(at / 4 / wide)];
      if (pixels[at + 3] > 0 && (x === 0 || y === 0 || x === wide - 1 || y === high - 1)) cut += 1;
      if (pixels[at + 3] > 0) colours.add((pixels[at] << 16) | (pixels[at + 1] << 8) | pixels[at + 2]);
      sum = (sum * 31 + pixels[at] + 7 * pixels[at + 1] + 13 * pixels[at + 3]) % 1_000_000_007;
    }
    return { colours: colours.size, sum, cut };
  });

export default [
  ['the folder shows its drives with their verdicts, and a click opens one', onDrive(async ({ page }) => {
    await page.getByRole('link', { name: 'orchard-arm-shoulder' }).waitFor();
    const shown = await page.evaluate(() => performance.getEntriesByName('first-contentful-paint')[0].startTime);
    await page.locator('.card .words').nth(1).waitFor({ timeout: 60_000 });
    assert.equal(await page.locator('.card').count(), 2);
    assert.ok((await page.locator('.card .picture svg').count()) === 2);
    assert.match(await page.locator('.card .words').first().innerText(), /hold/);
    assert.equal(await page.locator('.card .margin .bar').count(), 2);
    await page.getByRole('link', { name: 'orchard-arm-shoulder' }).click();
    await page.getByRole('heading', { level: 1, name: /fruit-picking arm/ }).waitFor();
    return `first view after ${Math.round(shown)} ms`;
  }, { file: null })],

  ['dragging the crank moves discs, pins and hand as the mechanism does', onDrive(async ({ page, stand }) => {
    await settled(page);
    const [scene, motion] = await Promise.all([
      stand.json(`/drives/${SHOULDER}/scene`),
      stand.json(`/drives/${SHOULDER}/motion?load_case=rated`),
    ]);
    for (const by of [60, 140, -95]) {
      const before = await angleOf(page);
      await dragKnob(page, by);
      const angle = await angleOf(page);
      assert.ok(Math.abs(((angle - before - by + 540) % 360) - 180) < 1.5, `turned from ${before} to ${angle} by ${by}`);
    }
    const hand = await page.locator('g.hand').getAttribute('transform');
    const crank = Number(/-?[\d.]+/.exec(hand)[0]);
    const radians = (crank * Math.PI) / 180;
    const disc = await placeOf(page, 'g.disc');
    // The eccentric's circle and the ratio of the drive, from its own numbers and not from the tables.
    const throwMm = scene.eccentricity_mm;
    assert.ok(Math.hypot(disc.x - throwMm * Math.cos(radians), disc.y - throwMm * Math.sin(radians)) < 1e-4 * throwMm);
    const lobes = scene.roller_centres_mm.length - 1;
    const turn = motion.disc_turn_start_deg[0] - crank / lobes;
    assert.ok(Math.abs(disc.turn - turn) < 1e-9, `${disc.turn} against ${turn}`);
    // Every hole stands round its pin at the throw from it, as drawn.
    const plate = Number(/-?[\d.]+(e-?\d+)?/.exec(await page.locator('g.pins').getAttribute('transform'))[0]);
    const turned = ([x, y], deg) => {
      const [c, s] = [Math.cos((deg * Math.PI) / 180), Math.sin((deg * Math.PI) / 180)];
      return [x * c - y * s, x * s + y * c];
    };
    scene.discs[0].hole_centres_mm.forEach((hole, at) => {
      const [hx, hy] = turned(hole, disc.turn);
      const [px, py] = turned(scene.pin_centres_mm[at], plate);
      assert.ok(Math.abs(Math.hypot(disc.x + hx - px, disc.y + hy - py) - throwMm) < 1e-3);
    });
  })],

  ['a roller under the pointer tells the force of the server’s table', onDrive(async ({ page, stand }) => {
    await settled(page);
    const motion = await stand.json(`/drives/${SHOULDER}/motion?load_case=rated`);
    const forces = motion.poses[0].discs[0].roller_force_n;
    const most = forces.indexOf(Math.max(...forces));
    await page.locator(`[data-roller="${most}"]`).hover();
    const words = await page.locator('.frame .numbers').innerText();
    assert.match(words, new RegExp(`Roller ${most + 1}, disc 1`));
    const shown = Number(/force\s+([\d,.]+) N/.exec(words)[1].replace(',', ''));
    assert.ok(Math.abs(shown - forces[most]) <= 0.5 + 1e-9, `${shown} against ${forces[most]}`);
    assert.ok((await page.locator('g.arrows > path[d^="M"]').count()) > 3);
  })],

  ['words about a roller cover neither it nor its neighbours', onDrive(async ({ page }) => {
    await settled(page);
    const circles = await page.locator('[data-roller]').evaluateAll((all) => all.map((each) => each.getBoundingClientRect()).map(({ x, y, width }) => ({ x: x + width / 2, y: y + width / 2, r: width / 2 })));
    for (let at = 0; at < circles.length; at += 3) {
      await page.locator(`[data-roller="${at}"]`).hover();
      const numbers = page.locator('.frame .numbers', { hasText: `Roller ${at + 1},` });
      // Words of another size are measured before they find their place.
      await until(`nothing near roller ${at + 1} is covered`, async () => {
        const words = await numbers.boundingBox();
        return [-1, 0, 1].every((step) => {
          const { x, y, r } = circles[(at + step + circles.length) % circles.length];
          const dx = x - Math.min(Math.max(x, words.x), words.x + words.width);
          const dy = y - Math.min(Math.max(y, words.y), words.y + words.height);
          return Math.hypot(dx, dy) > r;
        });
      });
    }
  })],

  ['zoom, pan, discs, ghosts, normals and enlarged gaps', onDrive(async ({ page }) => {
    await settled(page);
    const world = () => page.locator('.frame > svg > g').getAttribute('transform');
    const whole = await world();
    await page.keyboard.press('+');
    assert.notEqual(await world(), whole);
    await page.keyboard.press('0');
    assert.equal(await world(), whole);
    const frame = await page.locator('.frame').boundingBox();
    await page.mouse.move(frame.x + frame.width / 2, frame.y + frame.height / 2);
    await page.mouse.wheel(0, -400);
    await until('the wheel zooms', async () => (await world()) !== whole);
    await page.getByRole('button', { name: 'Show the whole' }).click();
    await page.mouse.move(frame.x + 12, frame.y + 60);
    await page.mouse.down();
    await page.mouse.move(frame.x + 62, frame.y + 90);
    await page.mouse.up();
    assert.notEqual(await world(), whole);
    await page.keyboard.press('0');
    const outline = await page.locator('g.disc > path').first().getAttribute('d');
    await page.keyboard.press('x');
    const drawn = () => page.locator('g.disc > path').first().getAttribute('d');
    await until('gaps are drawn larger', async () => (await drawn()) !== outline);
    await page.keyboard.press('x');
    await until('gaps are drawn as they are', async () => (await drawn()) === outline);
    assert.equal(await page.locator('g.ghost').count(), 0);
    await page.keyboard.press('g');
    assert.equal(await page.locator('g.ghost').count(), 1);
    await page.keyboard.press('d');
    assert.equal(await page.getByRole('button', { name: 'Disc 2', exact: true }).getAttribute('aria-pressed'), 'true');
    await page.keyboard.press('n');
    assert.ok((await page.locator('path.normals').getAttribute('d')).split('M').length > 4);
  })],

  ['with the plate held the pins stand and the ring turns', onDrive(async ({ page }) => {
    await settled(page);
    const centre = async (selector) => {
      const { x, y, width, height } = await page.locator(selector).boundingBox();
      return [x + width / 2, y + height / 2];
    };
    const moved = async (selector, act) => {
      const before = await centre(selector);
      await act();
      const after = await centre(selector);
      return Math.hypot(after[0] - before[0], after[1] - before[1]);
    };
    const turn = async () => {
      for (let count = 0; count < 9; count += 1) await page.keyboard.press('}');
    };
    assert.ok((await moved('[data-roller="3"]', turn)) < 0.1);
    assert.ok((await moved('[data-pin="0"]', turn)) > 1);
    await box(page, 'geometry.held_member').selectOption('plate');
    await until('the ring turns', async () => (await page.locator('.frame > svg > g > g').getAttribute('transform')) !== null);
    await settled(page);
    await page.locator('output.angle').click();
    assert.ok((await moved('[data-roller="3"]', turn)) > 1);
    assert.ok((await moved('[data-pin="0"]', turn)) < 0.1);
  })],

  ['the crank plays, smoothly, with all arrows', onDrive(async ({ page }) => {
    await settled(page);
    await page.keyboard.press('n');
    await page.getByRole('button', { name: 'Turn the crank' }).click();
    const before = await angleOf(page);
    const rate = await page.evaluate(() => new Promise((settle) => {
      let count = 0;
      const begun = performance.now();
      const next = (now) => {
        count += 1;
        if (now - begun < 3000) requestAnimationFrame(next);
        else settle((count * 1000) / (now - begun));
      };
      requestAnimationFrame(next);
    }));
    assert.notEqual(await angleOf(page), before);
    await page.getByRole('button', { name: 'Stop the crank' }).click();
    const stopped = await angleOf(page);
    await page.waitForTimeout(200);
    assert.equal(await angleOf(page), stopped);
    return `${rate.toFixed(0)} pictures a second`;
  })],

  ['the view in space shows the drive, moved, cut and drawn apart', onDrive(async ({ page }) => {
    await settled(page);
    const loaded = await page.evaluate(() => performance.getEntriesByType('resource').map((each) => each.name));
    assert.ok(!loaded.some((name) => /Space-.*\.js/.test(name)), 'the view in space is fetched when it is first wanted');
    await page.getByRole('button', { name: 'In space' }).click();
    const first = await until('the canvas is painted', async () => {
      const now = await painted(page).catch(() => ({ colours: 0 }));
      return now.colours > 20 && now;
    });
    const changes = async (words, act) => {
      const before = (await painted(page)).sum;
      await act();
      await until(words, async () => (await painted(page)).sum !== before);
    };
    await changes('the crank moves it', () => page.keyboard.press(']'));
    const canvas = page.locator('canvas[role="application"]');
    for (const apart of ['0.5', '1']) {
      await changes('it is drawn apart', () => page.getByLabel('Drawn apart').fill(apart));
      assert.equal((await painted(page)).cut, 0, `cut off at ${apart}`);
    }
    for (const key of ['ArrowLeft', 'ArrowUp']) {
      for (let press = 0; press < 4; press += 1) await changes('keys turn it', () => canvas.press(key));
      assert.equal((await painted(page)).cut, 0, `cut off after ${key}`);
    }
    await changes('it is cut open', () => page.getByLabel('Cut open').check());
    await changes('parts are hidden', () => page.getByRole('group', { name: 'Parts shown' }).getByRole('button', { name: 'plate' }).click());
    return `${first.colours} colours`;
  })],

  ['nothing is cut off from small tablets to wide screens', onDrive(async ({ page }) => {
    await settled(page);
    for (const [width, height] of [[1024, 768], [1280, 800], [1920, 1080], [2560, 1440]]) {
      await page.setViewportSize({ width, height });
      await page.waitForTimeout(150);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      assert.ok(wide <= width, `${wide} px at ${width}`);
      const frame = await page.locator('.frame').boundingBox();
      assert.ok(frame.width > 300 && frame.height > 180, JSON.stringify(frame));
    }
  })],

  ['geometry that cannot mesh is shown and said, without forces', onDrive(async ({ page }) => {
    await settled(page);
    await type(page, 'geometry.eccentricity', '1.9 mm');
    await page.locator('.stage .note', { hasText: 'does not mesh' }).waitFor();
    await until('a check fails', async () => (await page.locator('li.fails').count()) > 0);
  })],
];
