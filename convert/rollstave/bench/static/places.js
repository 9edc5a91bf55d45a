// Places in a text: lines and columns from 1, as the reader counts them, and offsets as the browser
// counts them. A column is one character; the browser counts some characters as two.

const LINE_END = /[\n\x85\u2028\u2029]/g;

/** The offsets at which lines start. */
export function lineStarts(text) {
  const starts = [0];
  for (const end of text.matchAll(LINE_END)) starts.push(end.index + 1);
  return starts;
}

/** The words of a line, from 1. */
export function lineText(text, starts, line) {
  const end = line < starts.length ? starts[line] - 1 : text.length;
  return text.slice(starts[line - 1], end);
}

/** The offset of a place; a place that the text does not have gives the nearest one. */
export function offsetOf(text, starts, line, column) {
  const row = Math.min(Math.max(line, 1), starts.length);
  const letters = lineText(text, starts, row);
  let at = 0;
  for (let left = column - 1; left > 0 && at < letters.length; left--) {
    at += letters.codePointAt(at) > 0xffff ? 2 : 1;
  }
  return starts[row - 1] + at;
}

/** The place of an offset. */
export function placeOf(text, starts, offset) {
  let low = 0;
  let high = starts.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (starts[middle] <= offset) low = middle;
    else high = middle - 1;
  }
  return { line: low + 1, column: [...text.slice(starts[low], offset)].length + 1 };
}

/** How many columns of the screen stand before a column, where tabs reach to the next stop. */
export function columnsBefore(letters, column, tab = 8) {
  let seen = 0;
  for (const letter of [...letters].slice(0, column - 1)) {
    seen += letter === "\t" ? tab - (seen % tab) : 1;
  }
  return seen + Math.max(0, column - 1 - [...letters].length);
}

/** The measures typed at a place: those whose rows hold it, else those whose words over or under
 * the rows do. A section that is played again has its measures more than once. */
export function measuresAt(measures, line, column) {
  const across = measures.filter((m) => m.columns[0] <= column && column <= m.columns[1]);
  const within = (range) => (m) => m[range][0] <= line && line <= m[range][1];
  const found = across.filter(within("rows"));
  const near = found.length ? found : across.filter(within("lines"));
  const first = near[0];
  return near.filter((m) => m.rows[0] === first.rows[0] && m.columns[0] === first.columns[0]);
}

/** The ids of the notes typed at a place. */
export function notesAt(notes, line, column) {
  return Object.keys(notes).filter((id) => {
    const [row, start, width] = notes[id];
    return row === line && start <= column && column <= start + width;
  });
}

/** The one stretch in which two texts differ: [start, end) of the old one, and what is new. */
export function change(before, after) {
  const most = Math.min(before.length, after.length);
  let start = 0;
  while (start < most && before[start] === after[start]) start++;
  let tail = 0;
  while (
    tail < most - start &&
    before[before.length - 1 - tail] === after[after.length - 1 - tail]
  ) {
    tail++;
  }
  return { start, end: before.length - tail, words: after.slice(start, after.length - tail) };
}
