// The page's own QR encoder against an independent reader: full and nearly full codes of every version.
//
//   node qr.mjs          (needs jsqr, see run.mjs)

import fs from 'node:fs';
import path from 'node:path';
import { createRequire } from 'node:module';

const require = createRequire(process.env.FOLLOW_NODE ? path.join(process.env.FOLLOW_NODE, 'here.js') : import.meta.url);
const jsqr = require('jsqr');
const source = fs.readFileSync(new URL('../../../crates/followalong/assets/qr.js', import.meta.url), 'utf8');
const { qrMatrix, qrVersionFor, qrDataWords } = new Function(`${source}; return { qrMatrix, qrVersionFor, qrDataWords }`)();

/** The reader fails on version 23, also for codes of other encoders. */
const UNREAD = 23;

let passed = 0;
let failed = 0;
function check(name, holds) {
  if (holds) passed += 1;
  else {
    failed += 1;
    console.log(`FAILED ${name}`);
  }
}

function read(rows) {
  const scale = 4;
  const width = (rows.length + 8) * scale;
  const pixels = new Uint8ClampedArray(width * width * 4).fill(255);
  for (let y = 0; y < width; y++)
    for (let x = 0; x < width; x++) {
      const row = rows[Math.floor(y / scale) - 4];
      if (row && row[Math.floor(x / scale) - 4]) pixels.fill(0, (y * width + x) * 4, (y * width + x) * 4 + 3);
    }
  const code = jsqr(pixels, width, width);
  return code && code.data;
}

for (let version = 1; version <= 40; version++) {
  const most = qrDataWords(version) - (version < 10 ? 2 : 3);
  for (const length of [most, most - 3]) {
    const text = Array.from({ length }, (_, i) => String.fromCharCode(33 + ((i * i * 7 + i * 13 + version) % 90))).join('');
    check(`${length} bytes take version ${version}`, qrVersionFor(length) === version);
    if (version !== UNREAD) check(`version ${version} with ${length} bytes is read back`, read(qrMatrix(text)) === text);
  }
}
check('words with accents are read back', read(qrMatrix('Rodilla derecha: 10 más')) === 'Rodilla derecha: 10 más');
check('the largest code holds 2953 bytes', qrVersionFor(2953) === 40 && qrVersionFor(2954) === 0 && qrMatrix('x'.repeat(2954)) === null);

console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
