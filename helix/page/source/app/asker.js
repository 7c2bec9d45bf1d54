// Answers for a joint that changes under the hand: one question at a time, and of those that wait only the newest.
import { dropped, post } from "./api.js";

export class Asker {
  /** answered(reply, asked), failed(faults, asked); asked is what was given to `want`. */
  constructor(answered, failed) {
    this.answered = answered;
    this.failed = failed;
    this.next = null;
    this.now = null;
  }

  /** {recipe, draft, units, pulls}: pulls, if any, are own pieces of the joint; a draft is quick and rough, and gives way to whatever comes after it. */
  want(asked) {
    this.next = asked;
    if (!this.now) this.#go();
    else if (!this.now.asked.draft) this.now.stop.abort();
  }

  get busy() {
    return Boolean(this.now || this.next);
  }

  async #go() {
    const asked = this.next, stop = new AbortController();
    this.next = null;
    this.now = { asked, stop };
    const { recipe, draft, units, pulls } = asked;
    let tell;
    try {
      const reply = await post("/api/joint", { recipe, draft, units, ...(pulls && !draft ? { pulls } : {}) }, { signal: stop.signal });
      if (draft || !this.next) tell = () => this.answered(reply, asked);
    } catch (error) {
      const late = draft && error.status === 503; // the server is busy; the full answer comes when the hand rests
      if (late && (asked.tries ?? 0) < 5) {
        await new Promise((again) => setTimeout(again, 200));
        this.next ??= { ...asked, tries: (asked.tries ?? 0) + 1 };
      }
      if (!dropped(error) && !this.next && !late) {
        if (!error.faults) console.error(error);
        tell = () => this.failed(error.faults || [{ place: "", key: "", message: `A fault of this page: ${error.message}` }], asked);
      }
    }
    this.now = null;
    if (this.next) this.#go(); // it is worked out while this answer is drawn
    tell?.();
  }
}
