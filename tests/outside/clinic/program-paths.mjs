import { launch, login, BASE, axePath } from './lib.mjs';
import fs from 'fs';
const axe = fs.readFileSync(axePath, 'utf8');
const b = await launch();
const must = (ok, what) => { console.log(ok ? 'ok  ' : 'FAIL', what); };
const axeOn = async (p, what) => {
  await p.evaluate(axe).catch(async () => { await p.addScriptTag({ content: axe }); });
  const r = await p.evaluate(() => axe.run(document));
  must(r.violations.length === 0, `axe ${what}: ${r.violations.map(v => v.id + ' ' + v.nodes.slice(0,3).map(n => n.target + ' ' + n.failureSummary.slice(0,150)).join(' || ')).join('; ')}`);
};
const URL = `${BASE}/e/marta-okonjo/program`;
// live: add, remove, busy, order
const p = await login(b);
await p.goto(URL); await p.waitForTimeout(1500);
const n0 = await p.locator('.shot').count();
const busy = await p.evaluate(() => { const f = document.querySelector('.shot input[name$=".sets"]'); f.value = '400'; f.dispatchEvent(new Event('input', {bubbles:true})); return [document.getElementById('program').getAttribute('aria-busy'), document.getElementById('issue-button').disabled, getComputedStyle(document.querySelector('.verdict')).visibility]; });
must(busy[0]==='true' && busy[1]===true && busy[2]==='hidden', 'at the change itself no verdict is seen and issue is off ' + busy);
await p.waitForFunction(() => document.querySelector('#totals .stop'));
must(await p.locator('#issue-button').isDisabled(), 'over the ceiling: issue stays off');
await p.fill('.shot input[name$=".sets"] >> nth=0', '2'); await p.waitForFunction(() => !document.querySelector('#totals .stop') && !document.getElementById('issue-button').disabled);
await p.locator('#picks button.add').first().click(); await p.waitForFunction(n => document.querySelectorAll('.shot').length === n + 1, n0);
await p.waitForTimeout(300);
must(await p.evaluate(() => document.activeElement.closest('.shot') !== null), 'after adding the focus is in the new card');
const row = await p.evaluate(() => document.activeElement.closest('.shot').dataset.row);
await p.keyboard.type('1'); await p.waitForTimeout(400);
must(await p.evaluate((r) => document.activeElement.name === `r${r}.sets` && document.activeElement.value === '1', row), 'typing keeps the focus through an answer');
await p.waitForTimeout(2500);
await p.screenshot({ path: 'add.png' });
// reload: draft is back
await p.goto(URL); await p.waitForTimeout(600);
must(await p.locator('.shot').count() === n0 + 1, 'draft is back after leaving');
await p.locator(`#card-${row} button[value="remove:${row}"]`).click(); await p.waitForFunction(n => document.querySelectorAll('.shot').length === n, n0);
must(true, 'removed');
await p.fill('[data-find]', 'knee'); await p.waitForTimeout(100);
must((await p.locator('#picks [data-name]:visible').count()) > 0, 'filter leaves ' + await p.locator('#picks [data-name]:visible').count());
await axeOn(p, 'en 1280');
await p.click('button[value=discard]'); await p.waitForLoadState(); await p.waitForTimeout(500);
// two at once
const q = await login(b, 'matteo');
await q.goto(URL); await q.waitForTimeout(800);
await p.fill('.shot input[name$=".reps"] >> nth=0', '7'); await p.waitForTimeout(400);
await q.locator('.shot button[value^="remove:"]').nth(1).click(); await q.waitForFunction(n => document.querySelectorAll('.shot').length === n - 1, n0);
await q.waitForFunction(() => !document.getElementById('issue-button').disabled);
await q.click('#issue-button'); await q.waitForURL('**/issued'); must(true, 'matteo issued');
await axeOn(q, 'issued page'); await q.screenshot({ path: 'issued.png', fullPage: true });
await p.fill('.shot input[name$=".reps"] >> nth=0', '8');
await p.waitForSelector('.conflict'); must(await p.locator('#issue-button').isDisabled(), 'ines is told at the next change: ' + (await p.locator('.conflict li').first().innerText()));
must(await p.inputValue('.shot input[name$=".reps"] >> nth=0') === '8', 'typed value still there');
await axeOn(p, 'conflict'); await p.waitForTimeout(2000); await p.evaluate(() => scrollTo(0, 150)); await p.screenshot({ path: 'conflict.png' });
await p.click('button[value=theirs]'); await p.waitForLoadState(); must(await p.locator('button[value=back]').count() === 1, 'theirs taken, own put aside');
await p.click('button[value=back]'); await p.waitForLoadState(); must(await p.inputValue('.shot input[name$=".reps"] >> nth=0') === '8', 'back to mine: 8 is there');
await p.waitForFunction(() => !document.getElementById('issue-button').disabled); await p.click('#issue-button'); await p.waitForURL('**/issued');
must(true, 'ines issued on top'); await p.click('text=Record: the patient got'); await p.waitForLoadState(); must((await p.locator('main').innerText()).includes('The patient holds version'), 'recorded');
// propose
await p.goto(URL); await p.waitForTimeout(500); await p.click('.propose summary'); await p.click('button[formaction$=propose]'); await p.waitForLoadState(); await p.waitForTimeout(800);
must((await p.locator('.why').count()) > 0, 'proposal says why: ' + await p.locator('.why').count()); await p.screenshot({ path: 'proposed.png', fullPage: false });
await axeOn(p, 'proposed'); await p.click('button[value=discard]'); await p.waitForLoadState();
// keyboard only
const k = await login(b, 'helena'); await k.goto(`${BASE}/e/greta-holloway/program`); await k.waitForTimeout(1000);
let presses = 0; const to = async (sel) => { for (let i = 0; i < 400; i++) { await k.keyboard.press('Tab'); presses++; if (await k.evaluate(s => document.activeElement.matches(s), sel)) return true; } return false; };
must(await to('.shot input[name$=".sets"]'), 'keyboard: first sets field after ' + presses + ' tabs');
await k.keyboard.press('Control+A'); await k.keyboard.type('1'); await k.waitForTimeout(500);
must(await to('#issue-button'), 'keyboard: issue reached after ' + presses + ' tabs in all');
await k.keyboard.press('Enter'); await k.waitForURL('**/issued'); must(true, 'keyboard: issued');
must(await to('form.stack button.main'), 'keyboard: record given'); await k.keyboard.press('Enter'); await k.waitForLoadState(); await k.waitForTimeout(300); must((await k.locator('main').innerText()).includes('The patient holds version'), 'keyboard: recorded');
// keyboard: add from the shelf
await k.goto(`${BASE}/e/greta-holloway/program`); await k.waitForTimeout(800); const c0 = await k.locator('.shot').count(); await to('#picks button.add'); await k.keyboard.press('Enter'); await k.waitForFunction(n => document.querySelectorAll('.shot').length === n+1, c0); must(true, 'keyboard: added');
// no script
const z = await login(b, 'anneke', { js: false }); await z.goto(`${BASE}/e/caspian-thornquist/program`);
const z0 = await z.locator('.shot').count(); await z.locator('#picks button.add').first().click(); await z.waitForLoadState(); must(await z.locator('.shot').count() === z0 + 1, 'no script: added');
await z.fill('.shot input[name$=".sets"] >> nth=0', '400'); await z.locator('button[value=check]').last().click(); await z.waitForLoadState(); must(await z.locator('#totals .stop').count() === 1 && await z.inputValue('.shot input[name$=".sets"] >> nth=0') === '400', 'no script: check tells and keeps');
must((await z.locator('#issue-button').isDisabled()), 'no script: issue off');
// sizes and languages
for (const [loc, w] of [['es-ES', 1280], ['en-US', 390], ['es-ES', 390], ['en-US', 320]]) {
  const s = await login(b, 'ines', { locale: loc, width: w }); 
  for (const path of ['', '/issued']) { await s.goto(`${BASE}/e/greta-holloway/program${path}`); await s.waitForTimeout(900); must(await s.evaluate(() => document.documentElement.scrollWidth <= innerWidth), `${loc} ${w} ${path} reflows`); await axeOn(s, `${loc} ${w} ${path}`); await s.screenshot({ path: `z-${loc.slice(0,2)}-${w}${path.replace('/','-')}.png`, fullPage: path !== '' }); }
  await s.context().close();
}
await b.close();
