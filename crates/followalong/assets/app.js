// The page itself: screens, the session clock, the controls and the log.

const session = JSON.parse(document.getElementById('session-data').textContent);
const L = session.labels;
const $ = (id) => document.getElementById(id);

// The one source of time. A test replaces it before the page loads.
const clock = window.__clock || {
  now: () => performance.now(),
  frame: (callback) => requestAnimationFrame(callback),
};
const LONGEST_GAP = 1; // seconds; a longer gap means that the phone slept: no repetition is counted through it
const RATES = [1, 0.75, 0.5];

const log = (window.__log = []);

const run = {
  plan: [], at: 0, t: 0, cursor: 0, // the segment, seconds into it, its next event
  seconds: 0, active: 0, // the session clock, and real seconds spent
  rate: 1, going: false, over: false, started: null, stopped: false,
  done: [], counted: [], reasons: [], pains: [], painBefore: null, painDuring: null, painAfter: null, flags: [],
};

/** One line of what was told, shown, counted or pressed. */
function record(kind, text, more) {
  const segment = run.plan[run.at];
  const step = segment ? session.steps[segment.step] : null;
  log.push({
    t: Math.round(run.seconds * 1000) / 1000, kind, text,
    side: (step && step.side) || session.side,
    step: segment ? segment.step : null, set: segment ? segment.set : 0, rep: segment ? segment.rep : 0,
    ...more,
  });
}

/** The only way to tell the patient something: caption, voice and log get the same text. */
function say(text, kind) {
  record(kind, text);
  $('caption').textContent = text;
  // Seconds are not read out by screen readers: only the words and the repetition count are.
  if (kind !== 'hold' && kind !== 'ready') $('live').textContent = text;
  speak(text);
}

// ---- small helpers -------------------------------------------------------------------------------------

function make(name, properties, ...children) {
  const node = Object.assign(document.createElement(name), properties);
  node.append(...children.filter((child) => child !== null));
  return node;
}

const isoToday = () => {
  const now = new Date();
  const two = (n) => String(n).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
};

const isoNow = () => {
  const now = new Date();
  const two = (n) => String(n).padStart(2, '0');
  return `${isoToday()}T${two(now.getHours())}:${two(now.getMinutes())}:${two(now.getSeconds())}`;
};

function readableDate(iso) {
  const [y, m, d] = iso.split('-').map(Number);
  return new Date(y, m - 1, d).toLocaleDateString(session.lang, { day: 'numeric', month: 'long', year: 'numeric' });
}

function show(name) {
  for (const screen of document.querySelectorAll('.screen')) screen.hidden = screen.id !== `screen-${name}`;
  document.body.dataset.screen = name;
  window.scrollTo(0, 0);
  const heading = document.querySelector(`#screen-${name} h1`);
  if (heading) heading.focus({ preventScroll: true });
}

/** A sentence whose numbers to call do not break at the end of a line. */
function unbroken(line) {
  const { phone, emergency } = session.clinic;
  const number = [phone, emergency].find((it) => it && line.includes(it));
  if (!number) return [line];
  const at = line.indexOf(number);
  const whole = make('span', { className: 'whole', textContent: number });
  return [...unbroken(line.slice(0, at)), whole, ...unbroken(line.slice(at + number.length))];
}

const listInto = (holder, lines) => holder.replaceChildren(...lines.map((line) => make('li', {}, ...unbroken(line))));

/** A phone number becomes a link; words stay words. */
function callNode(text) {
  if (!/^[+()\d .\-]{3,}$/.test(text)) return make('span', { textContent: text });
  return make('a', { href: `tel:${text.replace(/[^+\d]/g, '')}`, textContent: text, className: 'tel' });
}

function fillContacts(holder) {
  const { clinic } = session;
  const line = (label, value) => make('p', { className: 'contact' }, make('span', { textContent: label }), callNode(value));
  holder.replaceChildren(
    make('h2', { textContent: L.contacts_title }),
    make('div', {}, line(L.contact_emergency, clinic.emergency), line(fill(L.contact_clinic, { name: clinic.name }), clinic.phone),
      line(L.contact_out_of_hours, clinic.out_of_hours)),
  );
}

/** A 0 to 10 scale as radio buttons. */
function fillScale(fieldset, name, question) {
  const numbers = make('div', { className: 'numbers' });
  for (let n = 0; n <= 10; n++) {
    numbers.append(make('label', {}, make('input', { type: 'radio', name, value: String(n) }), make('span', { textContent: String(n) })));
  }
  const ends = make('p', { className: 'ends' }, make('span', { textContent: L.pain_none }), make('span', { textContent: L.pain_worst }));
  fieldset.replaceChildren(make('legend', { textContent: question }), numbers, ends);
}

