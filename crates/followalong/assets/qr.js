// QR code (ISO/IEC 18004), byte mode, error level L, versions 1 to 40.
// Level L because the code is shown on a clean lit screen: larger modules matter more than repair.

const QR_ECC_PER_BLOCK = [7, 10, 15, 20, 26, 18, 20, 24, 30, 18, 20, 24, 26, 30, 22, 24, 28, 30, 28, 28,
  28, 28, 30, 30, 26, 28, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30];
const QR_BLOCKS = [1, 1, 1, 1, 1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 6, 6, 6, 6, 7, 8,
  8, 9, 9, 10, 12, 12, 12, 13, 14, 15, 16, 17, 18, 19, 19, 20, 21, 22, 24, 25];

/** Powers and logarithms in GF(256) with the polynomial 0x11d. */
const qrField = (() => {
  const exp = new Uint8Array(512);
  const log = new Uint8Array(256);
  let x = 1;
  for (let i = 0; i < 255; i++) {
    exp[i] = exp[i + 255] = x;
    log[x] = i;
    x = x & 0x80 ? (x << 1) ^ 0x11d : x << 1;
  }
  const times = (a, b) => (a && b ? exp[log[a] + log[b]] : 0);
  return { exp, times };
})();

/** Reed-Solomon remainder of `data` for `count` check codewords. */
function qrCheckWords(data, count) {
  let generator = [1];
  for (let i = 0; i < count; i++) {
    const next = new Array(generator.length + 1).fill(0);
    generator.forEach((g, k) => {
      next[k] ^= g;
      next[k + 1] ^= qrField.times(g, qrField.exp[i]);
    });
    generator = next;
  }
  const rest = new Array(count).fill(0);
  for (const byte of data) {
    const factor = byte ^ rest.shift();
    rest.push(0);
    for (let k = 0; k < count; k++) rest[k] ^= qrField.times(generator[k + 1], factor);
  }
  return rest;
}

/** Codewords (data and check together) that fit in a version. */
function qrRawWords(version) {
  let modules = (16 * version + 128) * version + 64;
  if (version >= 2) {
    const marks = Math.floor(version / 7) + 2;
    modules -= (25 * marks - 10) * marks - 55;
    if (version >= 7) modules -= 36;
  }
  return Math.floor(modules / 8);
}

const qrDataWords = (version) =>
  qrRawWords(version) - QR_ECC_PER_BLOCK[version - 1] * QR_BLOCKS[version - 1];

/** Smallest version that holds `count` bytes, or 0 when none does. */
function qrVersionFor(count) {
  for (let version = 1; version <= 40; version++) {
    const header = 4 + (version < 10 ? 8 : 16);
    if (header + 8 * count <= 8 * qrDataWords(version)) return version;
  }
  return 0;
}

/** Data bytes with mode, length, end mark and padding. */
function qrPadded(bytes, version) {
  const bits = [];
  const put = (value, length) => {
    for (let i = length - 1; i >= 0; i--) bits.push((value >>> i) & 1);
  };
  put(4, 4);
  put(bytes.length, version < 10 ? 8 : 16);
  bytes.forEach((byte) => put(byte, 8));
  const capacity = 8 * qrDataWords(version);
  put(0, Math.min(4, capacity - bits.length));
  put(0, (8 - (bits.length % 8)) % 8);
  for (let pad = 0xec; bits.length < capacity; pad ^= 0xec ^ 0x11) put(pad, 8);
  const words = [];
  for (let i = 0; i < bits.length; i += 8) words.push(parseInt(bits.slice(i, i + 8).join(''), 2));
  return words;
}

