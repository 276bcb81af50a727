// The visits that this device holds, for when the server does not answer.
import { VISITS } from "./holding.js";
import { make } from "./making.js";

const place = document.getElementById("kept-visits");
const cache = await caches.open(VISITS);
for (const request of await cache.keys()) {
  const { pathname } = new URL(request.url);
  if (!pathname.endsWith("/sheet")) continue;
  const text = await (await cache.match(request, { ignoreVary: true })).text();
  const whose = new DOMParser().parseFromString(text, "text/html").querySelector(".whose a")?.textContent ?? pathname;
  place.append(make("li", {}, make("a", { class: "line", href: pathname }, make("span", { class: "waits" }, whose))));
}
if (!place.children.length) place.append(make("li", {}, place.dataset.none));
