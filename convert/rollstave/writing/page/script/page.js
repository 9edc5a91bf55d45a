// The page: puts the parts together and keeps the controls and the music in step.

import { Engravings } from "rollstave/engravings";
import { Keyboard, keyTable } from "rollstave/keyboard";
import { Marking } from "rollstave/marking";
import { Neck } from "rollstave/neck";
import { Practice } from "rollstave/practice";
import { named, nearestStep, placesOf, readScore, stretch, tempoAt } from "rollstave/score";
import { Telling } from "rollstave/telling";
import { Touch } from "rollstave/touch";
import { Transport } from "rollstave/transport";

const $ = (id) => document.getElementById(id);
const ROOM_FOR_NECK = "(min-width: 760px) and (min-height: 760px)";

const scores = ["score", "score-beside"].flatMap((id) => ($(id) ? [readScore($(id).textContent)] : []));
const score = { ...scores[0] }; // what all parts look at; the other version takes its place
const engravings = new Engravings($("music"));
const practice = new Practice($("practice"));
const transport = new Transport(score, practice.hears);
const marking = new Marking(engravings, $("dock"));
const neck = new Neck($("neck"), score);
const telling = new Telling($("told"), score);
const versions = [...document.querySelectorAll("button[data-version]")];
const numberOf = (measure) => score.measures[measure].number;
const idsOf = (step) => step.event.notes.flatMap((note) => note.ids);

// Controls ----------------------------------------------------------------------------------

const SWITCHES = { click: "click", countIn: "count-in", speedUp: "speed-up" };

const page = {
  /** The loop begins (or ends) in a measure; its other end stays if it makes a stretch. */
  loopFrom: (m) => page.loopBetween(m, Math.max(m, transport.loop?.[1] ?? m)),
  loopTo: (m) => page.loopBetween(Math.min(m, transport.loop?.[0] ?? m), m),
  loopBetween(first, last) {
    if (!transport.setLoop(first, last)) telling.say("The tune never goes from there to there");
    else telling.say(loopWords());
  },
  toggleLoop() {
    transport.setLooping(!transport.looping);
    telling.say(transport.looping ? loopWords() : "Loop off");
  },
  toggle(name) {
    transport.set(name, !transport[name]);
  },
  togglePanel() {
    const open = $("practice").hidden;
    $("practice").hidden = !open;
    $("more").setAttribute("aria-expanded", open);
  },
  toggleNeck() {
    $("neck").hidden = !$("neck").hidden;
    $("neck-shown").setAttribute("aria-pressed", !$("neck").hidden);
  },
  /** Show and play the other version of the tune, from the same place. */
  async showVersion(number) {
    if (number === engravings.version || !scores[number]) return;
    const { step } = transport;
    Object.assign(score, scores[number]);
    for (const button of versions) {
      button.setAttribute("aria-pressed", Number(button.dataset.version) === number);
    }
    for (const part of document.querySelectorAll("[data-of]")) {
      part.hidden = Number(part.dataset.of) !== number;
    }
    neck.take(score);
    const shown = engravings.show(number);
    transport.swapped(step);
    await shown;
    telling.say(versions[number].textContent);
  },
  otherVersion: () => page.showVersion(1 - engravings.version),
  resize: (by) => engravings.resize(by),
  showHelp: () => $("help").showModal(),
};

function loopWords() {
  if (!transport.loop) return "Loop: the whole tune";
  const one = named(score, ...transport.loop);
  if (one) return `Loop: ${one.name}`;
  const [first, last] = transport.loop.map(numberOf);
  return first === last ? `Loop: measure ${first}` : `Loop: measures ${first} to ${last}`;
}

