// What the browser checks of the clinic share: the browser, counting, axe-core, screenshots, log-in, and hands that use
// nothing but the keyboard.

import fs from 'node:fs';
import path from 'node:path';
import { createRequire } from 'node:module';

const packages = process.env.CLINIC_NODE ? path.resolve(process.env.CLINIC_NODE, 'here.js') : import.meta.url;
export const require = createRequire(packages);
const { chromium } = require('playwright-core');
const axeSource = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');

export const argument = (name) => {
  const at = process.argv.indexOf(`--${name}`);
  return at < 0 ? null : process.argv[at + 1];
};
export const base = argument('base');
export const shots = argument('shots');
if (!base) {
  console.error('--base is missing');
  process.exit(2);
}
if (shots) fs.mkdirSync(shots, { recursive: true });

export const PASSWORD = 'four calm blue herons';
export const DESK = { width: 1280, height: 900 };
export const PHONE = { width: 390, height: 844 };
export const CHROMIUM = process.env.CHROMIUM || '/usr/bin/chromium';
export const FLAGS = ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'];

export const launch = (more = []) => chromium.launch({ executablePath: CHROMIUM, args: [...FLAGS, ...more] });

let passed = 0;
let failed = 0;
export function check(name, holds, more) {
  if (holds) passed += 1;
  else {
    failed += 1;
    console.log(`FAILED ${name}${more === undefined ? '' : `: ${JSON.stringify(more)}`}`);
  }
  return Boolean(holds);
}

/** Prints the closing line and ends. */
export function end() {
  console.log(`${passed} passed, ${failed} failed`);
  process.exit(failed ? 1 : 0);
}

/** Errors that pages report by themselves: of scripts, and of the content policy. */
export const complaints = [];
export function listen(page, name) {
  page.on('pageerror', (error) => complaints.push(`${name}: ${error.message}`));
  page.on('console', (message) => {
    // A request that fails because the network was cut, or that is refused, is what is tested.
    if (message.type() === 'error' && !/Failed to load resource|ERR_INTERNET/.test(message.text())) complaints.push(`${name}: ${message.text()}`);
  });
}

