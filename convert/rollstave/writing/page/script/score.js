// The score as the page was given it, and walks over it. Times are in quarter notes.

/** The data of the page; nothing in it is decided here. */
export function readScore(text) {
  const data = JSON.parse(text);
  data.steps = stepsOf(data);
  data.timeline = timelineOf(data);
  return data;
}

/**
 * Every event as it is played: `k` is the place in the order, `m` the measure, `e` the event;
 * `holding` are the notes that another voice holds meanwhile.
 */
function stepsOf(data) {
  return data.order.flatMap((m, k) => {
    const { events } = data.measures[m];
    return events.map((event, e) => {
      const holding = (event.holding ?? []).map(([from, string]) =>
        events[from].notes.find((note) => note.string === string),
      );
      return { at: data.starts[k] + event.at, k, m, e, event, holding };
    });
  });
}

/** Events, tied parts and beats in order of time; at one time the beat comes first. */
function timelineOf(data) {
  const items = data.steps.map((step, index) => ({ kind: "event", at: step.at, step, index }));
  for (const { k, m, event } of data.steps) {
    for (const part of event.held ?? []) {
      items.push({ kind: "held", at: data.starts[k] + part.at, ids: part.ids });
    }
  }
  data.order.forEach((m, k) => {
    for (const [at, number] of data.measures[m].beats) {
      items.push({ kind: "beat", at: data.starts[k] + at, number, k });
    }
  });
  const rank = { beat: 0, event: 1, held: 2 };
  return items.sort((a, b) => a.at - b.at || rank[a.kind] - rank[b.kind]);
}

/**
 * The stretch between two measures, as places in the order: of all stretches of the tune as it is
 * played that begin with the one and end with the other, the shortest. Null if there is none.
 */
export function stretch(order, first, last) {
  let best = null;
  let from = -1;
  order.forEach((m, k) => {
    if (m === first) from = k;
    if (m === last && from >= 0 && (!best || k - from < best[1] - best[0])) best = [from, k];
  });
  return best;
}

/** The stretch that has a name, of those of the page, from one measure to another. */
export function named(data, first, last) {
  return data.stretches?.find((one) => one.first === first && one.last === last);
}

/** Where a loop lies in the order: a stretch with a name where its maker put it. Null if nowhere. */
export function placesOf(data, first, last) {
  const one = named(data, first, last);
  return one ? [one.begins, one.ends] : stretch(data.order, first, last);
}

/** The step that plays an event of a measure, of all its turns the one nearest to `index`. */
export function nearestStep(data, m, e, index, inside = () => true) {
  const here = data.steps[index]?.k ?? 0;
  let best = -1;
  data.steps.forEach((step, i) => {
    if (step.m !== m || step.e !== e) return;
    const better =
      best < 0 ||
      inside(step.k) > inside(data.steps[best].k) ||
      (inside(step.k) === inside(data.steps[best].k) &&
        Math.abs(step.k - here) < Math.abs(data.steps[best].k - here));
    if (better) best = i;
  });
  return best;
}

/** Seconds from the beginning to a moment, at the tune's own tempo. */
export function secondsAt(data, at) {
  let [seconds, from, tempo] = [0, 0, data.tempo];
  for (const [start, next] of data.tempos ?? []) {
    if (start >= at) break;
    seconds += ((start - from) * 60) / tempo;
    [from, tempo] = [start, next];
  }
  return seconds + ((at - from) * 60) / tempo;
}

/** The tempo of what begins at a moment, in quarter notes a minute. */
export function tempoAt(data, at) {
  const begun = (data.tempos ?? []).filter(([start]) => start <= at + 1e-6);
  return begun.at(-1)?.[1] ?? data.tempo;
}

/** The beats to count before a step: a whole measure, and what of its own measure lies before. */
export function countBefore(data, step) {
  const measure = data.measures[step.m];
  const start = data.starts[step.k] - (measure.missing ?? 0);
  const found = [];
  const { bar, beat } = measure.bar ? measure : data;
  for (let at = start - bar, n = 0; at < step.at - 1e-6; at += beat, n += 1) {
    found.push({ at, number: (n % Math.round(bar / beat)) + 1 });
  }
  return found;
}