const press = (id, run) => $(id)?.addEventListener("click", run);
press("play", () => transport.toggle());
press("start", () => transport.toStart());
press("slower", () => transport.setPercent(transport.percent - 5));
press("faster", () => transport.setPercent(transport.percent + 5));
press("loop", page.toggleLoop);
press("whole", () => transport.setLoop(null));
press("more", page.togglePanel);
press("keys", page.showHelp);
press("help-close", () => $("help").close());
press("neck-shown", page.toggleNeck);
press("smaller", () => page.resize(-1));
press("larger", () => page.resize(1));
for (const button of versions) {
  button.addEventListener("click", () => page.showVersion(Number(button.dataset.version)));
}
for (const [name, id] of Object.entries(SWITCHES)) press(id, () => page.toggle(name));
$("tempo").addEventListener("input", (event) => transport.setPercent(event.target.valueAsNumber));
$("loop-from").addEventListener("change", (event) => page.loopFrom(Number(event.target.value)));
$("loop-to").addEventListener("change", (event) => page.loopTo(Number(event.target.value)));
$("step-up").addEventListener("change", (event) => transport.set("stepUp", Number(event.target.value)));
$("ceiling").addEventListener("change", (event) => transport.set("ceiling", Number(event.target.value)));

/** Everything that the controls show, from what the transport says. */
function showState() {
  const { playing, percent, looping, loop, round } = transport;
  $("play").classList.toggle("playing", playing);
  $("play-words").textContent = playing ? "Pause" : "Play";
  $("tempo").value = percent;
  $("tempo").setAttribute("aria-valuetext", tempoWords(percent));
  $("tempo-words").textContent = `${percent}%`;
  $("beats").textContent = `${beats(percent)} beats a minute`;
  $("loop").setAttribute("aria-pressed", looping);
  const [first, last] = (loop ?? []).map(numberOf);
  const one = loop && named(score, ...loop);
  const numbers = first === last ? `${first}` : `${first}–${last}`;
  $("loop-words").textContent = loop ? (one?.name ?? numbers) : "";
  if ($("stretch")) $("stretch").value = one ? score.stretches.indexOf(one) : "";
  $("round").textContent = playing && looping && round > 1 ? `round ${round}` : "";
  $("loop-from").value = loop ? loop[0] : 0;
  $("loop-to").value = loop ? loop[1] : score.measures.length - 1;
  for (const [name, id] of Object.entries(SWITCHES)) {
    $(id).setAttribute("aria-pressed", transport[name]);
  }
  const { order } = score;
  const found = loop && placesOf(score, ...loop);
  const inside = found ? order.slice(found[0], found[1] + 1) : looping ? order : [];
  marking.loop(new Set(inside), looping);
  if (!playing) showPlace();
}

const tempoWords = (percent) => `${percent} percent, ${beats(percent)} beats a minute`;

/** Beats a minute where the player is. */
const beats = (percent) => {
  const { m, at } = transport.step ?? { m: 0, at: 0 };
  const beat = score.measures[m]?.beat ?? score.beat;
  return Math.round((tempoAt(score, at) / beat) * (percent / 100));
};

/** Where play would begin. */
function showPlace() {
  const { step } = transport;
  if (!step) return;
  marking.place(step.m, idsOf(step));
  neck.show(step.event.notes, [], step.holding);
}

// The music ---------------------------------------------------------------------------------

transport.addEventListener("change", showState);
if (score.tempos) {
  transport.addEventListener("step", () => {
    $("beats").textContent = `${beats(transport.percent)} beats a minute`;
  });
}
transport.addEventListener("step", ({ detail }) => {
  const { step } = detail;
  const heard = step.event.notes.filter(practice.hears);
  const ids = heard.flatMap((note) => note.ids);
  marking.sound([...ids, ...(step.event.under ?? [])]);
  if (marking.measure !== step.m || marking.step !== step.k) marking.follow(step.m);
  marking.step = step.k;
  marking.place(step.m, []);
  const coming = score.steps.slice(transport.index + 1).find((s) => s.event.notes.length);
  const holding = step.holding.filter(practice.hears);
  neck.show(heard, coming?.event.notes.filter(practice.hears), holding);
  $("count").textContent = "";
  announce("sounding", {
    ids, measure: step.m, turn: step.k, quarter: step.at, planned: detail.time,
    heard: detail.heard, round: detail.round, percent: detail.percent,
  });
});
transport.addEventListener("held", ({ detail }) => marking.sound(detail.ids));
transport.addEventListener("beat", ({ detail }) => {
  $("count").textContent = detail.counting ? detail.number : "";
});
transport.addEventListener("silence", () => {
  marking.sound([]);
  $("count").textContent = "";
});

engravings.addEventListener("change", () => {
  const ids = marking.sounding;
  showState();
  showMuted();
  marking.sound(ids);
  if (transport.playing) {
    marking.place(transport.step.m, []);
    marking.follow(transport.step.m, { always: true });
  }
});

