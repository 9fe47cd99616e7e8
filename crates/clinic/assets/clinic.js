// Keeps what was typed: forms with data-draft are saved on the server while they are being filled, so that a session
// that ends takes nothing with it. Dialogs open and close by buttons that name them. A folded part opens when a link
// leads into it, and for paper.
"use strict";
(() => {
  const csrf = document.querySelector('meta[name="csrf"]')?.content ?? "";
  const send = (path, body) =>
    fetch(path, { method: "POST", headers: { "x-csrf": csrf, "content-type": "application/json" }, body: JSON.stringify(body) });

  for (const form of document.querySelectorAll("form[data-draft]")) {
    const what = form.dataset.draft;
    const kept = form.querySelector("[data-draft-kept]");
    const back = form.querySelector("[data-draft-back]");
    let waiting = 0;
    const values = () => [...new FormData(form)].filter(([name]) => name !== "csrf").map(([name, value]) => [name, String(value)]);
    const save = async () => {
      try {
        const answer = await send("/drafts", { what, text: JSON.stringify(values()) });
        if (kept) kept.hidden = !answer.ok;
      } catch {
        if (kept) kept.hidden = true;
      }
    };
    form.addEventListener("input", () => {
      clearTimeout(waiting);
      waiting = setTimeout(save, 800);
    });
    fetch(`/drafts/${encodeURIComponent(what)}`).then(async (answer) => {
      if (answer.status !== 200) return;
      const { text } = await answer.json();
      if (!text) return;
      const saved = new Map();
      for (const [name, value] of JSON.parse(text)) saved.set(name, [...(saved.get(name) ?? []), value]);
      const before = JSON.stringify(values());
      for (const field of form.elements) {
        if (!field.name || field.name === "csrf" || !saved.has(field.name)) continue;
        const list = saved.get(field.name);
        if (field.type === "checkbox" || field.type === "radio") field.checked = list.includes(field.value);
        else field.value = list[0];
      }
      form.dispatchEvent(new Event("restored", { bubbles: true }));
      if (back) back.hidden = JSON.stringify(values()) === before;
    }).catch(() => {});
    form.querySelector("[data-draft-drop]")?.addEventListener("click", async () => {
      clearTimeout(waiting);
      // Nothing is thrown away on the screen that is still kept on the server.
      const answer = await send("/drafts", { what, text: "" }).catch(() => null);
      if (!answer?.ok) return;
      form.reset();
      form.dispatchEvent(new Event("restored", { bubbles: true }));
      back.hidden = true;
      if (kept) kept.hidden = true;
      form.querySelector("input:not([type=hidden]), select, textarea")?.focus();
    });
  }

  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-opens],[data-closes],[data-print]");
    if (!button) return;
    if (button.dataset.opens) document.getElementById(button.dataset.opens)?.showModal();
    if (button.dataset.closes !== undefined) button.closest("dialog")?.close();
    if (button.dataset.print !== undefined) window.print();
  });
})();
(() => {
  const folds = [...document.querySelectorAll("details.fold")];
  if (matchMedia("(min-width: 46rem)").matches) for (const it of folds) if ("wide" in it.dataset) it.open = true;
  const open = () => {
    const wanted = location.hash.length > 1 ? document.getElementById(location.hash.slice(1)) : null;
    const fold = wanted?.closest("details.fold");
    if (!fold) return;
    fold.open = true;
    wanted.scrollIntoView();
    // The next Tab goes on from here.
    fold.querySelector("summary").focus({ preventScroll: true });
  };
  addEventListener("hashchange", open);
  // The same link once more changes no address.
  for (const link of document.querySelectorAll('main a[href^="#"]')) link.addEventListener("click", () => { if (link.hash === location.hash) open(); });
  addEventListener("beforeprint", () => { for (const it of folds) it.open = true; });
  open();
})();
