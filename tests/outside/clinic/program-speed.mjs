import { launch, login, BASE } from './lib.mjs';
const b = await launch();
const p = await login(b);
for (const [id, fresh] of [['marta-okonjo', false], ['marta-okonjo', true], ['greta-holloway', true]]) {
  await p.goto(`${BASE}/e/${id}/program`); await p.waitForTimeout(3500);
  const r = await p.evaluate(async (fresh) => {
    const form = document.getElementById('program');
    const out = [], server = [];
    const fields = [...form.querySelectorAll('.shot input:not([type=hidden]):not([type=checkbox])')].filter(f => fresh ? f.name.includes('.p.') : /sets|reps|rest/.test(f.name));
    for (let i = 0; i < 50; i++) {
      const f = fields[i % fields.length];
      let v;
      if (fresh) { const m = f.parentElement.querySelector('.hint').textContent.match(/([\d.]+) to ([\d.]+)/); const lo=+m[1], hi=+m[2]; v = (lo + (hi-lo)*((i*37%50)+0.5)/50).toFixed(2); }
      else v = String(1 + (i * 7) % 3);
      const t0 = performance.now();
      f.value = v; f.dispatchEvent(new Event('input', { bubbles: true }));
      await new Promise(done => form.addEventListener('checked', () => requestAnimationFrame(() => { const c = new MessageChannel(); c.port1.onmessage = done; c.port2.postMessage(0); }), { once: true }));
      out.push(performance.now() - t0);
      await new Promise(d => setTimeout(d, 150));
    }
    const e = performance.getEntriesByType('resource').filter(x => x.name.endsWith('/check')).map(x => x.responseEnd - x.startTime);
    const q = (a, s) => { a = [...a].sort((x, y) => x - y); return +a[Math.min(a.length-1, Math.floor(a.length*s))].toFixed(1); };
    return { n: out.length, median: q(out, .5), p95: q(out, .95), max: q(out, 1), serverMedian: q(e, .5), serverP95: q(e, .95) };
  }, fresh);
  console.log(id, fresh ? 'new parameter each time (solved anew)' : 'dose change', JSON.stringify(r));
  await p.click('button[value=discard]').catch(()=>{}); await p.waitForTimeout(800);
}
await b.close();
