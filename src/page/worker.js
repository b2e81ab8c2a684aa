// Answers where there is no connection: the look and the scripts, and the user's own form pages of
// the day, which the page has put there. Everything else is asked of the server alone.
"use strict";
const SHELL = "wearbook shell";
const OWN = "wearbook own";
const FILES = ["/style.css", "/words.js", "/page.js", "/live.js", "/scan.js"];
const PATIENCE = 6000;

self.addEventListener("install", (event) => {
  const filled = caches.open(SHELL).then((it) => it.addAll(FILES));
  event.waitUntil(filled.then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

// A page that is kept, with the hour at which it was: what it says of now is of then.
const own = async (url) => {
  const cache = await caches.open(OWN);
  const path = url.search ? "" : url.pathname === "/" ? "/away" : url.pathname;
  const found = (path && await cache.match(path)) || await cache.match("/away");
  if (!found) return null;
  const page = (await found.text()).replace(
    "<main", "<main data-kept=\"" + found.headers.get("x-kept-at") + "\"");
  return new Response(page, { headers: found.headers });
};

const nothing = () => new Response(
  "No connection to the server, and nothing of this page is kept on this device.",
  { status: 503, headers: { "content-type": "text/plain; charset=utf-8" } });

const answer = async (request, is_kept, kept) => {
  const asked = fetch(request);
  if (is_kept) {
    // A connection that hangs is none, for what is here.
    const late = new Promise((done) => setTimeout(done, PATIENCE));
    const first = await Promise.race([asked.catch(() => null), late]);
    if (first) return first;
    const found = await kept();
    if (found) return found;
  }
  try {
    return await asked;
  } catch {
    return await kept() || nothing();
  }
};

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== self.location.origin) return;
  const is_file = request.method === "GET" && FILES.includes(url.pathname);
  if (is_file) {
    const kept = async () => (await caches.open(SHELL)).match(url.pathname);
    event.respondWith(answer(request, true, kept));
  } else if (request.mode === "navigate") {
    const is_form = ["/", "/start", "/sheet", "/check", "/wrong"].includes(url.pathname);
    event.respondWith(answer(request, request.method === "GET" && is_form, () => own(url)));
  }
});
