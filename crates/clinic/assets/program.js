// The program's form: posts each change, and puts what comes back in its place. While an answer is out, no verdict is
// shown and nothing can be issued; only the answer to the last change counts.
"use strict";
(() => {
  const form = document.getElementById("program");
  if (!form) return;
  const board = document.getElementById("board");
  const state = document.getElementById("state");
  const issue = document.getElementById("issue-button");
  const wait = 25;
  let timer = 0, turn = 0, out = null, ready = !issue?.disabled, simulating = null;

  const html = (text) => {
    const holder = document.createElement("template");
    holder.innerHTML = text;
    return holder.content;
  };
  const put = (id, text) => document.getElementById(id)?.replaceChildren(html(text));

  const body = (action) => {
    const data = new URLSearchParams(new FormData(form));
    data.delete("do");
    if (action) data.set(action === "picks" || action === "draw" ? action : "do", action);
    for (const part of board.querySelectorAll(".part")) data.append("have", `${part.id}=${part.dataset.hash}`);
    return data;
  };

  const busy = () => {
    form.setAttribute("aria-busy", "true");
    if (issue) issue.disabled = true;
    state.textContent = form.dataset.busy;
  };

  // Cards are moved around the one that has the focus, which never leaves its place in the document.
  const arrange = (order, cards) => {
    const items = order.map((it) => {
      if (it.row === undefined) {
        const way = document.createElement("li");
        way.className = "way";
        way.append(html(it.way));
        return way;
      }
      const known = document.getElementById(`card-${it.row}`);
      if (known) return known;
      return html(cards[it.row] ?? "").firstElementChild;
    }).filter(Boolean);
    const keep = new Set(items);
    for (const old of [...board.children]) if (!keep.has(old)) old.remove();
    const held = items.find((it) => it.contains(document.activeElement) && board.contains(it));
    if (!held) {
      board.append(...items);
      return;
    }
    const at = items.indexOf(held);
    held.before(...items.slice(0, at));
    held.after(...items.slice(at + 1));
  };

  const show = (answer) => {
    for (const [id, [hash, text]] of Object.entries(answer.parts)) {
      const part = document.getElementById(id);
      if (!part) continue;
      part.dataset.hash = hash;
      // A picture that is still being drawn: the old one is no longer true and steps back.
      part.classList.toggle("pending", !hash);
      if (hash || !part.firstElementChild) part.replaceChildren(html(text));
    }
    arrange(answer.order, answer.cards);
    for (const card of board.querySelectorAll(".shot")) {
      const field = card.querySelector("[data-override]");
      const typed = field?.querySelector("textarea").value.trim();
      if (field) field.hidden = !typed && !answer.waivable.includes(Number(card.dataset.row));
    }
    put("totals", answer.totals);
    put("changes", answer.changes);
    const place = document.getElementById("conflict-place");
    if (place.dataset.last !== answer.conflict) {
      place.dataset.last = answer.conflict;
      place.replaceChildren(html(answer.conflict));
    }
    if (answer.picks) {
      const open = [...document.querySelectorAll("#picks details")].map((it) => it.open);
      put("picks", answer.picks);
      [...document.querySelectorAll("#picks details")].forEach((it, index) => { if (open[index] !== undefined) it.open = open[index]; });
      find();
    }
    ready = answer.ready;
    form.removeAttribute("aria-busy");
    if (issue) issue.disabled = !ready;
    state.textContent = answer.says;
    form.dispatchEvent(new CustomEvent("checked"));
  };

  const post = async (path, action, signal) => {
    const answer = await fetch(path, { method: "POST", body: body(action), signal });
    // A session that has ended answers with the login page: the form stays as it is, and is kept as a draft.
    if (!answer.ok || answer.redirected) throw new Error(String(answer.status));
    return answer.json();
  };

  const check = async (action, after) => {
    clearTimeout(timer);
    const mine = ++turn;
    out?.abort();
    simulating?.abort();
    out = new AbortController();
    busy();
    try {
      const answer = await post(form.dataset.check, action, out.signal);
      if (mine !== turn) return;
      show(answer);
      after?.();
      follow(answer, mine);
    } catch (error) {
      if (mine !== turn || error.name === "AbortError") return;
      state.textContent = form.dataset.failed;
    }
  };

  // Pictures come after the verdict, and after them how tight the limits are.
  const follow = async (answer, mine) => {
    if (answer.not_drawn) {
      try {
        simulating = new AbortController();
        answer = await post(form.dataset.check, "draw", simulating.signal);
        if (mine !== turn) return;
        show(answer);
      } catch { return; }
    }
    if (answer.not_simulated.length) simulate(mine);
  };

  // How tight the limits are takes a thousand repetitions: asked for when nothing else is, and shown when it comes.
  const simulate = async (mine) => {
    simulating = new AbortController();
    try {
      await new Promise((done) => setTimeout(done, 400));
      if (mine !== turn) return;
      const answer = await post(form.dataset.tight, null, simulating.signal);
      if (mine === turn) show(answer);
    } catch { /* the verdict stands without it */ }
  };

  const later = () => {
    busy();
    turn += 1;
    clearTimeout(timer);
    timer = setTimeout(() => check(), wait);
  };
  form.addEventListener("input", (event) => { if (event.target.name) later(); });
  form.addEventListener("restored", later);

  form.addEventListener("click", (event) => {
    const button = event.target.closest("button[name=do]");
    if (!button) return;
    const [what, of] = button.value.split(":");
    if (what !== "add" && what !== "remove" && what !== "check") return;
    event.preventDefault();
    if (what === "check") { check(); return; }
    if (what === "remove") {
      const next = button.closest(".shot")?.nextElementSibling;
      document.getElementById(`card-${of}`)?.remove();
      // The focus goes on to where the next card is.
      (next?.querySelector("input:not([type=hidden])") ?? document.getElementById("stage"))?.focus();
    }
    const before = new Set([...board.querySelectorAll(".shot")].map((it) => it.id));
    check(what === "add" ? button.value : "picks", () => {
      const added = [...board.querySelectorAll(".shot")].find((it) => !before.has(it.id));
      if (what === "add" && added) {
        added.scrollIntoView({ block: "nearest" });
        added.querySelector("input:not([type=hidden])")?.focus({ preventScroll: true });
      }
      // The draft is kept by the same event as typing.
      form.dispatchEvent(new Event("input", { bubbles: false }));
    });
  });

  const find = () => {
    const box = document.querySelector("[data-find-box]");
    if (!box) return;
    box.hidden = false;
    const field = box.querySelector("[data-find]");
    const picks = document.getElementById("picks");
    const plain = (text) => text.toLowerCase().normalize("NFD").replace(/\p{M}/gu, "");
    field.oninput = () => {
      const asked = plain(field.value.trim());
      const found = new Set();
      for (const item of picks.querySelectorAll("[data-name]")) {
        const fits = !asked || plain(item.dataset.name).includes(asked);
        item.hidden = !fits;
        if (fits) found.add(item.querySelector(".rung-name")?.textContent ?? item.dataset.name);
      }
      // While something is looked for, a block without a hit is out of the way, and one with a hit is open.
      for (const block of picks.children) {
        block.hidden = !!asked && !block.querySelector("[data-name]:not([hidden])");
      }
      for (const fold of picks.querySelectorAll("details:has([data-name])")) {
        const hit = fold.querySelector("[data-name]:not([hidden])") !== null;
        if (asked && !("was" in fold.dataset)) fold.dataset.was = fold.open ? "open" : "";
        if (asked) fold.open = hit;
        else if ("was" in fold.dataset) {
          fold.open = fold.dataset.was === "open";
          delete fold.dataset.was;
        }
      }
      const told = box.querySelector("[data-found]");
      told.textContent = asked ? told.dataset.found.replace("{n}", String(found.size)) : "";
    };
    // A list that came anew is searched as the one before.
    if (field.value) field.oninput();
  };
  find();
  // A new episode comes here for its first program: it is proposed at once, and once only.
  if (new URLSearchParams(location.search).has("propose")) {
    history.replaceState(null, "", location.pathname);
    if (!board.querySelector(".shot")) form.requestSubmit(form.querySelector('button[formaction$="/propose"]'));
  }
  // What a verdict lacks at first sight is asked for at once.
  if (board.querySelector(".shot")) simulate(turn);
})();
