// The plan: the whole session as a row of timed segments. Nothing in it depends on the device's clock.
//
// A segment: { step, block, kind, set, rep, from, seconds, fixed, wait, stage, events: [{ at, kind, text, beep }] }
//   kind    intro | ready | move | hold | breath | rest | walk
//   block   number of the part that "Back" returns to: an introduction, one set, one rest, one move
//   from    seconds into the repetition at which the segment begins (for the figure)
//   word    the word of the phase
//   fixed   its seconds are part of the dose (holds, rests): "Slower" does not stretch them
//   wait    stays at its end until the patient says that they are ready

const READY_SECONDS = 3;
const LEAST_BREATH = 1.2; // the count is said between two repetitions; less would cut it off
const LONG_HOLD = 12; // above this a hold is not counted every second

/** Seconds to let a sentence be heard and taken in. */
const talkSeconds = (text) => 0.9 + text.length / 14;

const fill = (template, values) => template.replace(/\{(\w+)\}/g, (whole, key) => (key in values ? values[key] : whole));

/** Sentences one after the other from second `at`; returns the events and when the talk ends. */
function talk(sentences, at = 0, firstKind = 'say') {
  const events = sentences.map((text, i) => {
    const event = { at, kind: i ? 'say' : firstKind, text };
    at += talkSeconds(text);
    return event;
  });
  return { events, end: at };
}

/** Seconds left that are spoken during a hold or at the end of a rest. */
const spokenLeft = (left, long) => left > 0 && (!long || left <= 5 || left % 5 === 0);

function holdEvents(phase) {
  const total = Math.round(phase.seconds);
  const events = [{ at: 0, kind: 'say', text: fill(L.hold_start, { say: phase.say, n: total }), beep: 'hold' }];
  for (let left = total - 1; left > 0; left--)
    if (spokenLeft(left, total > LONG_HOLD)) events.push({ at: phase.seconds - left, kind: 'hold', text: String(left) });
  return events;
}

/** Spoken words of a rest of `seconds`; the last three are the ready segment that follows. */
function restEvents(seconds, reminder, next) {
  const whole = Math.round(seconds + READY_SECONDS);
  const events = [{ at: 0, kind: 'rest', text: fill(L.rest_start, { n: whole }), beep: 'rest' }];
  if (reminder && seconds >= talkSeconds(reminder) + 9) events.push({ at: 4, kind: 'say', text: reminder });
  if (whole >= 20) events.push({ at: whole - 10, kind: 'rest', text: fill(L.rest_left, { n: 10 }) });
  if (next && whole >= 12) events.push({ at: whole - 7, kind: 'say', text: next });
  return events.sort((a, b) => a.at - b.at);
}

const readySegment = () => ({
  kind: 'ready', seconds: READY_SECONDS, fixed: true,
  events: [3, 2, 1].map((n, i) => ({ at: i, kind: 'ready', text: String(n), beep: 'tick' })),
});

function exerciseSegments(exercise, brief, block, put) {
  const name = fill(L.step_start, { title: exercise.title, side: exercise.side_words });
  const limit = exercise.limit ? [exercise.limit] : [];
  const words = brief
    ? [name, exercise.dose_words, ...limit]
    : [name, ...exercise.instructions, exercise.dose_words, ...limit, ...exercise.cues];
  const intro = talk(words, 0, 'step');
  put({ kind: 'intro', seconds: intro.end + 0.5, events: intro.events });

  for (let set = 1; set <= exercise.sets; set++) {
    block();
    put({ ...readySegment(), set });
    for (let rep = 1; rep <= exercise.reps; rep++) {
      let from = 0;
      for (const phase of exercise.phases) {
        const hold = phase.kind === 'hold';
        const events = hold ? holdEvents(phase) : [{ at: 0, kind: 'say', text: phase.say, beep: 'move' }];
        put({ kind: phase.kind, seconds: phase.seconds, fixed: hold, from, set, rep, word: phase.say, events });
        from += phase.seconds;
      }
      const count = { at: 0, kind: 'count', text: fill(L.count, { n: rep, total: exercise.reps }), beep: 'count' };
      put({ kind: 'breath', seconds: Math.max(LEAST_BREATH, exercise.breath_s), set, rep, events: [count] });
    }
    if (set < exercise.sets && exercise.rest_s > READY_SECONDS) {
      block();
      const seconds = exercise.rest_s - READY_SECONDS;
      const reminder = exercise.cues.length ? exercise.cues[(set - 1) % exercise.cues.length] : null;
      const next = fill(L.next_set, { n: exercise.first_set + set, total: exercise.all_sets });
      put({ kind: 'rest', seconds, fixed: true, set, rep: exercise.reps, reminder, next,
        events: restEvents(seconds, reminder, next) });
    }
  }
}

function moveSegments(move, put) {
  const name = fill(L.move_start, { title: move.title, side: move.side_words });
  const warn = move.limit ? [move.limit] : [];
  const first = talk([name, ...warn], 0, 'step');
  put({ kind: 'walk', stage: 0, seconds: first.end, events: first.events });
  move.stages.forEach((stage, i) => {
    const { events, end } = talk([stage.say]);
    put({ kind: 'walk', stage: i, seconds: Math.max(end, stage.seconds), events });
  });
  if (move.waits) {
    const { events, end } = talk([L.move_wait]);
    put({ kind: 'walk', stage: move.stages.length - 1, seconds: end, wait: true, events });
  }
}

function restSegments(rest, put) {
  const seconds = Math.max(1, rest.seconds - READY_SECONDS);
  put({ kind: 'rest', seconds, fixed: true, reminder: rest.say, next: null, events: restEvents(seconds, rest.say, null) });
  put({ ...readySegment(), tail: true });
}

/** The plan of a session; `brief` leaves out the instructions, never the limit or the dose. */
function buildPlan(session, brief) {
  const plan = [];
  let block = -1;
  const nextBlock = () => { block += 1; };
  session.steps.forEach((step, index) => {
    nextBlock();
    const put = (segment) => plan.push({ step: index, block, set: 0, rep: 0, from: 0, ...segment });
    if (step.kind === 'exercise') exerciseSegments(step, brief, nextBlock, put);
    if (step.kind === 'move') moveSegments(step, put);
    if (step.kind === 'rest') restSegments(step, put);
  });
  return plan;
}
