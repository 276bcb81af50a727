// A visit as this device knows it: the page's records, those of other devices, and those that wait here.
import { ask, timeOrderedId } from "../asking.js";
import { forget, keep, keepAnswer, lastAnswer, onKept, sentOf, waiting } from "./kept.js";
import { onChange, send } from "./outbox.js";
import { checksDone, merged, standing } from "./records.js";
import { minutesLeft } from "./time-left.js";

const AGAIN = 3000; // while tables are computed [ms]
const LOOK_ROUND = 20000; // for what another tablet recorded [ms]

export class Visit {
  /** @param {any} handed the block of the page */
  constructor(handed) {
    Object.assign(this, { id: handed.visit, account: handed.account, observer: handed.observer, server: handed.records, words: handed.words });
    this.keys = new Set(handed.cards.setups.map((card) => card.key));
    this.answer = null;
    this.how = "asking"; // "asking", "known", "waits", "offline", "not worked out"
    this.why = "";
    this.asOf = null;
    this.listeners = [];
    this.adding = Promise.resolve();
    this.local = [];
    this.photos = [];
  }

  onChange(call) {
    this.listeners.push(call);
  }

  changed() {
    for (const call of this.listeners) call();
  }

  /** Begin: what this device holds first, then the server. */
  async open() {
    const known = new Set(this.server.map((record) => record.id));
    await forget((await sentOf(this.id)).map((record) => record.id).filter((id) => known.has(id)));
    const last = await lastAnswer(this.id);
    if (last) [this.answer, this.asOf] = [last.answer, last.at];
    await this.reload();
    onChange(() => this.reload().then(() => this.askIfNew()));
    onKept(() => this.reload());
    setInterval(() => { if (document.visibilityState === "visible") this.ask(); }, LOOK_ROUND);
    await this.ask();
  }

  async reload() {
    const [here, gone] = await Promise.all([waiting(this.id), sentOf(this.id)]);
    const facts = (records) => records.filter((record) => record.kind !== undefined);
    this.records = merged(this.server, facts(gone), facts(here));
    this.local = here;
    this.photos = [...gone, ...here].filter((record) => record.kind === undefined);
    this.facts = standing(this.records);
    this.checks = checksDone(this.records, this.facts);
    this.changed();
  }

  /**
   * Record facts: made by `make` from what holds when it is their turn, so that a second touch finds the first one done.
   * @param {() => {id?: string, kind?: string, payload?: any, supersedes?: string|null, photo?: Blob, clip?: Blob, seconds?: number, observation?: string}[]} make
   */
  add(make) {
    this.adding = this.adding.catch(() => {}).then(async () => {
      const made = make();
      if (!made.length) return [];
      const common = { visit: this.id, account: this.account, observer: this.observer, device_time: new Date().toISOString() };
      const records = made.map((one) => ({ id: timeOrderedId(), supersedes: null, ...one, ...common }));
      await keep(records);
      await this.reload();
      send();
      return records;
    });
    return this.adding;
  }

  /** Ask the server, once nothing of this visit waits any more and something is new. */
  askIfNew() {
    if (!this.waits && this.basis() !== this.asked) this.ask();
  }

  /** Whether something that was found has not been sent yet. */
  get waits() {
    return this.local.some((record) => !record.refused && record.kind !== undefined);
  }

  /** The id under which a record's fact was first recorded. */
  rootOf(id) {
    const byId = new Map(this.records.map((record) => [record.id, record]));
    while (byId.get(id)?.supersedes) id = byId.get(id).supersedes;
    return id;
  }

  basis() {
    return this.records.map((record) => record.id).sort().join();
  }

  /** Whether the answer is one to all that is recorded. */
  get fresh() {
    return this.how === "known" && this.basis() === this.asked;
  }

  async ask() {
    if (this.asking) { this.askAgain = true; return; }
    this.asking = true;
    this.asked = this.waits ? null : this.basis(); // what waits here the server does not know
    try {
      const left = minutesLeft(this);
      const { answer, records } = await ask(`/visits/${this.id}/answer${left === null ? "" : `?minutes=${left}`}`);
      this.server = records;
      this.how = answer.state;
      this.why = answer.words;
      if (answer.state === "known") {
        [this.answer, this.asOf] = [answer, Date.now()];
        await keepAnswer(this.id, answer);
      } else setTimeout(() => this.ask(), AGAIN);
      const before = this.basis();
      await this.reload();
      if (this.asked === before) this.asked = this.basis();
    } catch (error) {
      this.how = error.status === undefined || error.status >= 500 ? "offline" : "not worked out";
      this.why = error.message;
      this.changed();
    } finally {
      this.asking = false;
    }
    if (this.askAgain) { this.askAgain = false; await this.ask(); }
    else this.changed();
  }
}