export async function axe(page, name) {
  await page.evaluate(axeSource);
  const found = await page.evaluate(async () => {
    const run = await window.axe.run(document, { resultTypes: ['violations'], runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa', 'best-practice'] });
    return run.violations.map((it) => `${it.id} x${it.nodes.length}: ${it.nodes[0].target}`);
  });
  return check(`${name}: axe`, found.length === 0, found);
}

export async function shoot(page, name, more = { fullPage: true }) {
  if (shots) await page.screenshot({ path: path.join(shots, `${name.replace(/[^a-z0-9]+/gi, '-')}.png`), ...more });
}

export async function logIn(page, name, lang = 'en') {
  await page.context().addCookies([{ name: 'lang', value: lang, url: base }]);
  await page.goto(`${base}/login`);
  await page.fill('[name=name]', name);
  await page.fill('[name=password]', PASSWORD);
  await page.keyboard.press('Enter');
  await page.waitForURL((url) => url.pathname !== '/login');
}

/** A date as the keys that the date field of this browser takes in American English. */
export const dateKeys = (iso) => {
  const [year, month, day] = iso.split('-');
  return `${month}${day}${year}`;
};

export const days = (from, count) => {
  const date = new Date(`${from}T12:00:00Z`);
  date.setUTCDate(date.getUTCDate() + count);
  return date.toISOString().slice(0, 10);
};

// What is focused, in the page: whether it is the wanted element, and whether the focus can be seen.
const focusState = (wanted) => {
  const it = document.activeElement;
  if (it !== wanted) return null;
  const label = it.closest('label') ?? (it.id && document.querySelector(`label[for="${CSS.escape(it.id)}"]`));
  const marked = [it, it.nextElementSibling, it.closest('[data-lined]'), label].filter(Boolean).some((one) => {
    const style = getComputedStyle(one);
    return style.outlineStyle !== 'none' && Number.parseFloat(style.outlineWidth) >= 2;
  });
  const seen = [it, it.nextElementSibling, label].filter(Boolean).some((one) => {
    for (const box of one.getClientRects()) {
      const [above, below] = [Math.max(box.top, 0), Math.min(box.bottom, innerHeight)];
      const top = document.elementFromPoint(box.left + box.width / 2, (above + below) / 2);
      if (below > above && top && (top === one || one.contains(top) || top.contains(one))) return true;
    }
    return false;
  });
  return { marked, seen };
};

/** What an act leads to: a page at the same address. */
export const AGAIN = Symbol('again');

/**
 * Hands on a keyboard: everything a person does is a key, and each key is counted. Keys that choose within one control
 * belong to it; a `step` is one thing that a person decides: an entry, a choice, a button.
 */
export class Keys {
  constructor(page, name) {
    this.page = page;
    this.name = name;
    this.keys = 0;
    this.steps = { entries: 0, choices: 0, buttons: 0 };
    this.waited = 0;
  }

  async press(key, times = 1) {
    for (let i = 0; i < times; i++) await this.page.keyboard.press(key);
    this.keys += times;
  }

  async type(text) {
    await this.page.keyboard.type(text);
    this.keys += text.length;
  }

  /** Tabs until the wanted control has the focus, which must be visible; a group of radio buttons is one stop. */
  async to(selector, { back = false, most = 500 } = {}) {
    let wanted = await this.page.waitForSelector(selector, { state: 'attached', timeout: 15000 });
    const group = await wanted.evaluate((it) => (it.type === 'radio' ? it.name : null));
    for (let tries = 0; tries <= most; tries++) {
      const there = await this.page.evaluate(([it, name]) => {
        const now = document.activeElement;
        return it.isConnected ? now === it || (name !== null && now?.type === 'radio' && now.name === name && now.form === it.form) : null;
      }, [wanted, group]);
      // An answer put another in its place.
      if (there === null) wanted = await this.page.waitForSelector(selector, { state: 'attached', timeout: 15000 });
      if (there) {
        if (group !== null) return wanted;
        const state = await wanted.evaluate(focusState);
        check(`${this.name}: the focus on ${selector} can be seen`, state?.marked && state.seen, state);
        return wanted;
      }
      await this.press(back ? 'Shift+Tab' : 'Tab');
    }
    const shut = await wanted.evaluate((it) => (it.disabled ? 'it is disabled' : it.isConnected ? 'it is there' : 'it was replaced'));
    throw new Error(`${this.name}: the keyboard does not reach ${selector} (${shut})`);
  }

  /** Types into a field, in place of what is in it. */
  async entry(selector, text, options) {
    const field = await this.to(selector, options);
    this.steps.entries += 1;
    const type = await field.getAttribute('type');
    if (type === 'date') {
      await this.type(dateKeys(text));
    } else {
      if (await field.inputValue()) await this.press('Control+a');
      await this.type(text);
    }
    const value = await field.inputValue();
    check(`${this.name}: ${selector} takes what is typed`, value === text, value);
  }

  /** Chooses a radio button by arrow keys, a box by space, an option by arrow keys. */
  async choice(selector, value, options) {
    const wanted = await this.to(selector, options);
    this.steps.choices += 1;
    const kind = await wanted.evaluate((it) => it.type);
    if (kind === 'checkbox') {
      await this.press('Space');
      return;
    }
    if (kind === 'radio') {
      // A choice can have the server make a part of the form anew: the button is looked up each time.
      const settled = () => this.page.waitForFunction(() => document.querySelector('[aria-busy=true]') === null);
      const chosen = () => this.page.$eval(selector, (it) => document.activeElement === it && it.checked);
      const focused = () => this.page.$eval(selector, (it) => document.activeElement === it);
      for (let i = 0; i < 30 && !await chosen(); i++) {
        await this.press(await focused() ? 'Space' : 'ArrowDown');
        await settled();
      }
      const state = await (await this.page.$(selector)).evaluate(focusState);
      check(`${this.name}: ${selector} is chosen, and the focus on it can be seen`, await chosen() && state?.marked && state.seen, state);
      return;
    }
    // The list: by arrows, one option after the other.
    const moves = await wanted.evaluate((it, to) => [...it.options].findIndex((one) => one.value === to) - it.selectedIndex, value);
    await this.press(moves < 0 ? 'ArrowUp' : 'ArrowDown', Math.abs(moves));
    check(`${this.name}: ${selector} is ${value}`, await wanted.inputValue() === value, await wanted.inputValue());
  }

  /** Presses a button or follows a link; what comes of it is awaited by its address or by a function. */
  async act(selector, until, { key = 'Enter', ...options } = {}) {
    await this.to(selector, options);
    this.steps.buttons += 1;
    if (until === AGAIN) await this.page.evaluate(() => { window.before = true; });
    const from = performance.now();
    await this.press(key);
    // A function of an address is asked here, one without arguments in the page.
    if (typeof until === 'function' && until.length === 0) await this.page.waitForFunction(until, null, { timeout: 20000 });
    else if (until === AGAIN) {
      await this.page.waitForFunction(() => window.before === undefined);
      await this.page.waitForLoadState('load');
    } else if (until) {
      await this.page.waitForURL(until, { timeout: 20000 });
      await this.page.waitForLoadState('load');
    }
    this.waited += performance.now() - from;
  }
}

/** The nth percentile of figures, by the nearest rank. */
export const percentile = (figures, share) => [...figures].sort((a, b) => a - b)[Math.min(figures.length - 1, Math.ceil(figures.length * share) - 1)];
