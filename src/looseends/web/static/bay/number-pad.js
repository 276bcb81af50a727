// The number pad: a reading and, if it was taken, its dead zone, in mm or inches, with a point or a comma.
import { fill, make } from "./making.js";

const MM_PER = { mm: 1, in: 25.4 };

/** The number that was typed, null for none, NaN for what is no number. */
export function typedNumber(text) {
  const typed = text.trim().replace(",", ".");
  if (!typed) return null;
  return /^(\d+\.?\d*|\.\d+)$/.test(typed) ? Number(typed) : NaN;
}

export class NumberPad {
  /** @param {HTMLDialogElement} dialog @param {Record<string, string>} words @param {"mm"|"in"} unit */
  constructor(dialog, words, unit) {
    this.dialog = dialog;
    this.words = words;
    this.find = (name) => dialog.querySelector(`[data-pad="${name}"]`);
    this.fields = [this.find("reading"), this.find("free")];
    this.field = this.fields[0];
    this.setUnit(unit);
    for (const field of this.fields) field.addEventListener("focus", () => { this.field = field; });
    for (const key of dialog.querySelectorAll("[data-key]")) key.addEventListener("click", () => this.press(key.dataset.key));
    for (const key of dialog.querySelectorAll("[data-unit]")) key.addEventListener("click", () => this.setUnit(key.dataset.unit));
    this.find("close").addEventListener("click", () => dialog.close());
    dialog.querySelector("form").addEventListener("submit", (event) => { event.preventDefault(); this.done(); });
  }

  /** Ask for a reading; `take` gets millimetres. `plain`: it has no dead zone. */
  ask({ title, most, before, plain = false }, take) {
    Object.assign(this, { most, take });
    this.fields[1].closest(".field").hidden = plain;
    this.find("title").textContent = title;
    this.find("mistake").textContent = "";
    const shown = (value) => (value === null || value === undefined ? "" : String(Number((value / MM_PER[this.unit]).toFixed(4))));
    this.fields[0].value = shown(before?.gauge_mm);
    this.fields[1].value = shown(before?.free_mm);
    this.dialog.showModal();
    this.fields[0].focus();
    this.fields[0].select();
    this.replaces = this.fields[0].value !== "";
  }

  setUnit(unit) {
    this.unit = unit;
    for (const key of this.dialog.querySelectorAll("[data-unit]")) key.setAttribute("aria-pressed", String(key.dataset.unit === unit));
    for (const place of this.dialog.querySelectorAll(".unit")) place.textContent = this.words[unit];
  }

  press(key) {
    const { field } = this;
    if (this.replaces && field === this.fields[0]) field.value = "";
    this.replaces = false;
    if (key === "back") field.value = field.value.slice(0, -1);
    else if (key !== "." || !/[.,]/.test(field.value)) field.value += key;
    this.find("mistake").textContent = "";
  }

  done() {
    const [read, free] = this.fields.map((field) => typedNumber(field.value));
    const mm = (value) => Math.round(value * MM_PER[this.unit] * 1e4) / 1e4;
    const shown = (value) => `${Number((value / MM_PER[this.unit]).toFixed(2))} ${this.words[this.unit]}`;
    if (read === null || Number.isNaN(read) || Number.isNaN(free)) return this.wrong(fill(this.words["not a number"], { example: this.unit === "mm" ? "1.4" : "0.055" }));
    if (mm(read) > this.most) return this.wrong(fill(this.words["too much"], { most: shown(this.most) }));
    if (free !== null && free > read) return this.wrong(fill(this.words["free too much"], { most: shown(mm(read)) }));
    this.dialog.close();
    return this.take(mm(read), free === null ? null : mm(free));
  }

  wrong(sentence) {
    this.find("mistake").textContent = sentence;
    this.field.focus();
  }
}
