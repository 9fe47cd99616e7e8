// Leads a guided session page through in a real browser, with a clock of our own, and checks what it tells.
//
//   node run.mjs --html PAGE.html --expect EXPECT.json [--shots FOLDER] [--logs FILE]
//
// --logs writes the logs that the runs left, one a line, for the reader of the clinic's side.
// EXPECT.json: { session_id, version, lang, side, date, valid_until,
//                steps: [{ kind: "exercise", id, sets, reps, hold_s } | { kind: "move", waits } | { kind: "rest", seconds }] }
// Needs the packages playwright-core, axe-core, jsqr and pngjs: in this folder, or in the folder that
// FOLLOW_NODE names. The browser is /usr/bin/chromium or the one that CHROMIUM names.

import fs from 'node:fs';
import path from 'node:path';
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';

const require = createRequire(process.env.FOLLOW_NODE ? path.join(process.env.FOLLOW_NODE, 'here.js') : import.meta.url);
const { chromium } = require('playwright-core');
const jsqr = require('jsqr');
const { PNG } = require('pngjs');
const axeSource = fs.readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');

const argument = (name) => {
  const at = process.argv.indexOf(`--${name}`);
  return at < 0 ? null : process.argv[at + 1];
};
const html = argument('html');
const expectFile = argument('expect');
if (!html || !expectFile) {
  console.error('usage: run.mjs --html PAGE.html --expect EXPECT.json [--shots FOLDER] [--logs FILE]');
  process.exit(2);
}
const shots = argument('shots');
const logFile = argument('logs');
const logTexts = [];
const expected = JSON.parse(fs.readFileSync(expectFile, 'utf8'));
const exercises = expected.steps.map((step, index) => ({ ...step, index })).filter((step) => step.kind === 'exercise');
const PHONE = { width: 390, height: 844 };
const NARROW = { width: 320, height: 568 };

let passed = 0;
let failed = 0;
function check(name, holds, found) {
  if (holds) passed += 1;
  else {
    failed += 1;
    console.log(`FAILED ${name}${found === undefined ? '' : `: ${JSON.stringify(found).slice(0, 600)}`}`);
  }
}
process.on('uncaughtException', (error) => { // a step that could not be taken is a failure, not a crash
  check('the run goes through', false, error.message);
  console.log(`${passed} passed, ${failed} failed`);
  process.exit(1);
});

const same = (name, found, wanted) => check(name, JSON.stringify(found) === JSON.stringify(wanted), { found, wanted });

// ---- the page under test -------------------------------------------------------------------------------

/** Runs in the page before its script: our clock, a voice that only writes down, and a watch on the caption. */
function harness(lang) {
  let now = 0;
  let waiting = [];
  window.__clock = {
    now: () => now,
    frame: (callback) => waiting.push(callback),
    run(seconds, step = 0.05) {
      for (let left = seconds; left > 1e-9; left -= step) {
        now += Math.min(step, left) * 1000;
        const due = waiting;
        waiting = [];
        due.forEach((callback) => callback());
      }
    },
    gap(seconds) { now += seconds * 1000; },
  };
  window.__spoken = [];
  const synthesis = {
    speaking: false, pending: false,
    getVoices: () => [{ lang, name: 'test', localService: true }],
    speak: (utterance) => window.__spoken.push(utterance.text),
    cancel: () => {}, addEventListener: () => {},
  };
  Object.defineProperty(window, 'speechSynthesis', { value: synthesis });
  window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
  window.__captions = [];
  window.__announced = [];
  document.addEventListener('DOMContentLoaded', () => {
    const watch = (id, list) => new MutationObserver((changes) => changes.forEach((change) =>
      change.addedNodes.forEach((node) => list.push(node.textContent)))).observe(document.getElementById(id), { childList: true });
    watch('caption', window.__captions);
    watch('live', window.__announced);
  });
}

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM || '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
    '--disable-component-update', '--disable-sync'],
});

const requests = [];
const errors = [];