const chosen = (form, name) => {
  const input = form.querySelector(`input[name="${name}"]:checked`);
  return input ? input.value : null;
};

const overLimit = (pain) => session.pain_limit !== null && pain !== null && pain > session.pain_limit;

// ---- start screen --------------------------------------------------------------------------------------

function fillStatic() {
  for (const node of document.querySelectorAll('[data-label]')) node.textContent = L[node.dataset.label];
  for (const node of document.querySelectorAll('[data-side]')) node.textContent = session.side_words;
  for (const node of document.querySelectorAll('[data-patient]')) node.textContent = session.patient_label;
  const stamp = fill(L.stamp, {
    version: session.version, date: readableDate(session.issued), until: readableDate(session.valid_until),
  });
  for (const node of document.querySelectorAll('[data-stamp]')) node.textContent = stamp;
  for (const node of document.querySelectorAll('[data-draft]')) {
    node.hidden = !session.draft_notice;
    node.textContent = session.draft_notice || '';
  }
  document.querySelectorAll('[data-contacts]').forEach(fillContacts);
  $('run-draft').textContent = session.draft_notice || '';
  $('start-clinic').textContent = session.clinic.name;
  $('start-title').textContent = session.title;
  $('rails').setAttribute('aria-label', '');
  $('controls').setAttribute('aria-label', L.controls);
  listInto($('start-limits'), session.limits);
  $('start-limits').hidden = !session.limits.length;
  listInto($('start-assumed'), session.limits_assumed);
  for (const id of ['assumed-title', 'start-assumed']) $(id).hidden = !session.limits_assumed.length;
  listInto($('end-after'), session.after);
  for (const id of ['start-stops', 'ask-stops']) listInto($(id), session.stop_rules);
  fillScale($('pain-before'), 'before', L.pain_before);
  fillScale($('pain-during'), 'during', L.pain_during);
  fillScale($('pain-after'), 'after', L.pain_after);
  $('warnings').replaceChildren(...session.warnings.map((group, i) => {
    const answer = (value, text) => make('label', { className: 'answer' },
      make('input', { type: 'radio', name: `warning-${i}`, value }), make('span', { textContent: text }));
    const signs = make('ul', {});
    listInto(signs, group.signs);
    return make('fieldset', { className: 'warning' }, make('legend', { textContent: group.question }), signs,
      make('div', { className: 'answers' }, answer('no', L.answer_no), answer('yes', L.answer_yes)));
  }));
  $('keep-on').hidden = 'wakeLock' in navigator;
}

/** Why the session may not start on this device's date, or null. */
function dateRefusal() {
  const today = isoToday();
  if (today > session.valid_until) return fill(L.expired, { until: readableDate(session.valid_until) });
  if (today < session.date) return fill(L.date_wrong, { date: readableDate(today) });
  return null;
}

function showStart() {
  const refusal = dateRefusal();
  $('start-refusal').hidden = !refusal;
  $('start-refusal').textContent = refusal || '';
  $('start-form').hidden = Boolean(refusal);
  const kept = keptLogs();
  $('earlier').hidden = kept.length === 0;
  $('earlier-count').textContent = fill(L.earlier_count, { n: kept.length });
  show('start');
}

function missing(id, text) {
  $(id).hidden = !text;
  $(id).textContent = text || '';
}

function onStart(event) {
  event.preventDefault();
  const form = $('start-form');
  if (dateRefusal()) return showStart();
  const answers = session.warnings.map((_, i) => chosen(form, `warning-${i}`));
  const pain = chosen(form, 'before');
  run.flags = session.warnings.filter((_, i) => answers[i] === 'yes').map((group) => group.id);
  run.painBefore = pain === null ? null : Number(pain);
  if (run.flags.length) return showCall();
  const unanswered = answers.indexOf(null);
  if (unanswered >= 0) {
    missing('start-missing', L.missing_warning);
    return form.querySelector(`input[name="warning-${unanswered}"]`).focus();
  }
  if (pain === null) {
    missing('start-missing', L.missing_pain);
    return form.querySelector('input[name="before"]').focus();
  }
  missing('start-missing', null);
  if (overLimit(run.painBefore)) return showCall();
  openAudio();
  beginSession($('brief').checked);
}

