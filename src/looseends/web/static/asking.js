// What scripts ask our own addresses with; it does nothing by itself, so that any module may bring it in.

/** The form token, read when it is needed: it may have changed since the page came. */
export function formToken() {
  const cookie = document.cookie.split("; ").find((entry) => entry.startsWith("looseends-form="));
  return cookie ? decodeURIComponent(cookie.slice("looseends-form=".length)) : "";
}

/** fetch for our own addresses: JSON in and out, with the form token; an answer that refuses is an Error with its sentence. */
export async function ask(address, { method = "GET", body = undefined } = {}) {
  const answer = await fetch(address, {
    method,
    headers: { accept: "application/json", "x-csrftoken": formToken(), ...(body === undefined ? {} : { "content-type": "application/json" }) },
    body: body === undefined ? undefined : JSON.stringify(body),
  });
  const said = answer.headers.get("content-type")?.startsWith("application/json") ? await answer.json() : null;
  if (!answer.ok) throw Object.assign(new Error(said?.detail ?? answer.statusText), { status: answer.status });
  return said;
}

/** A time-ordered id (UUID version 7), made on the device so that a repeated sending is known again. */
export function timeOrderedId(milliseconds = Date.now()) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let place = 0, left = milliseconds; place < 6; place += 1) {
    bytes[5 - place] = left % 256;
    left = Math.floor(left / 256);
  }
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const digits = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [digits.slice(0, 8), digits.slice(8, 12), digits.slice(12, 16), digits.slice(16, 20), digits.slice(20)].join("-");
}

/** The page's words for its script, from <script type="application/json" id="words">, in the reader's language. */
export function words() {
  const block = document.getElementById("words");
  return block ? JSON.parse(block.textContent) : {};
}
