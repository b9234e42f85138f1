// Keeps the pages of one stage of one job in the browser, so that the way from part to part, or from step to step, and a
// reload go on when the line is lost. From the network first, the kept one when that fails or takes too long; files with their content in their
// name, the kept one first. It never keeps an answer to anything but a question, and nothing from behind the door.
const PATIENCE_MS = 4000;
const SHELL = "one of them"; // every part's or step's page holds them all: the last one stands for all
const ONE_OF_THEM = /^(parts|steps)\/[^/]+\/$/;
const scope = new URL(self.registration.scope);
const NAME = `kept ${scope.pathname}`;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("message", (event) => {
  if (event.data?.keep) event.waitUntil(keepAll(event.data.keep).then(() => event.source.postMessage({ kept: true })));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== scope.origin) return;
  if (request.mode === "navigate" && url.pathname.startsWith(scope.pathname)) event.respondWith(page(event, url));
  else if (isFile(url)) event.respondWith(file(event));
});

function isFile(url) {
  return url.pathname.startsWith("/static/") || url.pathname === "/pictures.css" ||
    (url.pathname.startsWith(scope.pathname) && url.pathname.endsWith("catalogue.json"));
}

function nameOf(url) {
  const rest = url.pathname.slice(scope.pathname.length);
  return new URL(ONE_OF_THEM.test(rest) ? `?kept=${SHELL}` : url.pathname, scope);
}

async function keepAll(addresses) {
  const cache = await caches.open(NAME);
  for (const address of addresses) {
    const response = await fetch(address, { credentials: "same-origin" }).catch(() => null);
    const url = new URL(address, scope);
    if (mayBeKept(response)) await cache.put(isFile(url) ? address : nameOf(url), response);
  }
}

function mayBeKept(response) {
  return response?.ok && !response.redirected && response.type === "basic";
}

async function page(event, url) {
  const cache = await caches.open(NAME);
  const name = nameOf(url);
  const kept = await cache.match(name);
  const asked = fetch(event.request).then(async (response) => {
    if (mayBeKept(response)) await cache.put(name, response.clone());
    return response;
  });
  event.waitUntil(asked.catch(() => null));
  if (!kept) return asked;
  const patience = new Promise((resolve) => setTimeout(resolve, PATIENCE_MS, kept));
  return Promise.race([asked.catch(() => kept), patience]);
}

async function file(event) {
  const cache = await caches.open(NAME);
  const kept = await cache.match(event.request);
  const asked = fetch(event.request).then(async (response) => {
    if (mayBeKept(response)) await cache.put(event.request, response.clone());
    return response;
  });
  event.waitUntil(asked.catch(() => null)); // renewed behind the kept one's back
  return kept ?? asked;
}
