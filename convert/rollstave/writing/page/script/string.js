// A plucked string, computed sample by sample.
//
// Karplus & Strong, "Digital Synthesis of Plucked-String and Drum Timbres", Computer Music Journal
// 7(2), 1983: a delay line as long as one period, filled with a burst, whose output comes back
// through the mean of two neighbours. That loop has a whole number of samples and a half, which
// is out of tune by many cents on high notes; so an all-pass filter makes up the fraction that is
// missing: Jaffe & Smith, "Extensions of the Karplus-Strong Plucked-String Algorithm", same issue.

const MEAN_DELAY = 0.5; // of the mean of two neighbours, in samples, at every frequency
const LEAST = 0.2; // the all-pass filter behaves well for fractions from here to one above
const PICK = 0.14; // where the string is picked, as a share of its length from the bridge
const NOISE = 0.45; // share of noise in the burst: the scratch of the pick

/** Equal temperament at A4 = 440 Hz (ISO 16). */
export const frequencyOf = (midi) => 440 * 2 ** ((midi - 69) / 12);

/** Seconds until a note has died away (60 dB): low strings ring longer. Our choice, by ear. */
export const ringingTime = (frequency) => Math.min(2.6, Math.max(0.7, 1.9 * (262 / frequency) ** 0.5));

/**
 * The sound of one string as samples between -1 and 1.
 *
 * `soft` leaves out the pick: what a finger of the left hand sets going. `seconds` is how long;
 * `seed` makes the burst, so that the same note sounds the same each time.
 */
export function pluck(frequency, rate, { seconds, soft = false, seed = 1, ring } = {}) {
  const turn = (2 * Math.PI * frequency) / rate; // radians a sample
  const period = rate / frequency;
  const whole = Math.floor(period - MEAN_DELAY - LEAST);
  const fraction = period - MEAN_DELAY - whole;
  const allPass = Math.sin((turn * (1 - fraction)) / 2) / Math.sin((turn * (1 + fraction)) / 2);
  const time = ring ?? ringingTime(frequency);
  // What the mean takes from the fundamental already is not taken again.
  const loss = Math.min(0.99995, 10 ** ((-3 * period) / (rate * time)) / Math.cos(turn / 2));

  const made = new Float32Array(Math.ceil(rate * (seconds ?? time)));
  const start = burst(whole + 1, soft, seed);
  const line = new Float32Array(whole + 1);
  let at = 0;
  let lastMean = 0;
  let lastPassed = 0;
  for (let n = 0; n < made.length; n += 1) {
    // `line` is a ring: `at` holds what was written `whole + 1` samples ago, the next is younger.
    const oldest = line[at];
    const younger = line[at + 1 > whole ? 0 : at + 1];
    const mean = 0.5 * (oldest + younger);
    const passed = allPass * mean + lastMean - allPass * lastPassed;
    lastMean = mean;
    lastPassed = passed;
    const value = loss * passed + (n < start.length ? start[n] : 0);
    line[at] = value;
    made[n] = value;
    at = at + 1 > whole ? 0 : at + 1;
  }
  return level(made, rate);
}

/** One period of what starts the string: its shape when let go, and some noise, without a mean. */
function burst(length, soft, seed) {
  const made = new Float32Array(length);
  const near = Math.max(1, Math.round(PICK * length));
  let state = (seed * 2654435761) >>> 0;
  let sum = 0;
  for (let n = 0; n < length; n += 1) {
    state = (state * 1664525 + 1013904223) >>> 0;
    const noise = state / 2147483648 - 1;
    const shape = n < near ? 1 : -near / (length - near || 1);
    made[n] = shape * (1 - NOISE) + noise * NOISE;
    sum += made[n];
  }
  for (let n = 0; n < length; n += 1) made[n] -= sum / length;
  for (let turn = 0; soft && turn < 6; turn += 1) {
    for (let n = 0; n < length; n += 1) {
      made[n] = 0.5 * made[n] + 0.25 * (made[n ? n - 1 : length - 1] + made[(n + 1) % length]);
    }
  }
  return made;
}

/** The loudest sample becomes 0.9; the end fades, so that a cut note does not tick. */
function level(made, rate) {
  let loudest = 1e-9;
  for (const value of made) loudest = Math.max(loudest, Math.abs(value));
  const fade = Math.min(made.length, Math.round(0.03 * rate));
  for (let n = 0; n < made.length; n += 1) {
    made[n] *= 0.9 / loudest;
    if (n >= made.length - fade) made[n] *= (made.length - n) / fade;
  }
  return made;
}