/** A warning sign, or more pain than the limit: whom to call, the most urgent first; no exercise begins. */
function showCall() {
  run.started = run.started || isoNow();
  const groups = session.warnings.filter((group) => run.flags.includes(group.id));
  const order = ['emergency', 'same_day', 'next_visit'];
  groups.sort((a, b) => order.indexOf(a.urgency) - order.indexOf(b.urgency));
  $('call-title').textContent = groups.length ? L[`call_${groups[0].urgency}`] : L.call_pain;
  const lines = groups.map((group) => make('section', { className: `card urgency ${group.urgency}` },
    make('p', { className: 'call-words' }, ...unbroken(group.call)),
    group.phone ? make('p', {}, callNode(group.phone)) : null));
  if (!groups.length) {
    lines.push(make('section', { className: 'card urgency same_day' },
      make('p', { className: 'call-words', textContent: fill(L.pain_over_before, { limit: session.pain_limit }) }),
      make('p', {}, callNode(session.clinic.phone))));
  }
  lines.push(make('p', { className: 'call-words', textContent: L.no_exercise_today }));
  $('call-lines').replaceChildren(...lines);
  record('call', $('call-title').textContent);
  keepLog();
  fillCode($('call-code'), JSON.stringify(sessionLog()));
  show('call');
}

function changeAnswers() {
  $('start-form').reset();
  run.flags = [];
  showStart();
}

// ---- the session clock ---------------------------------------------------------------------------------

function beginSession(brief) {
  const steps = session.steps;
  Object.assign(run, {
    plan: buildPlan(session, brief), at: 0, t: 0, cursor: 0, seconds: 0, active: 0, going: true, over: false,
    started: isoNow(), stopped: false, shown: null,
    done: steps.map((step) => (step.kind === 'exercise' ? new Array(step.sets).fill(0) : null)),
    counted: steps.map(() => 0), reasons: steps.map(() => null), pains: steps.map(() => null),
  });
  show('run');
  keepAwake();
  enter(0);
  draw();
  last = clock.now();
  clock.frame(onFrame);
}

let last = 0;

function onFrame() {
  if (run.over) return;
  const now = clock.now();
  const gap = Math.max(0, (now - last) / 1000);
  last = now;
  if (run.going && gap <= LONGEST_GAP) advance(gap);
  if (run.over) return;
  draw();
  clock.frame(onFrame);
}

const pace = (segment) => (segment.fixed ? 1 : run.rate);

/** Moves the session clock on by real seconds; every event on the way happens, in order. */
function advance(seconds) {
  run.active += seconds;
  while (seconds > 0 && !run.over) {
    const segment = run.plan[run.at];
    const left = Math.max(0, segment.seconds - run.t) / pace(segment);
    const step = Math.min(left, seconds);
    run.t += step * pace(segment);
    run.seconds += step * pace(segment);
    seconds -= step;
    fireEvents();
    if (left > step + 1e-9 || segment.wait) return;
    enter(run.at + 1);
  }
}

function enter(at) {
  if (at >= run.plan.length) return finish(false);
  run.at = at;
  run.t = 0;
  run.cursor = 0;
  fireEvents();
}

function fireEvents() {
  const segment = run.plan[run.at];
  while (run.cursor < segment.events.length && segment.events[run.cursor].at <= run.t + 1e-6) {
    const event = segment.events[run.cursor++];
    if (event.beep) beep(event.beep);
    if (event.kind === 'count') countRepetition(segment);
    say(event.text, event.kind);
  }
}

/** A repetition done: kept as the most done in this set, so going back never counts one twice. */
function countRepetition(segment) {
  const sets = run.done[segment.step];
  sets[segment.set - 1] = Math.max(sets[segment.set - 1], segment.rep);
  run.counted[segment.step] += 1;
  keepLog();
}

function setGoing(going, why) {
  if (run.going === going || run.over) return;
  run.going = going;
  record(going ? 'resume' : 'pause', why);
  if (!going) hush();
  last = clock.now();
  draw();
}

// ---- drawing -------------------------------------------------------------------------------------------

const stillWanted = window.matchMedia('(prefers-reduced-motion: reduce)');
let pictures = null; // what is mounted: { key, clip, draw(t) }

/** The clip that a segment shows. */
function clipOf(segment) {
  const step = session.steps[segment.step];
  if (step.kind === 'exercise') return step.clip;
  if (step.kind === 'move') {
    for (let i = segment.stage; i >= 0; i--) if (step.stages[i].picture) return step.stages[i].picture;
    return null;
  }
  const next = session.steps.slice(segment.step).find((s) => s.kind === 'exercise');
  return next ? next.clip : null;
}

