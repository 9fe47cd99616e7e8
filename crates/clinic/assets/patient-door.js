// The door: after the right answer the page takes the door's place, so that "back" does not lead to the secret link.
"use strict";
(() => {
  const form = document.querySelector("form[data-door]");
  if (!form || !window.fetch) return;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const body = new URLSearchParams(new FormData(form));
    try {
      const answer = await fetch(form.action, { method: "POST", body, redirect: "follow" });
      const opened = answer.redirected && new URL(answer.url).pathname === "/home";
      if (opened) return location.replace("/home");
      // What the server says takes the place of this page; it is our own page, and its scripts do not run again.
      const told = new DOMParser().parseFromString(await answer.text(), "text/html");
      const notice = told.querySelector("[role=alert]");
      const old = document.querySelector("main [role=alert]");
      if (!notice) return form.submit();
      if (old) old.replaceWith(notice);
      else form.before(notice);
      for (const field of form.elements) if (field.name !== "lang" && field.type !== "submit") field.value = "";
      form.elements[0].focus();
    } catch {
      form.submit();
    }
  });
})();
