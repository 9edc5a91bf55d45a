// The engraved sheets: showing them, lighting up what belongs to a place, and finding what is
// touched.

const SVG = "http://www.w3.org/2000/svg";
const REACH = 26; // pixels around a note in which a touch means that note

/** A drawing of the server's as an element of this page. */
export function drawing(words) {
  const parsed = new DOMParser().parseFromString(words, "image/svg+xml");
  const svg = document.adoptNode(parsed.documentElement);
  const title = svg.querySelector(":scope > title");
  if (title) {
    svg.setAttribute("aria-label", title.textContent);
    title.remove(); // else it would show as a tip over the whole sheet
  }
  // Pages out of sight are not laid out, so their shape must be known without that.
  const [, , width, height] = svg.getAttribute("viewBox").split(" ");
  svg.style.aspectRatio = `${width} / ${height}`;
  svg.removeAttribute("width");
  svg.removeAttribute("height");
  return svg;
}

export class Sheet {
  /** `touched(id, isNote)` is called with the id of a note or a measure; `stepped(id)` when the
   * keyboard goes to a note. */
  constructor(box, touched, stepped) {
    this.box = box;
    this.pages = [];
    this.lit = [];
    this.notes = {};
    this.at = null;
    this.touched = touched;
    this.stepped = stepped;
    box.addEventListener("click", (event) => this.touch(event));
    box.addEventListener("keydown", (event) => this.key(event));
  }

  /** Show the pages of all tunes. Pages that did not change stay as they are. */
  show(tunes) {
    this.unlight();
    const kept = new Map(this.pages.map((page) => [page.words, page]));
    this.pages = tunes.flatMap((tune) =>
      tune.pages.map((words) => kept.get(words) ?? { words, element: drawing(words) }),
    );
    const { scrollTop } = this.box;
    this.box.replaceChildren(...this.pages.map((page) => page.element));
    this.box.scrollTop = scrollTop;
    this.notes = Object.assign({}, ...tunes.map((tune) => tune.notes));
    this.at = null;
  }

  /** Light up measures and notes by their ids; `seek` brings the first of them into view. */
  light(measures, notes, seek) {
    this.unlight();
    for (const id of measures) this.ground(document.getElementById(id), "lit-measure", 60);
    for (const id of notes) {
      const note = document.getElementById(id);
      if (!note) continue;
      this.ground(note, "lit-ground", 70);
      note.classList.add("lit-note");
      this.lit.push(() => note.classList.remove("lit-note"));
    }
    const first = document.getElementById(notes[0] ?? "") ?? document.getElementById(measures[0]);
    if (seek && first) this.seek(first);
  }

  unlight() {
    for (const undo of this.lit) undo();
    this.lit = [];
  }

  ground(element, kind, margin) {
    if (!element) return;
    const box = element.getBBox();
    const rect = document.createElementNS(SVG, "rect");
    rect.setAttribute("class", kind);
    rect.setAttribute("x", box.x - margin);
    rect.setAttribute("y", box.y - margin);
    rect.setAttribute("width", box.width + 2 * margin);
    rect.setAttribute("height", box.height + 2 * margin);
    rect.setAttribute("rx", margin);
    element.prepend(rect);
    this.lit.push(() => rect.remove());
  }

  seek(element) {
    const view = this.box.getBoundingClientRect();
    const seen = element.getBoundingClientRect();
    if (this.box.scrollHeight <= this.box.clientHeight) return; // stacked: the page itself scrolls
    if (seen.top < view.top + 20 || seen.bottom > view.bottom - 20) {
      this.box.scrollTop += seen.top - view.top - view.height / 3;
    }
  }

  /** The note nearest to a point, or else the measure around it. */
  touch(event) {
    let best = null;
    let least = REACH;
    for (const note of this.box.querySelectorAll("g.note[id]")) {
      const box = note.getBoundingClientRect();
      const x = Math.max(box.left - event.clientX, 0, event.clientX - box.right);
      const y = Math.max(box.top - event.clientY, 0, event.clientY - box.bottom);
      const far = Math.hypot(x, y);
      if (far < least && note.id in this.notes) [best, least] = [note, far];
    }
    if (best) {
      this.at = best.id;
      this.touched(best.id, true);
      return;
    }
    for (const measure of this.box.querySelectorAll("g.measure[id]")) {
      const box = measure.getBoundingClientRect();
      const inside = box.left <= event.clientX && event.clientX <= box.right;
      if (inside && box.top <= event.clientY && event.clientY <= box.bottom) {
        this.touched(measure.id, false);
        return;
      }
    }
  }

  key(event) {
    if (event.target !== this.box) return;
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (event.key === "Enter" && this.at) {
      event.preventDefault();
      this.touched(this.at, true);
    } else if (step) {
      event.preventDefault();
      const order = this.order();
      const next = this.at === null ? (step > 0 ? 0 : order.length - 1) : order.indexOf(this.at) + step;
      if (order[next]) {
        this.at = order[next];
        this.stepped(this.at);
      }
    }
  }

  /** One id for each note, in the order in which they are played. */
  order() {
    const seen = new Set();
    return Object.keys(this.notes).filter((id) => {
      const place = this.notes[id].join();
      if (seen.has(place) || !document.getElementById(id)) return false;
      return seen.add(place);
    });
  }
}
