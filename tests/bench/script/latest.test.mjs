// The newest wish wins, and no two are worked on at once.

import assert from "node:assert/strict";
import test from "node:test";

import { Latest } from "../../../convert/rollstave/bench/static/latest.js";

const wait = (time) => new Promise((done) => setTimeout(done, time));

test("of wishes made in one breath only the last is worked on", async () => {
  const done = [];
  const latest = new Latest(async (wish) => done.push(wish), 5);
  for (const wish of [1, 2, 3]) latest.ask(wish);
  await wait(40);
  assert.deepEqual(done, [3]);
});

test("while one is worked on, those that come are held, and the last of them follows", async () => {
  const done = [];
  let running = 0;
  let most = 0;
  const latest = new Latest(async (wish) => {
    most = Math.max(most, ++running);
    await wait(30);
    running--;
    done.push(wish);
  }, 1);
  latest.ask("first");
  await wait(10);
  for (const wish of ["a", "b", "c"]) {
    latest.ask(wish);
    await wait(3);
  }
  await wait(120);
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
  await wait(20);
  latest.ask(2);
  await wait(20);
  assert.deepEqual(done, [1, 2]);
  assert.deepEqual(failures, ["expected"]);
});
