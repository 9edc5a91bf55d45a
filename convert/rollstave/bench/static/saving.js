// Saving the file, and what to do when something else has written to it.

import { post, readFile } from "./server.js";

export class Saving {
  /** `words` says what is told to people: { state, tell, decide }. */
  constructor(editor, parts, words) {
    this.editor = editor;
    this.parts = parts;
    this.words = words;
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
    this.seen = file.seen;
    this.saved = file.text;
    this.show();
  }

  show() {
    this.words.state(this.edited ? "Edited, not saved" : "Saved", this.edited);
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

  async save(utf8 = false) {
    if (this.busy) return;
    this.busy = true;
    const { text } = this.editor;
    try {
      const { status, data } = await post("/save", { text, seen: this.seen, utf8 });
      if (status === 200) {
        this.know(data);
        this.words.tell("");
      } else if (status === 409) {
        this.ask();
      } else if (status === 422) {
        this.parts.foreignWords.textContent =
          `The file is in ${data.encoding}, which has no “${data.character}” (line ${data.line}).`;
        this.parts.foreign.showModal();
      } else {
        this.words.tell(`Not saved: ${data.error}`);
      }
    } catch {
      this.words.tell("Not saved: the bench does not answer. Is it still running?");
    } finally {
      this.busy = false;
    }
    if (this.news !== null) this.fileChanged(this.news);
  }

  /** The server says that the file's content is now named `seen`. */
  async fileChanged(seen) {
    this.news = this.busy ? seen : null;
    if (this.busy || seen === this.seen) return;
    if (!seen) {
      this.seen = "";
      this.saved = null;
      this.show();
      this.words.tell("The file is gone. Saving writes it again.");
      return;
    }
    const { status, data } = await readFile();
    if (status !== 200) {
      this.words.tell(`The file changed on disk and cannot be read: ${data.error}`);
    } else if (data.text === this.editor.text) {
      this.know(data);
    } else if (this.edited) {
      this.words.decide("The file changed on disk while you have edits that are not saved.", () =>
        this.ask(),
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

  ask() {
    this.parts.difference.hidden = true;
    if (!this.parts.changed.open) this.parts.changed.showModal();
  }

  async keepMine() {
    const { status, data } = await readFile();
    this.seen = status === 200 ? data.seen : "";
    this.parts.changed.close();
    await this.save();
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