function mount(packed) {
  const holder = $('picture');
  holder.replaceChildren();
  if (!packed) return { packed, draw: () => {} };
  const clip = openClip(packed);
  const end = clipEnd(clip);
  if (!stillWanted.matches || end === 0) {
    const drawAt = mountFigure(holder, clip, clip.alt);
    drawAt(0);
    return { packed, clip, draw: drawAt };
  }
  // Less motion: the start and the end side by side, the one that is due is marked with a word.
  const panes = [[L.still_start, 0], [L.still_end, end]].map(([word, t]) => {
    const figure = make('figure', { className: 'still' });
    const caption = make('figcaption', { textContent: word });
    mountFigure(figure, clip, `${clip.alt} ${word}`)(t);
    figure.append(caption);
    holder.append(figure);
    return { figure, caption, word };
  });
  holder.classList.add('stills');
  holder.classList.toggle('wide', clip.view_box[2] > 1.3 * clip.view_box[3]);
  const reach = poseShift(clip, clipPose(clip, end).v);
  return { packed, clip, draw: (t) => {
    const due = poseShift(clip, clipPose(clip, t).v) > reach / 2 ? 1 : 0;
    panes.forEach((pane, i) => {
      pane.figure.classList.toggle('due', i === due);
      pane.caption.textContent = i === due ? `${pane.word} · ${L.still_now}` : pane.word;
    });
  } };
}

/** Seconds into the clip for the moment of the session clock. */
function clipTime(segment, clip) {
  const step = session.steps[segment.step];
  if (!clip.seconds) return 0;
  if (segment.kind === 'move' || segment.kind === 'hold') {
    const whole = step.phases.reduce((sum, phase) => sum + phase.seconds, 0);
    return ((segment.from + run.t) * clip.seconds) / whole;
  }
  if (segment.kind === 'intro' || segment.kind === 'walk') return Math.min(run.t % (clip.seconds + 1), clip.seconds);
  return 0;
}

function setText(id, text) {
  if ($(id).textContent !== text) $(id).textContent = text;
}

/** The number in the ring: repetition, seconds of a hold or rest, or the place in the session. */
function counterOf(segment) {
  const step = session.steps[segment.step];
  const left = Math.max(0, segment.seconds - run.t);
  const share = Math.min(1, run.t / segment.seconds);
  if (segment.kind === 'hold') return { number: Math.ceil(left - 1e-6), unit: L.unit_seconds, share: 1 - share };
  if (segment.kind === 'rest') {
    const all = segment.seconds + READY_SECONDS;
    return { number: Math.ceil(left + READY_SECONDS - 1e-6), unit: L.unit_seconds, share: (left + READY_SECONDS) / all };
  }
  if (segment.kind === 'ready') return { number: Math.ceil(left - 1e-6), unit: L.unit_ready, share: left / segment.seconds };
  if (segment.kind === 'move' || segment.kind === 'breath') {
    const count = run.done[segment.step][segment.set - 1];
    const now = segment.kind === 'breath' ? segment.rep : segment.rep - 1;
    return { number: now, unit: fill(L.unit_of, { total: step.reps }), share: segment.kind === 'breath' ? 1 : share, count };
  }
  if (segment.kind === 'walk') return { number: segment.stage + 1, unit: fill(L.unit_of, { total: step.stages.length }), share };
  return { number: segment.step + 1, unit: fill(L.unit_of, { total: session.steps.length }), share };
}

