// Shows the engraving that fits the room there is, and finds notes and measures in it.

const PIXELS_PER_MM = 96 / 25.4; // CSS Values and Units, 5.2
const SQUEEZED = 0.93; // a drawing may be shown this much smaller than it was set
const SIZES = [0.8, 1, 1.25, 1.6];

/** The width in millimetres, of those there are, that `room` pixels show at that size of notes. */
export function fitting(widths, room, size) {
  const sorted = [...widths].sort((a, b) => b - a);
  return sorted.find((w) => room >= w * PIXELS_PER_MM * size * SQUEEZED) ?? sorted.at(-1);
}

/** The place of an engraving among all: its version, and its width in millimetres. */
const keyOf = (version, width) => `${version} ${width}`;

export class Engravings extends EventTarget {
  constructor(root) {
    super();
    this.root = root;
    this.size = 1; // place in SIZES
    this.version = 0; // 1 for the other version of a tune that has one
    this.holders = new Map(); // by version and width
    for (const holder of root.querySelectorAll(".engraving")) {
      this.holders.set(keyOf(0, holder.dataset.width), holder);
    }
    const scripts = [...document.querySelectorAll("script.packed")];
    this.packed = new Map(
      scripts.map((s) => [keyOf(s.dataset.version ?? 0, s.dataset.width), s]),
    );
    this.widths = [...root.querySelectorAll(".engraving")].map((h) => Number(h.dataset.width));
    this.paper = this.widths[0]; // the one that is printed
    if (globalThis.DecompressionStream) {
      const own = scripts.filter((s) => !s.dataset.version);
      this.widths.push(...own.map((s) => Number(s.dataset.width)));
    }
    this.width = this.widths[0];
    this.ready = this.fit();
    new ResizeObserver(() => this.fit()).observe(root);
  }

  /** Show what fits now; a promise, since an engraving may have to be unpacked first. */
  async fit() {
    const width = fitting(this.widths, this.root.clientWidth, SIZES[this.size]);
    const wanted = keyOf(this.version, width);
    this.wanted = wanted;
    if (!this.holders.has(wanted)) await this.#unpack(wanted);
    if (this.wanted !== wanted || this.shown === wanted) return;
    for (const [key, holder] of this.holders) holder.classList.toggle("shown", key === wanted);
    this.width = width;
    this.shown = wanted;
    this.root.dataset.shown = width;
    this.dispatchEvent(new Event("change"));
  }

  /** Show the other version of the tune, on paper too. */
  async show(version) {
    this.version = version;
    const paper = keyOf(version, this.paper);
    if (!this.holders.has(paper)) await this.#unpack(paper);
    for (const [key, holder] of this.holders) holder.classList.toggle("paper", key === paper);
    await this.fit();
  }

  async #unpack(key) {
    const bytes = Uint8Array.from(atob(this.packed.get(key).textContent.trim()), (c) =>
      c.charCodeAt(0),
    );
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
    const html = await new Response(stream).text();
    if (this.holders.has(key)) return;
    const holder = document.createElement("div");
    holder.className = "engraving";
    holder.dataset.width = key.split(" ")[1];
    holder.innerHTML = html; // drawn by the writer of this page, every word in it escaped
    this.root.append(holder);
    this.holders.set(key, holder);
  }

  resize(by) {
    this.size = Math.min(SIZES.length - 1, Math.max(0, this.size + by));
    return this.fit();
  }

  get holder() {
    return this.holders.get(this.shown ?? keyOf(0, this.width));
  }

  note(id) {
    return document.getElementById(`${this.version ? `v${this.version}` : ""}w${this.width}-${id}`);
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
