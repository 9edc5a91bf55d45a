// Which notes are to be heard: by string, by finger of the picking hand, by drone and melody.

export class Practice extends EventTarget {
  constructor(root) {
    super();
    this.root = root;
    this.switches = [...root.querySelectorAll("button[data-hear]")];
    this.fingers = this.switches.filter((s) => s.dataset.hear === "finger");
    this.only = root.querySelector("#thumb-only");
    for (const one of this.switches) one.addEventListener("click", () => this.toggle(one));
    this.only?.addEventListener("click", () => this.thumbOnly());
    root.querySelector("#hear-all").addEventListener("click", () => this.all());
  }

  #is(kind, value) {
    const found = this.switches.find((s) => s.dataset.hear === kind && s.dataset.value === value);
    return !found || found.getAttribute("aria-pressed") === "true";
  }

  /** True if a note passes every switch. One that no finger is known for needs all fingers on. */
  hears = (note) =>
    this.#is("string", String(note.string)) &&
    this.#is("voice", note.drone ? "drone" : "melody") &&
    (note.finger
      ? this.#is("finger", note.finger)
      : this.fingers.every((s) => s.getAttribute("aria-pressed") === "true"));

  find(kind, value) {
    return this.switches.find((s) => s.dataset.hear === kind && s.dataset.value === value);
  }

  toggle(one, on = one.getAttribute("aria-pressed") !== "true") {
    one.setAttribute("aria-pressed", on);
    this.#done();
  }

  /** Only the thumb, or when that is so already, all fingers. */
  thumbOnly() {
    const others = this.fingers.filter((s) => s.dataset.value !== "T");
    const already = this.#isThumbOnly();
    this.find("finger", "T")?.setAttribute("aria-pressed", true);
    for (const other of others) other.setAttribute("aria-pressed", already);
    this.#done();
  }

  #isThumbOnly() {
    return this.fingers.every(
      (s) => (s.getAttribute("aria-pressed") === "true") === (s.dataset.value === "T"),
    );
  }

  all() {
    for (const one of this.switches) one.setAttribute("aria-pressed", true);
    this.#done();
  }

  get complete() {
    return this.switches.every((s) => s.getAttribute("aria-pressed") === "true");
  }

  #done() {
    this.only?.setAttribute("aria-pressed", this.#isThumbOnly());
    this.dispatchEvent(new Event("change"));
  }
}
