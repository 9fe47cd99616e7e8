// Every page of the clinic in a real browser, as clinic lead: axe-core without a finding, no sideways scroll, no text
// missing, no complaint of scripts or content policy; at desk and phone width, in both languages.
//
//   CLINIC_NODE=target/outside/node node tests/outside/clinic/desk.mjs --base http://127.0.0.1:PORT [--shots FOLDER]
//
// Needs a server with the invented clinic as it comes from its seed.

import fs from 'node:fs';
import path from 'node:path';
import { createRequire } from 'node:module';

const require = createRequire(process.env.CLINIC_NODE ? path.resolve(process.env.CLINIC_NODE, 'here.js') : import.meta.url);
const { chromium } = require('playwright-core');
const axeSource = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const argument = (name) => {
  const at = process.argv.indexOf(`--${name}`);
  return at < 0 ? null : process.argv[at + 1];
};
const base = argument('base');
const shots = argument('shots');
if (shots) fs.mkdirSync(shots, { recursive: true });

const PASSWORD = 'four calm blue herons';
const E = '/e/ilse-vanterpoole';
const PAGES = [
  '/', '/?whose=all', '/patients', '/new', E, `${E}/limits`, `${E}/journal`, `${E}/record`, `${E}/restrictions`, `${E}/program`,
  `${E}/home`, '/e/yusuf-dankworth', '/e/lucia-montoya-iriarte', '/content', '/content/waiting', '/content/exercise/seated-heel-slide',
  '/content/exercise/seated-heel-slide/edit', '/content/protocol/acl-reconstruction', '/settings', '/settings/codes', '/settings/people',
  '/settings/clinic', '/settings/audit', '/settings/incidents', '/e/nobody',
];

let passed = 0;
let failed = 0;
function check(name, holds, more) {
  if (holds) passed += 1;
  else {
    failed += 1;
    console.log(`FAILED ${name}: ${JSON.stringify(more)}`);
  }
}

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM || '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});
for (const [width, height, size] of [[1280, 900, 'desk'], [390, 844, 'phone']]) {
  const context = await browser.newContext({ viewport: { width, height }, locale: 'en-US' });
  const page = await context.newPage();
  const complaints = [];
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error' && !/Failed to load resource/.test(message.text())) complaints.push(message.text());
  });
  await page.goto(`${base}/login`);
  await page.fill('[name=name]', 'helena');
  await page.fill('[name=password]', PASSWORD);
  await page.keyboard.press('Enter');
  await page.waitForURL((url) => url.pathname === '/');
  for (const lang of ['en', 'es']) {
    await context.addCookies([{ name: 'lang', value: lang, url: base }]);
    for (const at of PAGES) {
      const name = `${at} ${lang} ${size}`;
      await page.goto(base + at, { waitUntil: 'load' });
      await page.evaluate(axeSource);
      const found = await page.evaluate(async () => {
        const run = await axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa'] });
        return run.violations.map((it) => `${it.id} x${it.nodes.length}: ${it.nodes[0].target}`);
      });
      check(`${name}: axe`, found.length === 0, found);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
      check(`${name}: no sideways scroll`, wide <= 0, wide);
      const text = await page.evaluate(() => document.body.textContent);
      check(`${name}: no text is missing`, !text.includes('[no words:'), text.match(/\[no words:[^\]]*\]/)?.[0]);
      check(`${name}: language`, (await page.getAttribute('html', 'lang')) === lang);
      if (shots) await page.screenshot({ path: path.join(shots, `${name.replace(/[^a-z0-9]+/gi, '-')}.png`), fullPage: true });
    }
  }
  check(`${size}: no script failed and no policy was broken`, complaints.length === 0, complaints);
  await context.close();
}
await browser.close();
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