function showMuted() {
  const muted = score.measures.flatMap(({ events }) =>
    events.flatMap((event) => event.notes.filter((n) => !practice.hears(n)).flatMap((n) => n.ids)),
  );
  marking.mute(muted);
  $("more").classList.toggle("partial", !practice.complete);
}
practice.addEventListener("change", showMuted);

new Touch(engravings, score, {
  tapped(measure, event) {
    const { first, last } = transport.range;
    const inside = (k) => transport.looping && k >= first && k <= last;
    transport.go(nearestStep(score, measure, event, transport.index, inside), { play: true });
  },
  dragged(first, last, done) {
    const [a, b] = [Math.min(first, last), Math.max(first, last)];
    if (done) return page.loopBetween(a, b);
    const found = stretch(score.order, a, b);
    if (found) marking.loop(new Set(score.order.slice(found[0], found[1] + 1)), true);
  },
});

// An exercise is played by its name, round and round from its beginning.
function playStretch(one) {
  transport.pause();
  transport.setLoop(one.first, one.last);
  transport.go(score.steps.findIndex((step) => step.k >= one.begins), { play: true });
  telling.say(loopWords());
}
$("music").addEventListener("click", (event) => {
  const button = event.target.closest("[data-stretch]");
  if (button) playStretch(score.stretches[Number(button.dataset.stretch)]);
});
$("stretch")?.addEventListener("change", ({ target }) => {
  if (target.value === "") transport.setLoop(null);
  else page.loopBetween(score.stretches[target.value].first, score.stretches[target.value].last);
});

// Going from note to note by key is told; playing is heard.
addEventListener("keyup", (event) => {
  if (/^Arrow|^Home$|^End$/.test(event.key) && !transport.playing && transport.step) {
    if (document.activeElement?.closest("input, select, dialog")) return;
    telling.step(transport.step);
    marking.follow(transport.step.m, { always: true });
  }
});
new Keyboard(keyTable({ transport, practice, page, versions: scores.length }), $("key-list"), $("letter-keys"));

// Why a measure is not sure: shown beside its sign, by pointer, focus or touch.
const tip = $("tip");
function showTip(sign) {
  tip.textContent = sign.getAttribute("aria-label");
  tip.hidden = false;
  const box = sign.getBoundingClientRect();
  const left = Math.min(box.left, innerWidth - tip.offsetWidth - 12);
  tip.style.left = `${scrollX + Math.max(12, left)}px`;
  tip.style.top = `${scrollY + box.bottom + 6}px`;
}
const signOf = (event) => event.target.closest?.(".unsure-sign");
const hideTip = () => (tip.hidden = true);
for (const name of ["pointerover", "focusin", "click"]) {
  $("music").addEventListener(name, (event) => signOf(event) && showTip(signOf(event)));
}
for (const name of ["pointerout", "focusout"]) {
  $("music").addEventListener(name, (event) => signOf(event) && hideTip());
}
addEventListener("keydown", (event) => event.key === "Escape" && hideTip());

// To look at from outside, and never to steer by.
function announce(name, detail) {
  document.dispatchEvent(new CustomEvent(`rollstave:${name}`, { detail }));
}
Object.defineProperty(window, "rollstave", {
  value: Object.freeze({
    get state() {
      const { playing, percent, looping, loop, round, step, range } = transport;
      const { m: measure, e: event, k: turn } = step ?? {};
      return { playing, percent, looping, loop, round, measure, event, turn, range };
    },
    get version() {
      return engravings.version;
    },
    get width() {
      return engravings.width;
    },
    get now() {
      return transport.context?.currentTime;
    },
    /** What the browser says is at the loudspeaker now, in seconds of the audio clock. */
    get output() {
      const { contextTime, performanceTime } = transport.context.getOutputTimestamp();
      return contextTime + (performance.now() - performanceTime) / 1000;
    },
  }),
});

$("neck").hidden = !matchMedia(ROOM_FOR_NECK).matches;
$("neck-shown").setAttribute("aria-pressed", !$("neck").hidden);
showState();
await engravings.ready;
document.documentElement.dataset.ready = Math.round(performance.now());
announce("ready", {});
