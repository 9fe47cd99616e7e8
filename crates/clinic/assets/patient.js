// The patient's page on the phone: one screen at a time, the diary, what is kept until there is a network, and the
// date check that also works without one.
"use strict";
(() => {
  const data = JSON.parse(document.getElementById("home-data").textContent);
  const L = data.words;
  const $ = (id) => document.getElementById(id);
  const all = (selector, root = document) => [...root.querySelectorAll(selector)];
  const fill = (text, values) => text.replace(/\{(\w+)\}/g, (whole, key) => values[key] ?? whole);
  const show = (node, text) => {
    node.hidden = !text;
    if (node.textContent !== (text || "")) node.textContent = text || "";
  };

  // ---- dates: of this phone ------------------------------------------------------------------------------

  const iso = (date) => {
    const two = (n) => String(n).padStart(2, "0");
    return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
  };
  const today = () => iso(new Date());
  const daysAgo = (n) => {
    const date = new Date();
    date.setDate(date.getDate() - n);
    return date;
  };
  const readable = (text) => {
    const [y, m, d] = text.split("-").map(Number);
    return new Date(y, m - 1, d).toLocaleDateString(data.lang, { day: "numeric", month: "long", year: "numeric" });
  };

  /** A sheet past its last day shows no session, also when nobody can be asked. */
  function checkDate() {
    const now = today();
    // A phone may be a day ahead of the clinic; more than a day behind is a wrong clock.
    const behind = new Date(`${data.on}T12:00`) - new Date(`${now}T12:00`) > 36 * 3600e3;
    const over = data.ready && now > data.until;
    const note = $("note-date");
    note.hidden = !over && !behind;
    note.firstElementChild.textContent = over ? fill(L["out-of-date"], { until: readable(data.until) }) : behind ? L["date-wrong"] : "";
    if (data.ready) $("session-card").hidden = over || behind;
    const rest = $("rest-day");
    if (rest) show(rest, data.days && !data.days.includes(new Date().getDay()) ? L["rest-day"] : "");
  }

  // ---- screens -------------------------------------------------------------------------------------------

  const TABS = ["today", "diary", "signs", "messages"];
  function onScreen(moved) {
    const id = location.hash.slice(1) || "today";
    const tab = TABS.includes(id) ? id : id === "saved" ? "diary" : "signs";
    for (const link of all(".tabs a")) {
      if (link.hash === `#${tab}`) link.setAttribute("aria-current", "page");
      else link.removeAttribute("aria-current");
    }
    if (!moved) return;
    if (id === "diary") openDiary();
    const screen = $(id) || $("today");
    window.scrollTo(0, 0);
    screen.querySelector("h1")?.focus({ preventScroll: true });
  }

  // ---- what is kept until it is sent ----------------------------------------------------------------------

  const STORE = "reports";
  let opened = null;
  const memory = new Map(); // where the phone keeps nothing for us

  function database() {
    opened ??= new Promise((resolve) => {
      try {
        const request = indexedDB.open("handrail-home", 1);
        request.onupgradeneeded = () => request.result.createObjectStore(STORE, { keyPath: "key" });
        request.onsuccess = () => resolve(request.result);
        request.onerror = () => resolve(null);
      } catch {
        resolve(null);
      }
    });
    return opened;
  }

  async function inStore(mode, act) {
    const db = await database();
    if (!db) return act(null);
    return new Promise((resolve, reject) => {
      const transaction = db.transaction(STORE, mode, { durability: "strict" });
      const request = act(transaction.objectStore(STORE));
      // "complete" comes after the phone has it; only then may the page say that it is kept.
      transaction.oncomplete = () => resolve(request.result);
      transaction.onerror = transaction.onabort = () => reject(transaction.error);
    });
  }

  const keep = async (item) => {
    try {
      return await inStore("readwrite", (store) => (store ? store.put(item) : (memory.set(item.key, item), false))) !== false;
    } catch {
      memory.set(item.key, item);
      return false;
    }
  };
  const drop = async (key) => {
    memory.delete(key);
    await inStore("readwrite", (store) => (store ? store.delete(key) : null)).catch(() => {});
  };
  /** Reports of this patient; a phone may hold those of another one too. */
  const kept = async () => {
    const stored = await inStore("readonly", (store) => (store ? store.getAll() : [])).catch(() => []);
    return [...stored, ...memory.values()].filter((it) => it.body.tag === data.tag);
  };

  function newKey() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return `page-${[...bytes].map((it) => it.toString(16).padStart(2, "0")).join("")}`;
  }

  /** Keeps a report and tries to send it. Answers whether the phone keeps it, and whether the clinic has it. */
  async function report(part, key = newKey()) {
    const item = { key, made: new Date().toISOString(), state: "waiting", body: { key, tag: data.tag, ...part } };
    const isKept = await keep(item);
    await paint();
    await send();
    const left = (await kept()).find((it) => it.key === key);
    return { kept: isKept, sent: !left, refused: left?.state === "refused" ? left : null };
  }

  // ---- sending --------------------------------------------------------------------------------------------

  let sending = null;
  let retry = 0;
  let wait = 5000;
  let over = false; // the session has ended: the link has to be opened again

  const timed = (ms) => (AbortSignal.timeout ? { signal: AbortSignal.timeout(ms) } : {});

  function send() {
    // A second call waits for the first and then looks again: nothing made meanwhile is left behind.
    sending = (sending ?? Promise.resolve()).then(sendAll, sendAll);
    return sending;
  }

  async function sendAll() {
    clearTimeout(retry);
    const waiting = (await kept()).filter((it) => it.state === "waiting");
    let again = false;
    try {
      // With nothing to send it is only looked whether the page is still open: a kept page cannot know.
      again = waiting.length ? !(await sendEach(waiting)) : !(await askState()) && !over;
    } catch {
      again = waiting.length > 0; // no network, or no answer in time
    }
    if (again && !over) {
      retry = setTimeout(send, wait);
      wait = Math.min(wait * 2, 300000);
    } else {
      wait = 5000;
    }
    await paint();
  }

  /** Asks whether the session goes on, and for its token; null when it does not, or when the server has no answer. */
  async function askState() {
    const asked = await fetch("/home/state", { cache: "no-store", ...timed(10000) });
    over = asked.status === 404 || asked.status === 403;
    if (!asked.ok) return null;
    const state = await asked.json();
    over = state.tag !== data.tag; // somebody else's page is open on this phone now
    return over ? null : state;
  }

  /** False when something has to be tried again later. */
  async function sendEach(waiting) {
    const state = await askState();
    if (!state) return over;
    for (const item of waiting.sort((a, b) => a.made.localeCompare(b.made))) {
      const answer = await fetch("/home/diary", {
        method: "POST",
        headers: { "content-type": "application/json", "x-csrf": state.csrf },
        body: JSON.stringify(item.body),
        ...timed(20000),
      });
      if (answer.ok) {
        await drop(item.key);
      } else if (answer.status === 422) {
        const told = await answer.json().catch(() => ({}));
        await keep({ ...item, state: "refused", error: told.error || "" });
      } else {
        over = answer.status === 404;
        return over;
      }
    }
    return true;
  }

  // ---- notices --------------------------------------------------------------------------------------------

  async function paint() {
    const list = await kept();
    show($("note-offline"), navigator.onLine ? "" : L.offline);
    show($("note-again"), over ? L.again : "");
    const n = list.length;
    show($("note-unsent"), n === 0 ? "" : n === 1 ? L["unsent-one"] : fill(L["unsent-many"], { n }));
    $("waiting").replaceChildren(...list.map(waitingLine));
  }

  function waitingLine(item) {
    const line = document.createElement("li");
    const day = item.body.diary ? readable(item.body.diary.on) : readable(iso(new Date(item.made)));
    const parts = [day, item.body.message, ...(item.body.diary?.signs ?? []).map((it) => it.says)].filter(Boolean);
    const told = document.createElement("p");
    told.textContent = `${item.state === "refused" ? `${L.refused} ${item.error}` : `${L.waiting}:`} ${parts.join(". ")}`;
    line.append(told);
    if (item.state === "refused") {
      const row = document.createElement("p");
      row.className = "row";
      for (const [text, act] of [[L["try-again"], () => keep({ ...item, state: "waiting" }).then(send)], [L.remove, () => drop(item.key).then(paint)]]) {
        const button = document.createElement("button");
        button.type = "button";
        button.textContent = text;
        button.addEventListener("click", act);
        row.append(button);
      }
      line.append(row);
    }
    return line;
  }

  // ---- warning signs --------------------------------------------------------------------------------------

  /** The link itself leads to whom to call; here the clinic is told. */
  function onSign(link) {
    const urgency = link.dataset.sign;
    const says = link.textContent;
    const screen = $(`call-${urgency}`);
    screen.querySelector("[data-picked]").textContent = says;
    const state = screen.querySelector("[data-sign-state]");
    const later = state.dataset.later === undefined ? "" : "-later";
    show(state, L[`sign-kept${later}`]);
    $("no-signs").textContent = L["no-other"];
    report({ diary: { on: today(), version: data.version, signs: [{ urgency, says }] } }).then((it) => {
      show(state, it.sent ? L[`sign-sent${later}`] : it.kept ? L[`sign-kept${later}`] : L["not-kept"]);
    });
  }

  /** Signs that were answered with yes in the guided session on this phone: the clinic is told of them too. */
  function sendGuidedSigns() {
    let logs = [];
    try { logs = JSON.parse(localStorage.getItem(`handrail:${data.guided}`) || "[]"); } catch { return; }
    const name = `handrail-signs:${data.tag}`;
    let told = [];
    try { told = JSON.parse(localStorage.getItem(name) || "[]"); } catch { /* then again: the key writes it once */ }
    for (const log of logs.filter((it) => it.f?.length && it.t && !told.includes(it.t))) {
      const signs = log.f.filter((it) => data.groups[it]).map((urgency) => ({ urgency, says: fill(L["guided-sign"], { group: data.groups[urgency] }) }));
      told = [...told, log.t].slice(-60);
      try { localStorage.setItem(name, JSON.stringify(told)); } catch { /* the key writes it once */ }
      if (signs.length) report({ diary: { on: log.t.slice(0, 10), version: data.version, guided: true, signs } }, `guided-sign:${log.s}:${log.t}`);
    }
  }

  // ---- diary ----------------------------------------------------------------------------------------------

  const form = $("diary-form");
  const DRAFT = `handrail-draft:${data.tag}`;
  let guidedKey = null; // key of a report whose counts come from a guided session

  function openDiary() {
    form.hidden = true;
    $("ask-signs").hidden = false;
    const day = $("diary-day");
    const before = day.value;
    day.replaceChildren(...[0, 1, 2, 3].map(daysAgo).filter((it) => iso(it) >= data.surgery).map((date, n) => {
      const option = document.createElement("option");
      option.value = iso(date);
      option.textContent = n === 0 ? L["day-today"] : n === 1 ? L["day-yesterday"] : readable(iso(date));
      return option;
    }));
    if ([...day.options].some((it) => it.value === before)) day.value = before;
  }

  function fillForm() {
    $("ask-signs").hidden = true;
    form.hidden = false;
    restoreDraft();
    fromGuided();
    window.scrollTo(0, 0);
    $("diary-title").focus({ preventScroll: true });
  }

  const exercises = () => all("fieldset.exercise", form).map((box) => ({
    box,
    id: box.dataset.exercise,
    sets: Number(box.dataset.sets),
    reps: Number(box.dataset.reps),
    counted: Number(box.dataset.counted),
    counts: box.querySelector(".counts"),
    count: (what) => box.querySelector(`[data-count=${what}]`),
    answer: () => box.querySelector("input[type=radio]:checked")?.value ?? null,
    choose: (value) => { box.querySelector(`input[type=radio][value=${value}]`).checked = true; },
  }));

  const showCounts = () => { for (const it of exercises()) it.counts.hidden = it.answer() !== "part"; };

  /** Fills in what the guided session counted on this phone, once, and for today only. */
  function fromGuided() {
    guidedKey = null;
    show($("guided-found"), "");
    let logs = [];
    let used = [];
    try {
      logs = JSON.parse(localStorage.getItem(`handrail:${data.guided}`) || "[]");
      used = JSON.parse(localStorage.getItem(`handrail-used:${data.tag}`) || "[]");
    } catch { return; }
    const log = logs.filter((it) => it.t?.startsWith(today()) && it.e?.length && !used.includes(it.t)).pop();
    if (!log) return;
    const done = new Map();
    for (const entry of log.e) {
      const id = entry.i.split(".")[0]; // sets done in rounds have ids of their own
      done.set(id, [...(done.get(id) ?? []), ...entry.n]);
    }
    for (const it of exercises()) {
      const sets = done.get(it.id);
      if (!sets) continue;
      const begun = sets.filter((n) => n > 0);
      // Continuous work counts as one a set.
      const reps = it.reps === 1 ? begun.length : begun.reduce((sum, n) => sum + n, 0);
      const whole = it.reps === 1 ? sets.every((n) => n >= it.counted) && sets.length >= it.sets : reps >= it.sets * it.reps;
      it.choose(whole ? "all" : begun.length ? "part" : "none");
      it.count("sets").value = String(begun.length);
      it.count("reps").value = String(reps);
    }
    ["before", "during", "after"].forEach((when, n) => {
      const radio = log.p[n] === null ? null : form.querySelector(`input[name=pain_${when}][value="${log.p[n]}"]`);
      if (radio) radio.checked = true;
    });
    guidedKey = { key: `guided:${log.s}:${log.t}`, t: log.t };
    showCounts();
    show($("guided-found"), fill(L["guided-found"], { time: log.t.slice(11, 16) }));
  }

  function saveDraft() {
    try {
      localStorage.setItem(DRAFT, JSON.stringify({ day: today(), fields: [...new FormData(form)] }));
    } catch { /* nothing is lost but the draft */ }
  }

  function restoreDraft() {
    try {
      const draft = JSON.parse(localStorage.getItem(DRAFT) || "null");
      if (!draft || draft.day !== today()) return;
      for (const [name, value] of draft.fields) {
        const field = form.elements.namedItem(name);
        if (!field) continue;
        if (field instanceof RadioNodeList) field.value = value;
        else if (field.tagName !== "SELECT" || [...field.options].some((it) => it.value === value)) field.value = value;
      }
      showCounts();
    } catch { /* an old draft that does not fit */ }
  }

  const number = (input, most) => Math.min(most, Math.max(0, Math.round(Number(input.value)) || 0));

  function doneList() {
    const out = [];
    for (const it of exercises()) {
      const answer = it.answer();
      if (!answer) continue;
      let sets = answer === "all" ? it.sets : answer === "none" ? 0 : number(it.count("sets"), 30);
      let reps = answer === "all" ? it.sets * it.reps : answer === "none" ? 0 : number(it.count("reps"), 1000);
      if (!sets || !reps) sets = reps = 0;
      out.push({ exercise: it.id, sets, reps });
    }
    return out;
  }

  function readDiary() {
    const values = new FormData(form);
    const text = (name) => (values.get(name) || "").trim() || null;
    const pain = (when) => (values.get(`pain_${when}`) === null ? null : Number(values.get(`pain_${when}`)));
    const diary = {
      on: values.get("on") || today(), version: data.version, guided: guidedKey !== null, done: doneList(),
      extra: text("extra"), left_out: text("left_out"), note: text("note"),
      pain_before: pain("before"), pain_during: pain("during"), pain_after: pain("after"),
      morning: values.get("morning"), swelling: values.get("swelling"),
    };
    const says = diary.done.length || ["extra", "left_out", "note", "pain_before", "pain_during", "pain_after", "morning", "swelling"]
      .some((it) => diary[it] !== null);
    return { diary: says ? diary : null, message: text("message") };
  }

  async function onSave(event) {
    event.preventDefault();
    const part = readDiary();
    if (!part.diary && !part.message) {
      show($("diary-missing"), L.missing);
      return;
    }
    const blank = exercises().filter((it) => it.answer() === "part")
      .flatMap((it) => [it.count("sets"), it.count("reps")]).find((it) => it.value.trim() === "");
    if (blank) {
      show($("diary-missing"), L["missing-counts"]);
      return blank.focus();
    }
    show($("diary-missing"), "");
    const guided = guidedKey;
    if (guided) {
      try {
        const name = `handrail-used:${data.tag}`;
        localStorage.setItem(name, JSON.stringify([...JSON.parse(localStorage.getItem(name) || "[]"), guided.t].slice(-60)));
      } catch { /* the key still keeps it from counting twice */ }
    }
    const told = report(part, guided?.key);
    try { localStorage.removeItem(DRAFT); } catch { /* no draft then */ }
    form.reset();
    showCounts();
    show($("saved-state"), L.sending);
    location.hash = "saved";
    const it = await told;
    show($("saved-state"), it.sent ? L.sent : it.refused ? `${L.refused} ${it.refused.error}` : it.kept ? L.kept : L["not-kept"]);
  }

  async function onMessage(event) {
    event.preventDefault();
    const field = event.target.elements.namedItem("message");
    const message = field.value.trim();
    show($("message-missing"), message ? "" : L.missing);
    if (!message) return field.focus();
    const told = report({ message });
    event.target.reset();
    show($("message-state"), L.sending);
    const it = await told;
    show($("message-state"), it.sent ? L.sent : it.refused ? `${L.refused} ${it.refused.error}` : it.kept ? L.kept : L["not-kept"]);
  }

  // ---- leaving this phone -----------------------------------------------------------------------------------

  let leaving = false;
  async function onLeave(event) {
    if (leaving) return;
    event.preventDefault();
    if ((await kept()).length && !window.confirm(L["leave-unsent"])) return;
    leaving = true;
    for (const item of await kept()) await drop(item.key);
    for (const name of (await window.caches?.keys?.()) ?? []) if (name.startsWith("handrail-pages")) await caches.delete(name);
    try {
      for (const name of Object.keys(localStorage)) if (name.startsWith("handrail")) localStorage.removeItem(name);
    } catch { /* nothing kept */ }
    const workers = (await navigator.serviceWorker?.getRegistrations?.()) ?? [];
    await Promise.all(workers.map((it) => it.unregister()));
    event.target.submit();
  }

  // ---- wiring ---------------------------------------------------------------------------------------------

  document.addEventListener("click", (event) => {
    const sign = event.target.closest("a[data-sign]");
    if (sign) onSign(sign);
    const step = event.target.closest("button[data-step]");
    if (step) {
      const input = step.parentElement.querySelector("input");
      input.value = String(Math.max(0, number(input, 1000) + Number(step.dataset.step)));
      saveDraft();
    }
  });
  $("no-signs").addEventListener("click", fillForm);
  $("all-done")?.addEventListener("click", () => {
    for (const it of exercises()) it.choose("all");
    showCounts();
    saveDraft();
  });
  form.addEventListener("input", () => { showCounts(); saveDraft(); });
  form.addEventListener("submit", onSave);
  $("message-form").addEventListener("submit", onMessage);
  $("leave").addEventListener("submit", onLeave);
  window.addEventListener("hashchange", () => onScreen(true));
  window.addEventListener("online", () => { wait = 5000; send(); });
  window.addEventListener("offline", paint);
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible") return;
    checkDate();
    sendGuidedSigns();
    send();
  });
  window.addEventListener("beforeinstallprompt", (event) => {
    event.preventDefault();
    const button = $("install");
    button.hidden = false;
    button.onclick = () => { button.hidden = true; event.prompt(); };
  });

  checkDate();
  // Opened anew, nothing has just been saved: the day comes first.
  if (location.hash === "#saved") location.replace("#today");
  if (location.hash === "#diary") openDiary();
  onScreen(false);
  sendGuidedSigns();
  paint().then(send);
  navigator.storage?.persist?.().catch(() => {});
  window.addEventListener("load", () => {
    navigator.serviceWorker?.register("/home/sw.js", { scope: "/home" }).catch(() => {});
  });
})();