function draw() {
  const segment = run.plan[run.at];
  const step = session.steps[segment.step];
  const packed = clipOf(segment);
  if (!pictures || pictures.packed !== packed) {
    $('picture').className = '';
    pictures = mount(packed);
  }
  if (pictures.clip) pictures.draw(clipTime(segment, pictures.clip));

  const { number, unit, share } = counterOf(segment);
  setText('number', String(number));
  setText('unit', unit);
  $('turn').setAttribute('stroke-dasharray', `${(share * 100).toFixed(1)} 100`);
  $('counter').dataset.kind = segment.kind;

  setText('run-where', fill(L.place, { n: segment.step + 1, total: session.steps.length }));
  setText('run-name', step.title);
  setText('run-side', step.kind === 'exercise' ? step.side_words : session.side_words);
  setText('run-set', besideSide(segment, step));
  setText('phase', segment.kind === 'hold' ? segment.word : '');
  setText('run-limit', step.limit || '');
  $('run-limit').hidden = !step.limit;
  drawRails(segment, step);

  const onward = { intro: L.start_now, rest: L.go_now, walk: L.move_ready, ready: null }[segment.kind];
  $('onward').hidden = !onward;
  setText('onward', onward || '');
  $('more-rest').hidden = segment.kind !== 'rest';
  $('paused').hidden = run.going;
  $('skip').hidden = step.kind !== 'exercise';
  $('controls').classList.toggle('no-skip', step.kind !== 'exercise');
  setText('pause-word', run.going ? L.pause : L.go_on);
  $('pause-icon').setAttribute('d', run.going ? 'M6 5h4v14H6zM14 5h4v14h-4z' : 'M7 4v16l13-8z');
  setText('rate', { 1: '1×', 0.75: '¾×', 0.5: '½×' }[run.rate]);
  setText('mute-word', sound.on ? L.sound_on : L.sound_off);
  $('mute').setAttribute('aria-pressed', String(!sound.on));
  $('mute-mark').setAttribute('d', sound.on ? 'M16 8q3 4 0 8M19 5q5 7 0 14' : 'M16 9l6 6M22 9l-6 6');
}

/** Name of an exercise in the list of what was done; a set done in rounds says which one it is. */
function doneName(step) {
  const name = `${step.title} (${step.side_words})`;
  const alone = step.sets === 1 && step.all_sets > 1;
  return alone ? `${name}. ${fill(L.set_of, { n: step.first_set, total: step.all_sets })}` : name;
}

/** Beside the side: which set of an exercise it is, or what to mind in a move. */
function besideSide(segment, step) {
  if (step.kind === 'move') return step.side_words === session.side_words ? '' : step.side_words;
  if (!segment.set || step.all_sets === 1) return '';
  return fill(L.set_of, { n: step.first_set - 1 + segment.set, total: step.all_sets });
}

/** The rails: one rail for each set, one bead for each repetition; a bead slides over when it is done. */
function drawRails(segment, step) {
  const rails = $('rails');
  if (step.kind !== 'exercise') {
    rails.hidden = true;
    run.shown = null;
    return;
  }
  rails.hidden = false;
  const done = run.done[segment.step];
  const key = `${segment.step}:${done.join('.')}:${segment.set}`;
  if (key === run.shown) return;
  run.shown = key;
  const words = fill(L.rails, {
    set: step.first_set - 1 + Math.max(1, segment.set), sets: step.all_sets, n: done[Math.max(1, segment.set) - 1], total: step.reps,
  });
  rails.setAttribute('aria-label', words);
  rails.replaceChildren(...done.map((count, set) => railSvg(count, step.reps, set + 1 === segment.set)));
  const fresh = segment.kind === 'breath' && rails.querySelector(`.current .bead:nth-of-type(${done[segment.set - 1]})`);
  if (fresh) fresh.classList.add('fresh');
}

function railSvg(count, total, current) {
  const width = 340;
  const pitch = Math.min(28, 296 / total);
  const r = Math.max(1.6, Math.min(9, pitch / 2 - 0.7));
  const svg = svgNode('svg', { viewBox: `0 0 ${width} 24`, preserveAspectRatio: 'xMinYMid', class: current ? 'rail current' : 'rail', 'aria-hidden': 'true' });
  svg.append(svgNode('line', { x1: 4, y1: 12, x2: width - 4, y2: 12 }));
  for (let i = 0; i < total; i++) {
    const done = i < count;
    const x = done ? 12 + r + i * pitch : width - 12 - r - (total - 1 - i) * pitch;
    svg.append(svgNode('circle', { cx: x.toFixed(1), cy: 12, r, class: done ? 'bead done' : 'bead' }));
  }
  return svg;
}

// ---- controls ------------------------------------------------------------------------------------------

function togglePause() {
  setGoing(!run.going, run.going ? L.pause : L.go_on);
}

/** Back to the start of this part, or of the part before when this one has just begun. */
function goBack() {
  const { block } = run.plan[run.at];
  let first = run.plan.findIndex((segment) => segment.block === block);
  let inside = run.t;
  for (let i = first; i < run.at; i++) inside += run.plan[i].seconds;
  if (inside < 3 && first > 0) first = run.plan.findIndex((segment) => segment.block === run.plan[first - 1].block);
  record('back', L.back);
  enter(first);
  run.going = true;
  draw();
}

