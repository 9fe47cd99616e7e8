// The patient's page in a real browser while the disk of the clinic's server is full: the diary stays on the phone,
// the page opens as it was seen last, and everything goes out by itself, once, when there is room again.
//
//   CLINIC_NODE=target/outside/node node tests/outside/clinic/full.mjs --base http://127.0.0.1:PORT --filler FILE [--shots FOLDER]
//
// Run by clinic_faults.py, which serves the invented clinic from a small disk of its own; FILE lies on that disk and is
// made as large as it can be.

import fs from 'node:fs';
import path from 'node:path';
import { createRequire } from 'node:module';

const require = createRequire(path.resolve(process.env.CLINIC_NODE, 'here.js'));
const { chromium } = require('playwright-core');

const argument = (name) => {
  const at = process.argv.indexOf(`--${name}`);
  return at < 0 ? null : process.argv[at + 1];
};
const [base, filler, shots] = ['base', 'filler', 'shots'].map(argument);
if (shots) fs.mkdirSync(shots, { recursive: true });

let passed = 0;
let failed = 0;
function check(name, holds, more) {
  if (holds) passed += 1;
  else {
    failed += 1;
    console.log(`FAILED ${name}${more === undefined ? '' : `: ${JSON.stringify(more)}`}`);
  }
}

function fill() {
  const out = fs.openSync(filler, 'w');
  const block = Buffer.alloc(4096, 1);
  try {
    for (;;) fs.writeSync(out, block);
  } catch (error) {
    if (error.code !== 'ENOSPC') throw error;
  }
  fs.closeSync(out);
}

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
const MESSAGE = 'Written while the disk was full.';
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM || '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});
try {
  const desk = await (await browser.newContext({ locale: 'en-US' })).newPage();
  await desk.goto(`${base}/login`);
  await desk.fill('[name=name]', 'ines');
  await desk.fill('[name=password]', 'four calm blue herons');
  await desk.click('button.main');
  await desk.waitForURL((url) => url.pathname !== '/login');
  await desk.goto(`${base}/e/marta-okonjo/home`);
  const born = /born (\w{3}) (\d+), (\d{4})/.exec(await desk.textContent('main'));
  await desk.click('form[action$="/home/link"] button');
  await desk.waitForSelector('.hand-over');
  const url = (await desk.textContent('.hand-over .link')).trim();

  const context = await browser.newContext({ viewport: { width: 390, height: 844 }, locale: 'en-US', hasTouch: true, isMobile: true });
  const page = await context.newPage();
  await page.goto(url);
  await page.selectOption('[name=month]', String(MONTHS.indexOf(born[1]) + 1));
  await page.fill('[name=day]', born[2]);
  await page.fill('[name=year]', born[3]);
  await page.click('button.main');
  await page.waitForURL((it) => it.pathname === '/home');
  await page.waitForFunction(async () => {
    const cache = await caches.open('handrail-pages-1');
    return Boolean(navigator.serviceWorker.controller) && Boolean(await cache.match('/home'));
  }, null, { timeout: 30000, polling: 250 });

  fill();
  // Small entries, such as who looked, may still find room: looked at until there is none.
  let status = 200;
  for (let n = 0; n < 200 && status === 200; n += 1) status = (await desk.request.get(`${base}/e/marta-okonjo`)).status();
  check('the server has no room left', status === 507, status);

  await page.evaluate(() => { location.hash = 'diary'; });
  await page.click('#no-signs');
  await page.click('#all-done');
  await page.check('input[name=pain_during][value="2"]', { force: true });
  await page.fill('#diary-form [name=message]', MESSAGE);
  await page.click('#diary-form button.main');
  await page.waitForFunction(() => location.hash === '#saved');
  await page.waitForFunction(() => /not sent yet/.test(document.getElementById('saved-state').textContent), null, { timeout: 30000 });
  check('the phone says that it keeps the diary', /kept on this phone/.test(await page.textContent('#saved-state')), await page.textContent('#saved-state'));
  if (shots) await page.screenshot({ path: path.join(shots, 'full-saved.png') });

  await page.goto(`${base}/home`);
  check('the page opens as it was seen last', await page.isVisible('.head') && /Left leg/.test(await page.textContent('.head')));
  check('the report is still there', /1 report is not sent yet/.test(await page.textContent('#note-unsent')), await page.textContent('#note-unsent'));
  if (shots) await page.screenshot({ path: path.join(shots, 'full-today.png') });

  fs.unlinkSync(filler);
  await page.waitForFunction(() => document.getElementById('note-unsent').hidden, null, { timeout: 60000 });
  check('it goes out by itself when there is room again', true);
  await page.goto(`${base}/home`);
  const times = await page.evaluate((text) => [...document.querySelectorAll('.messages .as-written')].filter((it) => it.textContent === text).length, MESSAGE);
  check('and is there once', times === 1, times);
} catch (error) {
  check('the walk was walked to its end', false, error.message.slice(0, 600));
} finally {
  fs.rmSync(filler, { force: true });
  await browser.close();
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed > 0 ? 1 : 0);
