// Lets a station start without the network: its files, and nothing else. The
// server puts NAME, which changes with any file, and FILES before this.

self.addEventListener("install", (e) => {
  e.waitUntil(caches.open(NAME)
    .then((cache) => cache.addAll(FILES.map((f) => new Request(f, { cache: "reload" }))))
    .then(() => self.skipWaiting()));
});

self.addEventListener("activate", (e) => {
  e.waitUntil(caches.keys()
    .then((names) => Promise.all(names.filter((n) => n.startsWith("station-") && n !== NAME).map((n) => caches.delete(n))))
    .then(() => self.clients.claim()));
});

self.addEventListener("fetch", (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== "GET" || url.origin !== location.origin || !FILES.includes(url.pathname)) return;
  e.respondWith(caches.open(NAME)
    .then((cache) => cache.match(url.pathname))
    .then((kept) => kept ?? fetch(e.request)));
});