function nextBlock() {
  const { block, step } = run.plan[run.at];
  const rest = run.plan.findIndex((segment, i) => i > run.at && (segment.block !== block || segment.tail));
  record('onward', $('onward').textContent, { step });
  run.going = true;
  if (rest < 0) finish(false);
  else { enter(rest); draw(); }
}

function skipStep(reason) {
  const { step } = run.plan[run.at];
  painOver = resumeAfter = false;
  if (session.steps[step].kind === 'exercise') run.reasons[step] = reason;
  record('skip', reason);
  keepLog();
  const next = run.plan.findIndex((segment) => segment.step > step);
  if (next < 0) return finish(false);
  enter(next);
  run.going = true;
  draw();
}

function moreRest() {
  const segment = run.plan[run.at];
  segment.seconds += 15;
  segment.events = restEvents(segment.seconds, segment.reminder, segment.next);
  run.cursor = segment.events.filter((event) => event.at <= run.t).length;
  record('more_rest', L.more_rest);
  draw();
}

function slower() {
  run.rate = RATES[(RATES.indexOf(run.rate) + 1) % RATES.length];
  record('rate', String(run.rate));
  draw();
}

function toggleSound() {
  sound.on = !sound.on;
  if (!sound.on) hush();
  record('sound', sound.on ? L.sound_on : L.sound_off);
  draw();
}

let resumeAfter = false;

/** Opens a dialog with the clock stopped; the clock goes on when the last one closes, if it was going before. */
function openDialog(id) {
  resumeAfter = resumeAfter || run.going;
  setGoing(false, id);
  const dialog = $(id);
  dialog.onclose = () => {
    if (run.over || document.querySelector('dialog[open]')) return;
    if (painOver) return skipStep('pain'); // closed by a key: too much pain still ends this exercise
    if (resumeAfter) setGoing(true, id);
    resumeAfter = false;
  };
  dialog.showModal();
  dialog.scrollTop = 0;
}

/** Asks what stopped the patient, then calls `then(code)`. */
function askReason(question, then) {
  $('ask-reason-title').textContent = question;
  $('ask-reason-choices').replaceChildren(...L.reasons.map(({ code, text }) => {
    const button = make('button', { type: 'button', textContent: text });
    button.dataset.code = code;
    button.onclick = () => { $('ask-reason').close(); then(code); };
    return button;
  }));
  openDialog('ask-reason');
}

function onSkip() {
  askReason(L.reason_title, (code) => {
    if (code !== 'pain') return skipStep(code);
    askPain(() => skipStep(code));
  });
}

let painOver = false;

/** Asks for the pain now; above the limit it offers no way on with this exercise. */
function askPain(then) {
  painOver = false;
  $('ask-pain-over').hidden = true;
  $('ask-pain-cancel').hidden = false;
  $('ask-pain-numbers').hidden = $('ask-pain-ends').hidden = $('ask-pain-title').hidden = false;
  const take = (n) => {
    const { step } = run.plan[run.at];
    run.pains[step] = Math.max(n, run.pains[step] === null ? 0 : run.pains[step]);
    record('pain', String(n));
    keepLog();
    if (!overLimit(n)) {
      $('ask-pain').close();
      return then && then();
    }
    painOver = true;
    $('ask-pain-numbers').hidden = true;
    $('ask-pain-ends').hidden = true;
    $('ask-pain-title').hidden = true;
    $('ask-pain-cancel').hidden = true;
    $('ask-pain-words').textContent = fill(L.pain_over, { limit: session.pain_limit });
    $('ask-pain-over').hidden = false;
    $('over-end').focus();
  };
  $('ask-pain-numbers').replaceChildren(...Array.from({ length: 11 }, (_, n) => {
    const button = make('button', { type: 'button', textContent: String(n) });
    button.onclick = () => take(n);
    return button;
  }));
  openDialog('ask-pain');
}

function endEarly(code) {
  const { step } = run.plan[run.at];
  painOver = resumeAfter = false;
  session.steps.forEach((s, i) => {
    if (i >= step && s.kind === 'exercise' && !run.reasons[i] && !isComplete(i)) run.reasons[i] = code;
  });
  finish(true);
}

function onStopEnd() {
  $('ask-stop').close();
  askReason(L.reason_title, endEarly);
}

// ---- screen kept awake, page hidden --------------------------------------------------------------------

let wakeLock = null;

async function keepAwake() {
  let held = false;
  try {
    if ('wakeLock' in navigator && document.visibilityState === 'visible') {
      wakeLock = await navigator.wakeLock.request('screen');
      held = true;
    }
  } catch { held = false; }
  $('run-keep-on').hidden = held;
}

