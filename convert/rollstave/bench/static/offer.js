// Offering drafts that were left behind: one at a time, never applied unasked.

import { whenSaid } from "./drafts.js";
import { post } from "./server.js";

export class Offer {
  /** `parts` are { bar, words, show, drop }. `shown(draft)` puts a draft into the text and resolves
   * to true once it is kept as this page's own; `tell(words, choice, name)` says something to
   * people, with a choice and its name where there is one. */
  constructor(parts, shown, tell) {
    this.parts = parts;
    this.shown = shown;
    this.tell = tell;
    this.waiting = [];
    parts.show.addEventListener("click", () => this.show());
    parts.drop.addEventListener("click", () => this.drop());
  }

  /** Look for drafts and offer the newest. */
  async open() {
    const { status, data } = await post("/drafts", {});
    if (status === 200) this.waiting = data.drafts;
    else this.tell(`It could not be seen whether there are drafts: ${data.error}.`);
    this.next();
  }

  next() {
    const [draft, ...others] = this.waiting;
    this.parts.bar.hidden = !draft;
    if (!draft) return;
    const more = others.length ? ` (The newest of ${others.length + 1}.)` : "";
    const since = draft.stale
      ? "The file was changed after that; before you write over it you are asked."
      : "The file has not changed since.";
    this.parts.words.textContent =
      `There is unsaved text of ${whenSaid(draft.when)}.${more} ${since} Showing it saves nothing.`;
  }

  async show() {
    const draft = this.waiting.shift();
    this.next();
    if (await this.shown(draft)) await post("/draft/remove", { page: draft.page });
  }

  async drop() {
    const draft = this.waiting.shift();
    this.next();
    const { status, data } = await post("/draft/remove", { page: draft.page });
    if (status !== 200) {
      this.tell(`The draft could not be dropped: ${data.error}.`);
      return;
    }
    const words = `The unsaved text of ${whenSaid(draft.when)} was dropped.`;
    this.tell(words, () => this.bringBack(draft), "Bring it back");
  }

  /** Undo a drop: the draft is kept again, under another name, and offered. */
  async bringBack({ text, seen, ...draft }) {
    const page = crypto.randomUUID();
    this.waiting.unshift({ ...draft, text, seen, page });
    this.next();
    const { status, data } = await post("/draft/keep", { page, turn: 1, text, seen });
    if (status !== 200) this.tell(`The draft is kept in this window only: ${data.error}.`);
  }
}
