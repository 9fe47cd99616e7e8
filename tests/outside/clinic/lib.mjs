import { createRequire } from 'module';
const require = createRequire('/work/main/target/outside/node/');
export const { chromium } = require('playwright-core');
export const BASE = 'http://127.0.0.1:8503';
export const launch = () => chromium.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox','--disable-gpu','--disable-quic','--no-first-run','--disable-background-networking','--disable-component-update','--disable-sync'] });
export async function login(browser, name='ines', opts={}) {
  const ctx = await browser.newContext({ viewport: {width: opts.width ?? 1280, height: opts.height ?? 900}, locale: opts.locale ?? 'en-US', javaScriptEnabled: opts.js ?? true });
  const page = await ctx.newPage();
  page.on('console', m => { if (m.type()==='error') console.log('CONSOLE', m.text()); });
  page.on('pageerror', e => console.log('PAGEERROR', e.message));
  await page.goto(BASE + '/login');
  await page.fill('[name=name]', name); await page.fill('[name=password]', 'four calm blue herons');
  await page.click('button.main'); await page.waitForLoadState();
  return page;
}
export const axePath = require.resolve('axe-core/axe.min.js');
