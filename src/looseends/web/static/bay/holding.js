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