async function open({ viewport = PHONE, day = expected.date, reducedMotion = 'no-preference', context = null } = {}) {
  const place = context || await browser.newContext({ viewport, deviceScaleFactor: 2, reducedMotion, offline: true });
  const page = await place.newPage();
  page.setDefaultTimeout(8000);
  await page.setViewportSize(viewport);
  page.on('request', (request) => { if (!/^(file|data):/.test(request.url())) requests.push(request.url()); });
  page.on('pageerror', (error) => errors.push(error.message));
  page.on('console', (message) => { if (message.type() === 'error') errors.push(message.text()); });
  await page.clock.setFixedTime(new Date(`${day}T08:30:00`));
  await page.addInitScript(harness, expected.lang);
  await page.goto(pathToFileURL(path.resolve(html)).href);
  return page;
}

const close = (page) => page.context().close();
const run = (page, seconds, step) => page.evaluate(([s, d]) => window.__clock.run(s, d), [seconds, step]);
const log = (page) => page.evaluate(() => window.__log);
const kind = (page) => page.evaluate(() => document.getElementById('counter').dataset.kind);
const screen = (page) => page.evaluate(() => document.body.dataset.screen);
const pick = (page, name, value) => page.check(`input[name="${name}"][value="${value}"]`, { force: true });
const warnings = (page) => page.locator('#warnings fieldset').count();

async function begin(page, pain = 1) {
  for (let i = 0; i < await warnings(page); i++) await pick(page, `warning-${i}`, 'no');
  await pick(page, 'before', pain);
  await page.click('#go');
}

/** From the start of the run to the introduction of its first exercise, past the moves before it. */
async function toExercise(page) {
  for (let step = 0; step < exercises[0].index; step++) {
    await page.click('#onward');
    await run(page, 0.1);
  }
}

/** Runs until `holds` says so in the page, a quarter second at a time; false when it never does. */
const runUntil = (page, holds, most = 1500) => page.evaluate(([source, limit]) => {
  const wanted = new Function(`return (${source})()`);
  for (let t = 0; t < limit; t += 0.25) {
    if (wanted()) return true;
    window.__clock.run(0.25);
  }
  return false;
}, [holds.toString(), most]);

async function runToEnd(page) {
  for (let guard = 0; guard < 50; guard++) {
    await runUntil(page, () => document.body.dataset.screen === 'end'
      || (document.getElementById('counter').dataset.kind === 'walk' && /100/.test(document.getElementById('turn').getAttribute('stroke-dasharray').split(' ')[0])));
    if (await screen(page) === 'end') return true;
    await page.click('#onward'); // the patient says that they are there
  }
  return false;
}

async function axe(page, name) {
  await page.evaluate(axeSource);
  const result = await page.evaluate(() => window.axe.run(document, {
    runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
  }));
  same(`axe finds nothing on the ${name}`, result.violations.map((v) => [v.id, v.nodes.map((n) => n.target.join(' '))]), []);
}

/** Nothing wider than the screen, and every control at least 44 by 44 CSS px. */
async function fits(page, name) {
  const found = await page.evaluate(() => {
    const small = [];
    for (const node of document.querySelectorAll('button, select, summary, a.tel, .answer, .numbers label, .check')) {
      const box = node.getBoundingClientRect();
      if (!box.width || node.closest('[hidden]')) continue;
      if (box.width < 43.5 || box.height < 43.5) small.push([node.id || node.textContent, box.width, box.height]);
    }
    const cut = [...document.querySelectorAll('.controls button')].filter((b) => b.scrollWidth > b.clientWidth + 1).map((b) => b.id);
    return { wide: document.documentElement.scrollWidth - document.documentElement.clientWidth, small, cut };
  });
  same(`the ${name} fits its width and its targets are large`, found, { wide: 0, small: [], cut: [] });
}

/** The stop button can be seen and pressed without scrolling. */
async function stopInView(page, name) {
  const found = await page.evaluate(() => {
    window.scrollTo(0, 0);
    const box = document.getElementById('stop').getBoundingClientRect();
    const top = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    return { inside: box.top >= 0 && box.bottom <= window.innerHeight, free: Boolean(top && top.closest('#stop')) };
  });
  same(`stop is in view on the ${name}`, found, { inside: true, free: true });
}

