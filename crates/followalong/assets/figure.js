// The figure: every body part is the convex hull of its circles, drawn layer by layer.

const SVG_NS = 'http://www.w3.org/2000/svg';

function svgNode(name, attributes) {
  const node = document.createElementNS(SVG_NS, name);
  for (const key in attributes) node.setAttribute(key, attributes[key]);
  return node;
}

/**
 * Path of the convex hull of circles `[[x, y, r], ...]`.
 *
 * The hull is traced by its support function: in each direction the outermost circle is the one with the
 * largest c.u + r. The winner can change only where two circles have a common outer tangent, so those
 * angles cut the turn into intervals with one winner each: an arc per interval, a line between two arcs.
 */
function hullPath(circles) {
  const cuts = [];
  for (let i = 0; i < circles.length; i++)
    for (let j = i + 1; j < circles.length; j++) {
      const dx = circles[j][0] - circles[i][0];
      const dy = circles[j][1] - circles[i][1];
      const distance = Math.hypot(dx, dy);
      const ratio = (circles[i][2] - circles[j][2]) / distance;
      if (!(Math.abs(ratio) < 1)) continue; // one circle holds the other
      const axis = Math.atan2(dy, dx);
      const half = Math.acos(ratio);
      cuts.push(axis - half, axis + half);
    }
  const full = 2 * Math.PI;
  const angles = cuts.map((a) => ((a % full) + full) % full).sort((a, b) => a - b);
  const outermost = (angle) => {
    const reach = ([x, y, r]) => x * Math.cos(angle) + y * Math.sin(angle) + r;
    return circles.reduce((best, circle) => (reach(circle) > reach(best) ? circle : best));
  };
  const arcs = [];
  angles.forEach((from, k) => {
    const to = k + 1 < angles.length ? angles[k + 1] : angles[0] + full;
    if (to - from < 1e-9) return;
    const circle = outermost((from + to) / 2);
    const previous = arcs[arcs.length - 1];
    if (previous && previous.circle === circle) previous.to = to;
    else arcs.push({ circle, from, to });
  });
  if (arcs.length > 1 && arcs[0].circle === arcs[arcs.length - 1].circle) {
    arcs[0].from = arcs.pop().from - full;
  }
  if (arcs.length < 2) {
    const [x, y, r] = arcs.length ? arcs[0].circle : outermost(0);
    return `M${(x - r).toFixed(2)} ${y.toFixed(2)}a${r} ${r} 0 1 1 ${2 * r} 0a${r} ${r} 0 1 1 ${-2 * r} 0Z`;
  }
  const point = ([x, y, r], angle) =>
    `${(x + r * Math.cos(angle)).toFixed(2)} ${(y + r * Math.sin(angle)).toFixed(2)}`;
  return arcs.map(({ circle, from, to }, k) => {
    const r = circle[2];
    return `${k ? 'L' : 'M'}${point(circle, from)}A${r} ${r} 0 ${to - from > Math.PI ? 1 : 0} 1 ${point(circle, to)}`;
  }).join('') + 'Z';
}

const PACK_DIGITS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_';

/** Reads the packed numbers of a clip: zigzag, five bits a character, the sixth bit says "more follows". */
function unpackNumbers(code) {
  const out = [];
  let value = 0;
  let shift = 0;
  for (const character of code) {
    const digit = PACK_DIGITS.indexOf(character);
    value |= (digit & 31) << shift;
    shift += 5;
    if (digit & 32) continue;
    out.push(value & 1 ? -((value + 1) >> 1) : value >> 1);
    value = shift = 0;
  }
  return out;
}

/** A clip ready to draw: `values[k]` holds x, y, r of every circle of frame k. */
function openClip(packed) {
  const numbers = unpackNumbers(packed.code);
  const width = 3 * packed.parts.reduce((sum, part) => sum + part[2], 0);
  const values = packed.times.map((_, k) => numbers.slice(k * width, (k + 1) * width));
  for (let k = 1; k < values.length; k++) values[k] = values[k].map((v, i) => v + values[k - 1][i]);
  const seconds = packed.times.length ? packed.times[packed.times.length - 1] : 0;
  return { ...packed, values, seconds };
}

/** Circle values of a clip at `t` seconds, and the frame they start from. */
function clipPose(clip, t) {
  const { times, values } = clip;
  let k = 0;
  while (k + 1 < times.length && times[k + 1] <= t) k++;
  if (k + 1 >= times.length) return { frame: k, v: values[k] };
  const share = Math.max(0, Math.min(1, (t - times[k]) / (times[k + 1] - times[k])));
  return { frame: k, v: values[k].map((a, i) => a + share * (values[k + 1][i] - a)) };
}

/** How far a pose is from the first one: the sum of all circle shifts. */
const poseShift = (clip, v) => v.reduce((sum, x, i) => sum + Math.abs(x - clip.values[0][i]), 0);

/** Time of the frame that is farthest from the start: the "end" picture. */
function clipEnd(clip) {
  let best = 0;
  clip.values.forEach((v, k) => {
    if (poseShift(clip, v) > poseShift(clip, clip.values[best])) best = k;
  });
  return clip.times[best] || 0;
}

/** Puts a clip into `holder`; the returned function draws it at a time. */
function mountFigure(holder, clip, alt) {
  const svg = svgNode('svg', { class: 'figure', viewBox: clip.view_box.join(' '), role: 'img', 'aria-label': alt });
  const [back, body, front] = ['back', 'body', 'front'].map((name) => svgNode('g', { class: name }));
  back.innerHTML = clip.back_svg;
  front.innerHTML = clip.front_svg;
  svg.append(back, body, front);
  holder.append(svg);

  const drawn = clip.parts.map((part) => ({
    outline: svgNode('path', { class: `outline ${part[1]}` }),
    fill: svgNode('path', { class: `fill ${part[1]}` }),
  }));
  let layersNow = null;
  const stack = (layers) => {
    const key = layers.join();
    if (key === layersNow) return;
    layersNow = key;
    body.textContent = '';
    for (const layer of [...new Set(layers)].sort((a, b) => a - b)) {
      const members = drawn.filter((_, i) => layers[i] === layer);
      members.forEach((part) => body.append(part.outline));
      members.forEach((part) => body.append(part.fill));
    }
  };
  const own = clip.parts.map((part) => part[0]);

  return (t) => {
    if (!clip.parts.length) return;
    const { frame, v } = clipPose(clip, t);
    stack((clip.orders && clip.orders[frame]) || own);
    let at = 0;
    clip.parts.forEach((part, i) => {
      const circles = [];
      for (let c = 0; c < part[2]; c++, at += 3) circles.push([v[at] / 10, v[at + 1] / 10, v[at + 2] / 10]);
      const d = hullPath(circles);
      drawn[i].outline.setAttribute('d', d);
      drawn[i].fill.setAttribute('d', d);
    });
  };
}
