// The worker of the visits' pages: an opened visit comes without a connection. VERSION and SHELL stand before this.
const SHELL_CACHE = `looseends-shell-${VERSION}`;
const VISITS_CACHE = "looseends-visits";
const PATIENCE = 5000;
const MARKED = /\/static\/[0-9a-f]{12}\//;
const ANYHOW = { ignoreVary: true };

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(SHELL_CACHE).then((cache) => cache.addAll(SHELL)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    const old = (await caches.keys()).filter((name) => name.startsWith("looseends-shell-") && name !== SHELL_CACHE);
    await Promise.all(old.map((name) => caches.delete(name)));
    await self.clients.claim();
  })());
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(request, url));
  else if (url.pathname.startsWith("/static/") || url.pathname.startsWith("/fonts/")) event.respondWith(file(request));
  else if (url.pathname.endsWith("/small")) event.respondWith(thumbnail(request));
});

/** A page from the server; from what is held where the server does not answer. */
async function page(request, url) {
  const held = await caches.open(VISITS_CACHE);
  const isVisit = /^\/visits\/[0-9a-f-]{36}(\/(sheet|plan))?$/.test(url.pathname);
  try {
    const answer = await inTime(fetch(request), isVisit && (await held.match(url.pathname, ANYHOW)) ? PATIENCE : 0);
    if (isVisit && answer.ok && answer.type === "basic" && !answer.redirected) await held.put(url.pathname, answer.clone());
    return answer;
  } catch {
    const own = url.pathname === "/visits/outbox" ? url.pathname : "/visits/kept";
    return (await held.match(url.pathname, ANYHOW)) ?? (await caches.match(own, ANYHOW)) ?? Response.error();
  }
}

/** A file with a mark in its address as it is held, another from the server first; a page held before gets today's. */
async function file(request) {
  const held = await caches.match(request, ANYHOW);
  if (held && MARKED.test(request.url)) return held;
  return fetch(request).catch(async () => {
    const today = request.url.replace(/\/static\/([0-9a-f]{12}\/)?/, `/static/${VERSION}/`);
    return held ?? (await caches.match(today, ANYHOW)) ?? Response.error();
  });
}

async function thumbnail(request) {
  const cache = await caches.open(VISITS_CACHE);
  const held = await cache.match(request, ANYHOW);
  if (held) return held;
  const answer = await fetch(request);
  if (answer.ok) await cache.put(request, answer.clone());
  return answer;
}

function inTime(answer, milliseconds) {
  if (!milliseconds) return answer;
  const late = new Promise((_, reject) => { setTimeout(() => reject(new Error("late")), milliseconds); });
  return Promise.race([answer, late]);
}