async function shoot(page, name, fullPage = false) {
  if (!shots) return;
  fs.mkdirSync(shots, { recursive: true });
  await page.screenshot({ path: path.join(shots, `${name}.png`), fullPage });
}

/** Text of the code on the screen, from a screenshot of it. */
async function readCode(page, selector) {
  const image = PNG.sync.read(await page.locator(`${selector} svg`).screenshot());
  const code = jsqr(new Uint8ClampedArray(image.data), image.width, image.height);
  return code && code.data;
}

const planned = exercises.reduce((sum, e) => sum + e.sets * e.reps, 0);

// ---- a whole run ---------------------------------------------------------------------------------------

{
  const page = await open();
  await axe(page, 'start screen');
  await fits(page, 'start screen');
  await shoot(page, 'start', true);
  same('language of the page', await page.evaluate(() => document.documentElement.lang), expected.lang);
  const policy = await page.evaluate(() => document.querySelector('meta[http-equiv="Content-Security-Policy"]').content);
  check('the policy loads nothing and runs one script', /default-src 'none'/.test(policy) && /script-src 'sha256-[^']+'/.test(policy) && !/script-src[^;]*unsafe/.test(policy), policy);

  await page.click('#go');
  same('no start before the warning signs are answered', [await screen(page), await page.isVisible('#start-missing')], ['start', true]);
  for (let i = 0; i < await warnings(page); i++) await pick(page, `warning-${i}`, 'no');
  await page.click('#go');
  same('no start before the pain is told', [await screen(page), await page.isVisible('#start-missing')], ['start', true]);
  await pick(page, 'before', 1);
  await page.focus('#go');
  await page.keyboard.press('Enter');
  same('the session starts by keyboard', await screen(page), 'run');
  await run(page, 2);
  await axe(page, 'exercise screen');
  await fits(page, 'exercise screen');
  await stopInView(page, 'exercise screen');
  await shoot(page, 'exercise');

  check('the run reaches its end', await runToEnd(page));
  const entries = await log(page);
  for (const e of exercises) {
    const counts = entries.filter((entry) => entry.kind === 'count' && entry.step === e.index);
    same(`${e.id}: counts`, counts.length, e.sets * e.reps);
    const wanted = [];
    for (let set = 1; set <= e.sets; set++) for (let rep = 1; rep <= e.reps; rep++) wanted.push(`${set}.${rep}`);
    same(`${e.id}: each repetition once and in order`, counts.map((c) => `${c.set}.${c.rep}`), wanted);
    check(`${e.id}: the count says its number`, counts.every((c) => c.text.includes(String(c.rep)) && c.text.includes(String(e.reps))));
    if (e.hold_s > 1 && e.hold_s <= 12) {
      const holds = entries.filter((entry) => entry.kind === 'hold' && entry.step === e.index);
      check(`${e.id}: holds are counted in seconds`, holds.length >= e.sets * e.reps * (Math.floor(e.hold_s) - 1) && holds.length <= e.sets * e.reps * Math.ceil(e.hold_s), holds.length);
    }
  }
  same('nothing of the other side', entries.filter((entry) => entry.side !== expected.side).length, 0);
  same('steps come in order', [...new Set(entries.map((entry) => entry.step).filter((step) => step !== null))], expected.steps.map((_, i) => i));
  const told = entries.filter((entry) => ['step', 'say', 'count', 'hold', 'rest', 'ready', 'end'].includes(entry.kind)).map((entry) => entry.text);
  same('speech is the log', await page.evaluate(() => window.__spoken), told);
  same('captions are the speech', await page.evaluate(() => window.__captions), told);
  const announced = await page.evaluate(() => window.__announced);
  check('screen readers do not get every second', announced.length < told.length && !announced.some((text) => /^\d+$/.test(text)));
  check('beeps sound with the counts', entries.filter((entry) => entry.kind === 'beep' && entry.text === 'count').length === planned);
  const times = entries.map((entry) => entry.t);
  check('the log is in order of time', times.every((t, i) => i === 0 || t >= times[i - 1] - 1e-6));

  await axe(page, 'end screen before saving');
  await fits(page, 'end screen before saving');
  await page.click('#end-form button[type=submit]');
  check('the end asks for pain', await page.isVisible('#end-missing'));
  await pick(page, 'during', 3);
  await pick(page, 'after', 2);
  await page.click('#end-form button[type=submit]');
  await axe(page, 'end screen');
  await fits(page, 'end screen');
  await shoot(page, 'end', true);
  const text = await page.inputValue('#end-code textarea');
  same('the code holds the log', await readCode(page, '#end-code'), text);
  const saved = JSON.parse(text);
  logTexts.push(text);
  same('the log names session, version and date', [saved.s, saved.v, saved.d], [expected.session_id, expected.version, expected.date]);
  same('the log holds all repetitions', saved.e.map((e) => [e.i, e.n]), exercises.map((e) => [e.id, new Array(e.sets).fill(e.reps)]));
  same('the log holds the pain', saved.p, [1, 3, 2]);
  same('the log is kept on the phone', await page.evaluate((id) => JSON.parse(localStorage.getItem(`handrail:${id}`)).at(-1), expected.session_id), saved);

  const again = await open({ context: page.context() });
  check('earlier sessions are offered', await again.isVisible('#earlier'));
  await again.click('#earlier-show');
  await axe(again, 'screen of earlier sessions');
  same('the code of earlier sessions holds the log', await readCode(again, '#earlier-code'), text);
  await close(page);
}

