// A text that is too long for its file is told of while it is typed.

import assert from "node:assert/strict";
import test from "node:test";

import { bytes, room } from "../../../convert/rollstave/bench/static/room.js";

test("bytes of a text in the encodings that a tab comes in", () => {
  assert.equal(bytes("aé♭", "utf-8"), 6); // 1 + 2 + 3, the Unicode Standard, table 3-6
  assert.equal(bytes("aé", "utf-16-le"), 4);
  assert.equal(bytes("aé", "cp1252"), 2);
});

test("the limit itself fits, one more byte does not", () => {
  const file = { largest: 1200, encoding: "utf-8" };
  assert.equal(room("a".repeat(1200), file).over, false);
  assert.equal(room("a".repeat(1201), file).over, true);
  assert.equal(room("♭".repeat(400), file).over, false);
  assert.equal(room("♭".repeat(401), file).over, true);
  assert.match(room("a".repeat(1201), file).words, /1,201 bytes.* 1,200/);
});
