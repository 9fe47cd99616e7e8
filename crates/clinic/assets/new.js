// The part of the form that depends on operation, side, date and answers is made by the server.
"use strict";
(() => {
  const form = document.getElementById("new");
  const place = document.getElementById("orders");
  if (!form || !place) return;
  const csrf = document.querySelector('meta[name="csrf"]').content;
  const decides = (name) => ["protocol", "side", "surgery"].includes(name) || name.startsWith("variant.");
  let newest = 0;
  const load = async () => {
    const mine = ++newest;
    const focused = document.activeElement;
    const again = focused && place.contains(focused) ? [focused.name, focused.value] : null;
    place.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch("/new/orders", { method: "POST", headers: { "x-csrf": csrf }, body: new URLSearchParams(new FormData(form)) });
      if (!answer.ok || mine !== newest) return;
      place.innerHTML = await answer.text();
      if (again) [...place.querySelectorAll("input")].find((it) => it.name === again[0] && it.value === again[1])?.focus();
    } finally {
      place.removeAttribute("aria-busy");
    }
  };
  form.addEventListener("change", (event) => {
    if (event.target.dataset.all) {
      for (const box of form.querySelectorAll(`input[name="${event.target.dataset.all}"]`)) box.checked = event.target.checked;
    } else if (decides(event.target.name)) load();
  });
  form.addEventListener("restored", load);
})();
