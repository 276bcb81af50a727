// Holding the pages of an opened visit on this device.

/** The cache of visits' pages and thumbnails. */
export const VISITS = "looseends-visits";

/** Hold the pages of an opened visit, so that they come without a connection. */
export async function holdVisit(visit) {
  if (!("caches" in window)) return;
  const cache = await caches.open(VISITS);
  const pages = [`/visits/${visit}`, `/visits/${visit}/sheet`, `/visits/${visit}/plan`];
  await Promise.allSettled(pages.map(async (page) => {
    const answer = await fetch(page, { headers: { accept: "text/html" } });
    if (answer.ok && !answer.redirected) await cache.put(page, answer);
  }));
}

/** How the visit's vehicle is held, support by support; as it was last told, where the server does not answer. */
export async function supportsOf(visit) {
  const address = `/visits/${visit}/supports`;
  const cache = "caches" in window ? await caches.open(VISITS) : null;
  try {
    const answer = await fetch(address, { headers: { accept: "application/json" } });
    if (!answer.ok) throw new Error(answer.statusText);
    if (cache && !answer.redirected) await cache.put(address, answer.clone());
    return await answer.json();
  } catch {
    const held = await cache?.match(address, { ignoreVary: true });
    return held ? held.json() : {};
  }
}
