// Opens the app without a network.  The server writes two lines above this one:
//   const BUILD = "name of this build";  const FILES = ["/static/field/...", ...];
// Only the page and its files are kept here; what the app sends and fetches is not.

/* global BUILD, FILES */
const SHELL = "/field/";
const PREFIX = "field-";
const CACHE = PREFIX + BUILD;
const KEPT = new Set(FILES.map((file) => new URL(file, self.location).pathname));

self.addEventListener("install", (event) => event.waitUntil(keepShell()));
self.addEventListener("activate", (event) => event.waitUntil(takeOver()));
self.addEventListener("message", (event) => {
  // An update in mid-inspection waits until the user takes it.
  if (event.data === "take-over") self.skipWaiting();
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== self.location.origin) return;
  if (request.mode === "navigate") {
    if (pathname === SHELL) event.respondWith(kept(SHELL, request));
  } else if (KEPT.has(pathname)) {
    event.respondWith(kept(pathname, request));
  }
});

async function keepShell() {
  const cache = await caches.open(CACHE);
  await Promise.all(
    [SHELL, ...FILES].map(async (file) => {
      // Neither an old copy nor the page that a redirect ends at may pass for the file.
      const response = await fetch(file, { cache: "reload", redirect: "error" });
      if (!response.ok) throw new Error(`${file}: ${response.status}`);
      await cache.put(file, response);
    }),
  );
}

async function takeOver() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(PREFIX) && name !== CACHE);
  await Promise.all(old.map((name) => caches.delete(name)));
  await self.clients.claim();
}

async function kept(file, request) {
  const cache = await caches.open(CACHE);
  return (await cache.match(file, { ignoreVary: true })) ?? fetch(request);
}
