// What every browser test stands on: a folder of drives, a server on it, and pages in a browser without a window.
import { spawn, spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';

const EXAMPLES = resolve(fileURLToPath(import.meta.url), '../../../../../examples');
export const BINARY = process.env.LOBEWRIGHT;
const FLAGS = [
  '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
  '--disable-component-update', '--disable-sync',
];

/** A folder with copies of the examples, and the server on it. */
export class Stand {
  #process = null;
  url = '';

  constructor(names = ['orchard-arm-shoulder', 'sorting-table-index']) {
    this.folder = mkdtempSync(join(tmpdir(), 'lobewright-page-'));
    this.drives = join(this.folder, 'drives');
    mkdirSync(this.drives);
    for (const name of names) cpSync(join(EXAMPLES, `${name}.toml`), join(this.drives, `${name}.toml`));
  }

  async start(port) {
    const given = port ? ['--port', String(port)] : [];
    this.#process = spawn(BINARY, ['serve', this.drives, '--json', ...given], { stdio: ['ignore', 'pipe', 'inherit'] });
    this.url = await new Promise((settle, fail) => {
      let text = '';
      this.#process.once('exit', (code) => fail(new Error(`the server ended with ${code}`)));
      this.#process.stdout.on('data', (piece) => {
        text += piece;
        const line = text.split('\n').find((each) => each.includes('"url"'));
        if (line) settle(JSON.parse(line).url.replace(/\/$/, ''));
      });
    });
    return this;
  }

  get port() {
    return new URL(this.url).port;
  }

  async stop() {
    const running = this.#process;
    if (!running) return;
    this.#process = null;
    const ended = new Promise((settle) => running.once('exit', settle));
    running.kill('SIGINT');
    await ended;
  }

  async close() {
    await this.stop();
    rmSync(this.folder, { recursive: true, force: true });
  }

  read(name) {
    return readFileSync(join(this.drives, name), 'utf8');
  }

  write(name, text) {
    writeFileSync(join(this.drives, name), text);
  }

  async ask(path) {
    const answer = await fetch(`${this.url}/api${path}`);
    return { status: answer.status, bytes: Buffer.from(await answer.arrayBuffer()) };
  }

  async json(path) {
    const { status, bytes } = await this.ask(path);
    if (status !== 200) throw new Error(`${path}: ${status} ${bytes}`);
    return JSON.parse(bytes);
  }

  /** The text of a value as the server has it. */
  async textOf(name, path) {
    const { form } = await this.json(`/drives/${name}`);
    return form.flatMap((section) => section.fields).find((field) => field.path === path).text;
  }

  /** Sets a value as a program would; gives the desk after it. */
  async edit(name, path, text) {
    const body = JSON.stringify({ changes: [{ change: 'set', path, text }], continues: false });
    const headers = { 'content-type': 'application/json' };
    const answer = await fetch(`${this.url}/api/drives/${name}/edits`, { method: 'POST', headers, body });
    const desk = await answer.json();
    if (!answer.ok) throw new Error(`the edit was refused: ${JSON.stringify(desk)}`);
    return desk;
  }

  /** Runs the command line; gives its exit code and the files it wrote into a new folder. */
  command(...before) {
    const out = mkdtempSync(join(this.folder, 'out-'));
    const done = spawnSync(BINARY, [...before, '--out', join(out, 'files')], { encoding: 'utf8' });
    const folder = join(out, 'files');
    const files = done.status === 0 || done.status === 1
      ? new Map(readdirSync(folder).map((name) => [name, readFileSync(join(folder, name))]))
      : new Map();
    return { code: done.status, files, words: done.stderr };
  }
}

let browser = null;

/** A page at an address of the stand, with what it complained of. */
export async function open(stand, hash = '', options = {}) {
  browser ??= await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: FLAGS });
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, ...options });
  const page = await context.newPage();
  const complaints = [];
  page.on('pageerror', (error) => complaints.push(String(error)));
  page.on('console', (message) => {
    // The browser reports every refusal of an edit or of saving, which the page shows in words.
    if (message.type() === 'error' && !/status of (409|422)/.test(message.text())) complaints.push(message.text());
  });
  page.on('request', (request) => {
    if (!request.url().startsWith(stand.url) && !/^(data|blob):/.test(request.url())) {
      complaints.push(`asked for ${request.url()}`);
    }
  });
  await page.goto(`${stand.url}/${hash}`);
  return { page, context, complaints };
}

export async function closeBrowser() {
  await browser?.close();
}

export const SHOULDER = 'orchard-arm-shoulder.toml';
export const TABLE = 'sorting-table-index.toml';
export const driveHash = (file) => `#/drive/${file}`;
export const field = (page, path) => page.locator(`[data-path="${path}"]`);
export const box = (page, path) => field(page, path).locator('input, textarea, select').first();

/** Waits until the page shows the verdict of the newest values, complete. */
export async function settled(page) {
  await page.locator('.counts .count').first().waitFor({ timeout: 60_000 });
  await page.waitForFunction(() => !document.querySelector('header .computing'), null, { timeout: 120_000 });
}

/** Types a value into its field and takes it. */
export async function type(page, path, text) {
  await box(page, path).fill(text);
  await box(page, path).press('Enter');
}

/** Waits until a condition holds, asking again and again. */
export async function until(words, condition, patience = 15_000) {
  const end = Date.now() + patience;
  for (;;) {
    const value = await condition();
    if (value) return value;
    if (Date.now() > end) throw new Error(`waited in vain until ${words}`);
    await new Promise((settle) => setTimeout(settle, 50));
  }
}
