// Every key of the page in one table, which is also what the help shows.

/** The table: keys as the browser names them, how they are shown, what they do. */
export function keyTable({ transport, practice, page, versions }) {
  const hear = (kind, value) => () => {
    const found = practice.find(kind, value);
    if (found) practice.toggle(found);
  };
  const strings = practice.switches.filter((s) => s.dataset.hear === "string").length;
  const here = () => transport.step.m;
  return [
    { keys: [" "], shown: "Space", words: "play and pause", run: () => transport.toggle() },
    { keys: ["ArrowRight"], shown: "→", words: "next note", run: () => transport.move(1) },
    { keys: ["ArrowLeft"], shown: "←", words: "note before", run: () => transport.move(-1) },
    {
      keys: ["Shift+ArrowRight"],
      shown: "Shift →",
      words: "next measure",
      run: () => transport.move(1, { measures: true }),
    },
    {
      keys: ["Shift+ArrowLeft"],
      shown: "Shift ←",
      words: "start of the measure, measure before",
      run: () => transport.move(-1, { measures: true }),
    },
    { keys: ["Home"], shown: "Home", words: "to the start", run: () => transport.toStart() },
    { keys: ["End"], shown: "End", words: "to the last measure", run: () => transport.toEnd() },
    { keys: ["-"], shown: "−", words: "slower", run: () => transport.setPercent(transport.percent - 5) },
    {
      keys: ["+", "="],
      shown: "+",
      words: "faster",
      run: () => transport.setPercent(transport.percent + 5),
    },
    { keys: ["0"], shown: "0", words: "the tune's own tempo", run: () => transport.setPercent(100) },
    { keys: ["["], shown: "[", words: "the loop begins in this measure", run: () => page.loopFrom(here()) },
    { keys: ["]"], shown: "]", words: "the loop ends in this measure", run: () => page.loopTo(here()) },
    { keys: ["l"], shown: "L", words: "loop on and off", run: () => page.toggleLoop() },
    { keys: ["\\"], shown: "\\", words: "loop the whole tune", run: () => transport.setLoop(null) },
    { keys: ["u"], shown: "U", words: "faster each time round, on and off", run: () => page.toggle("speedUp") },
    { keys: ["c"], shown: "C", words: "click on and off", run: () => page.toggle("click") },
    { keys: ["b"], shown: "B", words: "count a measure before, on and off", run: () => page.toggle("countIn") },
    {
      keys: Array.from({ length: strings }, (_, n) => String(n + 1)),
      shown: `1 … ${strings}`,
      words: "hear this string or not",
      run: (key) => hear("string", key)(),
    },
    {
      keys: ["t", "i", "m"],
      shown: "T I M",
      words: "hear this finger or not",
      run: (key) => hear("finger", key.toUpperCase())(),
    },
    { keys: ["o"], shown: "O", words: "only the thumb", run: () => practice.thumbOnly() },
    { keys: ["d"], shown: "D", words: "hear the drone or not", run: hear("voice", "drone") },
    { keys: ["a"], shown: "A", words: "hear the melody or not", run: hear("voice", "melody") },
    { keys: ["h"], shown: "H", words: "hear everything again", run: () => practice.all() },
    { keys: ["p"], shown: "P", words: "open and close the practice panel", run: () => page.togglePanel() },
    { keys: ["n"], shown: "N", words: "show the neck or not", run: () => page.toggleNeck() },
    { keys: ["s"], shown: "S", words: "smaller notes", run: () => page.resize(-1) },
    { keys: ["g"], shown: "G", words: "larger notes", run: () => page.resize(1) },
    ...(versions > 1
      ? [{ keys: ["v"], shown: "V", words: "the other version of the tune", run: () => page.otherVersion() }]
      : []),
    { keys: ["?"], shown: "?", words: "show these keys", run: () => page.showHelp() },
  ];
}

export class Keyboard {
  constructor(table, list, onlyNamed) {
    this.runs = new Map(table.flatMap((row) => row.keys.map((key) => [key, row.run])));
    this.letters = true; // single characters may be turned off: WCAG 2.2, 2.1.4
    for (const { shown, words } of table) {
      const term = document.createElement("dt");
      const key = document.createElement("kbd");
      key.textContent = shown;
      term.append(key);
      const meaning = document.createElement("dd");
      meaning.textContent = words;
      const row = document.createElement("div");
      row.append(term, meaning);
      list.append(row);
    }
    onlyNamed.addEventListener("change", () => (this.letters = onlyNamed.checked));
    addEventListener("keydown", (event) => this.#pressed(event));
  }

  #pressed(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
    const { target, key } = event;
    if (target.closest("select, textarea, dialog")) return;
    // A slider has its own use for the keys that move.
    if (target.closest("[type=range]") && /^Arrow|^Page|^Home$|^End$/.test(key)) return;
    const pushes = target.closest("button, summary, [role=button]");
    if (pushes && (key === " " || key === "Enter")) return;
    if (!this.letters && key.length === 1 && key !== " ") return;
    const run =
      this.runs.get(event.shiftKey && key.length > 1 ? `Shift+${key}` : key) ??
      this.runs.get(key.toLowerCase());
    if (!run || (event.repeat && !/^Arrow|^[-+=]$/.test(key))) return;
    event.preventDefault();
    run(key);
  }
}
