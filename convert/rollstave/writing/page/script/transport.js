// Playing: where we are, how fast, which stretch comes round again. Tells the sound ahead of time,
// and says what is heard at the moment when it is heard.
//
// Events: "change" (anything that the controls show), "step" (an event is heard; detail has the
// step, the ids to mark and the times), "held", "beat", "silence".

import { Clock } from "rollstave/clock";
import { countBefore, placesOf, secondsAt, tempoAt } from "rollstave/score";
import { Sound } from "rollstave/sound";

const SOON = 0.08; // seconds from pressing play to the first sound
const FRAME = 0.008; // half a frame: a mark shown at the next frame is then early as often as late
const ALMOST = 1e-6;
export const SLOWEST = 30;
export const FASTEST = 120;

export class Transport extends EventTarget {
  constructor(score, audible) {
    super();
    this.score = score;
    this.audible = audible; // which notes of an event are to be heard
    this.playing = false;
    this.index = this.#firstStep(0); // the step to play next, or that is heard
    this.percent = 100;
    this.click = false;
    this.countIn = true;
    this.looping = false;
    this.loop = null; // first and last measure of the loop, or null for the whole tune
    this.speedUp = false;
    this.stepUp = 3; // percent each time round
    this.ceiling = 100; // percent
    this.round = 1;
    this.queue = []; // what will be shown, with its time
  }

  // Where ---------------------------------------------------------------------------------

  get step() {
    return this.score.steps[this.index];
  }

  /** The stretch that is played: places in the order and quarter notes. */
  get range() {
    const { order, starts, measures, length } = this.score;
    const found = this.looping && this.loop ? placesOf(this.score, ...this.loop) : null;
    const [first, last] = found ?? [0, order.length - 1];
    return {
      first,
      last,
      start: starts[first] ?? 0,
      end: last < order.length - 1 ? starts[last] + measures[order[last]].length : length,
    };
  }