/** Splits into blocks, adds the check words, and interleaves them. */
function qrInterleaved(words, version) {
  const blocks = QR_BLOCKS[version - 1];
  const checkCount = QR_ECC_PER_BLOCK[version - 1];
  const raw = qrRawWords(version);
  const shortBlocks = blocks - (raw % blocks);
  const shortLength = Math.floor(raw / blocks) - checkCount;
  const data = [];
  const check = [];
  let from = 0;
  for (let b = 0; b < blocks; b++) {
    const part = words.slice(from, (from += shortLength + (b < shortBlocks ? 0 : 1)));
    data.push(part);
    check.push(qrCheckWords(part, checkCount));
  }
  const out = [];
  for (let i = 0; i <= shortLength; i++) data.forEach((part) => i < part.length && out.push(part[i]));
  for (let i = 0; i < checkCount; i++) check.forEach((part) => out.push(part[i]));
  return out;
}

/** Centre coordinates of the alignment marks. */
function qrAlignment(version) {
  if (version === 1) return [];
  const count = Math.floor(version / 7) + 2;
  const step = version === 32 ? 26 : Math.ceil((version * 4 + 4) / (count * 2 - 2)) * 2;
  const places = [6];
  for (let at = version * 4 + 10; places.length < count; at -= step) places.splice(1, 0, at);
  return places;
}

const QR_MASKS = [
  (x, y) => (x + y) % 2 === 0,
  (x, y) => y % 2 === 0,
  (x) => x % 3 === 0,
  (x, y) => (x + y) % 3 === 0,
  (x, y) => (Math.floor(x / 3) + Math.floor(y / 2)) % 2 === 0,
  (x, y) => ((x * y) % 2) + ((x * y) % 3) === 0,
  (x, y) => (((x * y) % 2) + ((x * y) % 3)) % 2 === 0,
  (x, y) => (((x + y) % 2) + ((x * y) % 3)) % 2 === 0,
];

/** Value followed by its BCH remainder. */
function qrBch(value, generator, length) {
  let rest = value;
  for (let i = 0; i < length; i++) rest = (rest << 1) ^ ((rest >>> (length - 1)) * generator);
  return (value << length) | rest;
}

/** An empty matrix with every fixed pattern; `fixed` marks modules that carry no data. */
function qrFrame(version) {
  const size = version * 4 + 17;
  const dark = Array.from({ length: size }, () => new Uint8Array(size));
  const fixed = Array.from({ length: size }, () => new Uint8Array(size));
  const set = (x, y, on) => {
    if (x < 0 || y < 0 || x >= size || y >= size) return;
    dark[y][x] = on ? 1 : 0;
    fixed[y][x] = 1;
  };
  for (let i = 0; i < size; i++) {
    set(6, i, i % 2 === 0);
    set(i, 6, i % 2 === 0);
  }
  for (const [cx, cy] of [[3, 3], [size - 4, 3], [3, size - 4]])
    for (let dy = -4; dy <= 4; dy++)
      for (let dx = -4; dx <= 4; dx++) {
        const ring = Math.max(Math.abs(dx), Math.abs(dy));
        set(cx + dx, cy + dy, ring !== 2 && ring !== 4);
      }
  const marks = qrAlignment(version);
  const last = marks.length - 1;
  marks.forEach((cx, i) => marks.forEach((cy, j) => {
    if ((i === 0 && j === 0) || (i === 0 && j === last) || (i === last && j === 0)) return;
    for (let dy = -2; dy <= 2; dy++)
      for (let dx = -2; dx <= 2; dx++) set(cx + dx, cy + dy, Math.max(Math.abs(dx), Math.abs(dy)) !== 1);
  }));
  if (version >= 7) {
    const bits = qrBch(version, 0x1f25, 12);
    for (let i = 0; i < 18; i++) {
      const on = (bits >>> i) & 1;
      const a = size - 11 + (i % 3);
      const b = Math.floor(i / 3);
      set(a, b, on);
      set(b, a, on);
    }
  }
  return { size, dark, fixed, set };
}

/** Format bits (level L and mask) beside the finder marks. */
function qrFormat(frame, mask) {
  const bits = qrBch((1 << 3) | mask, 0x537, 10) ^ 0x5412;
  const { size, set } = frame;
  const bit = (i) => (bits >>> i) & 1;
  for (let i = 0; i <= 5; i++) set(8, i, bit(i));
  set(8, 7, bit(6));
  set(8, 8, bit(7));
  set(7, 8, bit(8));
  for (let i = 9; i < 15; i++) set(14 - i, 8, bit(i));
  for (let i = 0; i < 8; i++) set(size - 1 - i, 8, bit(i));
  for (let i = 8; i < 15; i++) set(8, size - 15 + i, bit(i));
  set(8, size - 8, 1);
}

