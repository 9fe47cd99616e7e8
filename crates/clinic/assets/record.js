// Helps that the forms do without: one box ticks all, a value past a limit is marked while it is typed, the effect of a
// change in the restrictions is shown while it is made, the form that was asked for is announced.
"use strict";
(() => {
  const csrf = document.querySelector('meta[name="csrf"]')?.content ?? "";

  for (const all of document.querySelectorAll("[data-all]")) {
    const boxes = () => [...all.form.querySelectorAll(`input[type=checkbox][name="${all.dataset.all}"]`)];
    all.addEventListener("change", () => boxes().forEach((box) => { box.checked = all.checked; }));
    all.form.addEventListener("change", (event) => {
      if (event.target.name === all.dataset.all) all.checked = boxes().every((box) => box.checked);
    });
  }

  for (const row of document.querySelectorAll("tr[data-most], tr[data-least]")) {
    row.addEventListener("input", (event) => {
      if (!event.target.name?.startsWith("value-")) return;
      const value = Number(event.target.value.replace(",", "."));
      const most = Number(row.dataset.most ?? Infinity);
      const least = Number(row.dataset.least ?? -Infinity);
      row.classList.toggle("over", event.target.value !== "" && (value > most || value < least));
    });
  }

  for (const form of document.querySelectorAll("form[data-look]")) {
    const slot = form.querySelector("[data-looked]");
    let waiting = 0;
    let asked = 0;
    const look = async () => {
      if (!form.checkValidity()) return;
      const mine = ++asked;
      const answer = await fetch(form.dataset.look, { method: "POST", headers: { "x-csrf": csrf }, body: new URLSearchParams(new FormData(form)) });
      if (!answer.ok || mine !== asked) return;
      const seen = await answer.json();
      slot.innerHTML = seen.html;
      form.elements.seen.value = seen.seen;
    };
    form.addEventListener("input", () => {
      // What is on the screen no longer fits what is typed: it must be seen anew.
      form.elements.seen.value = "";
      clearTimeout(waiting);
      waiting = setTimeout(() => look().catch(() => {}), 400);
    });
  }

  const tabs = [...document.querySelectorAll(".rec-tabs a")];
  const mark = () => {
    const chosen = location.hash || (document.querySelector(".rec-act.chosen") ? `#${document.querySelector(".rec-act.chosen").id}` : "");
    for (const tab of tabs) {
      if (tab.getAttribute("href") === chosen) tab.setAttribute("aria-current", "true");
      else tab.removeAttribute("aria-current");
    }
  };
  addEventListener("hashchange", mark);
  mark();
  document.querySelector("[data-wrong]")?.focus();
})();
