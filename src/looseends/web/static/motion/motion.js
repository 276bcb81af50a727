// The motion view's page: asks for a motion, steps through it, and says the same in numbers.

import { curveSvg, markNow } from "./curve.js";
import { Stage } from "./stage.js";

const root = document.getElementById("motion");
const words = JSON.parse(document.getElementById("words").textContent);
const find = (name) => root.querySelector(`[data-part="${name}"]`) ?? document.querySelector(`[data-part="${name}"]`);
const form = document.getElementById("motion-form");
const still = window.matchMedia("(prefers-reduced-motion: reduce)");
const frames = [];
root.frames = frames;
const STROKE_MS = 3600;
const EASY_TO_SEE_MM = 42;

const number = (value, digits) => new Intl.NumberFormat(`${root.dataset.language}-US`, { minimumFractionDigits: digits, maximumFractionDigits: digits }).format(value);
const us = root.dataset.units === "us";
const speak = {
  length: (mm) => (us ? `${number(mm / 25.4, 3)} in` : `${number(mm, Math.abs(mm) < 10 ? 2 : 1)} mm`),
  force: (newton) => (us ? `${number(newton / 4.4482216152605, 0)} lbf` : `${number(newton, 0)} N`),
};
const filled = (sentence, values) => sentence.replace(/\{(\w+)\}/g, (_, name) => values[name]);

let stage = null;
let shown = null;
let watch = null;
let at = 0;
let playing = null;
let bothEnds = false;
let asking = 0;
let pace = [];

/** What a field for a length holds in mm: as it came while nobody has typed, and as it was typed where it is no number. */
function inMm(field) {
  const typed = field.value.trim();
  if (typed === field.defaultValue) return field.dataset.mm;
  if (!/^(\d+[.,]?\d*|[.,]\d+)$/.test(typed)) return typed;
  return String(Number((Number(typed.replace(",", ".")) * (us ? 25.4 : 1)).toFixed(4)));
}

/** Everything that the form says, as the address and the API take it. */
function asked() {
  const query = new URLSearchParams();
  for (const [name, value] of new FormData(form)) if (value && !/^(worn-|lesson$|stand_inboard$)/.test(name)) query.append(name, value);
  const inboard = form.elements.stand_inboard ? inMm(form.elements.stand_inboard) : "";
  if (inboard) query.append("stand_inboard_mm", inboard);
  for (const row of form.querySelectorAll(".worn-row")) {
    const [part, mm] = [row.querySelector("select").value, inMm(row.querySelector("input"))];
    if (part && mm) query.append("worn", `${part}=${mm}`);
  }
  return query;
}

async function load(keep) {
  const mine = (asking += 1);
  const query = asked();
  if (root.dataset.visit) query.set("visit", root.dataset.visit);
  find("said").textContent = words.being_worked_out;
  root.setAttribute("aria-busy", "true");
  const answer = await fetch(`/api/motion?${query}`, { headers: { accept: "application/json" } }).catch(() => null);
  if (mine !== asking) return;
  root.removeAttribute("aria-busy");
  const content = answer ? await answer.json().catch(() => null) : null;
  if (!answer?.ok || !content) {
    find("said").textContent = content?.detail ?? words.no_answer;
    find("said").classList.add("mistake");
    return;
  }
  find("said").classList.remove("mistake");
  if (keep) history.replaceState(null, "", `${location.pathname}?${asked()}`);
  take(content, keep);
}

function take(content, keep) {
  shown = content;
  const chosen = shown.watches.find((one) => one.id === watch?.id);
  watch = chosen ?? shown.watches.reduce((best, one) => (one.worn.total_mm - one.sound.total_mm > best.worn.total_mm - best.sound.total_mm ? one : best));
  fillWatches();
  if (!keep || !chosen) suit();
  stage?.show(shown, keep);
  if (!stage) find("plan").src = `/motion/plan.svg?${asked()}${root.dataset.visit ? `&visit=${root.dataset.visit}` : ""}`;
  watching();
  go(still.matches ? 1 : keep ? at : 0);
}

/** An exaggeration at which the whole stroke is easy to see. */
function suit() {
  const most = Math.max(watch.worn.total_mm, watch.sound.total_mm, 0.01);
  find("times").value = Math.min(30, Math.max(1, Math.round(EASY_TO_SEE_MM / most)));
}

function fillWatches() {
  find("watch").replaceChildren(...shown.watches.map((one) => new Option(one.name, one.id, one.id === watch.id, one.id === watch.id)));
  find("watches").replaceChildren(
    ...shown.watches.map((one) => row(one.name, [one.sound.total_mm, one.sound.free_mm, one.worn.total_mm, one.worn.free_mm].map(speak.length))),
  );
}

