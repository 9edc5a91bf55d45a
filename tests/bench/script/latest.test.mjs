// The newest wish wins, and no two are worked on at once.

import assert from "node:assert/strict";
import test from "node:test";

import { Latest } from "../../../convert/rollstave/bench/static/latest.js";

const wait = (time) => new Promise((done) => setTimeout(done, time));

// However slow the machine is: a wish is looked for until it is there.
const until = async (there) => {
  while (!there()) await wait(1);
};

// Work that goes on until it is told to end.
const held = () => {
  const hold = {};
  hold.over = new Promise((end) => (hold.end = end));
  return hold;
};

test("of wishes made in one breath only the last is worked on", async () => {
  const done = [];
  const latest = new Latest(async (wish) => done.push(wish), 5);
  for (const wish of [1, 2, 3]) latest.ask(wish);
  await until(() => done.length);
  await wait(20);
  assert.deepEqual(done, [3]);
});

test("while one is worked on, those that come are held, and the last of them follows", async () => {
  const done = [];
  const first = held();
  let running = 0;
  let most = 0;
  const latest = new Latest(async (wish) => {
    most = Math.max(most, ++running);
    if (wish === "first") await first.over;
    running--;
    done.push(wish);
  }, 1);
  latest.ask("first");
  await until(() => running);
  for (const wish of ["a", "b", "c"]) {
    latest.ask(wish);
    await wait(3);
  }
  first.end();
  await until(() => done.includes("c"));
  await wait(20);
  assert.deepEqual(done, ["first", "c"]);
  assert.equal(most, 1);
});

test("work that fails does not stop what follows", async () => {
  const done = [];
  const failures = [];
  const work = async (wish) => {
    done.push(wish);
    if (wish === 1) throw new Error("expected");
  };
  const latest = new Latest(work, 1, (error) => failures.push(error.message));
  latest.ask(1);
  await until(() => failures.length);
  latest.ask(2);
  await until(() => done.length > 1);
  assert.deepEqual(done, [1, 2]);
  assert.deepEqual(failures, ["expected"]);
});
