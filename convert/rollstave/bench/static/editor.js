// The text and what is shown beside and under it: line numbers, and the measure at the caret.

import { change, columnsBefore, lineStarts, lineText, offsetOf, placeOf } from "./places.js";

export class Editor {
  constructor(area, numbers, glow) {
    this.area = area;
    this.numbers = numbers;
    this.glow = glow;
    this.starts = [0];
    this.known = null;
    area.addEventListener("scroll", () => this.follow());
    area.addEventListener("input", () => this.renumber());
  }

  get text() {
    return this.area.value;
  }

  /** Where lines start in the text of now. */
  lines() {
    if (this.known !== this.text) {
      this.known = this.text;
      this.starts = lineStarts(this.known);
    }
    return this.starts;
  }

  caret() {
    return placeOf(this.text, this.lines(), this.area.selectionStart);
  }

  /** Put another text in place of this one, as one step that can be undone. The caret and what is
   * seen stay where they are in what did not change. */
  replace(after) {
    const before = this.text;
    if (before === after) return;
    const { start, end, words } = change(before, after);
    const caret = this.area.selectionStart;
    const held = document.activeElement;
    const [top, left] = [this.area.scrollTop, this.area.scrollLeft];
    this.area.focus({ preventScroll: true });
    this.area.setSelectionRange(start, end);
    // The only way that keeps the browser's own undo; setRangeText where it is not there.
    const done = words
      ? document.execCommand("insertText", false, words)
      : document.execCommand("delete");
    if (!done || this.text !== after) {
      this.area.value = after;
      this.area.dispatchEvent(new Event("input", { bubbles: true }));
    }
    const moved = caret <= start ? caret : Math.max(start, caret + after.length - before.length);
    this.area.setSelectionRange(moved, moved);
    [this.area.scrollTop, this.area.scrollLeft] = [top, left];
    if (held && held !== this.area && held !== document.body) held.focus({ preventScroll: true });
  }

  /** Fill the text for the first time; there is nothing to undo to. */
  fill(text) {
    this.area.value = text;
    this.area.setSelectionRange(0, 0);
    this.renumber();
  }

  /** Select a stretch of a line and bring it into view. */
  select(line, column, width, focus) {
    const start = offsetOf(this.text, this.lines(), line, column);
    const end = offsetOf(this.text, this.lines(), line, column + width);
    if (focus) this.area.focus({ preventScroll: true });
    this.area.setSelectionRange(start, end);
    this.show(line, column);
  }

  show(line, column) {
    const { lineHeight } = getComputedStyle(this.area);
    const height = parseFloat(lineHeight);
    const y = (line - 1) * height;
    const view = this.area.clientHeight;
    if (y < this.area.scrollTop + height || y > this.area.scrollTop + view - 4 * height) {
      this.area.scrollTop = Math.max(0, y - view / 3);
    }
    const share = this.area.scrollWidth / Math.max(1, ...this.widths());
    const x = column * share;
    if (x < this.area.scrollLeft || x > this.area.scrollLeft + this.area.clientWidth - 60) {
      this.area.scrollLeft = Math.max(0, x - this.area.clientWidth / 2);
    }
  }

  widths() {
    const starts = this.lines();
    return starts.map((start, row) => (starts[row + 1] ?? this.text.length + 1) - start);
  }

  /** Light up a measure's rows in the text, or nothing. */
  light(measure) {
    this.glow.hidden = !measure;
    if (!measure) return;
    const [first, last] = measure.rows;
    const letters = lineText(this.text, this.lines(), Math.min(first, this.lines().length));
    const left = columnsBefore(letters, measure.columns[0]);
    const right = columnsBefore(letters, measure.columns[1]);
    this.glow.style.left = `${left}ch`;
    this.glow.style.width = `${right - left}ch`;
    this.glow.style.top = `calc(${first - 1} * var(--line))`;
    this.glow.style.height = `calc(${last - first + 1} * var(--line))`;
  }

  renumber() {
    const count = this.lines().length;
    if (this.count === count) return;
    this.count = count;
    this.numbers.textContent = Array.from({ length: count }, (_, row) => row + 1).join("\n");
  }

  follow() {
    const { scrollTop, scrollLeft } = this.area;
    this.numbers.style.transform = `translateY(${-scrollTop}px)`;
    this.glow.parentElement.style.transform = `translate(${-scrollLeft}px, ${-scrollTop}px)`;
  }
}
