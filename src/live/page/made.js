// What is made of the files: a change is sent, the coarse picture comes back with it, the fine one
// and the rules follow when the hand rests.

import { at, dotted, read } from "./figure.js";
import { PAGE, framed, get, post } from "./talk.js";

const FINE_AFTER = 120;
const WHOLE_AFTER = 350;
const REST = 1500;

/** What waits to be sent is already what the page shows, so that the next step goes on from there. */
export function ahead(state, { file, settings = [] }) {
  for (const { path, to } of settings) {
    const holder = at(state.files[file]?.values, path.slice(0, -1));
    if (!holder || typeof holder !== "object") continue;
    if ("text" in to) holder[path.at(-1)] = to.text;
    else if ("written" in to && read(to.written, [])) holder[path.at(-1)] = { "=": to.written };
  }
}

/** Whether one place is the other, holds it, or stands in it. */
const meet = (one, other) => {
  const [a, b] = [`${one}.`, `${other}.`].map((place) => place.replaceAll("[", ".["));
  return a.startsWith(b) || b.startsWith(a);
};

/** One hand: sends one change at a time, the newest of those that wait. */
export class Hand {
  constructor({ state, made, yours, refused }) {
    Object.assign(this, { told: state, show: made, yours, refused });
    this.waiting = [];
    this.busy = false;
    this.revision = 0;
    this.stages = new Map();
    this.gesture = 0;
    this.laps = [];
    this.resting = [];
    this.last = 0;
  }

  /** When all that was changed has been sent and answered. */
  async sent() {
    if (this.ended) return;
    if (this.busy || this.waiting.length) await new Promise((done) => this.resting.push(done));
  }

  /** A new gesture: what follows is one step of undo. */
  begin() {
    this.gesture += 1;
  }

  /** Asks for changes of a file. `since` is the revision in which what is changed was seen. */
  edit(file, settings, then, since = this.revision) {
    // After a rest it is another step of undo.
    const now = performance.now();
    if (now - this.last > REST) this.begin();
    this.last = now;
    settings = this.renumbered(file, settings);
    if (!settings.length) return;
    const key = JSON.stringify([file, this.gesture, settings.map((one) => [one.path, Object.keys(one.to)])]);
    const small = settings.every((one) => "text" in one.to || "written" in one.to);
    const last = this.waiting.at(-1);
    const asked = { key, message: { file, page: PAGE, gesture: this.gesture, settings, since }, then, began: performance.now() };
    if (small && last?.key === key) {
      asked.message.since = Math.min(since, last.message.since);
      this.waiting[this.waiting.length - 1] = asked;
    } else this.waiting.push(asked);
    if (this.ended) this.keep();
    this.next();
  }

  /** Takes the last change back, or makes it again, in its turn among the changes. */
  step(back) {
    this.begin();
    this.waiting.push({ key: null, where: "step", message: { page: PAGE, back } });
    this.next();
  }

  /** Changes as they are once those are made that the page doesn't show yet: where an entry comes or goes,
   *  those behind it get other numbers, and what was to change in one that goes has gone. */
  renumbered(file, settings) {
    const before = [this.sending, ...this.waiting].filter((one) => one?.message.file === file);
    const counts = before.flatMap((one) => one.message.settings ?? []).filter(({ path, to }) => typeof path.at(-1) === "number" && ("nothing" in to || "before" in to));
    const now = (path) => counts.reduce((path, { path: entry, to }) => {
      const deep = entry.length - 1;
      if (!path || path.length <= deep || entry.slice(0, deep).some((step, k) => step !== path[k])) return path;
      const gone = "nothing" in to;
      if (gone && path[deep] === entry[deep]) return null;
      const by = path[deep] < entry[deep] ? 0 : gone ? -1 : 1;
      return path.with(deep, path[deep] + by);
    }, path);
    return settings.map((one) => ({ ...one, path: now(one.path) })).filter((one) => one.path);
  }

  /** Shows what can't be sent any more. */
  keep() {
    if (!this.current) return;
    for (const { message } of this.waiting) ahead(this.current, message);
    this.told(this.current);
  }