// ---- pause, slower, back, skip, hidden page ------------------------------------------------------------

const inMove = () => document.getElementById('counter').dataset.kind === 'move';

{
  const page = await open();
  await begin(page);
  await toExercise(page);
  await page.click('#onward');
  check('a set begins', await runUntil(page, inMove));

  const before = await log(page);
  await page.click('#pause');
  await run(page, 60);
  const paused = (await log(page)).slice(before.length);
  same('pause stops everything', paused.map((entry) => entry.kind), ['pause']);
  check('the pause is shown', await page.isVisible('#paused'));
  await axe(page, 'paused screen');
  await page.keyboard.press('Tab');
  await page.locator('#run-name').focus();
  await page.keyboard.press(' ');
  await run(page, 0.2);
  check('the space key goes on', !(await page.isVisible('#paused')));

  await page.evaluate(() => {
    Object.defineProperty(document, 'visibilityState', { value: 'hidden', configurable: true });
    document.dispatchEvent(new Event('visibilitychange'));
  });
  const hiddenAt = (await log(page)).length;
  await run(page, 30);
  same('a hidden page counts nothing', (await log(page)).length, hiddenAt);
  await page.evaluate(() => {
    Object.defineProperty(document, 'visibilityState', { value: 'visible', configurable: true });
    document.dispatchEvent(new Event('visibilitychange'));
  });
  check('it waits to be started again', await page.isVisible('#paused'));
  await page.click('#pause');
  const beforeGap = (await log(page)).length;
  await page.evaluate(() => window.__clock.gap(120));
  await run(page, 0.05);
  check('a sleeping phone loses and adds no repetition', (await log(page)).slice(beforeGap).every((entry) => entry.kind !== 'count'));

  // One repetition timed at each speed: moves stretch, holds do not.
  const repetition = async () => {
    await runUntil(page, () => document.getElementById('counter').dataset.kind === 'breath');
    return page.evaluate(() => {
      // To the very start of the move: a coarser step would miss a part of it, more at full speed than at half.
      for (let i = 0; i < 2000 && document.getElementById('counter').dataset.kind !== 'move'; i++) window.__clock.run(0.02, 0.02);
      const t0 = window.__clock.now();
      const times = { move: 0, hold: 0 };
      for (let i = 0; i < 20000 && document.getElementById('counter').dataset.kind !== 'breath'; i++) {
        const now = document.getElementById('counter').dataset.kind;
        window.__clock.run(0.02, 0.02);
        if (now in times) times[now] += 0.02;
      }
      return { ...times, whole: (window.__clock.now() - t0) / 1000 };
    });
  };
  const first = exercises[0];
  if (first.reps >= 5) {
    const full = await repetition();
    await page.click('#slower');
    const slow = await repetition();
    await page.click('#slower');
    const half = await repetition();
    await page.click('#slower');
    check('three quarters speed stretches moves', Math.abs(slow.move / full.move - 4 / 3) < 0.06, { full, slow });
    check('half speed doubles moves', Math.abs(half.move / full.move - 2) < 0.1, { full, half });
    check('holds keep their seconds', Math.abs(half.hold - full.hold) < 0.2 && Math.abs(full.hold - first.hold_s) < 0.2, { full, half });
    same('speeds are logged', (await log(page)).filter((entry) => entry.kind === 'rate').map((entry) => entry.text), ['0.75', '0.5', '1']);
  }

  // Back begins the set again; what was counted is not counted twice in the log.
  const counted = (await log(page)).filter((entry) => entry.kind === 'count').length;
  await page.click('#back');
  await run(page, 0.1);
  const afterBack = (await log(page)).at(-1);
  same('back returns to the start of the set', [afterBack.step, afterBack.set, afterBack.kind], [first.index, 1, 'ready']);
  await runUntil(page, () => document.getElementById('counter').dataset.kind === 'breath');
  await page.click('#back'); // more than three seconds in: the same set again
  await run(page, 0.1);
  await page.click('#back'); // at once: the part before
  await run(page, 0.1);
  same('back twice returns to the introduction', await kind(page), 'intro');
  await shoot(page, 'introduction');

  // Pain during the exercise, then skip with a reason.
  await page.click('#onward');
  await runUntil(page, inMove);
  await page.click('#pain');
  await axe(page, 'pain question');
  await page.click('#ask-pain-numbers button:nth-child(4)');
  await page.click('#skip');
  await axe(page, 'skip question');
  await shoot(page, 'skip');
  const standing = (await log(page)).length;
  await run(page, 20);
  same('the clock stands while a question is open', (await log(page)).length, standing);
  await page.click('[data-code="tired"]');
  await run(page, 0.1);
  const skipped = (await log(page)).filter((entry) => entry.kind === 'skip');
  same('the reason is logged', skipped.map((entry) => [entry.step, entry.text]), [[first.index, 'tired']]);
  check('skip goes to the next step', expected.steps.length === 1 || (await log(page)).at(-1).step === first.index + 1);

  // Stop.
  if (await screen(page) === 'run') {
    await page.click('#stop');
    await axe(page, 'stop question');
    check('stop says whom to call', (await page.locator('#ask-stop .contact').count()) === 3);
    await shoot(page, 'stop');
    await page.click('#stop-go-on');
    await run(page, 0.2);
    check('going on after the stop question', !(await page.isVisible('#paused')));
    await page.click('#stop');
    await page.click('#stop-end');
    await page.click('[data-code="no_time"]');
  }
  same('stop ends the session', await screen(page), 'end');
  await axe(page, 'end screen with reasons');
  await pick(page, 'during', 3);
  await pick(page, 'after', 3);
  await page.click('#end-form button[type=submit]');
  const saved = JSON.parse(await page.inputValue('#end-code textarea'));
  logTexts.push(JSON.stringify(saved));
  same('the code of a stopped session holds the log', JSON.parse(await readCode(page, '#end-code')), saved);
  check('repetitions are counted once', saved.e[0].n.every((n) => n <= first.reps) && saved.e[0].n[0] === counted, { n: saved.e[0].n, counted });
  check('repetitions done again are told apart', saved.e[0].x === 1, saved.e[0]);
  same('reason and pain of the skipped exercise', [saved.e[0].w, saved.e[0].p], ['tired', 3]);
  check('the others carry the reason of the stop', saved.e.slice(1).every((e) => e.w === 'no_time'));
  await close(page);
}

