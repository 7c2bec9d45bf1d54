// What the joint in hand holds: asked for once the hand rests, since it takes seconds.
import { dropped, pane } from "./api.js";

const REST_MS = 600;

export class Hold {
  /** told(hold): {state: "waiting"|"done"|"failed", said, result}. */
  constructor(told) {
    this.told = told;
    this.timer = 0;
    this.unread = ""; // why the pieces cannot be used
    this.stop = null;
  }

  /** The joint is another one: what was being worked out is dropped. */
  forget() {
    clearTimeout(this.timer);
    this.stop?.abort();
    this.stop = null;
  }

  /** pulls: own pieces of it as a file {name, text}, or null; leftOut: what is said of those that are of another joint. */
  ask(recipe, units, pulls, leftOut = "") {
    this.forget();
    this.unread = "";
    this.leftOut = leftOut;
    this.told({ state: "waiting", said: "", result: null });
    this.timer = setTimeout(() => this.#run(recipe, units, pulls), REST_MS);
  }

  async #run(recipe, units, pulls) {
    const stop = (this.stop = new AbortController());
    const tell = (hold) => stop === this.stop && this.told(hold);
    try {
      const said = (line) => tell({ state: "waiting", said: line, result: null });
      const result = await pane("hold", { recipe, units, ...(pulls ? { pulls } : {}) }, { said, signal: stop.signal });
      const { unread, leftOut } = this;
      if (leftOut) result.head = { ...result.head, more: `${leftOut}. ${result.head.more}` };
      const head = unread ? { ...result.head, more: `By the model alone, your pull tests cannot be used: ${unread}. ${result.head.more}` } : result.head;
      tell({ state: "done", said: `${head.short}. ${head.more}`, head, result });
    } catch (error) {
      if (dropped(error) || stop !== this.stop) return;
      if (pulls && error.status === 422) {
        this.unread = error.faults[0].message;
        return this.#run(recipe, units, null);
      }
      tell({ state: "failed", said: error.message, result: null });
    }
  }
}
