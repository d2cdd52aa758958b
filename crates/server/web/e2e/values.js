// Editing: verdict and drawing follow, refusals stay at their field, nothing typed is lost, the file keeps its comments.
import assert from 'node:assert/strict';
import { Stand, box, driveHash, field, open, settled, SHOULDER, TABLE, type, until } from './stand.js';
import { onDrive } from './drawing.js';

const E = 'geometry.eccentricity';
const lineDiff = (before, after) => {
  const [a, b] = [before.split('\n'), after.split('\n')];
  assert.equal(a.length, b.length, 'no line was added or lost');
  return a.map((line, at) => [line, b[at]]).filter(([one, other]) => one !== other);
};
const unsaved = (page) => page.locator('.unsaved');

export default [
  ['an edit changes drawing and verdict, undo takes it back', onDrive(async ({ page }) => {
    await settled(page);
    const outline = () => page.locator('g.disc > path').first().getAttribute('d');
    const value = () => page.locator('li', { hasText: 'shortening coefficient not above' }).locator('.value').innerText();
    const [firstOutline, firstValue] = [await outline(), await value()];
    await box(page, E).fill('1.2 mm');
    const begun = Date.now();
    await box(page, E).press('Enter');
    await until('the verdict changes', async () => (await value()) !== firstValue);
    const took = Date.now() - begun;
    await until('the drawing changes', async () => (await outline()) !== firstOutline);
    assert.equal(await unsaved(page).count(), 1);
    assert.ok(await field(page, E).evaluate((element) => element.classList.contains('changed')));
    await settled(page);
    await page.locator('h1').click();
    await page.keyboard.press('Control+z');
    await until('the value is back', async () => (await box(page, E).inputValue()) === '1.25 mm');
    await until('the verdict is back', async () => (await value()) === firstValue);
    await until('the drawing is back', async () => (await outline()) === firstOutline);
    assert.equal(await unsaved(page).count(), 0);
    await page.keyboard.press('Control+y');
    await until('it is done again', async () => (await box(page, E).inputValue()) === '1.2 mm');
    return `verdict on screen ${took} ms after the edit`;
  })],

  ['an invalid value is shown at its field and not lost', onDrive(async ({ page, stand }) => {
    await settled(page);
    await type(page, E, '1.2 furlong');
    const problem = field(page, E).getByRole('alert');
    await problem.waitFor();
    assert.match(await problem.innerText(), /furlong/);
    assert.equal(await box(page, E).inputValue(), '1.2 furlong');
    assert.equal(await box(page, E).getAttribute('aria-invalid'), 'true');
    // Other values can be changed meanwhile, and the one that was refused stays as typed.
    await type(page, 'geometry.roller_radius', '2.7 mm');
    await until('the other is taken', async () => (await unsaved(page).count()) === 1);
    assert.equal(await box(page, E).inputValue(), '1.2 furlong');
    const desk = await stand.json(`/drives/${SHOULDER}`);
    const texts = new Map(desk.form.flatMap((section) => section.fields.map((each) => [each.path, each.text])));
    assert.equal(texts.get(E), '1.25 mm');
    assert.equal(texts.get('geometry.roller_radius'), '2.7 mm');
    await type(page, E, '1.24 mm');
    await until('it is taken at last', async () => (await problem.count()) === 0);
  })],

  ['saving changes one line and keeps every comment', onDrive(async ({ page, stand }) => {
    await settled(page);
    const before = stand.read(SHOULDER);
    await type(page, E, '1.22 mm');
    await until('it is taken', async () => (await unsaved(page).count()) === 1);
    assert.equal(stand.read(SHOULDER), before, 'nothing is written before it is saved');
    await page.keyboard.press('Control+s');
    await until('it is saved', async () => (await unsaved(page).count()) === 0);
    const changed = lineDiff(before, stand.read(SHOULDER));
    assert.equal(changed.length, 1);
    assert.match(changed[0][1], /^eccentricity = "1\.22 mm"\s+# K1/);
  })],

  ['the button saves what stands typed in a box, with and without other changes', onDrive(async ({ page, stand }) => {
    await settled(page);
    const button = page.getByRole('button', { name: 'Save', exact: true });
    assert.ok(await button.isDisabled(), 'nothing is to be saved at first');
    for (let time = 0; time < 10; time += 1) {
      const [typed, other] = [`1.2${time} mm`, time % 2 === 1 ? `2.7${time} mm` : null];
      if (other) {
        await type(page, 'geometry.roller_radius', other);
        if (time % 4 === 1) await until('the other is taken', async () => (await unsaved(page).count()) === 1);
      }
      await box(page, E).fill(typed);
      // A hand holds a button for about 100 ms, in which the answer to what was typed comes.
      await button.click({ delay: time % 3 === 0 ? 300 : 0 });
      const written = await until(`the file holds ${typed}`, () => {
        const text = stand.read(SHOULDER);
        return text.includes(`eccentricity = "${typed}"`) && text;
      });
      if (other) assert.ok(written.includes(`roller_radius = "${other}"`), `${other} was left behind`);
      await until('it shows as saved', async () => (await unsaved(page).count()) === 0 && (await button.isDisabled()));
    }
    // What is refused stays where it was typed, is not written, and the title says so.
    const before = stand.read(SHOULDER);
    await box(page, E).fill('1.2 furlong');
    await button.click();
    await page.getByRole('button', { name: '1 not taken', exact: true }).waitFor();
    assert.equal(stand.read(SHOULDER), before);
    assert.equal(await box(page, E).inputValue(), '1.2 furlong');
  })],

  ['a button under a field in hand takes a press that lasts', onDrive(async ({ page }) => {
    await settled(page);
    await box(page, 'requirement.ratio').focus();
    const head = page.locator('.head', { hasText: 'duty 1' });
    const before = await head.boundingBox();
    await head.click({ delay: 300 });
    assert.equal(await head.getAttribute('aria-expanded'), 'true');
    await until('the field above is folded', async () => (await head.boundingBox()).y < before.y);
  }, { options: { viewport: { width: 1440, height: 1600 } } })],

  ['items of lists and left-out values come and go', onDrive(async ({ page }) => {
    await settled(page);
    await page.getByRole('button', { name: 'duty', exact: true }).click();
    await until('a fourth item is there', async () => (await page.locator('.name', { hasText: /duty.*4/i }).count()) === 1);
    await page.keyboard.press('Control+z');
    await until('it is gone', async () => (await page.locator('.name', { hasText: /duty.*4/i }).count()) === 0);
    await box(page, 'requirement.output_force_distance').focus();
    await box(page, 'geometry.pin_free_length').focus();
    await field(page, 'geometry.pin_free_length').getByRole('button', { name: 'leave out' }).click();
    await until('the default shows', async () => (await box(page, 'geometry.pin_free_length').inputValue()) === '');
    assert.ok((await box(page, 'geometry.pin_free_length').getAttribute('placeholder')).length > 0);
  })],

  ['a slider marks where geometry breaks, and one undo takes its whole way back', onDrive(async ({ page, stand }) => {
    await settled(page);
    await box(page, E).focus();
    const slider = field(page, E).locator('input[type=range]');
    await slider.waitFor();
    assert.ok((await field(page, E).locator('.band.fails').count()) > 0);
    const track = await slider.boundingBox();
    await page.mouse.move(track.x + track.width / 2, track.y + track.height / 2);
    await page.mouse.down();
    for (let step = 1; step <= 10; step += 1) {
      await page.mouse.move(track.x + track.width * (0.5 + 0.04 * step), track.y + track.height / 2);
      await page.waitForTimeout(30);
    }
    await field(page, E).locator('.bands', { hasText: 'fails' }).waitFor();
    await page.mouse.up();
    const last = await until('the last stop is taken', async () => {
      const desk = await stand.json(`/drives/${SHOULDER}`);
      return desk.unsaved.find((each) => each.path === E)?.after === (await box(page, E).inputValue()) && desk;
    });
    assert.ok(last.generation > 2, 'values followed while it moved');
    await page.locator('h1').click();
    await page.keyboard.press('Control+z');
    await until('one undo is enough', async () => (await box(page, E).inputValue()) === '1.25 mm');
    assert.equal((await stand.json(`/drives/${SHOULDER}`)).undo, null);
  })],

  ['ten presses of an arrow key are ten stops and one undo, on the slider and in the box', onDrive(async ({ page, stand }) => {
    await settled(page);
    const slider = field(page, E).locator('input[type=range]');
    for (const [place, key, by] of [['range', 'ArrowRight', 1], ['text', 'ArrowUp', 1], ['range', 'ArrowLeft', -1]]) {
      await box(page, E).focus();
      await slider.waitFor();
      const { stops, here } = await until('the scale is that of the value', async () => {
        const scale = await stand.json(`/drives/${SHOULDER}/scale?path=${E}`);
        return scale.stops[scale.here] === '1.25 mm' && (await slider.inputValue()) === String(scale.here) && scale;
      });
      const target = Math.min(Math.max(here + 10 * by, 0), stops.length - 1);
      await field(page, E).locator(`input[type=${place}]`).focus();
      for (let press = 0; press < 10; press += 1) await page.keyboard.press(key);
      assert.equal(await box(page, E).inputValue(), stops[target], `${place}, ${key}`);
      // The thumb never falls back while answers are on their way.
      await until('it is taken', async () => {
        assert.equal(await box(page, E).inputValue(), stops[target]);
        return (await stand.json(`/drives/${SHOULDER}`)).unsaved.some((each) => each.after === stops[target]);
      });
      await page.keyboard.press('Control+z');
      await until('one undo takes all of it back', async () => (await box(page, E).inputValue()) === '1.25 mm');
      assert.equal((await stand.json(`/drives/${SHOULDER}`)).undo, null);
      await page.locator('h1').click();
      await settled(page);
    }
  })],

  ['a file that is no drive shows all that is wrong, and opens when it is mended', onDrive(async ({ page, stand }) => {
    const good = stand.read(TABLE);
    stand.write('broken.toml', good.replace('ring_radius = "48 mm"', 'ring_radius = "48 furlong"').replace(/^disc_width = .*$/m, 'disc_wide = "14 mm"'));
    await page.goto(`${stand.url}/${driveHash('broken.toml')}`);
    const problems = page.locator('main li');
    await problems.first().waitFor();
    const { problems: told } = JSON.parse((await stand.ask('/drives/broken.toml')).bytes);
    assert.ok(told.length >= 2, `${told.length} problems`);
    assert.equal(await problems.count(), told.length);
    for (const [index, { line, message }] of told.entries()) {
      const words = await problems.nth(index).innerText();
      assert.ok(words.includes(line ? `line ${line}` : 'whole file'), words);
      assert.ok(words.includes(message.replaceAll('`', '')) || /_/.test(message), `${words} without ${message}`);
    }
    assert.equal(await page.locator('.computing').count(), 0);
    stand.write('broken.toml', good);
    await settled(page);
    assert.equal(await box(page, 'geometry.ring_radius').inputValue(), '48 mm');
  }, { file: null })],

  ['a change on the disk is merged, and asked about where both sides changed', onDrive(async ({ page, stand }) => {
    await settled(page);
    stand.write(SHOULDER, stand.read(SHOULDER).replace('disc_width = "12 mm"', 'disc_width = "12.5 mm"'));
    await until('the page follows', async () => (await box(page, 'geometry.disc_width').inputValue()) === '12.5 mm');
    await type(page, E, '1.21 mm');
    await until('it is taken', async () => (await unsaved(page).count()) === 1);
    stand.write(SHOULDER, stand.read(SHOULDER).replace('eccentricity = "1.25 mm"', 'eccentricity = "1.23 mm"'));
    const dialog = page.getByRole('dialog');
    await dialog.waitFor();
    const words = await dialog.innerText();
    assert.match(words, /geometry\.eccentricity/);
    assert.match(words, /1\.21 mm/);
    assert.match(words, /1\.23 mm/);
    await dialog.getByRole('button', { name: 'All from the file' }).click();
    await dialog.getByRole('button', { name: 'Take these' }).click();
    await until('that of the disk holds', async () => (await box(page, E).inputValue()) === '1.23 mm');
    assert.equal(await page.getByRole('dialog').count(), 0);
  })],

  ['what kept a drive from being saved is said as long as it does', onDrive(async ({ page, stand }) => {
    const good = stand.read(SHOULDER);
    await settled(page);
    await type(page, E, '1.21 mm');
    await until('it is taken', async () => (await unsaved(page).count()) === 1);
    stand.write(SHOULDER, good.replace('[geometry]', '[geometry'));
    const told = page.locator('.banner[role=alert]');
    await told.filter({ hasText: /cannot be read as a drive now.* \(line \d+\)/ }).waitFor();
    await page.getByRole('button', { name: 'Save', exact: true }).click();
    await told.filter({ hasText: 'nothing was written → ' }).waitFor();
    stand.write(SHOULDER, good);
    await until('the banners go', async () => (await told.count()) === 0);
    await page.getByRole('button', { name: 'Save', exact: true }).click();
    await until('it is saved', () => stand.read(SHOULDER).includes('eccentricity = "1.21 mm"'));
  })],

  ['two tabs on one drive show the same, and what is being typed stays', onDrive(async ({ page, stand, context }) => {
    await settled(page);
    const other = await context.newPage();
    await other.goto(`${stand.url}/${driveHash(SHOULDER)}`);
    await settled(other);
    await box(other, 'geometry.roller_radius').fill('2.7');
    await type(page, E, '1.2 mm');
    await until('the other tab follows', async () => (await box(other, E).inputValue()) === '1.2 mm');
    assert.equal(await box(other, 'geometry.roller_radius').inputValue(), '2.7');
    await other.keyboard.press('Control+z');
    await box(other, 'geometry.roller_radius').press('Escape');
    await other.locator('h1').click();
    await other.keyboard.press('Control+z');
    await until('undo in one is undo in both', async () => (await box(page, E).inputValue()) === '1.25 mm');
  })],

  ['a late answer does not overwrite a newer one', onDrive(async ({ page, stand }) => {
    await settled(page);
    let held = null;
    await page.route('**/scene', async (route) => {
      if (held) return route.continue();
      const answer = await route.fetch();
      let release;
      held = new Promise((settle) => (release = settle)).then(() => route.fulfill({ response: answer }));
      held.release = release;
      return held;
    });
    const outline = () => page.locator('g.disc > path').first().getAttribute('d');
    await type(page, E, '1.1 mm');
    await until('an answer is held', () => held !== null);
    await type(page, E, '1.25 mm');
    await type(page, E, '1.15 mm');
    held.release();
    await until('all are taken', async () => (await stand.json(`/drives/${SHOULDER}`)).unsaved.some((each) => each.after === '1.15 mm'));
    const scene = await stand.json(`/drives/${SHOULDER}/scene`);
    const newest = scene.lobe_path + scene.discs[0].opening_path;
    await until('the newest is drawn', async () => (await outline()) === newest);
    await settled(page);
    await page.unroute('**/scene');
    await page.waitForTimeout(300);
    assert.ok((await outline()) === newest, 'an older drawing came over the newest one');
  })],

  ['undo takes back the last of edits that still wait', onDrive(async ({ page, stand }) => {
    await settled(page);
    const known = () => stand.textOf(SHOULDER, E);
    await box(page, E).focus();
    await field(page, E).locator('input[type=range]').waitFor();
    const before = await known();
    // All in one go, so that edits wait when the undo comes.
    await box(page, E).evaluate((input) => {
      const press = (key, ctrlKey) => input.dispatchEvent(new KeyboardEvent('keydown', { key, ctrlKey, bubbles: true, cancelable: true }));
      for (let count = 0; count < 4; count += 1) press('ArrowUp', false);
      press('z', true);
    });
    await until('the run is taken back', async () => (await known()) === before && (await box(page, E).inputValue()) === before);
    await page.waitForTimeout(300);
    assert.equal(await known(), before);
  })],

  ['values and drawing are of one state though an undo comes between their answers', onDrive(async ({ page, stand }) => {
    await settled(page);
    const outline = () => page.locator('g.disc > path').first().getAttribute('d');
    const before = await outline();
    await type(page, E, '1.1 mm');
    await until('the drawing changes', async () => (await outline()) !== before);
    // The verdict of the whole is asked for, and answered for the state after the undo.
    let release = () => {};
    const held = new Promise((settle) => (release = settle));
    let isHeld = false;
    await page.route('**/verdict', async (route) => {
      isHeld = true;
      await held;
      await route.continue();
    });
    await until('the whole is asked for', () => isHeld);
    const late = async (route) => {
      const response = await route.fetch();
      await new Promise((settle) => setTimeout(settle, 800));
      await route.fulfill({ response });
    };
    await page.route(`**/drives/${SHOULDER}`, late);
    await page.route('**/undo', late);
    await page.locator('h1').click();
    await page.keyboard.press('Control+z');
    await until('it is undone', async () => (await stand.json(`/drives/${SHOULDER}`)).unsaved.length === 0);
    release();
    await until('the box follows', async () => (await box(page, E).inputValue()) === '1.25 mm');
    await until('the drawing follows', async () => (await outline()) === before, 5000);
  })],

  ['a value that comes back while another is on its way is taken, and computed to its end', onDrive(async ({ page, stand }) => {
    await settled(page);
    const known = () => stand.textOf(SHOULDER, E);
    await type(page, E, '1.2 mm');
    await until('the first is shown', async () => (await page.locator('.unsaved').count()) > 0 && (await known()) === '1.2 mm');
    await page.waitForTimeout(350);
    // However fast or slow the machine, the answer comes after the value that is shown was typed again.
    let held = 0;
    let release = () => {};
    const typed = new Promise((settle) => (release = settle));
    await page.route('**/edits', async (route) => {
      const response = await route.fetch();
      held += 1;
      await typed;
      await route.fulfill({ response });
    });
    await type(page, E, '1.21 mm');
    await until('the other is on its way', () => held === 1);
    await type(page, E, '1.2 mm');
    release();
    await until('it is taken', async () => (await known()) === '1.2 mm' && held === 2);
    await page.waitForTimeout(500);
    assert.equal(await box(page, E).inputValue(), '1.2 mm');
    await settled(page);
  })],

  ['a page out of sight lets its stream go and catches up when it is seen', onDrive(async ({ page, stand }) => {
    await settled(page);
    const see = (isHidden) => page.evaluate((hidden) => {
      Object.defineProperty(document, 'hidden', { value: hidden, configurable: true });
      document.dispatchEvent(new Event('visibilitychange'));
    }, isHidden);
    await see(true);
    await page.waitForTimeout(3300);
    await stand.edit(SHOULDER, E, '1.21 mm');
    await page.waitForTimeout(500);
    assert.equal(await box(page, E).inputValue(), '1.25 mm', 'the stream is still there');
    await see(false);
    await until('it is caught up', async () => (await box(page, E).inputValue()) === '1.21 mm');
    await settled(page);
  })],

  ['what a box shows is what the drive has, or is told as not taken', onDrive(async ({ page, stand }) => {
    await settled(page);
    const known = () => stand.textOf(SHOULDER, E);
    // A blank behind it is no other value, and does not stay when undo takes the value back.
    await type(page, E, '1.2 mm ');
    await until('it is taken', async () => (await known()) === '1.2 mm');
    await page.getByRole('button', { name: /^Undo/ }).click();
    await until('the box follows', async () => (await known()) === '1.25 mm' && (await box(page, E).inputValue()) === '1.25 mm');
    // Going back to the saved value also forgets what was refused.
    await type(page, E, '1.2 mm');
    await type(page, E, 'abc');
    await page.getByRole('button', { name: '1 not taken', exact: true }).waitFor();
    page.once('dialog', (dialog) => dialog.dismiss());
    await page.getByRole('link', { name: 'All drives' }).click();
    assert.equal(await box(page, E).inputValue(), 'abc', 'it was left without asking');
    await box(page, E).focus();
    await page.getByRole('button', { name: 'back to 1.25 mm' }).click();
    await until('the box follows', async () => (await known()) === '1.25 mm' && (await box(page, E).inputValue()) === '1.25 mm');
  })],

  ['what was told before the page listened is known to it', onDrive(async ({ page, stand }) => {
    const held = [];
    await page.route('**/api/events', (route) => held.push(route));
    // Its whole verdict takes much longer than the page to open.
    const name = 'sluice-gate-lift.toml';
    await stand.edit(name, E, '1.29 mm');
    await page.goto(`${stand.url}/?late${driveHash(name)}`);
    await page.locator('[data-stage="preview"]').waitFor();
    await until('the whole is known', async () => (await stand.json(`/drives/${name}/verdict`)).stage === 'full', 60_000);
    await page.waitForTimeout(300);
    assert.equal(await page.locator('[data-stage]').getAttribute('data-stage'), 'preview', 'the page knew although it did not listen');
    for (const route of held) await route.continue();
    await page.locator('[data-stage="full"]').waitFor({ timeout: 10_000 });
  }, { file: null, names: ['sluice-gate-lift'] })],

  ['with the server gone a banner says so, and what is typed is sent when it is back', async () => {
    const stand = new Stand([SHOULDER.replace('.toml', '')]);
    try {
      await stand.start();
      const { page, context } = await open(stand, driveHash(SHOULDER));
      await settled(page);
      // The server that comes after must not be taken for older than what is shown.
      for (const value of ['1.24 mm', '1.23 mm', '1.22 mm']) {
        await type(page, E, value);
        await until('it is taken', async () => (await stand.json(`/drives/${SHOULDER}`)).unsaved.some((each) => each.after === value));
      }
      await page.locator('[data-tab="exact"]').click();
      await page.getByLabel('drives', { exact: true }).fill('1000000');
      await page.getByRole('button', { name: 'Assemble' }).click();
      await page.locator('.progress').waitFor();
      const port = stand.port;
      await stand.stop();
      await page.getByRole('alert').filter({ hasText: 'does not answer' }).waitFor({ timeout: 20_000 });
      await type(page, E, '1.2 mm');
      await page.waitForTimeout(500);
      assert.equal(await box(page, E).inputValue(), '1.2 mm');
      await stand.start(port);
      await page.getByRole('alert').filter({ hasText: 'does not answer' }).waitFor({ state: 'detached', timeout: 30_000 });
      assert.equal(await box(page, E).inputValue(), '1.2 mm');
      await until('it is taken', async () => (await stand.json(`/drives/${SHOULDER}`)).unsaved.some((each) => each.after === '1.2 mm'));
      await page.getByRole('alert').filter({ hasText: 'started anew' }).waitFor();
      assert.ok(await page.getByRole('button', { name: 'Assemble' }).isEnabled());
      await settled(page);
      await page.keyboard.press('Control+s');
      await page.locator('.unsaved').waitFor({ state: 'detached' });
      assert.match(stand.read(SHOULDER), /eccentricity = "1.2 mm"/);
      await context.close();
    } finally {
      await stand.close();
    }
  }],

  ['a long note is edited in a box that shows it whole, with its line breaks', onDrive(async ({ page, stand }) => {
    await settled(page);
    await page.getByPlaceholder('find a value').fill('note');
    const note = field(page, 'drive.note').locator('textarea');
    const cut = () => note.evaluate((box) => box.scrollHeight - box.clientHeight);
    const high = () => note.evaluate((box) => box.clientHeight);
    await note.waitFor();
    assert.ok((await cut()) <= 1, `${await cut()} px of the note are hidden`);
    const before = await high();
    await note.focus();
    await note.press('End');
    await note.press('Control+End');
    await note.press('Shift+Enter');
    await note.pressSequentially('Second line.');
    assert.ok((await high()) > before, 'the box grows with the text');
    assert.ok((await cut()) <= 1);
    await note.press('Enter');
    const text = () => stand.textOf(SHOULDER, 'drive.note');
    await until('it is taken', async () => /\nSecond line\.$/.test(await text()));
    assert.match(await note.inputValue(), /\nSecond line\.$/);
  })],

  ['a note of a file with other line breaks is no edit while nothing is typed', async () => {
    const stand = new Stand();
    const text = stand.read(SHOULDER).replace(/^note = .*$/m, 'note = """\nFirst line.\nSecond line.\n"""');
    stand.write(SHOULDER, text.replaceAll('\n', '\r\n'));
    await stand.start();
    const { page, context } = await open(stand, driveHash(SHOULDER));
    try {
      await settled(page);
      const edits = [];
      page.on('request', (request) => request.url().endsWith('/edits') && edits.push(request.url()));
      await page.getByPlaceholder('find a value').fill('note');
      const note = field(page, 'drive.note').locator('textarea');
      await note.press('Enter');
      // A letter that comes and goes is none either.
      await note.press('Control+End');
      await note.pressSequentially('x');
      await note.press('Backspace');
      await note.press('Enter');
      await type(page, 'drive.note', 'Another note.');
      await until('what is typed is one', () => edits.length > 0);
      assert.equal(edits.length, 1);
    } finally {
      await context.close();
      await stand.close();
    }
  }],
];
