// What waits on this device, of all visits: seen, sent, saved to a file, and a file taken in.
import { waiting } from "./kept.js";
import { fill, handed, make } from "./making.js";
import { outboxFile, takeIn } from "./outbox-file.js";
import { outboxLine } from "./outbox-line.js";
import { onChange, send, sendOnReturn, tell } from "./outbox.js";

const { words, language } = handed();
const find = (id) => document.getElementById(id);

function described({ observer, device_time, kind, clip }) {
  const time = new Date(device_time).toLocaleString(language, { dateStyle: "short", timeStyle: "short" });
  return `${observer}, ${time}: ${kind === undefined ? words[clip ? "clip" : "photo"] : words[`kind ${kind}`] ?? kind}`;
}

async function save() {
  const address = URL.createObjectURL(await outboxFile());
  make("a", { href: address, download: `${find("save").dataset.file}-${new Date().toISOString().slice(0, 10)}.json` }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60000);
}

async function take(file) {
  try {
    const { taken, known } = await takeIn(file);
    say(fill(words["file taken"], { taken, known }));
    tell();
    send();
  } catch (error) {
    say(words[error.key] ?? fill(words["device full"], { why: error.message }));
  }
}

function say(sentence) {
  find("told").textContent = sentence;
}

async function show() {
  const none = !(await waiting()).length;
  find("none").hidden = !none;
  find("save").disabled = none;
  for (const details of document.querySelectorAll("details.outbox")) details.open = true;
}

find("save").addEventListener("click", save);
find("take").addEventListener("click", () => find("file").click());
find("file").addEventListener("change", async (event) => {
  const [file] = event.target.files;
  event.target.value = "";
  if (file) await take(file);
});
onChange(show);
await outboxLine(find("outbox"), words, described);
await show();
sendOnReturn();
send();
