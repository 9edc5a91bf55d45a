// The bench's page: puts its parts together.

import { Choices } from "./choices.js";
import { Drafts } from "./drafts.js";
import { Editor } from "./editor.js";
import { Latest } from "./latest.js";
import { Offer } from "./offer.js";
import { measuresAt, notesAt } from "./places.js";
import { Saving } from "./saving.js";
import { listen, post } from "./server.js";
import { Sheet } from "./sheet.js";
import { Worklist } from "./worklist.js";

const PAUSE = 35; // milliseconds after a key before the text is sent
const LIST_PAUSE = 90; // after a sheet is shown before the list is asked for
const part = (id) => document.getElementById(id);
let tunes = [];
let quiet = false; // while the sheet leads, the text does not make it scroll

// What is told ---------------------------------------------------------------------------------

let decide = null;

function tell(words, choice = null, name = "Decide") {
  part("told").hidden = !words;
  part("told-words").textContent = words;
  part("told-decide").hidden = choice === null;
  part("told-decide").textContent = name;
  decide = choice;
}

part("told-away").addEventListener("click", () => {
  tell("");
  part("text").focus();
});
part("told-decide").addEventListener("click", () => {
  const open = decide;
  tell("");
  open?.();
});

function showState(words, edited) {
  part("state").textContent = words;
  document.body.classList.toggle("edited", edited);
}

// Text, sheet and list -------------------------------------------------------------------------

const editor = new Editor(part("text"), part("numbers"), part("glow"));
let unkept = ""; // what was last told about drafts that cannot be kept

async function sendDraft(text, page, turn) {
  const asked = { page, turn };
  const { status, data } =
    text === null
      ? await post("/draft/drop", asked)
      : await post("/draft/keep", { ...asked, text, seen: saving.seen });
  const why = status === 200 ? "" : data.error;
  if (why && why !== unkept) tell(`Your text is not kept as a draft (${why}). Save it soon.`);
  unkept = why;
  return !why;
}

const drafts = new Drafts(() => (saving.edited ? editor.text : null), sendDraft);
const saving = new Saving(
  editor,
  {
    save: part("save"),
    changed: part("changed"),
    again: part("again"),
    difference: part("difference"),
    look: part("look"),
    keepMine: part("keep-mine"),
    takeTheirs: part("take-theirs"),
    later: part("later"),
    foreign: part("foreign"),
    foreignWords: part("foreign-words"),
    asUtf8: part("as-utf8"),
    notNow: part("not-now"),
  },
  { state: showState, tell, decide: (words, choice) => tell(words, choice) },
  drafts,
);

const offer = new Offer(
  {
    bar: part("draft"),
    words: part("draft-words"),
    show: part("draft-show"),
    drop: part("draft-drop"),
  },
  async (draft) => {
    // What was typed before the offer was taken is offered in its turn.
    if (saving.edited && !(await drafts.setAside())) return false;
    saving.adopt(draft);
    return drafts.flush();
  },
  tell,
);

function placeOfTouched(id, isNote) {
  if (isNote) return tunes.map((tune) => tune.notes[id]).find((found) => found);
  const found = tunes.flatMap((tune) => tune.measures).find((measure) => measure.id === id);
  return found && [found.rows[0], found.columns[0], found.columns[1] - found.columns[0]];
}

const sheet = new Sheet(
  part("sheet"),
  (id, isNote) => {
    const place = placeOfTouched(id, isNote);
    if (!place) return;
    quiet = true;
    editor.select(...place, true);
    atCaret();
  },
  (id) => {
    const [line, column] = placeOfTouched(id, true);
    const found = light(line, column, true);
    editor.show(line, column);
    part("spoken").textContent = `Measure ${found?.number ?? ""}: line ${line}, column ${column}`;
  },
);

const choices = new Choices(
  () => editor.text,
  (text, words) => {
    editor.replace(text);
    tell(words);
  },
  tell,
);

const worklist = new Worklist(part("list"), part("count"), (item, row) => {
  if (!item.line) return;
  const isMeasure = item.kind === "unsure";
  const found = measuresAt(allMeasures(), item.line, item.column)[0];
  const width = isMeasure && found ? found.columns[1] - found.columns[0] : 1;
  editor.select(item.line, item.column, width, !isMeasure);
  light(item.line, item.column, true);
  if (isMeasure) choices.toggle(item, row);
});

const allMeasures = () => tunes.flatMap((tune) => tune.measures);

/** Light up what stands at a place, in the text and on the sheet; the measure found there. */
function light(line, column, seek) {
  const measures = measuresAt(allMeasures(), line, column);
  const notes = tunes.flatMap((tune) => notesAt(tune.notes, line, column));
  sheet.light(measures.map((measure) => measure.id), notes, seek);
  editor.light(measures[0]);
  return measures[0];
}

let lastCaret = "";

function atCaret() {
  const { line, column } = editor.caret();
  const now = `${line}:${column}`;
  if (now === lastCaret) return;
  lastCaret = now;
  light(line, column, !quiet);
  quiet = false;
}

document.addEventListener("selectionchange", () => {
  if (document.activeElement === editor.area) atCaret();
});
for (const kind of ["keyup", "click"]) editor.area.addEventListener(kind, atCaret);

// Engraving ------------------------------------------------------------------------------------

function show(data, text) {
  const bad = data.tunes.length === 0;
  if (bad) worklist.show(data.items);
  else listing.ask(text);
  markOlder(bad ? "older: the text cannot be read as it is now" : "");
  if (bad) return;
  tunes = data.tunes;
  sheet.show(tunes);
  const findings = tunes.flatMap((tune) => tune.findings);
  part("findings").replaceChildren(
    ...findings.map((words) => Object.assign(document.createElement("li"), { textContent: words })),
  );
  const { line, column } = editor.caret();
  light(line, column, false);
}

function markOlder(words) {
  part("older").textContent = words;
  part("sheet").classList.toggle("older", words !== "");
}

const listing = new Latest(async (text) => {
  if (text !== editor.text) return; // another one is under way
  const { status, data } = await post("/items", { text });
  if (status === 200 && text === editor.text) worklist.show(data);
}, LIST_PAUSE);

const engraving = new Latest(async (text) => {
  try {
    const { status, data } = await post("/preview", { page: drafts.page, text });
    if (status !== 200) {
      markOlder("older: the engraver gave no answer");
      tell(data.error);
    } else if (!data.newer) {
      show(data, text);
    }
  } catch (error) {
    markOlder("older: the bench does not answer");
    if (!(error instanceof TypeError)) throw error;
  }
}, PAUSE);

editor.area.addEventListener("input", () => {
  saving.show();
  engraving.ask(editor.text);
});
document.addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && !event.altKey && event.key.toLowerCase() === "s") {
    event.preventDefault();
    saving.save();
  }
});

let wasLost = false;
listen(
  {
    file: ({ seen }) => saving.fileChanged(seen),
    engraver: ({ words }) => tell(words),
  },
  (lost) => {
    if (lost) tell("The bench does not answer. Is it still running? Your text is still here.");
    else if (wasLost) {
      tell("");
      saving.check();
      drafts.touch();
      engraving.ask(editor.text);
    }
    wasLost = lost;
  },
);

window.addEventListener("pagehide", () => drafts.flush());
document.addEventListener("visibilitychange", () => document.hidden && drafts.flush());

await saving.open();
engraving.ask(editor.text);
await offer.open();
