// Time that goes on only when a test says so: the audio clock, the intervals and the frames of the
// page, sixty frames a second. However slow the machine is, the page sees the same moments.
(() => {
  const FRAME = 1 / 60; // seconds
  const PATIENCE = 60_000; // milliseconds of the real clock, so that nothing hangs for ever
  const intervals = new Map();
  const frames = new Map();
  let made = 0;

  const time = {
    now: 10, // seconds of the audio clock
    latency: 0, // seconds from the audio clock to the loudspeaker

    /** One frame: intervals that are due, each at its own moment, then what was asked for a frame. */
    frame() {
      const end = time.now + FRAME;
      for (;;) {
        const due = [...intervals.values()].filter((each) => each.due <= end);
        if (!due.length) break;
        const first = due.reduce((a, b) => (b.due < a.due ? b : a));
        time.now = first.due;
        first.due += first.seconds;
        first.run();
      }
      time.now = end;
      const asked = [...frames.values()];
      frames.clear();
      for (const run of asked) run(time.now * 1000);
    },

    /** Go on for so many seconds. */
    async pass(seconds) {
      for (const end = time.now + seconds; time.now < end; await null) time.frame();
    },

    /** Go on until something is so; while the page waits for the browser itself, wait too. */
    async until(condition, most) {
      const end = time.now + most;
      const patience = Date.now() + PATIENCE;
      for (let count = 0; !condition(); count += 1) {
        if (time.now > end || Date.now() > patience) throw new Error(`never: ${condition}`);
        const waiting = !intervals.size && !frames.size;
        if (!waiting) time.frame();
        // After each frame what observes the document is told, as in a real one.
        await (waiting || count % 20 === 0 ? new Promise((done) => setTimeout(done, 2)) : null);
      }
    },
  };

  window.steppedTime = time;
  window.setInterval = (run, milliseconds) => {
    const seconds = milliseconds / 1000;
    intervals.set((made += 1), { run, seconds, due: time.now + seconds });
    return made;
  };
  window.clearInterval = (number) => intervals.delete(number);
  window.requestAnimationFrame = (run) => (frames.set((made += 1), run), made);
  window.cancelAnimationFrame = (number) => frames.delete(number);
  const own = AudioContext.prototype;
  Object.defineProperty(own, "currentTime", { get: () => time.now });
  Object.defineProperty(own, "outputLatency", { get: () => time.latency });
})();