function row(head, cells) {
  const line = document.createElement("tr");
  const name = document.createElement("th");
  name.scope = "row";
  name.textContent = head;
  line.append(name, ...cells.map((said) => Object.assign(document.createElement("td"), { textContent: said })));
  return line;
}

/** Another watch is looked at: its curve, its steps, and the pace at which the slider goes through them. */
function watching() {
  const { moved_mm: moved } = watch.worn;
  const whole = moved.slice(1).reduce((sum, value, k) => sum + Math.abs(value - moved[k]), 0) || 1;
  pace = [0];
  moved.slice(1).forEach((value, k) => pace.push(pace[k] + 0.5 / (moved.length - 1) + (0.5 * Math.abs(value - moved[k])) / whole));
  find("curve").innerHTML = curveSvg(shown, watch, words, speak);
  find("watch-words").textContent = watch.words;
  find("steps").replaceChildren(
    ...shown.shares.map((share, k) => row(speak.force(share * shown.force_N), [speak.length(watch.sound.moved_mm[k]), speak.length(moved[k]), stageWords(k - 0.5), slack(shown.worn, k)])),
  );
  pins();
}

function slack(course, step) {
  const names = shown.scene.joints.filter((joint, k) => joint.name && course.slack[step][k]).map((joint) => joint.name);
  return [...new Set(names)].join(", ") || words.none;
}

function stageWords(position) {
  const step = Math.max(0, Math.min(Math.floor(position), shown.shares.length - 2));
  return watch.worn.in_dead_zone[step] ? words.in_dead_zone : words.springs;
}

/** Words over the picture: what is watched, and each hand. */
function pins() {
  if (!stage) return;
  const made = [];
  const pin = (pane, body, place, name) => {
    const element = Object.assign(document.createElement("span"), { className: name === "watch" ? "pin" : "pin hand" });
    stage.labels.append(element);
    made.push({ pane, body, place, element, name });
  };
  stage.labels.replaceChildren();
  const [spot] = watch.spots;
  for (const pane of ["sound", "worn"]) {
    if (spot) pin(pane, spot.body, spot.place, "watch");
    shown.hands.forEach((hand) => pin(pane, hand.body, hand.place, hand));
  }
  stage.pins = made;
}

function place(position) {
  let step = 0;
  while (step < pace.length - 2 && pace[step + 1] < position) step += 1;
  const span = pace[step + 1] - pace[step];
  return step + Math.min(1, Math.max(0, span > 0 ? (position - pace[step]) / span : 0));
}

const between = (list, where) => {
  const low = Math.min(Math.floor(where), list.length - 2);
  return list[low] + (where - low) * (list[low + 1] - list[low]);
};

/** Go to a place of the stroke, 0 to 1: half of the way counts the force, half the movement. */
function go(position) {
  at = Math.min(1, Math.max(0, position));
  find("slider").value = Math.round(1000 * at);
  const where = place(at);
  const step = Math.min(Math.floor(where), shown.shares.length - 2);
  const times = Number(find("times").value);
  stage?.pose(step, where - step, times, bothEnds || still.matches);
  const moved = between(watch.worn.moved_mm, where);
  const force = between(shown.shares, where) * shown.force_N;
  const said = filled(words.now, { times, moved: speak.length(moved), total: speak.length(watch.worn.total_mm) });
  find("now").textContent = said;
  find("times").setAttribute("aria-valuetext", filled(words.times_heard, { times }));
  find("slider").setAttribute("aria-valuetext", filled(words.slider_heard, { force: speak.force(force), moved: speak.length(moved), stage: stageWords(where) }));
  find("force").textContent = filled(words.force_now, { force: speak.force(force), stage: stageWords(where) });
  const soundMoved = between(watch.sound.moved_mm, where);
  for (const { pane, element, name } of stage?.pins ?? []) {
    element.textContent = name === "watch" ? speak.length(pane === "sound" ? soundMoved : moved) : handWords(name, where);
  }
  find("pane-sound").textContent = `${words.sound}: ${speak.length(soundMoved)}`;
  find("pane-worn").textContent = `${words.worn}: ${speak.length(moved)}`;
  markNow(find("curve"), shown, watch, where);
  if (!playing) tell(where, said);
}

function handWords(hand, where) {
  const size = Math.hypot(...hand.force_N) * between(shown.shares, where);
  return Math.abs(size) < 1 ? words.hand_rests : speak.force(Math.abs(size));
}