// ---- rests and moves -----------------------------------------------------------------------------------

if (exercises.some((e) => e.sets > 1) || expected.steps.some((step) => step.kind === 'rest')) {
  const page = await open();
  await begin(page);
  await toExercise(page);
  const inRest = () => document.getElementById('counter').dataset.kind === 'rest';
  if (await runUntil(page, inRest)) {
    const left = () => page.evaluate(() => Number(document.getElementById('number').textContent));
    await run(page, 1);
    const a = await left();
    await run(page, 3);
    same('a rest counts down in seconds', a - (await left()), 3);
    await shoot(page, 'rest');
    await fits(page, 'rest screen');
    const b = await left();
    await page.click('#more-rest');
    await run(page, 0.05);
    check('more rest adds 15 seconds', Math.abs((await left()) - b - 15) <= 1);
    await page.click('#onward');
    await run(page, 0.05);
    same('going on early starts the countdown of the next set', await kind(page), 'ready');
  }
  await close(page);
}

const firstMove = expected.steps.findIndex((step) => step.kind === 'move');
if (firstMove >= 0) {
  const page = await open();
  await begin(page);
  await page.evaluate((step) => {
    for (let i = 0; i < 40000 && !window.__log.some((entry) => entry.step === step); i++) window.__clock.run(0.25);
  }, firstMove);
  await run(page, 12);
  check('a move shows a picture', (await page.locator('#picture svg').count()) >= 1);
  await axe(page, 'move screen');
  await fits(page, 'move screen');
  await shoot(page, 'move');
  if (expected.steps[firstMove].waits) {
    await run(page, 400);
    same('a move waits for the patient', (await log(page)).at(-1).step, firstMove);
    await page.click('#onward');
    await run(page, 0.1);
    check('ready goes on', await screen(page) === 'end' || (await log(page)).at(-1).step === firstMove + 1);
  }
  await close(page);
}

