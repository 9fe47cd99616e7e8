// The patient's page in a real browser: link, door, diary with the network cut in the middle, exactly once.
//
//   CLINIC_NODE=target/outside/node node tests/outside/clinic/patient.mjs --base http://127.0.0.1:PORT [--shots FOLDER]
//
// Needs a server with the invented clinic as it comes from its seed, and the packages playwright-core and axe-core:
// in this folder, or in the folder that CLINIC_NODE names. The browser is /usr/bin/chromium or what CHROMIUM names.

import { PASSWORD, PHONE, axe, base, check, complaints, end, launch, listen, shoot } from './shared.mjs';

const MOST_BYTES = 200_000; // before the figure data
const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
const SCREENS = ['today', 'diary', 'signs', 'messages', 'call-emergency', 'call-same_day', 'call-next_visit', 'saved'];

const browser = await launch();

// ---- the clinic makes links --------------------------------------------------------------------------------

const staff = await browser.newContext({ viewport: { width: 1280, height: 900 }, locale: 'en-US' });
const desk = await staff.newPage();
listen(desk, 'clinic');
await desk.goto(`${base}/login`);
await desk.fill('[name=name]', 'ines');
await desk.fill('[name=password]', PASSWORD);
await desk.click('button.main');
await desk.waitForURL((url) => url.pathname !== '/login');

async function makeLink(episode) {
  await desk.goto(`${base}/e/${episode}/home`);
  await axe(desk, `clinic, ${episode}`);
  const born = /born (\w{3}) (\d+), (\d{4})/.exec(await desk.textContent('main'));
  await desk.click('form[action$="/home/link"] button');
  await desk.waitForSelector('.hand-over');
  await axe(desk, `clinic, new link of ${episode}`);
  await shoot(desk, `clinic-${episode}`);
  const url = (await desk.textContent('.hand-over .link')).trim();
  check('a link has at most 80 letters', url.length <= 80, url.length);
  await desk.goto(`${base}/e/${episode}/home`);
  check('a link is shown once', !(await desk.content()).includes(url));
  return { url, born: { month: MONTHS.indexOf(born[1]) + 1, day: born[2], year: born[3] } };
}

async function phone(options = {}) {
  const context = await browser.newContext({ viewport: PHONE, locale: 'en-US', hasTouch: true, isMobile: true, ...options });
  const page = await context.newPage();
  listen(page, 'phone');
  return { context, page };
}

async function openDoor(page, link) {
  await page.goto(link.url);
  await page.selectOption('[name=month]', String(link.born.month));
  await page.fill('[name=day]', link.born.day);
  await page.fill('[name=year]', link.born.year);
  await page.click('button.main');
  await page.waitForURL((url) => url.pathname === '/home');
}

/** Waits until the service worker has both pages at hand. */
async function ready(page) {
  for (let tries = 0; tries < 60; tries++) {
    const kept = await page.evaluate(async () => {
      const cache = await caches.open('handrail-pages-1');
      const pages = await Promise.all(['/home', '/home/session'].map((it) => cache.match(it)));
      return Boolean(navigator.serviceWorker.controller) && pages.every(Boolean);
    });
    if (kept) return;
    await page.waitForTimeout(250);
  }
  throw new Error('the service worker has not kept the pages');
}

async function goScreen(page, id) {
  // Within the page, as a tap on a tab does it: a navigation would load the page anew.
  await page.evaluate((it) => { location.hash = it; }, id);
  await page.waitForFunction((it) => document.getElementById(it)?.offsetParent !== null, id);
}

const unsent = (page) => page.textContent('#note-unsent');
const nothingUnsent = (page) => page.waitForFunction(() => document.getElementById('note-unsent').hidden, null, { timeout: 20000 });

/** Diaries that the clinic has for today, and messages with a text, as the server shows them. */
async function atClinic(page, message) {
  await page.goto(`${base}/home`);
  return page.evaluate((text) => {
    const now = new Date();
    const today = `${now.toLocaleDateString('en-US', { month: 'short' })} ${now.getDate()}, ${now.getFullYear()}`;
    const lines = [...document.querySelectorAll('.earlier li')].filter((it) => it.textContent.startsWith(today));
    return { diaries: lines.length, messages: [...document.querySelectorAll('.messages .as-written')].filter((it) => it.textContent === text).length };
  }, message);
}

