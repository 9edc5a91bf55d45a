// The instrument: one sounding note for each string, everything told ahead of time.

import { frequencyOf, pluck, ringingTime } from "rollstave/string";

const LOUDNESS = { picked: 0.8, soft: 0.55, thud: 0.5 };
const GHOST = 0.4;
const GLIDE = 0.09; // seconds that a slide takes at most
const BEND = 0.14; // seconds from the pick to the top of a bend
const STEP = 2; // semitones from which a slide out of nowhere comes
const BRUSH = 0.011; // seconds between two strings of a brush
const SECONDS = 2.2; // of each note, kept in memory

export class Sound {
  constructor(context, output = context.destination) {
    this.context = context;
    this.kept = new Map(); // rendered notes by pitch and kind: each is computed once
    this.ringing = new Map(); // the voice of each string
    this.voices = new Set();
    this.out = this.#body(output);
  }

  /** The skin head: it carries no deep tones and is loudest in two regions. Our choice, by ear. */
  #body(output) {
    const { context } = this;
    const filter = (type, frequency, gain, q) => {
      const made = context.createBiquadFilter();
      made.type = type;
      made.frequency.value = frequency;
      made.gain.value = gain;
      made.Q.value = q;
      return made;
    };
    const parts = [
      filter("highpass", 110, 0, 0.6),
      filter("peaking", 650, 4, 0.9),
      filter("peaking", 2800, 3, 0.8),
      context.createDynamicsCompressor(),
      context.createGain(),
    ];
    parts.at(-1).gain.value = 0.7;
    parts.reduce((before, after) => (before.connect(after), after)).connect(output);
    return parts[0];
  }

  /** The samples of a note: computed at the first call, then kept. */
  buffer(midi, kind) {
    const name = `${midi} ${kind}`;
    if (!this.kept.has(name)) {
      const { sampleRate } = this.context;
      const thud = kind === "thud";
      const frequency = frequencyOf(midi);
      const samples = pluck(frequency, sampleRate, {
        seconds: thud ? 0.2 : Math.min(SECONDS, ringingTime(frequency)),
        ring: thud ? 0.07 : undefined,
        soft: kind !== "picked",
        seed: midi,
      });
      const made = this.context.createBuffer(1, samples.length, sampleRate);
      made.copyToChannel(samples, 0);
      this.kept.set(name, made);
    }
    return this.kept.get(name);
  }

  /** Compute every note of a tune now, so that nothing has to be computed while it plays. */
  prepare(notes) {
    for (const note of notes) this.buffer(note.midi, kindOf(note));
  }

  /** Sound the notes of an event at a time of the audio clock. */
  strike(notes, when, brush = false) {
    // A brush runs over the strings from the lowest line up.
    const order = brush ? [...notes].sort((a, b) => b.string - a.string) : notes;
    order.forEach((note, place) => this.#note(note, when + (brush ? place * BRUSH : 0)));
  }

  #note(note, when) {
    const before = this.ringing.get(note.string);
    if (note.link === "tie" && before) return;
    const slid = note.link === "slide" && before;
    if (before) this.#end(before, when, slid ? 0.03 : 0.008, slid ? note.midi : undefined);
    const kind = kindOf(note);
    const { context } = this;
    const source = context.createBufferSource();
    source.buffer = this.buffer(note.midi, kind);
    const gain = context.createGain();
    const loud = LOUDNESS[kind] * (note.ghost ? GHOST : 1);
    gain.gain.setValueAtTime(kind === "soft" ? 0.0001 : loud, when);
    if (kind === "soft") gain.gain.linearRampToValueAtTime(loud, when + (slid ? 0.03 : 0.006));
    source.connect(gain).connect(this.out);
    const voice = { source, gain, midi: note.midi, start: when };
    this.#colour(voice, note, when);
    source.start(when);
    this.voices.add(voice);
    source.onended = () => this.voices.delete(voice);
    this.ringing.set(note.string, voice);
  }

  /** Bends, slides out of nowhere and vibrato move the pitch of a note that sounds. */
  #colour({ source }, note, when) {
    const rate = source.playbackRate;
    if (note.from) {
      rate.setValueAtTime(2 ** ((-note.from * STEP) / 12), when);
      rate.exponentialRampToValueAtTime(1, when + GLIDE);
    } else if (note.bend) {
      rate.setValueAtTime(1, when);
      rate.exponentialRampToValueAtTime(2 ** (note.bend / 12), when + BEND);
    }
    if (note.to) {
      rate.setValueAtTime(1, when + GLIDE);
      rate.exponentialRampToValueAtTime(2 ** ((note.to * STEP) / 12), when + 2 * GLIDE);
    }
    if (note.vibrato) {
      const wave = this.context.createOscillator();
      const depth = this.context.createGain();
      wave.frequency.value = 5.5;
      depth.gain.value = 18; // cents
      wave.connect(depth).connect(source.detune);
      wave.start(when);
      wave.stop(when + SECONDS);
    }
  }

  /** A string that is struck again stops its former note; a slide takes that up to its target. */
  #end(voice, when, fade, target) {
    if (target !== undefined) {
      const begin = Math.max(voice.start + 0.01, when - GLIDE);
      voice.source.playbackRate.setValueAtTime(1, begin);
      voice.source.playbackRate.exponentialRampToValueAtTime(
        2 ** ((target - voice.midi) / 12),
        Math.max(when, begin + 0.01),
      );
    }
    voice.gain.gain.setTargetAtTime(0, when, fade / 3);
    voice.source.stop(when + 2 * fade);
  }

  /** Silence, now: what sounds fades quickly, what was told for later never starts. */
  hush() {
    const now = this.context.currentTime;
    for (const voice of this.voices) {
      voice.gain.gain.cancelScheduledValues(now);
      voice.gain.gain.setTargetAtTime(0, now, 0.012);
      voice.source.stop(voice.start > now ? now : now + 0.08);
    }
    this.voices.clear();
    this.ringing.clear();
  }

  /** A click of the beat; the first beat of a measure is higher. */
  click(when, first) {
    const source = this.context.createOscillator();
    const gain = this.context.createGain();
    source.frequency.value = first ? 1760 : 1320;
    gain.gain.setValueAtTime(0.22, when);
    gain.gain.exponentialRampToValueAtTime(0.0005, when + 0.05);
    source.connect(gain).connect(this.out);
    source.start(when);
    source.stop(when + 0.06);
    const voice = { source, gain, start: when };
    this.voices.add(voice);
    source.onended = () => this.voices.delete(voice);
  }
}

/** How a note begins: picked, by the left hand alone, or stopped dead. */
export function kindOf(note) {
  if (note.muted) return "thud";
  return note.link ? "soft" : "picked";
}