// ---- what keeps a session from starting ----------------------------------------------------------------

const dayAfter = (iso, days) => new Date(Date.parse(`${iso}T12:00:00Z`) + days * 86400e3).toISOString().slice(0, 10);
for (const [name, day, starts] of [
  ['on its last day', expected.valid_until, true],
  ['after its last day', dayAfter(expected.valid_until, 1), false],
  ['before it was made', dayAfter(expected.date, -1), false],
]) {
  const page = await open({ day });
  same(`the page starts ${name}: ${starts}`, [await page.isVisible('#go'), await page.isVisible('#start-refusal')], [starts, !starts]);
  if (!starts) await axe(page, `refusal ${name}`);
  await close(page);
}

{
  const page = await open();
  const groups = await warnings(page);
  for (let i = 0; i < groups; i++) {
    await pick(page, `warning-${i}`, 'yes');
    await page.click('#go');
    same(`a yes to warning ${i + 1} leads to the call`, await screen(page), 'call');
    check(`the call after warning ${i + 1} has a number`, (await page.locator('#screen-call a.tel').count()) > 0);
    if (i === 0) {
      await axe(page, 'call screen');
      await fits(page, 'call screen');
      await shoot(page, 'call', true);
    }
    same('no exercise has begun', (await log(page)).filter((entry) => entry.kind === 'step' || entry.kind === 'count').length, 0);
    await page.click('#screen-call summary');
    const text = await page.inputValue('#call-code textarea');
    check('the yes is in the log', JSON.parse(text).f.length === 1, text);
    logTexts.push(text);
    await page.click('#call-back');
  }
  await close(page);
}

// ---- more pain than the limit --------------------------------------------------------------------------

{
  const page = await open();
  const limit = await page.evaluate(() => JSON.parse(document.getElementById('session-data').textContent).pain_limit);
  if (limit !== null && limit < 10) {
    await begin(page, limit + 1);
    same('more pain than the limit does not start', await screen(page), 'call');
    await axe(page, 'call screen for pain');
    await page.click('#call-back');
    await begin(page, limit);
    same('pain at the limit starts', await screen(page), 'run');
    await toExercise(page);
    await toExercise(page);
    await page.click('#onward');
    await runUntil(page, inMove);
    await page.click('#pain');
    await page.click(`#ask-pain-numbers button:nth-child(${limit + 2})`);
    check('more pain than the limit offers no way on', !(await page.isVisible('#ask-pain-cancel')) && await page.isVisible('#over-end'));
    await axe(page, 'too much pain');
    await page.keyboard.press('Escape');
    await page.waitForFunction(() => !document.querySelector('dialog[open]'));
    await run(page, 0.2);
    const last = await log(page);
    same('closing the question ends the exercise too', last.filter((entry) => entry.kind === 'skip').map((entry) => [entry.step, entry.text]), [[exercises[0].index, 'pain']]);
  }
  await close(page);
}

