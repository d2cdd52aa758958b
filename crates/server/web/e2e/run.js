// The page of a built program in a real browser: `LOBEWRIGHT=path/of/lobewright npm run e2e [-- words of a case]`.
import { BINARY, closeBrowser } from './stand.js';
import drawing from './drawing.js';
import values from './values.js';
import answers from './answers.js';
import access from './access.js';

if (!BINARY) {
  console.error('LOBEWRIGHT must name the program whose page is to be tested');
  process.exit(2);
}

const wanted = process.argv.slice(2).join(' ');
let passed = 0;
let failed = 0;
for (const [name, run] of [...drawing, ...values, ...answers, ...access]) {
  if (wanted && !name.includes(wanted)) continue;
  const begun = Date.now();
  try {
    const measured = await run();
    passed += 1;
    console.log(`ok      ${name} (${((Date.now() - begun) / 1000).toFixed(1)} s)${measured ? `: ${measured}` : ''}`);
  } catch (error) {
    failed += 1;
    console.log(`FAILED  ${name}\n${error.stack ?? error}`);
  }
}
await closeBrowser();
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed > 0 || passed === 0 ? 1 : 0);
