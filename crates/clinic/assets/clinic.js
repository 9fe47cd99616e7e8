// Keeps what was typed: forms with data-draft are saved on the server while they are being filled, so that a session
// that ends takes nothing with it. Dialogs open and close by buttons that name them.
"use strict";
(() => {
  const csrf = document.querySelector('meta[name="csrf"]')?.content ?? "";
  const send = (path, body) =>
    fetch(path, { method: "POST", headers: { "x-csrf": csrf, "content-type": "application/json" }, body: JSON.stringify(body) });

  for (const form of document.querySelectorAll("form[data-draft]")) {
    const what = form.dataset.draft;
    const kept = form.querySelector("[data-draft-kept]");
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
      for (const field of form.elements) {
        if (!field.name || field.name === "csrf" || !saved.has(field.name)) continue;
        const list = saved.get(field.name);
        if (field.type === "checkbox" || field.type === "radio") field.checked = list.includes(field.value);
        else field.value = list[0];
      }
      form.dispatchEvent(new Event("restored", { bubbles: true }));
    }).catch(() => {});
  }

  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-opens],[data-closes],[data-print]");
    if (!button) return;
    if (button.dataset.opens) document.getElementById(button.dataset.opens)?.showModal();
    if (button.dataset.closes !== undefined) button.closest("dialog")?.close();
    if (button.dataset.print !== undefined) window.print();
  });
})();
