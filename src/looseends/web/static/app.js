// What every page has: the form token for our own requests, and one touch counted once.

export { ask, formToken, timeOrderedId, words } from "./asking.js";

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.sent) return event.preventDefault();
  if (form.method === "post" && !form.hasAttribute("hx-post")) form.dataset.sent = "yes";
});
window.addEventListener("pageshow", () => document.querySelectorAll("form[data-sent]").forEach((form) => delete form.dataset.sent));
document.addEventListener("click", (event) => {
  for (const menu of document.querySelectorAll("details.menu[open]")) if (!menu.contains(event.target)) menu.open = false;
});
document.addEventListener("keydown", (event) => {
  if (event.key === "Escape") document.querySelectorAll("details.menu[open]").forEach((menu) => { menu.open = false; menu.querySelector("summary").focus(); });
});
