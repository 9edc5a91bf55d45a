// Words for those who listen instead of looking; while the tune plays, only what they did is told.

const ORDINARY = { T: "thumb", I: "index finger", M: "middle finger" };

export class Telling {
  constructor(region, score) {
    this.region = region;
    this.score = score;
  }

  say(words) {
    this.region.textContent = words;
  }

  step(step) {
    this.say(`Measure ${this.score.measures[step.m].number}, ${this.beat(step)}: ${this.notes(step)}`);
  }

  /** The beat of an event, in words: "beat 2", "after beat 2". */
  beat(step) {
    const { beats } = this.score.measures[step.m];
    const before = beats.filter(([at]) => at <= step.event.at + 1e-6).at(-1);
    if (!before) return "before the first beat";
    return Math.abs(before[0] - step.event.at) < 1e-6 ? `beat ${before[1]}` : `after beat ${before[1]}`;
  }

  notes(step) {
    const told = step.event.notes.map((note) => {
      const how = note.muted ? "muted" : note.fret ? `fret ${note.fret}, ${note.name}` : `open, ${note.name}`;
      const by = note.link ?? ORDINARY[note.finger];
      return `string ${note.string} ${how}${by ? `, ${by}` : ""}`;
    });
    return told.join("; ") || "rest";
  }
}
