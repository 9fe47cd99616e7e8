// Every page of the clinic in a real browser, as clinic lead: axe-core without a finding, no sideways scroll, no text
// missing, no complaint of scripts or content policy; at desk and phone width, in both languages.
//
//   CLINIC_NODE=target/outside/node node tests/outside/clinic/desk.mjs --base http://127.0.0.1:PORT [--shots FOLDER]
//
// Needs a server with the invented clinic as it comes from its seed.

import { DESK, PHONE, axe, base, check, complaints, end, launch, listen, logIn, shoot } from './shared.mjs';

const E = '/e/ilse-vanterpoole';
const PAGES = [
  '/', '/?whose=all', '/patients', '/new', E, `${E}/limits`, `${E}/journal`, `${E}/record`, `${E}/restrictions`, `${E}/program`,
  `${E}/home`, '/e/yusuf-dankworth', '/e/lucia-montoya-iriarte', '/content', '/content/waiting', '/content/exercise/seated-heel-slide',
  '/content/exercise/seated-heel-slide/edit', '/content/protocol/acl-reconstruction', '/settings', '/settings/codes', '/settings/people',
  '/settings/clinic', '/settings/audit', '/settings/incidents', '/e/nobody',
];

const browser = await launch();
for (const [viewport, size] of [[DESK, 'desk'], [PHONE, 'phone']]) {
  const context = await browser.newContext({ viewport, locale: 'en-US' });
  const page = await context.newPage();
  listen(page, size);
  await logIn(page, 'helena');
  for (const lang of ['en', 'es']) {
    await context.addCookies([{ name: 'lang', value: lang, url: base }]);
    for (const at of PAGES) {
      const name = `${at} ${lang} ${size}`;
      await page.goto(base + at, { waitUntil: 'load' });
      await axe(page, name);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
      check(`${name}: no sideways scroll`, wide <= 0, wide);
      const text = await page.evaluate(() => document.body.textContent);
      check(`${name}: no text is missing`, !text.includes('[no words:'), text.match(/\[no words:[^\]]*\]/)?.[0]);
      check(`${name}: language`, (await page.getAttribute('html', 'lang')) === lang);
      await shoot(page, name);
    }
  }
  await context.close();
}
check('no script failed and no policy was broken', complaints.length === 0, complaints);
await browser.close();
end();