/** Writes the codewords in the zigzag order, two columns at a time. */
function qrFill(frame, words) {
  const { size, dark, fixed } = frame;
  let i = 0;
  for (let right = size - 1; right >= 1; right -= 2) {
    if (right === 6) right = 5;
    for (let k = 0; k < size; k++)
      for (let j = 0; j < 2; j++) {
        const x = right - j;
        const y = ((right + 1) & 2) === 0 ? size - 1 - k : k;
        if (fixed[y][x] || i >= words.length * 8) continue;
        dark[y][x] = (words[i >>> 3] >>> (7 - (i & 7))) & 1;
        i++;
      }
  }
}

function qrToggle(frame, mask) {
  for (let y = 0; y < frame.size; y++)
    for (let x = 0; x < frame.size; x++)
      if (!frame.fixed[y][x] && QR_MASKS[mask](x, y)) frame.dark[y][x] ^= 1;
}

/** The four penalty rules of the standard: runs, blocks, finder look-alikes, balance. */
function qrPenalty({ size, dark }) {
  let score = 0;
  const lines = [];
  for (let y = 0; y < size; y++) lines.push(Array.from(dark[y]).join(''));
  for (let x = 0; x < size; x++) lines.push(dark.map((row) => row[x]).join(''));
  for (const line of lines) {
    for (const run of line.match(/0{5,}|1{5,}/g) || []) score += run.length - 2;
    for (let i = 0; i + 11 <= size; i++) {
      const eleven = line.substr(i, 11);
      if (eleven === '10111010000' || eleven === '00001011101') score += 40;
    }
  }
  let on = 0;
  for (let y = 0; y < size; y++)
    for (let x = 0; x < size; x++) {
      on += dark[y][x];
      if (x && y && dark[y][x] === dark[y - 1][x] && dark[y][x] === dark[y][x - 1]
        && dark[y][x] === dark[y - 1][x - 1]) score += 3;
    }
  return score + 10 * Math.floor(Math.abs((on * 20) / (size * size) - 10));
}

/** Rows of 0/1 modules for a text, or null when it is too long for one code. */
function qrMatrix(text) {
  const bytes = Array.from(new TextEncoder().encode(text));
  const version = qrVersionFor(bytes.length);
  if (!version) return null;
  const frame = qrFrame(version);
  qrFormat(frame, 0); // reserves the format modules before the data is laid
  qrFill(frame, qrInterleaved(qrPadded(bytes, version), version));
  let best = 0;
  let least = Infinity;
  for (let mask = 0; mask < 8; mask++) {
    qrToggle(frame, mask);
    qrFormat(frame, mask);
    const penalty = qrPenalty(frame);
    if (penalty < least) [best, least] = [mask, penalty];
    qrToggle(frame, mask);
  }
  qrToggle(frame, best);
  qrFormat(frame, best);
  return frame.dark;
}

/** An SVG of the code with whole-pixel modules and the quiet zone of four modules. */
function qrSvg(text, label, width) {
  const rows = qrMatrix(text);
  if (!rows) return null;
  const size = rows.length + 8;
  const side = size * Math.max(2, Math.floor(width / size));
  let path = '';
  rows.forEach((row, y) => row.forEach((on, x) => {
    if (on) path += `M${x + 4} ${y + 4}h1v1h-1z`;
  }));
  const svg = svgNode('svg', {
    viewBox: `0 0 ${size} ${size}`, width: side, height: side, role: 'img', 'aria-label': label,
    'shape-rendering': 'crispEdges',
  });
  svg.append(svgNode('rect', { width: size, height: size, fill: '#fff' }), svgNode('path', { d: path, fill: '#000' }));
  return svg;
}
