// The service worker of the patient's page (scope /home): the page opens without a network as it was seen last.
// `self.FILES` holds the files that the page needs; the pages themselves come from the network when there is one.
"use strict";

const FILES_CACHE = "handrail-files-1";
const PAGES_CACHE = "handrail-pages-1";
const PAGES = ["/home", "/home/session"];
const WAIT_MS = 4000; // a network slower than this is taken for none, where there is something to show

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const cache = await caches.open(FILES_CACHE);
    await cache.addAll(self.FILES);
    await self.skipWaiting();
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    const known = new Set(self.FILES.map((it) => new URL(it, location.origin).href));
    const cache = await caches.open(FILES_CACHE);
    for (const request of await cache.keys()) if (!known.has(request.url)) await cache.delete(request);
    await self.clients.claim();
    await Promise.all(PAGES.map((path) => ahead(path).catch(() => {})));
  })());
});

/** Fetches a page to have it at hand; nobody looks at it yet, and the server is told so. */
async function ahead(path) {
  const answer = await fetch(path, { headers: { "x-ahead": "1" }, cache: "no-store", credentials: "same-origin" });
  if (answer.ok && !answer.redirected) await (await caches.open(PAGES_CACHE)).put(path, answer);
  return answer;
}

/** A guided session that belongs to another sheet than the page must not be shown without a network. */
async function renewSession(mark) {
  const cache = await caches.open(PAGES_CACHE);
  const kept = await cache.match("/home/session");
  if (kept && kept.headers.get("x-sheet") === mark) return;
  await cache.delete("/home/session");
  await ahead("/home/session").catch(() => {});
}

const timeLimit = (ms) => new Promise((_, reject) => setTimeout(() => reject(new Error("slow")), ms));

async function page(event, path) {
  const cache = await caches.open(PAGES_CACHE);
  const kept = await cache.match(path);
  try {
    const asked = fetch(event.request);
    const answer = await (kept ? Promise.race([asked, timeLimit(WAIT_MS)]) : asked);
    if (answer.ok && !answer.redirected) {
      event.waitUntil((async () => {
        await cache.put(path, answer.clone());
        if (path === "/home") await renewSession(answer.headers.get("x-sheet"));
      })());
      return answer.clone();
    }
    // The session is over, or the server cannot read its records: what was kept is shown. The page asks to open the
    // link again, or keeps what is written until the server takes it.
    return kept && (answer.status === 404 || answer.status === 403 || answer.status >= 500) ? kept : answer;
  } catch (error) {
    if (kept) return kept;
    const home = await cache.match("/home");
    if (home) return Response.redirect("/home");
    throw error;
  }
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  if (event.request.mode === "navigate" && PAGES.includes(url.pathname)) {
    event.respondWith(page(event, url.pathname));
  } else if (url.pathname.startsWith("/assets/")) {
    event.respondWith(caches.match(event.request).then((kept) => kept || fetch(event.request)));
  }
});
