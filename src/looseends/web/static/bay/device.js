// What every page of somebody signed in does for work without a connection.
import { VISITS } from "./holding.js";
import { waiting } from "./kept.js";
import { send, sendOnReturn, tell } from "./outbox.js";

if ("serviceWorker" in navigator) navigator.serviceWorker.register("/visits/service-worker.js", { scope: "/visits/" });

document.addEventListener("submit", (event) => {
  // another person may hold the device next; what waits to be sent stays
  if (event.target.matches('form[action="/sign-out"]') && "caches" in window) caches.delete(VISITS);
});
sendOnReturn();
if ((await waiting()).length) send();
else tell();
