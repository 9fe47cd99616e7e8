// The figure of an exercise: plays, stops, turns to another side. The form for texts: numbers its lines, checks what is
// typed, leads from a mistake to its line, redraws the figure.
"use strict";
(() => {
  const csrf = document.querySelector('meta[name="csrf"]')?.content ?? "";

  // ---------------------------------------------------------------- figure

  const stage = document.querySelector("[data-stage]");
  if (stage) {
    const box = stage.querySelector("[data-figure]");
    const button = stage.querySelector("[data-pause]");
    const still = window.matchMedia("(prefers-reduced-motion: reduce)");
    let draw = null;
    let seconds = 0;
    let at = 0;
    let last = null;
    let runs = false;
    /** Seconds that the start pose is shown between two repetitions. */
    const REST = 0.6;

    const open = (clip) => {
      const ready = {
        view_box: clip.view_box,
        back_svg: clip.back_svg,
        front_svg: clip.front_svg,
        parts: clip.parts.map((it) => [it.layer, it.paint, it.circles]),
        times: clip.frames.map((it) => it.t),
        values: clip.frames.map((it) => it.v),
      };
      seconds = ready.times[ready.times.length - 1] ?? 0;
      box.textContent = "";
      draw = mountFigure(box, ready, clip.alt);
      draw(Math.min(at, seconds));
    };
    const frame = (now) => {
      if (!runs) return;
      if (last !== null) at = (at + (now - last) / 1000) % (seconds + REST);
      last = now;
      draw(Math.min(at, seconds));
      requestAnimationFrame(frame);
    };
    const run = (go) => {
      runs = go && seconds > 0;
      last = null;
      button.textContent = runs ? button.dataset.stop : button.dataset.play;
      if (runs) requestAnimationFrame(frame);
    };

    open(JSON.parse(stage.querySelector("[data-clip]").textContent));
    stage.hidden = false;
    button.addEventListener("click", () => run(!runs));
    still.addEventListener("change", () => { if (still.matches) run(false); });
    document.addEventListener("visibilitychange", () => { if (document.hidden) run(false); });
    run(!still.matches);

    for (const link of document.querySelectorAll("[data-view]")) {
      link.addEventListener("click", async (event) => {
        if (event.ctrlKey || event.metaKey || event.shiftKey) return;
        event.preventDefault();
        try {
          const answer = await fetch(stage.dataset.path + link.search);
          if (!answer.ok) throw new Error(String(answer.status));
          const it = await answer.json();
          open(it.clip);
          for (const name of ["start", "end"]) document.querySelector(`[data-still="${name}"]`).innerHTML = it[name];
          for (const other of document.querySelectorAll("[data-view]")) {
            if (other === link) other.setAttribute("aria-current", "true");
            else other.removeAttribute("aria-current");
          }
          history.replaceState(null, "", link.search);
        } catch {
          window.location.assign(link.href);
        }
      });
    }
  }

  // ---------------------------------------------------------------- form

  const form = document.querySelector("form[data-check]");
  if (!form) return;
  const areas = [...form.querySelectorAll("[data-lined]")].map((box) => {
    const area = box.querySelector("textarea");
    return { box, area, gutter: box.querySelector("[data-gutter]"), at: document.getElementById(area.getAttribute("aria-describedby")) };
  });
  const errors = form.querySelector("[data-errors]");
  const says = form.querySelector("[data-says]");
  const pictures = form.querySelector("[data-pictures]");
  let bad = new Map();

  const number = ({ box, area, gutter }) => {
    box.classList.add("numbered");
    const wrong = bad.get(area.name) ?? new Set();
    const count = area.value.split("\n").length;
    gutter.textContent = "";
    for (let line = 1; line <= count; line++) {
      const span = document.createElement("span");
      span.textContent = String(line);
      if (wrong.has(line)) span.className = "bad";
      gutter.append(span, "\n");
    }
    gutter.scrollTop = area.scrollTop;
  };
  const where = ({ area, at }) => {
    const before = area.value.slice(0, area.selectionStart).split("\n");
    at.textContent = `${at.dataset.at} ${before.length}, ${before[before.length - 1].length + 1}`;
  };
  /** Selects a line of a textarea and brings it into view. */
  const select = (name, line, column) => {
    const it = areas.find((one) => one.area.name === name);
    if (!it) return;
    const lines = it.area.value.split("\n");
    const before = lines.slice(0, line - 1).reduce((sum, text) => sum + text.length + 1, 0);
    const length = (lines[line - 1] ?? "").length;
    it.area.focus();
    it.area.setSelectionRange(before + Math.min(column - 1, length), before + length);
    const height = Number.parseFloat(getComputedStyle(it.area).lineHeight) || 20;
    it.area.scrollTop = Math.max(0, (line - 4) * height);
    it.area.scrollIntoView({ block: "nearest" });
    number(it);
    where(it);
  };

  const show = (found) => {
    says.textContent = found.says;
    errors.textContent = "";
    bad = new Map();
    for (const it of found.problems) {
      const item = document.createElement("li");
      if (it.in) {
        bad.set(it.in, (bad.get(it.in) ?? new Set()).add(it.line));
        const link = document.createElement("a");
        link.href = `#${it.in}`;
        Object.assign(link.dataset, { in: it.in, line: it.line, column: it.column });
        link.textContent = it.at + (it.in === "text" ? "" : ` (${it.in.replace("words-", "")})`);
        item.append(link, " ");
      } else {
        const place = document.createElement("b");
        place.textContent = `${it.file}: ${it.at}`;
        item.append(place, " ");
      }
      if (it.field) {
        const field = document.createElement("code");
        field.textContent = it.field;
        item.append(field, ": ");
      }
      const text = document.createElement("span");
      text.lang = "en";
      text.textContent = `${it.message}. ${it.mend}.`;
      item.append(text);
      errors.append(item);
    }
    areas.forEach(number);
    if (pictures) {
      pictures.classList.toggle("stale", !found.pictures);
      for (const name of found.pictures ? ["start", "end"] : []) {
        pictures.querySelector(`[data-still="${name}"]`).innerHTML = found.pictures[name];
      }
    }
  };

  let waiting = 0;
  let asked = 0;
  const check = async () => {
    const mine = ++asked;
    const value = (name) => form.elements[name]?.value ?? "";
    const words = {};
    for (const { area } of areas) if (area.name.startsWith("words-")) words[area.name.slice(6)] = area.value;
    const body = { kind: form.dataset.kind, id: form.dataset.id || null, text: value("text"), words };
    try {
      const answer = await fetch(form.dataset.check, {
        method: "POST",
        headers: { "x-csrf": csrf, "content-type": "application/json" },
        body: JSON.stringify(body),
      });
      // An answer to an older text is not shown.
      if (answer.ok && mine === asked) show(await answer.json());
    } catch {
      // Without the server nothing is checked; saving will say so.
    }
  };
  for (const it of areas) {
    number(it);
    it.area.addEventListener("input", () => {
      number(it);
      clearTimeout(waiting);
      waiting = setTimeout(check, 150);
    });
    it.area.addEventListener("scroll", () => { it.gutter.scrollTop = it.area.scrollTop; });
    for (const name of ["keyup", "click", "focus"]) it.area.addEventListener(name, () => where(it));
  }
  form.addEventListener("restored", () => { areas.forEach(number); check(); });
  form.addEventListener("click", (event) => {
    const link = event.target.closest("[data-in]");
    if (!link) return;
    event.preventDefault();
    select(link.dataset.in, Number(link.dataset.line), Number(link.dataset.column));
  });
  if (!errors.children.length) check();
})();
