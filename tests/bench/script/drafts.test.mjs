// Drafts are kept soon after an edit, in order, and only where something is unsaved.

import assert from "node:assert/strict";
import test from "node:test";

import { Drafts, whenSaid } from "../../../convert/rollstave/bench/static/drafts.js";

const wait = (time) => new Promise((done) => setTimeout(done, time));

/** A page whose text is `page.text`, saved as "saved"; `sent` is what was sent. */
function page(send = async () => true) {
  const made = { text: "saved", sent: [] };
  const unsaved = () => (made.text === "saved" ? null : made.text);
  made.drafts = new Drafts(
    unsaved,
    (text, name, turn) => {
      made.sent.push({ text, name, turn });
      return send(text);
    },
    5,
  );
  return made;
}

test("typing without a pause does not put a draft off", async () => {
  const made = page();
  const until = Date.now() + 200;
  while (Date.now() < until) {
    made.text += "x";
    made.drafts.touch();
    await wait(1);
  }
  assert.ok(made.sent.length > 2);
});

test("nothing is sent where nothing is unsaved, nor twice", async () => {
  const made = page();
  made.drafts.touch();
  await wait(30);
  assert.deepEqual(made.sent, []);
  made.text = "a";
  assert.equal(await made.drafts.flush(), true);
  assert.equal(await made.drafts.flush(), true);
  assert.equal(made.sent.length, 1);
  made.text = "saved";
  await made.drafts.flush();
  assert.deepEqual(made.sent.map((each) => each.text), ["a", null]);
});

test("one is sent at a time and turns are counted up", async () => {
  let running = 0;
  let most = 0;
  const made = page(async () => {
    most = Math.max(most, ++running);
    await wait(5);
    running--;
    return true;
  });
  const all = ["a", "b", "c"].map((text) => {
    made.text = text;
    return made.drafts.flush();
  });
  await Promise.all(all);
  await made.drafts.flush();
  assert.equal(most, 1);
  assert.equal(made.sent.at(-1).text, "c");
  const turns = made.sent.map((each) => each.turn);
  assert.deepEqual(turns, [...turns].sort((a, b) => a - b));
  assert.equal(new Set(turns).size, turns.length);
});

test("what was not kept is sent again", async () => {
  let fails = true;
  const made = page(async () => {
    if (fails) throw new TypeError("nobody answers");
    return true;
  });
  made.text = "a";
  assert.equal(await made.drafts.flush(), false);
  fails = false;
  assert.equal(await made.drafts.flush(), true);
  assert.equal(made.sent.length, 2);
});

test("a draft that a save overtook is sent again if the text is still unsaved", async () => {
  const made = page(async () => wait(10).then(() => true));
  made.text = "a";
  const flushing = made.drafts.flush();
  made.drafts.next(); // a save, which drops the draft
  made.drafts.forgotten();
  await flushing;
  await made.drafts.flush();
  assert.equal(made.sent.length, 2);
});

test("a draft that is set aside stays, and the page goes on under another name", async () => {
  const made = page();
  made.text = "a";
  assert.equal(await made.drafts.setAside(), true);
  made.text = "b";
  await made.drafts.flush();
  assert.notEqual(made.sent[0].name, made.sent[1].name);
  assert.deepEqual(made.sent.map((each) => each.text), ["a", "b"]);
});

test("when a draft was typed is said with the day if it was not today", () => {
  const at = (...parts) => new Date(...parts).getTime();
  assert.equal(whenSaid(at(2026, 2, 5, 14, 32), at(2026, 2, 5, 23, 59)), "14:32");
  assert.equal(whenSaid(at(2026, 2, 5, 7, 5), at(2026, 2, 6, 0, 1)), "5 March 2026, 07:05");
});