async function writeDiary(page, message, cut) {
  await goScreen(page, 'diary');
  await page.click('#no-signs');
  await page.click('#all-done');
  if (cut) await cut();
  for (const when of ['before', 'during', 'after']) await page.check(`input[name=pain_${when}][value="2"]`, { force: true });
  await page.check('input[name=morning][value=usual]', { force: true });
  await page.fill('#diary-form [name=message]', message);
  await page.click('#diary-form button.main');
  await page.waitForFunction(() => location.hash === '#saved');
}

const link = await makeLink('marta-okonjo');

// ---- the door, weight, first look --------------------------------------------------------------------------

{
  const { context, page } = await phone();
  const door = await page.goto(link.url);
  check('the door tells nobody where a reader came from', door.headers()['referrer-policy'] === 'no-referrer');
  await axe(page, 'door');
  await shoot(page, 'door');
  // With the keyboard alone.
  await page.focus('[name=month]');
  await page.keyboard.type(MONTHS[link.born.month - 1]);
  await page.keyboard.press('Tab');
  await page.keyboard.type(link.born.day);
  await page.keyboard.press('Tab');
  await page.keyboard.type(link.born.year);

  const session = await context.newCDPSession(page);
  await session.send('Network.enable');
  await session.send('Network.setCacheDisabled', { cacheDisabled: true });
  const paths = new Map();
  let bytes = 0;
  session.on('Network.requestWillBeSent', (it) => paths.set(it.requestId, new URL(it.request.url).pathname));
  session.on('Network.loadingFinished', (it) => {
    const at = paths.get(it.requestId) ?? '';
    if (!at.startsWith('/p/') && at !== '/home/session') bytes += it.encodedDataLength;
  });
  await page.keyboard.press('Enter');
  await page.waitForURL((url) => url.pathname === '/home');
  await page.waitForLoadState('networkidle');
  console.log(`transferred for the page, its style, scripts and fonts: ${bytes} bytes`);
  check('the page is light', bytes > 5000 && bytes <= MOST_BYTES, bytes);
  check('the door is not in the way back', await page.evaluate(() => history.length) <= 2);
  check('the address holds no secret', !page.url().includes(link.url.split('/p/')[1]));
  check('the first number is the emergency number', await page.getAttribute('a.tel', 'href') === 'tel:911');
  const manifest = await page.evaluate(async () => (await fetch(document.querySelector('link[rel=manifest]').href)).json());
  check('the app begins without a secret', manifest.start_url === '/home' && manifest.scope === '/home');
  for (const icon of manifest.icons) {
    const size = await page.evaluate(async (it) => {
      const image = await createImageBitmap(await (await fetch(it)).blob());
      return `${image.width}x${image.height}`;
    }, icon.src);
    check(`icon ${icon.sizes} ${icon.purpose}`, size === icon.sizes, size);
  }
  await context.close();
}

// ---- every screen, both languages, three sizes --------------------------------------------------------------

for (const [name, viewport] of [['phone', { width: 390, height: 844 }], ['narrow', { width: 320, height: 640 }], ['flat', { width: 844, height: 390 }]]) {
  const { context, page } = await phone({ viewport });
  await openDoor(page, link);
  for (const lang of ['en', 'es']) {
    if (lang === 'es') {
      await goScreen(page, 'today');
      await page.click('button[name=lang][value=es]');
      await page.waitForFunction(() => document.documentElement.lang === 'es');
    }
    for (const id of [...SCREENS, 'form']) {
      await goScreen(page, id === 'form' ? 'diary' : id);
      if (id === 'form') {
        await page.click('#no-signs');
        await page.locator('input[value=part]').first().check({ force: true });
      }
      await axe(page, `${id}, ${lang}, ${name}`);
      await shoot(page, `${name}-${lang}-${id}`);
      const width = await page.evaluate(() => [document.documentElement.scrollWidth, window.innerWidth]);
      check(`${id}, ${lang}, ${name}: nothing is wider than the screen`, width[0] <= width[1], width);
      const small = await page.evaluate(() => [...document.querySelectorAll('a, button, select, textarea, summary, .answer')]
        .filter((it) => it.offsetParent && (it.offsetWidth < 44 || it.offsetHeight < 44)).map((it) => it.textContent.slice(0, 30)));
      check(`${id}, ${lang}, ${name}: 44 px to touch`, small.length === 0, small);
      const head = await page.textContent('.head');
      check(`${id}, ${lang}: side, version and last day are on the screen`, /1/.test(head) && /(Left leg|Pierna izquierda)/.test(head) && /20\d\d/.test(head), head);
    }
  }
  await page.goto(`${base}/home/session`);
  await page.waitForSelector('#screen-start:not([hidden])');
  await axe(page, `guided session, ${name}`);
  await shoot(page, `${name}-session`);
  await context.close();
}

