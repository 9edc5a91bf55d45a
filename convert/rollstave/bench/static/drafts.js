// Keeping what is not saved: soon after each edit, one thing at a time, the newest last.

export class Drafts {
  /** `unsaved()` is the text to keep, or null where all is saved. `send(text, page, turn)` has it
   * kept, or dropped if it is null, and resolves to true if that was done. */
  constructor(unsaved, send, pause = 400) {
    this.unsaved = unsaved;
    this.send = send;
    this.pause = pause;
    this.page = crypto.randomUUID();
    this.turn = 0;
    this.kept = null; // the text of the draft as the server has it
    this.timer = null;
    this.running = null;
  }

  /** Names what is asked now, so that what was asked before it and arrives later is left out. */
  next() {
    this.turn += 1;
    return { page: this.page, turn: this.turn };
  }

  /** The text may have changed. Typing without a pause does not put it off. */
  touch() {
    this.timer ??= setTimeout(() => this.flush(), this.pause);
  }

  /** The server has dropped the draft by itself. */
  forgotten() {
    this.kept = null;
  }

  /** Leave the draft as it is and go on with another: as if this page were a new one. */
  async setAside() {
    if (!(await this.flush())) return false;
    this.page = crypto.randomUUID();
    this.kept = null;
    return true;
  }

  /** Keep what there is now; resolves to true if the server has it. */
  async flush() {
    clearTimeout(this.timer);
    this.timer = null;
    while (this.running) await this.running;
    const text = this.unsaved();
    if (text === this.kept) return true;
    const { page, turn } = this.next();
    this.running = this.send(text, page, turn).catch(() => false);
    const done = await this.running;
    this.running = null;
    if (done && turn === this.turn) this.kept = text;
    return done;
  }
}

/** When a draft was typed, as people say it: the time, with the day if it was not today. */
export function whenSaid(when, now = Date.now()) {
  const [then, today] = [new Date(when), new Date(now)];
  const two = (number) => String(number).padStart(2, "0");
  const time = `${two(then.getHours())}:${two(then.getMinutes())}`;
  if (then.toDateString() === today.toDateString()) return time;
  const day = then.toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" });
  return `${day}, ${time}`;
}
