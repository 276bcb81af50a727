// Clips looked at before they are kept: as they came where the server takes them so, else played and recorded smaller.

const LONGEST = 1280; // [px]
const RATE = 3_000_000; // [bit/s]
const LATE = 0.5; // cameras stop late [s]
const LOST = 0.5; // of a recording's end [s]: a tablet that is busy drops frames
const PATIENCE = 8000; // for the first frame [ms]
const STUCK = 60000; // a clip that has not ended by then [ms]
const FAR = 1e6; // behind any clip's end [s]
const FEW_PLAY_IT = /hvc1|hev1/; // the names of H.265 in a file
const KINDS = ["video/mp4;codecs=avc1.42E01F", "video/webm;codecs=vp8", "video/webm"];

/**
 * The clip as it is kept, and its still; the `key` of an Error names the sentence that says why not.
 * @param {Blob} file @param {{most_s: number, most_bytes: number, most_pixels: number}} most
 * @returns {Promise<{clip: Blob, photo: Blob, seconds: number}>}
 */
export async function madeShort(file, most) {
  const film = filmOf(file);
  try {
    const length = await lengthOf(film);
    if (length > most.most_s + LATE) throw wrong("clip too long", { most: most.most_s, seconds: Math.ceil(length) });
    const paper = paperFor(film);
    const photo = await new Promise((done) => { paper.toBlob(done, "image/jpeg", 0.85); });
    // as it came the server takes sound and places out of it
    const asItCame = fits(file, film, most) ? new Blob([file], { type: bare(file.type) }) : null;
    const played = asItCame && !(await playedByFew(file));
    // what few browsers play the server encodes anew, where this one cannot record it
    const clip = played ? asItCame : (await made(film, paper, length)) ?? asItCame;
    if (!clip || clip.size > most.most_bytes) throw wrong("clip too large");
    return { clip, photo, seconds: Math.max(1, Math.round(length)) };
  } finally {
    letGo(film);
  }
}

function filmOf(blob) {
  const film = document.createElement("video");
  return Object.assign(film, { muted: true, playsInline: true, preload: "auto", src: URL.createObjectURL(blob) });
}

function letGo(film) {
  URL.revokeObjectURL(film.src);
  film.removeAttribute("src");
}

function fits(file, film, most) {
  return file.size <= most.most_bytes && film.videoWidth * film.videoHeight <= most.most_pixels;
}

async function playedByFew(file) {
  return FEW_PLAY_IT.test(new TextDecoder("latin1").decode(await file.arrayBuffer()));
}

/** The film recorded smaller; null where this browser cannot, or where the end of it was lost. */
async function made(film, paper, length) {
  const clip = await recorded(film, paper).catch(() => null);
  if (!clip) return null;
  const again = filmOf(clip);
  try {
    const kept = await lengthOf(again).catch(() => 0); // no frame at all came through
    return kept < length - LOST ? null : clip;
  } finally {
    letGo(again);
  }
}

/** How long a film lasts [s], once its first frame is there. */
async function lengthOf(film) {
  try {
    await heard(film, "loadeddata", PATIENCE);
    if (film.duration === Infinity) { // recorded as it happened: the end has to be looked for
      await sought(film, FAR);
      await sought(film, 0);
    }
  } catch {
    throw wrong("not a clip");
  }
  if (!film.videoWidth) throw wrong("not a clip");
  return film.duration;
}

function sought(film, time) {
  const there = heard(film, "seeked", PATIENCE);
  film.currentTime = time;
  return there;
}

/** The first frame on a canvas of the size that is kept; encoders want even sides. */
function paperFor(film) {
  const scale = Math.min(1, LONGEST / Math.max(film.videoWidth, film.videoHeight));
  const paper = document.createElement("canvas");
  paper.width = Math.max(2, 2 * Math.round((film.videoWidth * scale) / 2));
  paper.height = Math.max(2, 2 * Math.round((film.videoHeight * scale) / 2));
  draw(film, paper);
  return paper;
}

function draw(film, paper) {
  paper.getContext("2d").drawImage(film, 0, 0, paper.width, paper.height);
}

/** The film recorded off the canvas while it plays. */
async function recorded(film, paper) {
  const kind = globalThis.MediaRecorder && paper.captureStream && KINDS.find((one) => MediaRecorder.isTypeSupported(one));
  if (!kind) return null;
  const recorder = new MediaRecorder(paper.captureStream(), { mimeType: kind, videoBitsPerSecond: RATE });
  const pieces = [];
  recorder.addEventListener("dataavailable", ({ data }) => { pieces.push(data); });
  const stopped = new Promise((done) => { recorder.addEventListener("stop", done); });
  recorder.start();
  try {
    await film.play();
    follow(film, paper);
    await heard(film, "ended", STUCK);
  } finally {
    film.pause();
    recorder.stop();
  }
  await stopped;
  return new Blob(pieces, { type: bare(kind) });
}

/** Draw every frame as it is shown. */
function follow(film, paper) {
  if (film.ended || film.paused) return;
  draw(film, paper);
  if (film.requestVideoFrameCallback) film.requestVideoFrameCallback(() => follow(film, paper));
  else requestAnimationFrame(() => follow(film, paper));
}

function heard(film, name, patience) {
  return new Promise((done, fail) => {
    film.addEventListener(name, done, { once: true });
    film.addEventListener("error", () => fail(new Error(film.error?.message)), { once: true });
    setTimeout(() => fail(new Error("late")), patience);
  });
}

function bare(type) {
  return type.split(";")[0];
}

function wrong(key, values = {}) {
  return Object.assign(new Error(key), { key, values });
}