// ---- the network is cut in the middle of a diary -------------------------------------------------------------

{
  const { context, page } = await phone();
  await openDoor(page, link);
  await ready(page);
  const message = 'Written with the network cut.';
  await writeDiary(page, message, () => context.setOffline(true));
  await page.waitForFunction(() => /not sent yet/.test(document.getElementById('saved-state').textContent));
  await shoot(page, 'offline-saved');
  check('one report is not sent yet', /1 report is not sent yet/.test(await unsent(page)), await unsent(page));
  await page.reload();
  check('the page opens without a network', /Left leg/.test(await page.textContent('.head')));
  check('it says so', /No network/.test(await page.textContent('#note-offline')));
  check('the report is still there', /1 report is not sent yet/.test(await unsent(page)));
  await shoot(page, 'offline-today');
  await page.goto(`${base}/home/session`);
  check('the guided session opens without a network', await page.isVisible('#screen-start'));
  await page.goto(`${base}/home`);
  await page.waitForFunction(() => !document.getElementById('note-unsent').hidden);
  await context.setOffline(false);
  await nothingUnsent(page);
  let clinic = await atClinic(page, message);
  check('the clinic has it exactly once', clinic.diaries === 1 && clinic.messages === 1, clinic);
  await page.reload();
  clinic = await atClinic(page, message);
  check('and only once after another look', clinic.diaries === 1 && clinic.messages === 1, clinic);

  // The server takes a report, and its answer is lost on the way.
  let lost = 0;
  await context.route('**/home/diary', async (route) => {
    await route.fetch();
    lost += 1;
    await (lost === 1 ? route.abort() : route.fulfill({ response: await route.fetch() }));
  });
  await writeDiary(page, 'The answer was lost.');
  await page.waitForFunction(() => /not sent yet/.test(document.getElementById('saved-state').textContent));
  await page.evaluate(() => window.dispatchEvent(new Event('online')));
  await nothingUnsent(page);
  await context.unroute('**/home/diary');
  clinic = await atClinic(page, 'The answer was lost.');
  check('a report whose answer was lost is there once', lost === 2 && clinic.diaries === 2 && clinic.messages === 1, { lost, ...clinic });

  // A warning sign without a network: the right call at once, told to the clinic later.
  await ready(page);
  await goScreen(page, 'diary');
  await context.setOffline(true);
  await page.locator('#ask-signs a[data-sign=emergency]').first().click();
  await page.waitForFunction(() => document.getElementById('call-emergency').offsetParent !== null);
  check('a sign leads to the emergency number', await page.getAttribute('#call-emergency a.tel', 'href') === 'tel:911');
  check('it is not sent yet', /not sent yet/.test(await page.textContent('#call-emergency [data-sign-state]')));
  await shoot(page, 'offline-sign');
  await context.setOffline(false);
  await nothingUnsent(page);
  await page.goto(`${base}/home`);
  check('the clinic has the sign', /short of breath|chest|leg hurts far more/.test(await page.textContent('.earlier')));

  // The sheet ends while the phone has no network.
  await ready(page);
  await context.setOffline(true);
  await page.clock.setFixedTime(new Date(Date.now() + 30 * 24 * 3600e3));
  await page.reload();
  check('an old sheet says so without a network', /out of date/.test(await page.textContent('#note-date')));
  check('and shows no session', !(await page.isVisible('#session-card')) && await page.isVisible('#note-date a.tel'));
  await shoot(page, 'offline-out-of-date');
  await context.setOffline(false);
  await context.close();
}

// ---- the session on the phone has ended ----------------------------------------------------------------------

