// Taking in a vehicle: the number read off a photo of its sticker, and what was typed kept while another page is open.

import { formToken, words } from "./asking.js";

const LONGEST_PX = 2600;
const DRAFT = "looseends-intake";

const form = document.querySelector("form[data-intake]");
const photo = document.getElementById("vin-photo");
const vin = document.getElementById("vin");
const told = document.getElementById("vin-told");

/** The photo small enough for a shop's wireless network, upright; as it came where this browser cannot do it. */
async function smaller(file) {
  try {
    const picture = await createImageBitmap(file);
    const share = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
    const canvas = new OffscreenCanvas(Math.round(picture.width * share), Math.round(picture.height * share));
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    return await canvas.convertToBlob({ type: "image/jpeg", quality: 0.92 });
  } catch {
    return file;
  }
}

async function readOff(file) {
  told.textContent = words().reading;
  try {
    const answer = await fetch("/api/vin-photo", {
      method: "POST",
      headers: { accept: "application/json", "x-csrftoken": formToken(), "content-type": "application/octet-stream" },
      body: await smaller(file),
    });
    const said = await answer.json();
    if (!answer.ok) { told.textContent = said.detail; return; }
    vin.value = said.vin;
    told.textContent = words().compare.replace("{code}", said.code);
    vin.dispatchEvent(new Event("change", { bubbles: true }));
    vin.focus();
  } catch {
    told.textContent = words().away;
  }
}

photo?.addEventListener("change", () => {
  const [file] = photo.files;
  photo.value = "";
  if (file) readOff(file);
});

/** What was typed waits in this tab alone, until it is sent. */
function keep() {
  const kept = [...new FormData(form)].filter(([name, value]) => typeof value === "string" && name !== "_csrf_token");
  sessionStorage.setItem(DRAFT, JSON.stringify(kept));
}

function bringBack() {
  const kept = JSON.parse(sessionStorage.getItem(DRAFT) ?? "[]");
  sessionStorage.removeItem(DRAFT);
  for (const [name, value] of kept) {
    const fields = [...form.elements].filter((field) => field.name === name);
    if (name === "vehicle" && fields[0]?.value) continue; // the vehicle that was just described
    for (const field of fields) {
      if (["checkbox", "radio"].includes(field.type)) field.checked ||= field.value === value;
      else if (name !== "visit_id") field.value = value;
    }
  }
  for (const more of form.querySelectorAll("details:has(input:checked)")) more.open = true;
}

/** What needs the network says so at once where there is none, and nothing that was typed is lost. */
for (const asking of document.querySelectorAll("[data-needs-network]")) {
  asking.addEventListener(asking.tagName === "FORM" ? "submit" : "click", (event) => {
    document.getElementById(asking.dataset.needsNetwork).hidden = navigator.onLine;
    if (navigator.onLine) return;
    event.preventDefault();
    event.stopPropagation();
  });
}

document.getElementById("not-listed")?.addEventListener("click", keep);
if (form && "draft" in form.dataset) bringBack();
