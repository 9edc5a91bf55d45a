// Shows the engraving that fits the room there is, and finds notes and measures in it.

const PIXELS_PER_MM = 96 / 25.4; // CSS Values and Units, 5.2
const SQUEEZED = 0.93; // a drawing may be shown this much smaller than it was set
const SIZES = [0.8, 1, 1.25, 1.6];

/** The width in millimetres, of those there are, that `room` pixels show at that size of notes. */
export function fitting(widths, room, size) {
  const sorted = [...widths].sort((a, b) => b - a);
  return sorted.find((w) => room >= w * PIXELS_PER_MM * size * SQUEEZED) ?? sorted.at(-1);
}

export class Engravings extends EventTarget {
  constructor(root) {
    super();
    this.root = root;
    this.size = 1; // place in SIZES
    this.holders = new Map();
    for (const holder of root.querySelectorAll(".engraving")) {
      this.holders.set(Number(holder.dataset.width), holder);
    }
    this.packed = new Map(
      [...document.querySelectorAll("script.packed")].map((s) => [Number(s.dataset.width), s]),
    );
    this.widths = [...this.holders.keys()];
    if (globalThis.DecompressionStream) this.widths.push(...this.packed.keys());
    this.width = this.widths[0];
    this.ready = this.fit();
    new ResizeObserver(() => this.fit()).observe(root);
  }

  /** Show what fits now; a promise, since an engraving may have to be unpacked first. */
  async fit() {
    const wanted = fitting(this.widths, this.root.clientWidth, SIZES[this.size]);
    this.wanted = wanted;
    if (!this.holders.has(wanted)) await this.#unpack(wanted);
    if (this.wanted !== wanted || this.shown === wanted) return;
    for (const [width, holder] of this.holders) holder.classList.toggle("shown", width === wanted);
    this.width = wanted;
    this.shown = wanted;
    this.root.dataset.shown = wanted;
    this.dispatchEvent(new Event("change"));
  }

  async #unpack(width) {
    const bytes = Uint8Array.from(atob(this.packed.get(width).textContent.trim()), (c) =>
      c.charCodeAt(0),
    );
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
    const html = await new Response(stream).text();
    if (this.holders.has(width)) return;
    const holder = document.createElement("div");
    holder.className = "engraving";
    holder.dataset.width = width;
    holder.innerHTML = html; // drawn by the writer of this page, every word in it escaped
    this.root.append(holder);
    this.holders.set(width, holder);
  }

  resize(by) {
    this.size = Math.min(SIZES.length - 1, Math.max(0, this.size + by));
    return this.fit();
  }

  get holder() {
    return this.holders.get(this.width);
  }

  note(id) {
    return document.getElementById(`w${this.width}-${id}`);
  }

  ground(measure) {
    return this.grounds[measure];
  }

  /** The grounds of all measures, in their order; found once for each engraving. */
  get grounds() {
    const { holder } = this;
    if (this.groundsOf !== holder) {
      this.groundsOf = holder;
      this.found = [...holder.querySelectorAll("rect[data-measure]")];
    }
    return this.found;
  }
}