  /** Asks for a whole text, which was begun in a revision. */
  text(file, text, then, since = this.revision) {
    this.begin();
    this.waiting.push({ key: null, message: { file, page: PAGE, gesture: this.gesture, text, since }, then, began: performance.now() });
    this.next();
  }

  async next() {
    if (this.busy || this.ended || !this.waiting.length) return;
    this.busy = true;
    const asked = (this.sending = this.waiting.shift());
    let stepped = false;
    this.rest();
    try {
      const answer = await post(asked.where ?? "edit", asked.message);
      const read = answer.status === 204 ? null : answer.ok && !asked.where ? await framed(answer) : await answer.json().catch(() => null);
      // From here on the page shows it.
      this.sending = null;
      if (asked.where) {
        stepped = answer.ok && this.state(read);
      } else if (answer.status === 204) asked.then?.(null);
      else if (answer.ok) {
        const timing = answer.headers.get("server-timing");
        this.state(read.state);
        this.put(read);
        asked.then?.(null);
        requestAnimationFrame(() => this.laps.push({ ms: performance.now() - asked.began, timing }));
      } else if (answer.status === 413) {
        (asked.then ?? this.refused)("More than 1 MB is too much for this page: change it in your editor.");
      } else {
        const said = read ?? { says: "The tool didn’t take this." };
        if (said.not === "yours") {
          // What waits for the same place waits for the choice, too.
          const meets = ({ message }) => message.file === asked.message.file && (message.text !== undefined || message.settings?.some(({ path }) => said.places.some((place) => meet(place, dotted(path)))));
          const mine = [asked, ...this.waiting.filter(meets)];
          this.waiting = this.waiting.filter((one) => !meets(one));
          this.state(said.state);
          this.yours(said.places, () => {
            for (const one of mine) one.message.since = said.state.revision;
            this.waiting.unshift(...mine);
            this.next();
          }, () => mine.forEach((one) => one.dropped?.()));
        } else {
          if (said.state) this.state(said.state);
          (asked.then ?? this.refused)(said.says);
        }
      }
    } catch {
      // Nothing of it is lost as long as this page is open.
      this.sending = null;
      this.waiting.unshift(asked);
      this.busy = false;
      this.end();
      return;
    }
    this.busy = false;
    if (this.waiting.length) return this.next();
    if (stepped) this.ask("coarse");
    this.follow(0);
    for (const done of this.resting.splice(0)) done();
  }

  /** The tool has ended. A new one has another address, so nothing more can be sent from here. */
  end() {
    this.ended = true;
    this.refused("The tool has ended, or doesn’t answer. What you changed and didn’t save is only on this page: copy it before you close it, and start the tool again.", "ended");
    this.keep();
    for (const done of this.resting.splice(0)) done();
  }

  /** What the server says of the files. */
  state(state) {
    if (state.revision < this.revision) return;
    const newer = state.revision !== this.revision;
    this.revision = state.revision;
    this.current = state;
    // What is on its way is shown as if it had arrived.
    for (const one of [this.sending, ...this.waiting]) if (one) ahead(state, one.message);
    this.told(state);
    return newer;
  }

  /** News from the server. */
  heard(state) {
    if (this.state(state) && !this.busy) {
      this.rest();
      this.ask("coarse");
      this.follow(30);
    }
  }

  rest() {
    clearTimeout(this.fine);
    clearTimeout(this.whole);
  }

  /** The fine picture and the rules, once the hand rests. */
  follow(later) {
    this.rest();
    this.fine = setTimeout(() => this.ask("fine"), FINE_AFTER + later);
    this.whole = setTimeout(() => this.ask("whole"), WHOLE_AFTER + later);
  }

  async ask(stage) {
    const answer = await get(`made/${stage}`).catch(() => null);
    if (answer?.status !== 200) return;
    const made = await framed(answer);
    if (made.revision === this.revision && !this.busy) this.put(made);
  }

  /** Shows what was made, unless something better of the same files is shown. */
  put(made) {
    const order = ["coarse", "fine", "whole"];
    const known = this.stages.get(made.revision);
    if (known !== undefined && order.indexOf(known) > order.indexOf(made.stage)) return;
    this.stages = new Map([[made.revision, made.stage]]);
    this.show(made);
  }
}