/** The sentence that a screen reader hears, and the forces at the nearest step. */
function tell(where, said) {
  const step = Math.round(where);
  find("said").textContent = `${find("force").textContent} ${said} ${filled(words.loose_now, { parts: slack(shown.worn, step) })}`;
  const forces = shown.scene.joints
    .map((joint, k) => ({ joint, sound: Math.hypot(...shown.sound.forces_N[step][k]), worn: Math.hypot(...shown.worn.forces_N[step][k]) }))
    .filter(({ joint }) => joint.name)
    .sort((a, b) => b.worn - a.worn)
    .slice(0, 14);
  find("forces").replaceChildren(...forces.map(({ joint, sound, worn }) => row(joint.name, [speak.force(sound), speak.force(worn)])));
}

function play(on) {
  if (playing) cancelAnimationFrame(playing);
  playing = null;
  find("play").setAttribute("aria-pressed", String(on));
  if (!on) return shown && go(at);
  const started = performance.now() - STROKE_MS * at;
  const frame = (now) => {
    const turn = ((now - started) / STROKE_MS) % 2;
    playing = requestAnimationFrame(frame);
    go(turn < 1 ? turn : 2 - turn);
  };
  playing = requestAnimationFrame(frame);
  return undefined;
}

/** One step of the force ramp up or down. */
function stepBy(count) {
  play(false);
  const where = place(at);
  const next = count > 0 ? Math.floor(where + 1e-6) + 1 : Math.ceil(where - 1e-6) - 1;
  go(pace[Math.min(pace.length - 1, Math.max(0, next))]);
}

function reduced() {
  find("play").hidden = still.matches;
  find("ends").setAttribute("aria-pressed", String(bothEnds || still.matches));
  if (still.matches && playing) play(false);
}

function listen() {
  find("slider").addEventListener("input", (event) => { const to = event.target.value / 1000; play(false); go(to); });
  find("times").addEventListener("input", () => go(at));
  find("first").addEventListener("click", () => { play(false); go(0); });
  find("last").addEventListener("click", () => { play(false); go(1); });
  find("back").addEventListener("click", () => stepBy(-1));
  find("on").addEventListener("click", () => stepBy(1));
  find("play").addEventListener("click", () => play(!playing));
  find("ends").addEventListener("click", () => { bothEnds = !bothEnds; reduced(); go(at); });
  find("watch").addEventListener("change", (event) => { watch = shown.watches.find((one) => one.id === event.target.value); suit(); watching(); go(at); });
  for (const button of root.querySelectorAll("[data-view]")) button.addEventListener("click", () => stage?.look(button.dataset.view));
  for (const input of root.querySelectorAll("[name=how]")) input.addEventListener("change", () => { besides(input.value === "beside"); go(at); });
  form.addEventListener("change", (event) => {
    if (["vehicle", "check"].includes(event.target.name)) {
      const keep = new URLSearchParams();
      for (const name of event.target.name === "vehicle" ? ["vehicle"] : ["vehicle", "check", "side"]) if (form.elements[name]?.value) keep.set(name, form.elements[name].value);
      if (event.target.name === "check") for (const worn of asked().getAll("worn")) keep.append("worn", worn);
      location.search = keep;
      return;
    }
    load(true);
  });
  form.addEventListener("submit", (event) => { event.preventDefault(); load(true); });
  find("more-worn").addEventListener("click", addRow);
  still.addEventListener("change", () => { reduced(); if (shown) go(at); });
}

function besides(on) {
  if (!stage) return;
  stage.beside = on;
  root.classList.toggle("over", !on);
}

function addRow() {
  const rows = form.querySelectorAll(".worn-row");
  const fresh = rows[0].cloneNode(true);
  fresh.querySelector("select").value = "";
  Object.assign(fresh.querySelector("input"), { value: "", defaultValue: "" });
  fresh.querySelector("input").dataset.mm = "";
  rows[rows.length - 1].after(fresh);
  fresh.querySelector("select").focus();
}

function colors() {
  const style = getComputedStyle(document.documentElement);
  return { ink: style.getPropertyValue("--ink").trim(), paper: style.getPropertyValue("--paper").trim() };
}

async function begin() {
  listen();
  reduced();
  const canvas = find("canvas");
  try {
    const T = await import(root.dataset.library);
    stage = new Stage(T, canvas, find("labels"), colors(), frames);
    root.stage = stage;
  } catch (reason) {
    console.info(`no drawing in space: ${reason.message}`);
    root.classList.add("flat");
    find("plan").hidden = false;
  }
  await load(false);
}

begin();