function letSleep() {
  if (wakeLock) wakeLock.release().catch(() => {});
  wakeLock = null;
}

function onVisibility() {
  if (document.body.dataset.screen !== 'run' || run.over) return;
  if (document.visibilityState === 'hidden') setGoing(false, 'hidden'); // nothing is counted unseen
  else keepAwake();
}

// ---- the log -------------------------------------------------------------------------------------------

const isComplete = (i) => run.done[i].every((n) => n === session.steps[i].reps);

/** The log as the clinic reads it; the field names are explained at `SessionLog` in the source. */
function sessionLog() {
  const entries = [];
  session.steps.forEach((step, i) => {
    if (step.kind !== 'exercise' || !run.done[i]) return;
    const entry = { i: step.id, n: run.done[i] };
    if (run.pains[i] !== null) entry.p = run.pains[i];
    if (run.reasons[i]) entry.w = run.reasons[i];
    const again = run.counted[i] - run.done[i].reduce((a, b) => a + b, 0);
    if (again > 0) entry.x = Math.min(again, MOST_AGAIN);
    entries.push(entry);
  });
  const out = {
    hr: 1, s: session.session_id, v: session.version, d: session.date, t: run.started, a: Math.min(LONGEST_RUN, Math.round(run.active)),
    p: [run.painBefore, run.painDuring, run.painAfter], e: entries,
  };
  if (run.stopped) out.q = true;
  if (run.flags.length) out.f = run.flags;
  return out;
}

// The reader at the clinic takes no larger values (`src/log.rs`).
const LONGEST_RUN = 6 * 3600;
const MOST_AGAIN = 2000;

const STORE = `handrail:${session.session_id}`;
const MOST_KEPT = 60;

function keptLogs() {
  try {
    const kept = JSON.parse(localStorage.getItem(STORE) || '[]');
    return Array.isArray(kept) ? kept : [];
  } catch { return []; }
}

/** Keeps the log on the phone; a later state of the same run replaces the earlier one. */
function keepLog() {
  try {
    const others = keptLogs().filter((kept) => kept.t !== run.started);
    localStorage.setItem(STORE, JSON.stringify([...others, sessionLog()].slice(-MOST_KEPT)));
    return true;
  } catch { return false; }
}

/** The code, the same text to copy, and a button for it. */
function fillCode(holder, text) {
  const room = Math.min(document.documentElement.clientWidth - 40, 420);
  const svg = qrSvg(text, L.code_alt, room);
  const area = make('textarea', { readOnly: true, value: text, rows: 3 });
  area.setAttribute('aria-label', L.copy_label);
  // Read by a machine; whoever needs it opens it.
  const same = make('details', {}, make('summary', { textContent: L.copy_label }), area);
  const told = make('span', { className: 'told-copy' });
  told.setAttribute('role', 'status');
  const button = make('button', { type: 'button', textContent: L.copy_button });
  button.onclick = async () => {
    try {
      await navigator.clipboard.writeText(text);
      told.textContent = L.copied;
    } catch {
      same.open = true;
      area.select(); // the patient copies with the phone's own menu
      told.textContent = L.copy_by_hand;
    }
  };
  holder.replaceChildren(...(svg ? [svg] : []), same, make('p', { className: 'row' }, button, told));
}

const CODE_BYTES = 900; // about version 20: still read from a phone screen at arm's length

/** Earlier sessions, as many in one code as fit. */
function codePages() {
  const pages = [];
  for (const kept of keptLogs()) {
    const line = JSON.stringify(kept);
    const page = pages[pages.length - 1];
    if (page && page.length + 1 + line.length <= CODE_BYTES) pages[pages.length - 1] = `${page}\n${line}`;
    else pages.push(line);
  }
  return pages;
}

let earlierAt = 0;

function showEarlier(at) {
  const pages = codePages();
  earlierAt = at % pages.length;
  $('earlier-page').textContent = fill(L.earlier_page, { n: earlierAt + 1, total: pages.length });
  $('earlier-next').hidden = pages.length < 2;
  fillCode($('earlier-code'), pages[earlierAt]);
  show('earlier');
}

// ---- end screen ----------------------------------------------------------------------------------------

