// Draws the PNG icons of the patient's page from crates/clinic/assets/icon.svg; run it after that file changed.
//
//   CLINIC_NODE=target/outside/node node tests/outside/clinic/icons.mjs

import fs from 'node:fs';
import path from 'node:path';
import { createRequire } from 'node:module';

const require = createRequire(process.env.CLINIC_NODE ? path.resolve(process.env.CLINIC_NODE, 'here.js') : import.meta.url);
const { chromium } = require('playwright-core');
const folder = new URL('../../../crates/clinic/assets/', import.meta.url).pathname;
const svg = fs.readFileSync(`${folder}icon.svg`, 'utf8');
const ground = /fill="(#[0-9a-f]{6})"/.exec(svg)[1];

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM || '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});
// A maskable icon is cut to any shape: its drawing keeps to the middle 80 percent, its ground fills all of it.
for (const [name, size, inner, back] of [
  ['icon-192.png', 192, 1, 'transparent'], ['icon-512.png', 512, 1, 'transparent'], ['icon-maskable-512.png', 512, 0.8, ground],
]) {
  const page = await browser.newPage({ viewport: { width: size, height: size } });
  const side = Math.round(size * inner);
  await page.setContent(`<style>html,body{margin:0;height:100%;background:${back};display:grid;place-items:center}svg{display:block;width:${side}px;height:${side}px}</style>${svg}`);
  await page.screenshot({ path: folder + name, omitBackground: true });
  await page.close();
}
await browser.close();
