// Opens a folded part that a link leads to, and all of them for paper. Asks how tight each exercise of the program is,
// after the page is there: many simulated executions take longer than a page may.
"use strict";
(() => {
  const folds = [...document.querySelectorAll("details.fold")];
  // A wide page has room for the restrictions as they are; on a phone they open on demand.
  const limits = document.getElementById("restrictions")?.closest("details.fold");
  if (limits && matchMedia("(min-width: 46rem)").matches) limits.open = true;
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
  for (const link of document.querySelectorAll(".parts a")) link.addEventListener("click", () => { if (link.hash === location.hash) open(); });
  addEventListener("beforeprint", () => { for (const it of folds) it.open = true; });
  open();
})();
(() => {
  const list = document.querySelector("[data-tight]");
  if (!list) return;
  fetch(list.dataset.tight).then(async (answer) => {
    if (!answer.ok) return;
    const found = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const note of found.querySelectorAll("li[data-exercise]")) {
      const item = list.querySelector(`li[data-exercise="${CSS.escape(note.dataset.exercise)}"]`);
      if (!item) continue;
      const line = document.createElement("p");
      line.className = "small tight";
      line.textContent = note.textContent;
      item.append(line);
    }
  }).catch(() => {});
})();
