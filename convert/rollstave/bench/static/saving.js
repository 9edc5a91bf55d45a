// Saving the file, and what to do when something else has written to it.

import { room } from "./room.js";
import { post, readFile } from "./server.js";

export class Saving {
  /** `words` says what is told to people: { state, tell, decide }. `drafts` keeps what is not
   * saved. */
  constructor(editor, parts, words, drafts) {
    this.editor = editor;
    this.parts = parts;
    this.words = words;
    this.drafts = drafts;
    this.file = null; // how large it may be and how it is written
    this.shown = null; // names the version that the question of now is about
    this.seen = "";
    this.saved = "";
    this.busy = false;
    this.news = null;
    parts.save.addEventListener("click", () => this.save());
    parts.keepMine.addEventListener("click", () => this.keepMine());
    parts.takeTheirs.addEventListener("click", () => this.takeTheirs());
    parts.look.addEventListener("click", () => this.look());
    parts.later.addEventListener("click", () => parts.changed.close());
    parts.asUtf8.addEventListener("click", () => {
      parts.foreign.close();
      this.save(true);
    });
    parts.notNow.addEventListener("click", () => parts.foreign.close());
    window.addEventListener("beforeunload", (event) => this.edited && event.preventDefault());
  }

  get edited() {
    return this.editor.text !== this.saved;
  }

  /** The file as it is known to be from now on. */
  know(file) {
    this.file = file;
    this.seen = file.seen;
    this.saved = file.text;
    this.show();
  }

  /** Say how things are, and have what is not saved kept. */
  show() {
    const { over, words } = this.file ? room(this.editor.text, this.file) : {};
    const state = over ? words : this.edited ? "Edited, not saved" : "Saved";
    this.words.state(state, this.edited);
    if (over && !this.over) this.words.tell(`${words} Divide it before you go on.`);
    this.over = over;
    this.drafts.touch();
  }

  /** Show a draft. If it was typed over another file than that of now, saving asks first. */
  adopt({ text, seen, stale }) {
    this.editor.replace(text);
    if (stale) this.seen = seen;
    this.show();
  }

  async open() {
    const { status, data } = await readFile();
    if (status !== 200) {
      this.words.tell(`The file cannot be read: ${data.error}`);
      return;
    }
    this.editor.fill(data.text);
    this.know(data);
    if (!data.exact) {
      this.words.tell("Some bytes of this file are no text. Saving would write them differently.");
    }
  }

  /** Resolves to the status of the answer; 409 where the file is another by now. */
  async save(utf8 = false) {
    if (this.busy) return 0;
    this.busy = true;
    let answer = 0;
    const { text } = this.editor;
    const { page, turn } = this.drafts.next();
    try {
      const asked = { text, seen: this.seen, utf8, page, turn };
      const { status, data } = await post("/save", asked);
      answer = status;
      if (status === 200) {
        this.drafts.forgotten();
        this.know(data);
        this.words.tell("");
      } else if (status === 409) {
        this.ask(data.seen);
      } else if (status === 422 && data.encoding) {
        this.parts.foreignWords.textContent = data.error;
        this.parts.foreign.showModal();
      } else {
        this.words.tell(`Not saved: ${data.error}. Your text is still here.`);
      }
    } catch {
      this.words.tell("Not saved: the bench does not answer. Is it still running?");
    } finally {
      this.busy = false;
    }
    this.drafts.touch();
    if (this.news !== null) this.fileChanged(this.news);
    return answer;
  }

  /** The server says that the file's content is now named `seen`. */
  async fileChanged(seen) {
    this.news = this.busy ? seen : null;
    if (this.busy || seen === this.seen) return;
    if (!seen) {
      this.gone();
      return;
    }
    const { status, data } = await readFile();
    if (status !== 200) {
      this.words.tell(`The file changed on disk and cannot be read: ${data.error}`);
    } else if (data.text === this.editor.text) {
      this.know(data);
    } else if (this.edited) {
      this.words.decide("The file changed on disk while you have edits that are not saved.", () =>
        this.ask(data.seen),
      );
    } else {
      this.saved = data.text;
      this.editor.replace(data.text);
      this.know(data);
      this.words.tell("Read again: the file changed on disk.");
    }
  }

  /** Look whether the file changed while nobody could tell. */
  async check() {
    const { status, data } = await readFile();
    if (status === 200) this.fileChanged(data.seen);
  }

  gone() {
    this.seen = "";
    this.saved = null;
    this.show();
    this.words.tell("The file is gone. Saving writes it again.");
  }

  /** Ask what to do about the version that `seen` names. */
  ask(seen) {
    const { changed, difference, again } = this.parts;
    if (!seen) {
      changed.close();
      this.gone();
      return;
    }
    again.hidden = !changed.open;
    this.shown = seen;
    difference.hidden = true;
    if (!changed.open) changed.showModal();
  }

  /** Write over the version that was asked about; if there is another by now, ask again. */
  async keepMine() {
    this.seen = this.shown;
    if ((await this.save()) !== 409) this.parts.changed.close();
  }

  async takeTheirs() {
    const { status, data } = await readFile();
    this.parts.changed.close();
    if (status !== 200) {
      this.words.tell(`The file cannot be read: ${data.error}`);
      return;
    }
    this.editor.replace(data.text);
    this.know(data);
    this.words.tell("Your edits were dropped; undo in the text brings them back.");
  }

  async look() {
    const { status, data } = await post("/difference", { text: this.editor.text });
    if (status === 200) this.shown = data.seen;
    const rows = status === 200 ? data.lines : [data.error];
    const kinds = { "+": "ins", "-": "del" };
    this.parts.difference.replaceChildren(
      ...rows.map((row) => {
        const line = document.createElement(kinds[row[0]] ?? "span");
        line.textContent = `${row}\n`;
        return line;
      }),
    );
    this.parts.difference.hidden = false;
    this.parts.difference.focus();
  }
}
