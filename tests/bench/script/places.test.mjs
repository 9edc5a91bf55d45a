// Places and offsets, by hand-counted examples.

import assert from "node:assert/strict";
import test from "node:test";

import {
  change,
  columnsBefore,
  lineStarts,
  lineText,
  measuresAt,
  notesAt,
  offsetOf,
  placeOf,
} from "../../../convert/rollstave/bench/static/places.js";

const TEXT = "one\n\u{1D11E} two\n\nD|-0-|";

test("every offset has a place that leads back to it", () => {
  const starts = lineStarts(TEXT);
  assert.equal(starts.length, 4);
  for (let at = 0; at <= TEXT.length; at++) {
    if (at === 5) continue; // the middle of the clef, which is two units long
    const { line, column } = placeOf(TEXT, starts, at);
    assert.equal(offsetOf(TEXT, starts, line, column), at);
  }
});

test("a clef outside the first plane of Unicode is one column", () => {
  const starts = lineStarts(TEXT);
  assert.equal(TEXT.slice(offsetOf(TEXT, starts, 2, 3)).slice(0, 3), "two");
  assert.deepEqual(placeOf(TEXT, starts, 7), { line: 2, column: 3 });
});

test("places outside the text give the nearest offset", () => {
  const starts = lineStarts(TEXT);
  assert.equal(offsetOf(TEXT, starts, 99, 1), offsetOf(TEXT, starts, 4, 1));
  assert.equal(offsetOf(TEXT, starts, 1, 99), 3);
});

test("lines end where the reader ends them", () => {
  const text = "a\u2028b\x85c";
  assert.equal(lineText(text, lineStarts(text), 2), "b");
  assert.equal(lineStarts(text).length, 3);
});

test("tabs reach to the next eighth column", () => {
  assert.equal(columnsBefore("\tx", 2), 8);
  assert.equal(columnsBefore("ab\tx", 4), 8);
  assert.equal(columnsBefore("abc", 3), 2);
  assert.equal(columnsBefore("ab", 5), 4);
});

test("the measure at a place; twice if its section is played again", () => {
  const measures = [
    { id: "a", rows: [3, 7], lines: [2, 8], columns: [3, 10] },
    { id: "b", rows: [3, 7], lines: [3, 7], columns: [11, 20] },
    { id: "c", rows: [3, 7], lines: [2, 8], columns: [3, 10] },
  ];
  const ids = (line, column) => measuresAt(measures, line, column).map((m) => m.id);
  assert.deepEqual(ids(4, 5), ["a", "c"]);
  assert.deepEqual(ids(2, 5), ["a", "c"]);
  assert.deepEqual(ids(4, 15), ["b"]);
  assert.deepEqual(ids(2, 15), []);
});

test("the notes at a place", () => {
  const notes = { n1: [4, 5, 2], t1: [4, 5, 2], n2: [4, 9, 1] };
  assert.deepEqual(notesAt(notes, 4, 6), ["n1", "t1"]);
  assert.deepEqual(notesAt(notes, 4, 9), ["n2"]);
  assert.deepEqual(notesAt(notes, 5, 5), []);
});

test("the one change between two texts", () => {
  for (const [before, after] of [
    ["abc", "abXc"],
    ["abc", ""],
    ["", "abc"],
    ["aaaa", "aaa"],
    ["same", "same"],
  ]) {
    const { start, end, words } = change(before, after);
    assert.equal(before.slice(0, start) + words + before.slice(end), after);
  }
  assert.deepEqual(change("abc", "abXc"), { start: 2, end: 2, words: "X" });
});
