// What the music shows of the playing: the notes that sound, their measure, where play would
// begin, the loop, and what is not to be heard. It also keeps the sounding system in view.

const HANDS_OFF = 4000; // milliseconds: who scrolls by hand is left alone so long

export class Marking {
  constructor(engravings, dock) {
    this.engravings = engravings;
    this.dock = dock;
    this.sounding = [];
    this.marked = new Map(); // by class: what has it
    this.calm = matchMedia("(prefers-reduced-motion: reduce)");
    this.touched = -HANDS_OFF;
    for (const name of ["wheel", "touchmove"]) {
      addEventListener(name, () => (this.touched = performance.now()), { passive: true });
    }
  }

  /** Put a class on what is drawn with these ids, and take it from what had it before. */
  #mark(ids, name) {
    const now = ids.map((id) => this.engravings.note(id)).filter(Boolean);
    for (const before of this.marked.get(name) ?? []) before.classList.remove(name);
    for (const drawn of now) drawn.classList.add(name);
    this.marked.set(name, now);
  }

  /** The notes with these ids sound, on both staves, and no others. */
  sound(ids) {
    this.sounding = ids;
    this.#mark(ids, "sounding");
  }

  /** Where play begins or is: the ground of the measure, and the notes while all is silent. */
  place(measure, ids) {
    this.#mark(ids, "next");
    this.measure = measure;
    const ground = this.engravings.ground(measure);
    if (ground === this.here) return;
    this.here?.classList.remove("here");
    ground?.classList.add("here");
    this.here = ground;
  }

  /** The measures of the loop, all others left plain; `on` false shows a loop that is off. */
  loop(measures, on) {
    for (const ground of this.engravings.grounds) {
      const inside = measures.has(Number(ground.dataset.measure));
      ground.classList.toggle("looped", inside && on);
      ground.classList.toggle("resting", inside && !on);
    }
  }

  /** Notes that are muted for practice stand back. */
  mute(ids) {
    this.#mark(ids, "muted");
  }

  /** Bring the system of a measure into view, with some of the next, if it is not there. */
  follow(measure, { always = false } = {}) {
    const system = this.engravings.ground(measure)?.ownerSVGElement;
    if (!system || (!always && performance.now() - this.touched < HANDS_OFF)) return;
    const { top, bottom, height } = system.getBoundingClientRect();
    const room = innerHeight - this.dock.offsetHeight;
    const next = system.nextElementSibling ? 0.4 * height : 0;
    if (top >= 0 && bottom + Math.min(next, Math.max(0, room - height)) <= room) return;
    const behavior = this.calm.matches ? "auto" : "smooth";
    scrollTo({ top: scrollY + top - Math.max(8, Math.min(0.12 * room, room - height)), behavior });
  }
}
