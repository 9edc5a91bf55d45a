// Pointers on the music: a touch plays from the nearest note, dragging over measures loops them.

const DRAG = 12; // CSS pixels before a touch becomes a drag

export class Touch {
  /** `tapped(measure, event)` and `dragged(first, last, done)` are told what was done. */
  constructor(engravings, score, { tapped, dragged }) {
    this.engravings = engravings;
    this.score = score;
    this.tapped = tapped;
    this.dragged = dragged;
    const { root } = engravings;
    root.addEventListener("pointerdown", (event) => this.#down(event));
    root.addEventListener("pointermove", (event) => this.#move(event));
    root.addEventListener("pointerup", (event) => this.#up(event));
    root.addEventListener("pointercancel", () => (this.held = null));
  }

  #down(event) {
    if (event.button !== 0 || !event.isPrimary) return;
    if (event.target.closest(".unsure-sign, .said")) return;
    const measure = this.measureAt(event.clientX, event.clientY);
    if (measure === null) return;
    this.held = { x: event.clientX, y: event.clientY, measure, dragging: false };
  }

  #move(event) {
    if (!this.held || !event.isPrimary) return;
    const { x, y, measure } = this.held;
    if (!this.held.dragging) {
      if (Math.hypot(event.clientX - x, event.clientY - y) < DRAG) return;
      this.held.dragging = true;
      this.engravings.root.setPointerCapture(event.pointerId);
    }
    const other = this.measureAt(event.clientX, event.clientY);
    if (other !== null) {
      this.held.last = other;
      this.dragged(measure, other, false);
    }
  }

  #up(event) {
    const { held } = this;
    this.held = null;
    if (!held || !event.isPrimary) return;
    if (held.dragging) {
      if (held.last !== undefined) this.dragged(held.measure, held.last, true);
      return;
    }
    const found = this.eventAt(held.measure, event.clientX);
    if (found !== null) this.tapped(held.measure, found);
  }

  /** The measure nearest to a point, or null far from all. */
  measureAt(x, y) {
    let best = null;
    let least = Infinity;
    for (const ground of this.engravings.grounds) {
      const box = ground.getBoundingClientRect();
      const dx = Math.max(box.left - x, 0, x - box.right);
      const dy = Math.max(box.top - y, 0, y - box.bottom);
      const far = 4 * dy + dx; // the right line matters more than the right place on it
      if (far < least) [best, least] = [Number(ground.dataset.measure), far];
    }
    return least < 400 ? best : null;
  }

  /** The event of a measure whose note is nearest to a height of the page; rests do not count. */
  eventAt(measure, x) {
    let best = null;
    let least = Infinity;
    this.score.measures[measure].events.forEach((event, index) => {
      const ids = event.notes.flatMap((note) => note.ids);
      const drawn = ids.map((id) => this.engravings.note(id)).find(Boolean);
      if (!drawn) return;
      const box = drawn.getBoundingClientRect();
      const far = Math.abs((box.left + box.right) / 2 - x);
      if (far < least) [best, least] = [index, far];
    });
    return best;
  }
}
