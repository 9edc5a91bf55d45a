// The list of what is worth a look.

const KINDS = {
  error: ["×", "Cannot be read"],
  mend: ["!", "To mend"],
  unsure: ["?", "Not sure"],
  notice: ["i", "For your notice"],
};

export class Worklist {
  /** `touched(item, place)` is called with an item and the element that is its place in the list. */
  constructor(list, count, touched) {
    this.list = list;
    this.count = count;
    this.touched = touched;
    this.shown = null;
  }

  show(items) {
    const now = JSON.stringify(items);
    if (now === this.shown) return;
    const held = this.list.contains(document.activeElement);
    const key = document.activeElement?.dataset?.key;
    this.shown = now;
    this.count.textContent = items.length ? `(${items.length})` : "";
    this.list.replaceChildren(...(items.length ? items.map((i) => this.row(i)) : [nothing()]));
    if (held) {
      const same = [...this.list.querySelectorAll("button")].find((b) => b.dataset.key === key);
      (same ?? this.list.querySelector("button") ?? this.list).focus({ preventScroll: true });
    }
  }

  row(item) {
    const [sign, name] = KINDS[item.kind];
    const row = document.createElement("li");
    row.className = `item ${item.kind}`;
    const button = document.createElement("button");
    button.type = "button";
    button.dataset.key = `${item.kind} ${item.message}`;
    button.append(
      part("sign", sign, true),
      part("kind", name),
      part("where", item.line ? `line ${item.line}` : ""),
      part("words", item.message),
    );
    if (item.mend) button.append(part("better", `mend: ${item.mend}`));
    if (item.kind === "unsure") button.setAttribute("aria-expanded", "false");
    button.addEventListener("click", () => this.touched(item, row));
    row.append(button);
    return row;
  }
}

function part(kind, words, silent = false) {
  const span = document.createElement("span");
  span.className = kind;
  span.textContent = words;
  if (silent) span.setAttribute("aria-hidden", "true");
  return span;
}

function nothing() {
  const row = document.createElement("li");
  row.className = "nothing";
  row.textContent = "Nothing. Every sign was understood and every rhythm is sure.";
  return row;
}