  #firstStep(k) {
    return Math.max(0, this.score.steps.findIndex((step) => step.k >= k && step.event.notes.length));
  }

  #inRange(step) {
    const { first, last } = this.range;
    return step.k >= first && step.k <= last;
  }

  // How fast ------------------------------------------------------------------------------

  setPercent(percent) {
    const wanted = Math.round(Math.min(FASTEST, Math.max(SLOWEST, percent)));
    if (wanted === this.percent) return;
    this.#anchorAhead();
    this.percent = wanted;
    this.#changed();
  }

  /** From here on time runs otherwise; what was told to the sound already stays where it is. */
  #anchorAhead() {
    const next = this.playing ? this.#next() : null;
    if (next) this.anchor = { at: next.at, time: this.#timeOf(next.at) };
  }

  #timeOf(at) {
    const from = this.anchor.at;
    // What is counted before a step is counted in the tempo of the step.
    const seconds =
      at < from
        ? ((at - from) * 60) / tempoAt(this.score, from)
        : secondsAt(this.score, at) - secondsAt(this.score, from);
    return this.anchor.time + (seconds * 100) / this.percent;
  }

  // Play, pause, go -----------------------------------------------------------------------

  async play({ count = this.countIn } = {}) {
    if (this.playing || !this.score.steps.length) return;
    this.playing = true;
    this.#open();
    this.#changed();
    if (this.context.state !== "running") await this.context.resume();
    if (!this.playing) return;
    if (!this.#inRange(this.step)) this.index = this.#firstStep(this.range.first);
    this.round = 1;
    this.#begin(count);
  }

  #open() {
    if (this.context) return;
    this.context = new AudioContext({ latencyHint: "interactive" });
    this.sound = new Sound(this.context);
    this.#prepare();
    this.clock = new Clock(this.context, (until) => this.#tell(until));
  }

  #prepare() {
    const struck = ({ event }) => [...(event.grace ?? []).flat(), ...event.notes];
    this.sound.prepare(this.score.steps.flatMap(struck));
  }

  #begin(count) {
    const { step } = this;
    this.count = count ? countBefore(this.score, step) : [];
    this.anchor = { at: step.at, time: this.context.currentTime + SOON };
    if (this.count.length) this.anchor.time += this.anchor.time - this.#timeOf(this.count[0].at);
    this.told = this.score.timeline.findIndex((item) => item.at >= step.at - ALMOST);
    this.ending = undefined;
    this.queue = [];
    this.clock.start();
    this.#show();
  }

  pause() {
    if (!this.playing) return;
    this.playing = false;
    this.clock?.stop();
    this.sound?.hush();
    this.queue = [];
    this.#say("silence");
    this.#changed();
  }

  toggle() {
    return this.playing ? this.pause() : this.play();
  }

  /** Go to a step; when playing, go on from there at once. */
  go(index, { play = this.playing } = {}) {
    if (index < 0 || index >= this.score.steps.length) return;
    if (this.looping && !this.#inRange(this.score.steps[index])) this.looping = false;
    this.index = index;
    if (this.playing && this.anchor) {
      this.sound.hush();
      this.#begin(false);
    }
    this.#changed();
    if (play && !this.playing) this.play();
  }

  /** The score is another version of the tune now: go on in the same turn, at the same time. */
  swapped({ k, at }) {
    const { steps } = this.score;
    const here = steps.findLastIndex((step) => step.k === k && step.at <= at + ALMOST);
    const next = steps.findIndex((step) => step.k >= k);
    if (this.sound) this.#prepare();
    this.go(Math.max(0, here < 0 ? next : here));
  }

  /** The next or former event with notes; `measures` steps over whole measures. */
  move(by, { measures = false } = {}) {
    const { steps } = this.score;
    if (measures) {
      // Back goes to the start of this measure first, as a reader would.
      const start = this.#firstStep(this.step.k);
      const k = by < 0 && this.index > start ? this.step.k : this.step.k + by;
      this.go(this.#firstStep(Math.min(Math.max(0, k), this.score.order.length - 1)));
      return;
    }
    let index = this.index + by;
    while (steps[index] && !steps[index].event.notes.length) index += by;
    if (steps[index]) this.go(index);
  }

  toStart() {
    this.go(this.#firstStep(this.range.first));
  }

  toEnd() {
    const { last } = this.range;
    this.go(this.#firstStep(last));
  }

  // Loop ----------------------------------------------------------------------------------

  /** Loop between two measures (indices); null for the whole tune. */
  setLoop(first, last) {
    const loop = first === null ? null : [Math.min(first, last), Math.max(first, last)];
    if (loop && !placesOf(this.score, ...loop)) return false;
    this.loop = loop;
    this.setLooping(true);
    return true;
  }

  setLooping(on) {
    this.looping = on;
    this.round = 1;
    if (on && !this.#inRange(this.step)) {
      this.go(this.#firstStep(this.range.first));
      return;
    }
    if (this.playing && this.anchor) {
      // What was told past the new end must not sound.
      const next = this.score.timeline[this.told];
      if (next && next.at > this.range.end) this.go(this.index);
      this.ending = undefined;
    }
    this.#changed();
  }

  set(name, value) {
    this[name] = value;
    this.#changed();
  }

  // Telling the sound ----------------------------------------------------------------------

  /** What comes next, as an item with a time in quarter notes; null at the end. */
  #next() {
    if (this.count.length) return { kind: "count", ...this.count[0] };
    const item = this.score.timeline[this.told];
    const { end } = this.range;
    return item && item.at < end - ALMOST ? item : { kind: "end", at: end };
  }

  #tell(until) {
    while (this.playing && this.ending === undefined) {
      const item = this.#next();
      const time = this.#timeOf(item.at);
      if (time > until) break;
      this.#one(item, time);
    }
  }

  #one(item, time) {
    if (item.kind === "count") {
      this.count.shift();
      this.sound.click(time, item.number === 1);
      this.#later(time, item);
    } else if (item.kind === "end") {
      if (this.looping) this.#around(time);
      else this.ending = time;
      this.#later(time, item);
    } else {
      this.told += 1;
      if (item.kind === "event") {
        const { notes, brush, grace = [], small = 0 } = item.step.event;
        const heard = (struck) => struck.filter((note) => this.audible(note));
        // Grace notes begin on the beat and take their time from the note.
        grace.forEach((struck, place) =>
          this.sound.strike(heard(struck), this.#timeOf(item.at + place * small)),
        );
        this.sound.strike(heard(notes), this.#timeOf(item.at + grace.length * small), brush);
      } else if (item.kind === "beat" && this.click) {
        this.sound.click(time, item.number === 1);
      }
      this.#later(time, item);
    }
  }

  /** Keep what is to be shown until it is heard, with the round that it belongs to. */
  #later(time, item) {
    this.queue.push({ time, item, round: this.round, percent: this.percent });
  }

  #around(time) {
    const { start } = this.range;
    this.round += 1;
    if (this.speedUp && this.percent < this.ceiling) {
      this.percent = Math.min(this.ceiling, this.percent + this.stepUp);
    }
    this.anchor = { at: start, time };
    this.told = this.score.timeline.findIndex((item) => item.at >= start - ALMOST);
  }

  // Showing -------------------------------------------------------------------------------

  #show() {
    if (this.showing) cancelAnimationFrame(this.showing);
    const frame = () => {
      if (!this.playing) return;
      const now = this.clock.heard();
      while (this.playing && this.queue.length && this.queue[0].time <= now + FRAME) {
        this.#heard(this.queue.shift(), now);
      }
      this.showing = requestAnimationFrame(frame);
    };
    this.showing = requestAnimationFrame(frame);
  }

  #heard({ time, item, round, percent }, now) {
    if (item.kind === "event") {
      this.index = item.index;
      this.#say("step", { step: item.step, time, heard: now, round, percent });
    } else if (item.kind === "held") {
      this.#say("held", { ids: item.ids, time, heard: now });
    } else if (item.kind === "end") {
      if (!this.looping) this.#finish();
      else this.#changed();
    } else {
      this.#say("beat", { number: item.number, counting: item.kind === "count", time, heard: now });
    }
  }

  /** The end of the tune: its last notes ring on, the next play begins at the start. */
  #finish() {
    this.playing = false;
    this.clock.stop();
    this.sound.ringing.clear();
    this.index = this.#firstStep(this.range.first);
    this.#say("silence");
    this.#changed();
  }

  #say(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { detail }));
  }

  #changed() {
    this.#say("change");
  }
}
