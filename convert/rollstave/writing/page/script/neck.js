// A picture of the neck as the tab shows it, string 1 on top: the notes of the moment filled in,
// the notes that come next as rings.

const SVG = "http://www.w3.org/2000/svg";
const [WIDTH, LEFT, RIGHT, TOP, GAP] = [1000, 46, 44, 14, 21];
const INLAYS = [3, 5, 7, 10, 12, 15, 17, 19, 22]; // common practice on banjos

export class Neck {
  constructor(root, score) {
    this.root = root;
    this.take(score);
  }

  /** Draw the neck that a score needs, in the place of the one before. */
  take(score) {
    this.root.replaceChildren();
    this.strings = score.strings;
    const used = score.steps.flatMap((step) => step.event.notes.map((note) => note.neck));
    this.last = Math.min(score.frets, Math.max(12, Math.max(0, ...used) + 1));
    this.height = 2 * TOP + (this.strings.length - 1) * GAP + 2;
    this.svg = this.#add(this.root, "svg", {
      viewBox: `0 0 ${WIDTH} ${this.height + 16}`,
      "aria-hidden": "true",
    });
    this.#draw();
    this.moment = this.#add(this.svg, "g", { class: "moment" });
  }

  #add(parent, tag, attributes, words) {
    const made = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
    if (words !== undefined) made.textContent = words;
    parent.append(made);
    return made;
  }

  /** Where a fret wire lies: each fret shortens the string by the twelfth root of two. */
  #wire(fret) {
    const share = (1 - 2 ** (-fret / 12)) / (1 - 2 ** (-this.last / 12));
    return LEFT + share * (WIDTH - LEFT - RIGHT);
  }

  #height(string) {
    return TOP + (string - 1) * GAP;
  }

  #draw() {
    const bottom = this.#height(this.strings.length);
    const long = this.strings.filter((s) => !s.from).length;
    for (let fret = 0; fret <= this.last; fret += 1) {
      const short = this.strings.some((s) => s.from && fret >= s.from);
      const y2 = short || long === this.strings.length ? bottom : this.#height(long);
      const x = this.#wire(fret);
      this.#add(this.svg, "line", {
        class: fret ? "wire" : "nut",
        x1: x, x2: x, y1: TOP, y2,
      });
      if (INLAYS.includes(fret)) {
        const middle = (this.#wire(fret - 1) + x) / 2;
        const at = { class: "number", x: middle, y: this.height + 10 };
        this.#add(this.svg, "text", at, fret);
      }
    }
    this.strings.forEach(({ from }, index) => {
      const y = this.#height(index + 1);
      const x = this.#wire(from);
      this.#add(this.svg, "line", { class: "string", x1: x, x2: WIDTH - RIGHT, y1: y, y2: y });
      if (from) this.#add(this.svg, "circle", { class: "peg", cx: x, cy: y, r: 4 });
    });
  }

  /** Show the notes that are struck, those that come next, and those that are held meanwhile. */
  show(notes, coming = [], holding = []) {
    this.moment.replaceChildren();
    const sounding = new Set([...notes, ...holding].map((note) => note.string));
    for (const note of coming) {
      if (!sounding.has(note.string)) this.#dot(note, "coming");
    }
    for (const note of holding) this.#dot(note, note.neck ? "stopped held" : "open held", true);
    for (const note of notes) this.#dot(note, note.neck && !note.muted ? "stopped" : "open");
  }

  #dot(note, kind, held = false) {
    const y = this.#height(note.string);
    const start = this.#wire(this.strings[note.string - 1].from);
    const x = note.neck ? (this.#wire(note.neck - 1) + this.#wire(note.neck)) / 2 : start - 16;
    this.#add(this.moment, "circle", { class: kind, cx: x, cy: y, r: note.neck ? 11 : 8 });
    if (kind === "coming") return;
    const words = note.muted ? "×" : note.neck ? note.fret : "";
    this.#add(this.moment, "text", { class: "fret-of", x, y: y + 5 }, words);
    if (!note.neck) this.#add(this.moment, "line", {
      class: held ? "rings held" : "rings", x1: start, x2: WIDTH - RIGHT, y1: y, y2: y,
    });
    if (note.finger && !note.link && !held) {
      this.#add(this.moment, "text", { class: "picked", x: WIDTH - RIGHT + 16, y: y + 6 }, note.finger);
    }
  }
}
