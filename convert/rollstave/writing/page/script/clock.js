// Wakes up often and asks for what is due soon. Times are those of the audio clock, in seconds.
//
// A script cannot be relied on to run at a given moment, the audio hardware can: so whatever must
// sound is told ahead of time, a little further ahead than the script may be kept waiting.

const EVERY = 25; // milliseconds
const AHEAD = 0.22; // seconds
const AHEAD_UNSEEN = 2.5; // a page in the background is woken once a second at most

export class Clock {
  constructor(context, due) {
    this.context = context;
    this.due = due;
    this.timer = undefined;
  }

  start() {
    this.stop();
    this.timer = setInterval(() => this.wake(), EVERY);
    this.wake();
  }

  stop() {
    clearInterval(this.timer);
    this.timer = undefined;
  }

  wake() {
    this.due(this.context.currentTime + (document.hidden ? AHEAD_UNSEEN : AHEAD));
  }

  /** What the audio clock said when the sound left the machine that is heard now. */
  heard() {
    return this.context.currentTime - (this.context.outputLatency || 0);
  }
}
