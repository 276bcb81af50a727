// Going on to the next check by itself, once all of a check is passed and the next one is known; any touch stops it.

const AT_LEAST = 1500; // so long the eye has to see what was recorded [ms]

export class Following {
  /** @param {() => void} go */
  constructor(go) {
    this.go = go;
    this.since = 0;
    this.ready = false;
    this.touches = 0;
    for (const kind of ["pointerdown", "keydown", "hashchange"]) window.addEventListener(kind, () => this.touched(), true);
  }

  touched() {
    this.touches += 1;
    this.stop();
  }

  /** Begin, unless something was touched since there were so many touches. */
  begin(touches) {
    this.stop();
    if (touches !== this.touches) return;
    this.since = performance.now();
    this.timer = setTimeout(() => this.tryNow(), AT_LEAST);
  }

  /** Whether the next check is known by now. */
  look(ready) {
    this.ready = ready;
    this.tryNow();
  }

  stop() {
    clearTimeout(this.timer);
    this.since = 0;
  }

  tryNow() {
    if (!this.since || !this.ready || performance.now() - this.since < AT_LEAST) return;
    this.stop();
    this.go();
  }
}
