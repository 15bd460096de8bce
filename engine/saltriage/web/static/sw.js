// Without a line: the pages' files as they were last loaded, so that a reload still opens what the browser has kept.
// With a line everything comes from the server. Answers are never kept here.
const KEPT = "saltriage-pages-1", TAKEN_UP = "/owner/result";
const FILES = ["/", TAKEN_UP, "/static/ink.css", "/static/page.css", "/static/owner.js", "/static/owner-more.js", "/static/mark.svg"];

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll(FILES)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const old = caches.keys().then((names) => Promise.all(names.filter((name) => name !== KEPT).map((name) => caches.delete(name))));
  event.waitUntil(old.then(() => self.clients.claim()));
});

async function answer(request) {
  try {
    const fresh = await fetch(request);
    if (fresh.ok && FILES.includes(new URL(request.url).pathname)) (await caches.open(KEPT)).put(request, fresh.clone());
    return fresh;
  } catch (lost) {
    const kept = (await caches.match(request)) || (request.mode === "navigate" && (await caches.match(TAKEN_UP)));
    if (kept) return kept;
    throw lost;
  }
}

self.addEventListener("fetch", (event) => {
  const { method, url } = event.request, { origin, pathname } = new URL(url);
  const ours = pathname === "/" || pathname.startsWith("/owner/") || pathname.startsWith("/static/");
  if (method === "GET" && origin === self.location.origin && ours) event.respondWith(answer(event.request));
});
