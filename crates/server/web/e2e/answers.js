// Verdict, figures, long work, files and comparison.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { SHOULDER, settled, TABLE, type, until } from './stand.js';
import { onDrive } from './drawing.js';

async function downloaded(page, act) {
  const [download] = await Promise.all([page.waitForEvent('download'), act()]);
  return { name: download.suggestedFilename(), bytes: readFileSync(await download.path()) };
}

const tab = (page, name) => page.getByRole('tab', { name }).click();

export default [
  ['a check explains itself and leads to the value that causes it', onDrive(async ({ page }) => {
    await settled(page);
    const check = page.locator('li', { hasText: 'trochoid is contracted' });
    await check.getByRole('button', { name: /Formula and source/ }).click();
    await check.locator('.expression').waitFor();
    assert.ok((await check.locator('.explained').innerText()).length > 40);
    await check.locator('.go').click();
    await until('its value has the focus', () => page.evaluate(() => Boolean(document.activeElement?.closest('[data-path^="geometry."]'))));
  })],

  ['a check that takes a study leads to it, and formulas are set with powers and indices', onDrive(async ({ page }) => {
    await settled(page);
    const lot = page.locator('.list li', { hasText: 'yield of a lot of' });
    await lot.getByRole('button', { name: 'to the yield study' }).click();
    await until('the study has the focus', () => page.evaluate(() => document.activeElement?.closest('.study') !== null));
    await lot.getByRole('button', { name: /Formula and source/ }).click();
    // What is explained without a formula stands in two columns, the second as wide as there is room.
    const line = lot.locator('dl dd').first();
    await line.waitFor();
    const wide = await lot.locator('.explained dl').first().boundingBox();
    const text = await line.boundingBox();
    assert.ok(Math.abs(text.x + text.width - wide.x - wide.width) < 1 && text.width > 100, JSON.stringify(text));
    const loops = page.locator('.list li', { hasText: 'trochoid is contracted' });
    await loops.getByRole('button', { name: /Formula and source/ }).click();
    await loops.locator('.expression sub').first().waitFor();
    assert.doesNotMatch(await loops.locator('.expression').innerText(), /[_^]/);
  })],

  ['checks stand by margin, and the counts are those of the command line', onDrive(async ({ page, stand }) => {
    await settled(page);
    const { findings, words } = await stand.json(`/drives/${SHOULDER}/verdict`);
    const margins = findings.filter((row) => row.finding.standing === 'holds' && row.finding.margin !== null).map((row) => row.finding.margin);
    assert.deepEqual(margins, [...margins].sort((a, b) => a - b));
    assert.equal(await page.locator('.counts .unseen').innerText(), words);
    assert.equal(await page.locator('.list li').count(), findings.length);
  })],

  ['plots follow the crank and read values; figures come as CSV, SVG and PNG', onDrive(async ({ page, stand }) => {
    await settled(page);
    await tab(page, 'Does it carry?');
    // Figures follow the verdict when the hand has rested; a zoom before that would be of the old ones.
    await page.waitForTimeout(1000);
    const figures = await stand.json(`/drives/${SHOULDER}/figures`);
    const entry = figures.find((each) => each.follows_crank && each.id.startsWith('load-over-turn'));
    const card = page.locator(`[data-figure="${entry.id}"]`);
    await card.scrollIntoViewIfNeeded();
    await card.locator('.u-over').first().waitFor();
    const mark = () => card.locator('.crank-cursor').first().evaluate((element) => element.style.transform);
    const before = await mark();
    await page.keyboard.press('}');
    await until('the cursor moves', async () => (await mark()) !== before);
    assert.match(await card.locator('.entry b').first().innerText(), /^[\d,.]+$/);
    // The card may be taller than the pane.
    await card.locator('.u-over').first().scrollIntoViewIfNeeded();
    const plot = await card.locator('.u-over').first().boundingBox();
    await page.mouse.move(plot.x + plot.width * 0.3, plot.y + 20);
    await page.mouse.down();
    await page.mouse.move(plot.x + plot.width * 0.5, plot.y + 20, { steps: 5 });
    await page.mouse.up();
    await card.getByRole('button', { name: 'whole range' }).click();
    const csv = await downloaded(page, () => card.getByRole('link', { name: 'Numbers as CSV' }).click());
    assert.equal(csv.name, `orchard-arm-shoulder-${entry.id}.csv`);
    assert.deepEqual(csv.bytes, (await stand.ask(`/drives/${SHOULDER}/figures/${entry.id}.csv`)).bytes);
    const svg = await downloaded(page, () => card.getByRole('button', { name: 'Picture as SVG' }).click());
    assert.match(svg.bytes.toString(), /<svg[\s\S]*font-face[\s\S]*<\/svg>/);
    assert.ok(!svg.bytes.includes('var(--fig'));
    const png = await downloaded(page, () => card.getByRole('button', { name: 'Picture as PNG' }).click());
    assert.equal(png.bytes.subarray(1, 4).toString(), 'PNG');
    assert.ok(png.bytes.length > 20_000, `${png.bytes.length} bytes`);
  })],

  ['plots are of the load case that is drawn', onDrive(async ({ page, stand }) => {
    await settled(page);
    await tab(page, 'Does it carry?');
    const card = page.locator('[data-figure="load-over-turn-rated"]');
    await card.locator('h3', { hasText: 'rated torque' }).waitFor();
    await page.getByLabel('Load case').selectOption('peak');
    await card.locator('h3', { hasText: 'peak torque' }).waitFor();
    const { figure } = await stand.json(`/drives/${SHOULDER}/figures/load-over-turn-peak`);
    await until('its numbers are there', async () => (await card.locator('.caption').innerText()).includes('peak torque'));
    assert.equal(figure.id, 'load-over-turn-peak');
    const csv = await downloaded(page, () => card.getByRole('link', { name: 'Numbers as CSV' }).click());
    assert.equal(csv.name, 'orchard-arm-shoulder-load-over-turn-peak.csv');
    assert.deepEqual(csv.bytes, (await stand.ask(`/drives/${SHOULDER}/figures/load-over-turn-peak.csv`)).bytes);
  })],

  ['figures of the whole come though those of the preview were late', onDrive(async ({ page, stand }) => {
    await settled(page);
    await tab(page, 'How exact is it?');
    const shown = () => page.locator('[data-figure="torque-twist"] dd').first().innerText();
    const before = await shown();
    let count = 0;
    await page.route('**/figures', async (route) => {
      if ((count += 1) === 1) await new Promise((settle) => setTimeout(settle, 2500));
      await route.continue();
    });
    await type(page, 'requirement.rated_torque', '150 N·m');
    await until('the figures of the preview are asked for', () => count > 0);
    await until('the whole is known', async () => (await stand.json(`/drives/${SHOULDER}/verdict`)).stage === 'full');
    const { figure } = await stand.json(`/drives/${SHOULDER}/figures/torque-twist`);
    const display = figure.key_numbers[0].display;
    assert.notEqual(display, before);
    await until('it is there', async () => (await shown()) === display);
  })],

  ['every question has its answers', onDrive(async ({ page }) => {
    await settled(page);
    for (const name of ['Does it mesh?', 'Does it carry?', 'Does it last?', 'How exact is it?', 'What will the shop get?']) {
      await tab(page, name);
      await until(`${name} is answered`, async () =>
        (await page.locator('#answers article, #answers table, #answers .shop li').count()) > 0);
    }
  })],

  ['no table hides a part of a number, at any width', onDrive(async ({ page }) => {
    await settled(page);
    for (const [width, height] of [[1280, 900], [1440, 900], [1920, 1080], [2560, 1440]]) {
      await page.setViewportSize({ width, height });
      for (const name of ['Does it mesh?', 'Does it carry?', 'Does it last?', 'How exact is it?', 'What will the shop get?']) {
        await tab(page, name);
        await page.locator('#answers table').first().waitFor();
        const cut = await until('the tables are laid out', () => page.evaluate(() => {
          const frames = [...document.querySelectorAll('#answers .holder')];
          const isHidden = (frame) => frame.scrollHeight > frame.clientHeight + 1 || (frame.scrollWidth > frame.clientWidth + 1 && !frame.matches('.wide[tabindex="0"]'));
          return frames.length > 0 && [frames.filter(isHidden).map((frame) => frame.closest('figure').innerText.slice(0, 60))];
        }));
        assert.deepEqual(cut[0], [], `${name} at ${width}`);
      }
    }
  })],

  ['a study runs in the background, can be ended, and shows histograms', onDrive(async ({ page, stand }) => {
    await settled(page);
    await tab(page, 'How exact is it?');
    await page.getByLabel('drives', { exact: true }).fill('200000');
    await page.getByLabel('of them under load').fill('0');
    await page.getByRole('button', { name: 'Assemble' }).click();
    await page.locator('.progress.running').waitFor();
    await until('it goes on', async () => Number(await page.locator('.progress progress').getAttribute('value')) > 0, 60_000);
    // The page works meanwhile.
    await page.keyboard.press(']');
    await page.getByRole('button', { name: 'End', exact: true }).click();
    await page.locator('.progress.cancelled').waitFor();
    await page.locator('.note', { hasText: 'ended early' }).waitFor();
    assert.doesNotMatch(await page.locator('.progress').innerText(), / left|a second/);
    await page.getByLabel('drives', { exact: true }).fill('300');
    await page.getByRole('button', { name: 'Assemble' }).click();
    await page.locator('.progress.done').waitFor({ timeout: 120_000 });
    await until('histograms are there', async () => (await page.locator('.study article svg').count()) > 0);
    assert.ok((await page.locator('.study .sentence').count()) > 0);
    // Each bin of a histogram tells its edges and its share.
    const [{ id }] = (await stand.json('/jobs')).filter((job) => job.state === 'done');
    const { figures } = await stand.json(`/jobs/${id}`);
    const { figure } = figures.find((each) => each.figure.body.kind === 'histogram');
    const histogram = page.locator(`.study [data-figure="${figure.id}"] .plot`);
    await histogram.locator('.picture').focus();
    for (const share of figure.body.shares.slice(0, 3)) {
      await page.keyboard.press('ArrowRight');
      assert.ok((await histogram.locator('.read b').last().innerText()).startsWith(share.toFixed(2).slice(0, 3)), `${share}`);
    }
    assert.equal(await histogram.locator('.band').count(), 1);
    const numbers = await downloaded(page, () => page.locator('.study article').first().getByRole('link', { name: 'Numbers as CSV' }).click());
    assert.match(numbers.name, /\.csv$/);
    assert.ok(numbers.bytes.toString().split('\n').length > 5, numbers.bytes.toString());
    // It is of the values that stand there again after they were changed and taken back.
    const old = page.locator('.study .note', { hasText: 'before the last change' });
    assert.equal(await old.count(), 0);
    await type(page, 'requirement.rated_torque', '150 N·m');
    await old.waitFor();
    await page.getByRole('button', { name: /^Undo/ }).click();
    await old.waitFor({ state: 'detached' });
  })],

  ['each shop file is byte for byte what the command line writes', onDrive(async ({ page, stand }) => {
    await settled(page);
    await tab(page, 'What will the shop get?');
    const path = join(stand.drives, SHOULDER);
    const delivered = stand.command('deliver', path);
    // Without the report in this build, what can be made is compared all the same.
    const made = delivered.files.size > 0 ? delivered : stand.command('make', path);
    assert.ok(made.files.size >= 3, made.words);
    const offered = await stand.json(`/drives/${SHOULDER}/shop`);
    const names = offered.map((file) => file.name).filter((name) => made.files.has(name));
    assert.ok(names.length >= 3, names.join());
    for (const name of names) {
      const file = await downloaded(page, () => page.locator('.shop li a', { hasText: new RegExp(`^\\s*${name}\\s*$`) }).click());
      assert.equal(file.name, name);
      assert.ok(file.bytes.equals(made.files.get(name)), `${name} differs`);
    }
    return names.join(', ');
  })],

  ['report and all files are made by one click', onDrive(async ({ page, stand }) => {
    await settled(page);
    const offered = await stand.json(`/drives/${SHOULDER}/shop`);
    await tab(page, 'What will the shop get?');
    await page.getByRole('button', { name: 'Make report and files' }).click();
    await page.locator('.progress.done, .progress.failed').waitFor({ timeout: 180_000 });
    if (!offered.some((file) => file.name === 'report.pdf')) return 'without the report in this build';
    assert.equal(await page.locator('.progress.done').count(), 1, await page.locator('.progress').innerText());
    const file = await downloaded(page, () => page.getByRole('button', { name: /Download all/ }).click());
    assert.ok(file.bytes.length > 100);
  })],

  ['a delivery with a study is byte for byte what the command line writes', onDrive(async ({ page, stand }) => {
    await settled(page);
    await tab(page, 'What will the shop get?');
    await page.getByLabel(/with a study of/).check();
    await page.getByLabel('Assembled drives in the report').fill('400');
    await page.locator('.shop .code', { hasText: '--assemblies 400' }).waitFor();
    await page.getByRole('button', { name: 'Make report and files' }).click();
    await page.locator('.progress.done').waitFor({ timeout: 180_000 });
    const written = stand.command('deliver', join(stand.drives, SHOULDER), '--assemblies', '400');
    const offered = await page.locator('.made a').allInnerTexts();
    assert.ok(offered.includes('yield.json'), offered.join());
    for (const name of offered) {
      const file = await downloaded(page, () => page.locator('.made a', { hasText: new RegExp(`^${name}$`) }).click());
      assert.ok(file.bytes.equals(written.files.get(name)), `${name} differs`);
    }
    return offered.join(', ');
  })],

  ['a map reads its cells, and the crank stands over it', onDrive(async ({ page, stand }) => {
    await settled(page);
    await tab(page, 'Does it carry?');
    const map = page.locator('[data-figure="force-map-rated"]');
    await map.scrollIntoViewIfNeeded();
    await map.locator('.line').first().waitFor();
    assert.equal(await map.locator('.line').count(), 2);
    const { figure, fields_paper_mm: fields } = await stand.json(`/drives/${SHOULDER}/figures/force-map-rated`);
    const [left, top, width, height] = fields[0];
    const picture = map.locator('.picture').first();
    const box = await picture.boundingBox();
    const at = (x, y) => ({ x: (x * box.width) / 165, y: (y * box.width) / 165 });
    // The middle of the cell with the greatest force.
    const panel = figure.body.panels[0];
    const all = panel.cells.flatMap((cells, row) => cells.map((value, column) => ({ value: value ?? 0, row, column })));
    const most = all.reduce((a, b) => (b.value > a.value ? b : a));
    const middle = (edges, index) => (edges[index] + edges[index + 1]) / 2;
    const [low, high] = panel.y.range;
    const x = left + (width * middle(panel.x_edges, most.column)) / 360;
    const y = top + (height * (high - middle(panel.y_edges, most.row))) / (high - low);
    await picture.hover({ position: at(x, y) });
    const words = await map.locator('.read').innerText();
    assert.match(words, new RegExp(`: ${panel.rows[most.row]}\\b`));
    assert.match(words, new RegExp(`: ${most.value.toFixed(0)}\\b`));
    // A click turns the crank there, and its cursor follows.
    await picture.click({ position: at(left + width / 4, y) });
    await until('the crank is there', async () => Math.abs(Number.parseFloat(await page.locator('output.angle').innerText()) - 90) < 1.5);
    const line = await map.locator('.line').first().boundingBox();
    const field = await picture.boundingBox();
    assert.ok(Math.abs(line.x + 1 - field.x - at(left + width / 4, 0).x) < 3, `${line.x} in ${field.x}`);
  })],

  ['a torque–twist loop reads each of its branches and is zoomed', onDrive(async ({ page, stand }) => {
    await settled(page);
    await tab(page, 'How exact is it?');
    const card = page.locator('[data-figure="torque-twist"]');
    await card.scrollIntoViewIfNeeded();
    const plot = card.locator('.u-over').first();
    await plot.waitFor();
    await card.evaluate((element) => element.scrollIntoView({ block: 'start' }));
    const { figure } = await stand.json(`/drives/${SHOULDER}/figures/torque-twist`);
    const branches = figure.body.panels[0].series.map((series) => [...series.pieces[0]].sort(([a], [b]) => a - b));
    const at = (points, x) => {
      const after = points.findIndex(([px]) => px >= x);
      const [[ax, ay], [bx, by]] = [points[after - 1], points[after]];
      return ay + ((by - ay) * (x - ax)) / (bx - ax);
    };
    const box = await plot.boundingBox();
    await page.mouse.move(box.x + box.width * 0.7, box.y + 30);
    const number = (text) => Number(text.replace('−', '-').replace(',', ''));
    const torque = number(await card.locator('.read b').innerText());
    const read = (await card.locator('.legend').first().locator('.entry b').allInnerTexts()).map(number);
    assert.equal(read.length, 3);
    for (const [index, value] of read.entries()) {
      const expected = at(branches[index], torque);
      assert.ok(Math.abs(value - expected) < 0.01, `${value} for ${expected} at ${torque}`);
    }
    // The falling branch lies behind the rising one.
    assert.ok(read[1] > read[0], read.join());
    // The dots are at the values that are read, and not at the points computed.
    const dots = await card.locator('.panel').first().locator('.u-cursor-pt').evaluateAll((all) => all.map((dot) => dot.getBoundingClientRect().x + dot.getBoundingClientRect().width / 2));
    for (const x of dots) assert.ok(Math.abs(x - box.x - box.width * 0.7) < 3, `${x}`);
    // The enlarged part reads as well, is zoomed on its own, and keys zoom both.
    await card.locator('.panel').nth(1).evaluate((element) => element.scrollIntoView({ block: 'start' }));
    const part = await card.locator('.u-over').nth(1).boundingBox();
    await page.mouse.move(part.x + part.width * 0.6, part.y + 30);
    assert.equal(await card.locator('.legend').nth(1).locator('.entry b').count(), 3);
    await page.mouse.down();
    await page.mouse.move(part.x + part.width * 0.8, part.y + 30, { steps: 4 });
    await page.mouse.up();
    await page.mouse.move(part.x + part.width * 0.5, part.y + 30);
    const [from, to] = figure.body.panels[1].detail_x.range;
    assert.ok(Math.abs(number(await card.locator('.read b').innerText()) - (from + 0.7 * (to - from))) < 0.3);
    await card.getByRole('button', { name: 'whole range' }).click();
    await card.locator('.plot').focus();
    await page.keyboard.press('+');
    await card.getByRole('button', { name: 'whole range' }).waitFor();
    await page.keyboard.press('0');
    assert.equal(await card.getByRole('button', { name: 'whole range' }).count(), 0);
  })],

  ['polar plots and orders read what is nearest, by pointer and by keys', onDrive(async ({ page, stand }) => {
    await settled(page);
    const MM = 165;
    const shownOf = async (id) => {
      const card = page.locator(`[data-figure="${id}"]`);
      await card.scrollIntoViewIfNeeded();
      const picture = card.locator('.picture');
      await picture.waitFor();
      const { figure, fields_paper_mm: fields } = await stand.json(`/drives/${SHOULDER}/figures/${id}`);
      const hover = async ([x, y]) => {
        const box = await picture.boundingBox();
        await picture.hover({ position: { x: (x * box.width) / MM, y: (y * box.width) / MM } });
      };
      return { card, picture, body: figure.body, fields, hover, values: () => card.locator('.values b').allInnerTexts() };
    };
    /** Where a vector stands in a round field with a rim of so much. */
    const on = ([left, top, width, height], rim, [x, y]) => [left + (width / 2) * (1 + x / rim), top + (height / 2) * (1 - y / rim)];
    await tab(page, 'Does it carry?');
    const force = await shownOf('bearing-force-rated');
    const ring = force.body.panels[1];
    const tip = ring.series[0].pieces[0][40];
    await force.hover(on(force.fields[1], ring.radius.range[1], tip));
    const [length, direction] = (await force.values()).map((text) => Number.parseFloat(text));
    assert.ok(Math.abs(length - Math.hypot(...tip)) < 25, `${length} for ${Math.hypot(...tip)}`);
    const turn = (Math.atan2(tip[1], tip[0]) * 180) / Math.PI - direction;
    assert.ok(Math.abs(((turn + 540) % 360) - 180) < 3, `${direction} for ${tip}`);
    assert.equal(await force.card.locator('.dot').count(), 1);

    await tab(page, 'How exact is it?');
    const error = await shownOf('transmission-error-polar');
    const [low, high] = error.body.radius.range;
    await error.hover(on(error.fields[1], high - low, [0, 0.5 * (high - low)]));
    const [angle, band] = await error.values();
    assert.ok(Math.abs(Number.parseFloat(angle) - 90) < 0.6 && angle.endsWith('°'), angle);
    const [, least, greatest] = error.body.curves[1].points.find(([deg]) => deg.toFixed(1) === Number.parseFloat(angle).toFixed(1)) ?? [];
    assert.deepEqual(band.replaceAll('−', '-').split(' to ').map(Number), [least, greatest].map((value) => Number(value.toFixed(3))));

    const orders = await shownOf('transmission-error-spectrum');
    await orders.picture.focus();
    for (const stem of orders.body.panels[0].stems.slice(0, 5)) {
      await page.keyboard.press('ArrowRight');
      assert.equal((await orders.values())[0], String(stem.x));
    }
    await page.keyboard.press('ArrowDown');
    assert.match(await orders.card.locator('.values').innerText(), /load clockwise/);
  })],

  ['every picture is zoomed by a drag and by keys, and comes back', onDrive(async ({ page }) => {
    await settled(page);
    for (const [question, id] of [['Does it mesh?', 'section'], ['Does it carry?', 'force-map-rated'], ['Does it last?', 'margins'], ['How exact is it?', 'transmission-error-spectrum']]) {
      await tab(page, question);
      const card = page.locator(`[data-figure="${id}"]`);
      await card.scrollIntoViewIfNeeded();
      const picture = card.locator('.picture');
      await picture.waitFor();
      await picture.evaluate((element) => element.scrollIntoView({ block: 'start' }));
      const frame = await picture.boundingBox();
      const width = () => picture.locator('svg').evaluate((svg) => svg.getBoundingClientRect().width);
      const line = () => picture.locator('svg path:is(.f-edge, .f-axis, .f-grid)').first().evaluate((path) => Number.parseFloat(getComputedStyle(path).strokeWidth) * path.ownerSVGElement.getScreenCTM().a);
      const [before, thin] = [await width(), await line()];
      const [x, y] = [frame.x + frame.width * 0.6, frame.y + 40];
      await page.mouse.move(x, y);
      await page.mouse.down();
      await page.mouse.move(x + frame.width / 4, y + 20, { steps: 4 });
      await page.mouse.up();
      await until(`${id} is zoomed`, async () => Math.abs((await width()) / before - 4) < 0.1);
      // What was dragged over is what is seen, in a frame as large as before, with lines as thin.
      const svg = await picture.locator('svg').boundingBox();
      const seen = (frame.x + frame.width / 2 - svg.x) / svg.width;
      assert.ok(Math.abs(seen - 0.725) < 0.02, `${id}: ${seen}`);
      assert.ok(Math.abs((await picture.boundingBox()).height - frame.height) < 1);
      assert.ok(Math.abs((await line()) - thin) < 0.05, `${id}: ${await line()} for ${thin}`);
      await card.getByRole('button', { name: 'whole picture' }).click();
      assert.equal(await width(), before);
      await picture.focus();
      await page.keyboard.press('+');
      await until(`${id} is zoomed by a key`, async () => (await width()) > 1.3 * before);
      await page.keyboard.press('Escape');
      assert.equal(await width(), before);
    }
  })],

  ['plots are drawn anew after an edit and for another load case, and stay zoomed', onDrive(async ({ page, stand }) => {
    await settled(page);
    await tab(page, 'Does it carry?');
    const card = page.locator('[data-figure="load-over-turn-rated"]');
    await card.scrollIntoViewIfNeeded();
    await card.locator('canvas').first().waitFor();
    await card.evaluate((element) => element.scrollIntoView({ block: 'start' }));
    const box = await card.locator('.u-over').first().boundingBox();
    /** The highest pixels of the curve of one roller, from the bottom of the plot and of its height. */
    const peak = () => card.locator('.panel').first().evaluate((panel) => {
      const canvas = panel.querySelector('canvas');
      const over = panel.querySelector('.u-over').getBoundingClientRect();
      const all = canvas.getBoundingClientRect();
      const scale = canvas.width / all.width;
      const [left, top, width, height] = [over.x - all.x, over.y - all.y, over.width, over.height].map((side) => Math.round(side * scale));
      const { data } = canvas.getContext('2d').getImageData(left, top, width, height);
      // Blue, of the first curve; the others are orange or grey.
      const at = Array.from({ length: width * height }, (_, pixel) => 4 * pixel).findIndex((index) => data[index + 3] > 200 && data[index + 2] - data[index] > 80);
      return 1 - Math.floor(at / width) / height;
    });
    /** The same as the server has it. */
    const expected = async (id) => {
      const { figure } = await stand.json(`/drives/${SHOULDER}/figures/${id}`);
      const [{ series, y }] = figure.body.panels;
      return Math.max(...series[0].pieces.flat().map(([, value]) => value)) / y.range[1];
    };
    // Of rigid discs first, then of the file's own model: both can be told from what was before.
    const follows = async (words, id, other) => {
      let value = other;
      await until(words, async () => {
        value = await expected(id);
        return Math.abs(value - other) > 0.03 && Math.abs((await peak()) - value) < 0.01;
      });
      return value;
    };
    const before = await follows('the plot is of the figure', 'load-over-turn-rated', 0);
    await page.mouse.move(box.x + box.width * 0.5, box.y + 20);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width * 0.95, box.y + 20, { steps: 4 });
    await page.mouse.up();
    await type(page, 'requirement.rated_torque', '260 N·m');
    await follows('the plot follows the edit', 'load-over-turn-rated', before);
    await settled(page);
    const after = await expected('load-over-turn-rated');
    // The part that was zoomed is what is still seen.
    await page.mouse.move(box.x + box.width * 0.5, box.y + 21);
    const middle = Number(await card.locator('.read b').innerText());
    assert.ok(Math.abs(middle - 261) < 2, `${middle}`);
    await page.getByLabel('Load case').selectOption('peak');
    await follows('the plot follows the load case', 'load-over-turn-peak', after);
  })],

  ['a drag that is let go outside ends, keys of the browser stay its own, and a window of another size shows the same place', onDrive(async ({ page }) => {
    await settled(page);
    const card = page.locator('[data-figure="section"]');
    const picture = card.locator('.picture');
    await picture.waitFor();
    await picture.evaluate((element) => element.scrollIntoView({ block: 'start' }));
    const frame = await picture.boundingBox();
    const [x, y] = [frame.x + frame.width / 2, frame.y + 60];
    const whole = card.getByRole('button', { name: 'whole picture' });
    // Pressed at the very edge and let go beyond it.
    await page.mouse.move(frame.x + 2, y);
    await page.mouse.down();
    await page.mouse.move(frame.x - 60, y);
    await page.mouse.up();
    await page.mouse.move(x, y);
    assert.equal(await picture.locator('.band').count(), 0);
    // A drag that is thought better of.
    await page.mouse.down();
    await page.mouse.move(x + 80, y + 20, { steps: 3 });
    assert.equal(await picture.locator('.band').count(), 1);
    await page.keyboard.press('Escape');
    assert.equal(await picture.locator('.band').count(), 0);
    await page.mouse.up();
    assert.equal(await whole.count(), 0);
    // The browser's own zoom.
    await picture.focus();
    const taken = await picture.evaluate((element) =>
      ['+', '-', '0'].map((key) => !element.dispatchEvent(new KeyboardEvent('keydown', { key, ctrlKey: true, bubbles: true, cancelable: true }))));
    assert.deepEqual(taken, [false, false, false]);
    assert.equal(await whole.count(), 0);
    await page.mouse.down();
    await page.mouse.move(x + frame.width / 4, y + 40, { steps: 4 });
    await page.mouse.up();
    await whole.waitFor();
    /** What of the picture stands in the middle of its frame. */
    const middle = async () => {
      const [of, svg] = [await picture.boundingBox(), await picture.locator('svg').boundingBox()];
      return [(of.x + of.width / 2 - svg.x) / svg.width, (of.y + of.height / 2 - svg.y) / svg.height];
    };
    const looked = await middle();
    for (const width of [1280, 2560, 1440]) {
      await page.setViewportSize({ width, height: 900 });
      await until(`the same place is seen at ${width}`, async () => (await middle()).every((share, side) => Math.abs(share - looked[side]) < 0.01));
      const { width: wide, height: high } = await picture.boundingBox();
      assert.ok(Math.abs(wide / high - frame.width / frame.height) < 0.01, `${wide} × ${high}`);
    }
    // The wheel moves what is zoomed, and the page where it is not.
    await whole.click();
    const scrolled = () => page.locator('#answers').evaluate((element) => element.scrollTop);
    const from = await scrolled();
    await picture.hover();
    await page.mouse.wheel(0, 120);
    await until('the wheel scrolls the answers', async () => (await scrolled()) > from);
  })],

  ['two drives stand side by side with their differences', onDrive(async ({ page, stand }) => {
    await page.getByRole('link', { name: 'orchard-arm-shoulder' }).waitFor();
    for (const name of ['orchard-arm-shoulder', 'sorting-table-index']) {
      await page.getByRole('button', { name: `Choose ${name} for comparing` }).click();
    }
    await page.getByRole('link', { name: 'Compare the two' }).click();
    await page.locator('tr.differs', { hasText: 'ring_radius' }).first().waitFor({ timeout: 60_000 });
    const row = page.locator('tr', { has: page.locator('th', { hasText: /^geometry\.ring_radius$/ }) });
    assert.match(await row.innerText(), /62 mm[\s\S]*48 mm/);
    await until('checks of both', async () => (await page.locator('.check').count()) > 20, 60_000);
    // Both are drawn to one scale, and the page says so.
    await page.getByText('drawn to one scale').waitFor();
    const drawn = await page.locator('.heads .picture').evaluateAll((pictures) => pictures.map((picture) =>
      Math.max(...[...picture.querySelectorAll('svg path, svg circle')].filter((each) => !each.closest('defs')).map((each) => each.getBoundingClientRect().width))));
    const drives = await Promise.all([SHOULDER, TABLE].map((file) => stand.json(`/drives/${file}/scene`)));
    const expected = drives[0].outside_radius_mm / drives[1].outside_radius_mm;
    assert.ok(Math.abs(drawn[0] / drawn[1] - expected) < 0.05 * expected, `${drawn} for ${expected}`);
  }, { file: null })],

  ['side by side, what is still being computed says so, and gives way to what was computed', onDrive(async ({ page, stand }) => {
    const pair = [SHOULDER, TABLE];
    await page.goto(`${stand.url}/#/compare/${pair.join('/')}`);
    const cells = () => page.evaluate(() => {
      const isPreview = [...document.querySelectorAll('.heads .stage')].map((each) => each.querySelector('.spin') !== null);
      const rows = [...document.querySelectorAll('[aria-label="Checks"] tbody tr')].map((row) => [...row.querySelectorAll('td')].map((cell) => cell.innerText));
      return { isPreview, rows };
    });
    await until('checks of both', async () => (await page.locator('.check').count()) > 10, 60_000);
    await until('both are complete', async () => {
      const { isPreview, rows } = await cells();
      for (const side of [0, 1]) {
        if (isPreview[side]) assert.ok(!rows.some((row) => /not checked/.test(row[side])), 'called unchecked before its time');
      }
      return isPreview.length === 2 && !isPreview.some(Boolean);
    }, 240_000);
    assert.equal(await page.locator('.wait').count(), 0);
    const { findings } = await stand.json(`/compare?left=${pair[0]}&right=${pair[1]}`);
    const differing = findings.filter((each) => each.differs);
    const { rows } = await cells();
    assert.equal(rows.length, differing.length);
    for (const [at, each] of differing.entries()) {
      for (const side of [0, 1]) assert.ok(rows[at][side].includes(each.rows[side]?.finding.value_display ?? 'not checked'), rows[at][side]);
    }
  }, { file: null })],

  ['a drive beside itself, and beside a file that is no drive, says so in words', onDrive(async ({ page, stand }) => {
    await page.goto(`${stand.url}/#/compare/${TABLE}/${TABLE}`);
    await page.locator('.note', { hasText: 'nothing differs' }).waitFor({ timeout: 60_000 });
    stand.write('broken.toml', 'format = 1\n');
    await page.goto(`${stand.url}/?broken#/compare/broken.toml/${TABLE}`);
    const told = page.getByRole('alert');
    await told.waitFor();
    assert.match(await told.innerText(), /broken\.toml/);
    assert.equal(await page.getByLabel('Left drive').inputValue(), 'broken.toml');
    assert.equal(await page.getByLabel('Right drive').inputValue(), TABLE);
  }, { file: null })],

  ['a drive of one disc works too', onDrive(async ({ page }) => {
    await settled(page);
    assert.equal(await page.getByRole('group', { name: 'Disc', exact: true }).count(), 0);
    assert.ok((await page.locator('g.disc').count()) === 1);
  }, { file: TABLE })],
];