function finish(stopped) {
  if (run.over) return;
  run.over = true;
  run.going = false;
  run.stopped = stopped;
  beep('end');
  say(stopped ? L.end_stopped : L.end_reached, 'end');
  letSleep();
  keepLog();
  $('end-title').textContent = stopped ? L.end_stopped : L.end_reached;
  const during = run.pains.filter((pain) => pain !== null);
  if (during.length) {
    const worst = $('end-form').querySelector(`input[name="during"][value="${Math.max(...during)}"]`);
    worst.checked = true;
  }
  const open = session.steps.map((step, i) => i).filter((i) => session.steps[i].kind === 'exercise' && !isComplete(i));
  $('reasons-card').hidden = open.length === 0;
  $('reasons').replaceChildren(...open.map((i) => {
    const select = make('select', { id: `reason-${i}` }, make('option', { value: '', textContent: L.reason_choose }),
      ...L.reasons.map(({ code, text }) => make('option', { value: code, textContent: text })));
    select.value = run.reasons[i] || '';
    return make('p', { className: 'reason' }, make('label', { htmlFor: select.id, textContent: session.steps[i].title }), select);
  }));
  show('end');
}

function onSave(event) {
  event.preventDefault();
  const form = $('end-form');
  for (const name of ['during', 'after']) {
    if (chosen(form, name) === null) {
      missing('end-missing', L.missing_pain);
      return form.querySelector(`input[name="${name}"]`).focus();
    }
  }
  for (const select of form.querySelectorAll('select')) {
    if (!select.value) {
      missing('end-missing', L.missing_reason);
      return select.focus();
    }
    run.reasons[Number(select.id.slice('reason-'.length))] = select.value;
  }
  missing('end-missing', null);
  run.painDuring = Number(chosen(form, 'during'));
  run.painAfter = Number(chosen(form, 'after'));
  const kept = keepLog();
  const result = sessionLog();
  record('saved', JSON.stringify(result));
  form.hidden = true;
  const unwell = run.reasons.some((code) => code === 'unwell' || code === 'pain');
  const alarmed = overLimit(run.painDuring) || overLimit(run.painAfter) || unwell;
  $('end-alarm').hidden = !alarmed;
  $('end-alarm').textContent = alarmed ? L.end_alarm : '';
  $('done-rows').replaceChildren(...session.steps.flatMap((step, i) => (step.kind !== 'exercise' ? [] : [
    make('tr', {}, make('th', { scope: 'row', textContent: doneName(step) }),
      make('td', {}, ...run.done[i].map((n) => make('p', { textContent: fill(L.count, { n, total: step.reps }) })))),
  ])));
  $('done-pain').textContent = fill(L.done_pain, { before: run.painBefore, during: run.painDuring, after: run.painAfter });
  $('kept').textContent = kept ? L.kept : L.not_kept;
  fillCode($('end-code'), JSON.stringify(result));
  $('result').hidden = false;
  $('code-title').scrollIntoView({ block: 'start' });
  $('code-title').focus({ preventScroll: true });
}

// ---- wiring --------------------------------------------------------------------------------------------

function onKey(event) {
  if (document.body.dataset.screen !== 'run' || document.querySelector('dialog[open]')) return;
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  const onButton = event.target.closest && event.target.closest('button');
  if (event.key === ' ' && !onButton) { event.preventDefault(); togglePause(); }
  if (event.key === 'ArrowLeft') goBack();
  if (event.key === 'ArrowRight' && !$('onward').hidden) nextBlock();
}

function wire() {
  const on = (id, action) => { $(id).onclick = action; };
  $('start-form').onsubmit = onStart;
  $('end-form').onsubmit = onSave;
  on('call-back', changeAnswers);
  on('back', goBack);
  on('pause', togglePause);
  on('skip', onSkip);
  on('slower', slower);
  on('mute', toggleSound);
  on('pain', () => askPain(null));
  on('stop', () => openDialog('ask-stop'));
  on('more-rest', moreRest);
  on('onward', nextBlock);
  on('ask-reason-cancel', () => $('ask-reason').close());
  on('ask-pain-cancel', () => $('ask-pain').close());
  on('over-skip', () => { skipStep('pain'); $('ask-pain').close(); });
  on('over-end', () => { endEarly('pain'); $('ask-pain').close(); });
  on('stop-end', onStopEnd);
  on('stop-go-on', () => $('ask-stop').close());
  on('earlier-show', () => showEarlier(0));
  on('earlier-next', () => showEarlier(earlierAt + 1));
  on('earlier-back', showStart);
  document.addEventListener('visibilitychange', onVisibility);
  document.addEventListener('keydown', onKey);
  if (stillWanted.addEventListener) stillWanted.addEventListener('change', () => { pictures = null; });
}

setUpVoice();
fillStatic();
wire();
showStart();
