// Doing one thing at a time for the newest of many wishes.

/** Calls `work(wish)` for the newest wish, a moment after it was made, never twice at once. A wish
 * that a newer one overtook while it waited is forgotten. `failed(error)` is told when work fails. */
export class Latest {
  constructor(work, pause, failed = console.error) {
    this.work = work;
    this.failed = failed;
    this.pause = pause;
    this.waiting = null;
    this.timer = null;
    this.busy = false;
  }

  ask(wish) {
    this.waiting = { wish };
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.next(), this.pause);
  }

  async next() {
    if (this.busy || this.waiting === null) return;
    const { wish } = this.waiting;
    this.waiting = null;
    this.busy = true;
    try {
      await this.work(wish);
    } catch (error) {
      this.failed(error);
    }
    this.busy = false;
    if (this.waiting !== null) this.ask(this.waiting.wish);
  }
}