// ---- narrow screens, large text, less motion, no voice -------------------------------------------------

{
  const page = await open({ viewport: NARROW });
  await axe(page, 'start screen at 320');
  await fits(page, 'start screen at 320');
  await shoot(page, 'start-320', true);
  await begin(page);
  await run(page, 1);
  await axe(page, 'exercise screen at 320');
  await fits(page, 'exercise screen at 320');
  await stopInView(page, 'exercise screen at 320');
  await shoot(page, 'exercise-320', true);
  await page.click('#stop');
  await page.click('#stop-end');
  await page.click('[data-code="other"]');
  await pick(page, 'during', 0);
  await pick(page, 'after', 0);
  await page.click('#end-form button[type=submit]');
  await axe(page, 'end screen at 320');
  await fits(page, 'end screen at 320');
  same('the code is read at 320', await readCode(page, '#end-code'), await page.inputValue('#end-code textarea'));
  await close(page);
}

{
  const page = await open({ reducedMotion: 'reduce' });
  await begin(page);
  await toExercise(page);
  await run(page, 1);
  same('less motion shows two stills', await page.locator('#picture .still').count(), 2);
  const shapes = () => page.evaluate(() => [...document.querySelectorAll('#picture path')].map((p) => p.getAttribute('d')).join());
  const a = await shapes();
  await run(page, 1.5);
  check('the stills do not move', a === await shapes());
  await axe(page, 'exercise screen with less motion');
  await shoot(page, 'stills');
  await close(page);

  const moving = await open();
  await begin(moving);
  await toExercise(moving);
  await run(moving, 1);
  const b = await moving.evaluate(() => [...document.querySelectorAll('#picture path')].map((p) => p.getAttribute('d')).join());
  await run(moving, 0.8);
  const c = await moving.evaluate(() => [...document.querySelectorAll('#picture path')].map((p) => p.getAttribute('d')).join());
  check('the figure moves', b !== c && !/NaN/.test(c));
  await moving.click('#mute');
  const quiet = await moving.evaluate(() => window.__spoken.length);
  const shown = await moving.evaluate(() => window.__captions.length);
  await run(moving, 8);
  same('muted: nothing is spoken', await moving.evaluate(() => window.__spoken.length), quiet);
  check('muted: captions go on', (await moving.evaluate(() => window.__captions.length)) > shown);
  await close(moving);
}

{
  const page = await open({ viewport: { width: 844, height: 390 } });
  await begin(page);
  await run(page, 1);
  await fits(page, 'exercise screen in landscape');
  await stopInView(page, 'exercise screen in landscape');
  await shoot(page, 'landscape');
  await close(page);
}

{
  // Without our clock: the device's own frames drive the session.
  const place = await browser.newContext({ viewport: PHONE, offline: true });
  const page = await place.newPage();
  page.on('pageerror', (error) => errors.push(error.message));
  await page.clock.setFixedTime(new Date(`${expected.date}T08:30:00`));
  await page.goto(pathToFileURL(path.resolve(html)).href);
  await begin(page);
  await page.waitForTimeout(1500);
  const t = await page.evaluate(() => Number(document.getElementById('turn').getAttribute('stroke-dasharray').split(' ')[0]));
  check('the session runs by the device clock', t > 0, t);
  await place.close();
}

same('no network requests', requests, []);
same('no errors in the page', errors, []);
check('the file is at most 400 kB', fs.statSync(html).size <= 400_000, fs.statSync(html).size);

await browser.close();
if (logFile) fs.writeFileSync(logFile, `${logTexts.join('\n')}\n`);
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