{
  const { context, page } = await phone();
  await openDoor(page, link);
  await ready(page);
  await context.clearCookies();
  await page.reload();
  await page.waitForFunction(() => !document.getElementById('note-again').hidden);
  check('a kept page says that it has to be opened again', /Left leg/.test(await page.textContent('.head')));
  const message = 'Written when the session had ended.';
  await writeDiary(page, message);
  await page.waitForFunction(() => !document.getElementById('note-again').hidden);
  check('it asks to open the link again', /Open the link/.test(await page.textContent('#note-again')));
  check('what was written is kept', /1 report is not sent yet/.test(await unsent(page)));
  await shoot(page, 'session-ended');
  await openDoor(page, link);
  await nothingUnsent(page);
  const clinic = await atClinic(page, message);
  check('it is sent once the link is open again', clinic.messages === 1, clinic);

  // Another patient's link on the same phone: nothing of the first is sent or shown, and nothing of it is lost.
  const first = 'Of the first patient.';
  await context.setOffline(true);
  await writeDiary(page, first);
  await page.waitForFunction(() => /not sent yet/.test(document.getElementById('saved-state').textContent));
  await context.clearCookies();
  await context.setOffline(false);
  await page.waitForFunction(() => !document.getElementById('note-again').hidden);
  await openDoor(page, await makeLink('greta-holloway'));
  check('the other page shows the other side', /Right arm/.test(await page.textContent('.head')));
  await page.waitForTimeout(1500);
  const shown = await page.evaluate(() => document.documentElement.textContent);
  check('nothing of the first patient is on it', !shown.includes(first) && !shown.includes('Marta'));
  check('nor counted as not sent', await page.isHidden('#note-unsent'));
  check('nor sent to the second', (await atClinic(page, first)).messages === 0);
  await openDoor(page, link);
  await nothingUnsent(page);
  check('the first patient sends it later', (await atClinic(page, first)).messages === 1);
  await context.close();
}

// ---- a guided session fills the diary ------------------------------------------------------------------------

{
  const { context, page } = await phone();
  await openDoor(page, link);
  await page.evaluate(() => {
    const data = JSON.parse(document.getElementById('home-data').textContent);
    const boxes = [...document.querySelectorAll('fieldset.exercise')];
    const now = new Date();
    const two = (n) => String(n).padStart(2, '0');
    const started = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}T07:05:00`;
    const log = {
      hr: 1, s: data.guided, v: data.version, d: data.on, t: started, a: 600, p: [1, 4, 2],
      e: boxes.map((it, i) => ({ i: it.dataset.exercise, n: Array.from({ length: Number(it.dataset.sets) }, (_, set) => (i === 0 && set > 0 ? 3 : Number(it.dataset.counted))) })),
    };
    localStorage.setItem(`handrail:${data.guided}`, JSON.stringify([log]));
  });
  await goScreen(page, 'diary');
  await page.click('#no-signs');
  check('the guided session is found', /07:05/.test(await page.textContent('#guided-found')));
  const answers = await page.evaluate(() => [...document.querySelectorAll('fieldset.exercise')].map((it) => it.querySelector('input:checked')?.value));
  check('its counts are filled in', answers[0] === 'part' && answers.slice(1).every((it) => it === 'all'), answers);
  check('and its pain', await page.isChecked('input[name=pain_during][value="4"]'));
  await page.click('#diary-form button.main');
  await page.waitForFunction(() => /sent to your clinic/.test(document.getElementById('saved-state').textContent));
  await goScreen(page, 'diary');
  await page.click('#no-signs');
  check('it is offered once', await page.isHidden('#guided-found'));
  // A sign answered with yes in the guided session itself.
  await page.goto(`${base}/home/session`);
  await page.locator('#start-form input[name="warning-1"][value=yes]').check({ force: true });
  await page.click('#go');
  check('the guided session says to call', await page.isVisible('#screen-call a.tel[href="tel:5550134"]'));
  await page.click('#screen-call a[href="/home"]');
  await page.waitForURL((url) => url.pathname === '/home');
  await nothingUnsent(page);
  await page.waitForTimeout(1000);
  await page.reload();
  check('and the clinic is told', /Said yes to a sign/.test(await page.textContent('.earlier')));
  await page.reload();
  const signs = await page.evaluate(() => document.querySelector('.earlier').textContent.split('Said yes to a sign').length - 1);
  check('once', signs === 1, signs);
  await context.close();
}

check('no script failed and no policy was broken', complaints.length === 0, complaints);
await browser.close();
end();
