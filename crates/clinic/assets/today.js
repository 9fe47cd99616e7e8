// Asks how tight each exercise of the program is, after the page is there: many simulated executions take longer than a
// page may.
"use strict";
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
