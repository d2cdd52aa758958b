// How fast the page is: `LOBEWRIGHT=path/of/lobewright npm run bench`. Figures are for reading, never for passing or failing.
import { loadavg } from 'node:os';
import { assetSizes } from '../e2e/assets.js';
import { BINARY, closeBrowser, open, Stand } from '../e2e/stand.js';
import { edits } from './edits.js';
import { line } from './figures.js';
import { firstViews } from './first_view.js';
import { emptyRate, frames } from './frames.js';

const NAMES = ['orchard-arm-shoulder', 'sorting-table-index', 'sluice-gate-lift'];
const WINDOWS = [{ width: 1440, height: 900 }, { width: 2560, height: 1440 }];
const PARTS = ['first', 'assets', 'frames', 'edits'];

if (!BINARY) {
  console.error('LOBEWRIGHT must name the program whose page is to be measured');
  process.exit(2);
}
const wanted = process.argv.slice(2);
const wants = (part) => wanted.length === 0 || wanted.includes(part);
const wrong = wanted.filter((part) => !PARTS.includes(part));
if (wrong.length > 0) {
  console.error(`there is no part ${wrong.join(', ')}: name ${PARTS.join(', ')}, or none for all`);
  process.exit(2);
}

const files = NAMES.map((name) => `${name}.toml`);
const stand = await new Stand(NAMES).start();
try {
  line('load of the machine before', loadavg()[0].toFixed(2));
  if (wants('first')) await firstViews(stand, files);
  if (wants('assets')) {
    const { flat, space } = await assetSizes(stand);
    line('assets, gzipped', `page ${(flat / 1000).toFixed(1)} kB`, `view in space ${(space / 1000).toFixed(1)} kB more`);
  }
  const { page } = await open(stand);
  if (wants('frames')) {
    for (const size of WINDOWS) {
      await page.setViewportSize(size);
      const empty = await emptyRate(page);
      line(`window ${size.width} × ${size.height}: an empty page`, `${empty.toFixed(0)} pictures a second`);
      for (const file of files) await frames(stand, page, file, empty);
    }
    await page.setViewportSize(WINDOWS[0]);
  }
  if (wants('edits')) for (const file of files) await edits(stand, page, file);
} finally {
  await closeBrowser();
  await stand.close();
}
