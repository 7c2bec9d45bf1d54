// Answers on joints that are looked at beside the one in hand: each is asked for once.
import { post } from "./api.js";

const MOST = 24;

export class Joints {
  constructor(app) {
    Object.assign(this, { app, known: new Map() });
    app.subscribe((what) => what === "answer" && !app.answer.draft && this.#keep(this.#key(app.state.kept), Promise.resolve(app.answer)));
  }

  /** The whole answer on a joint, by its recipe's tables. */
  of(recipe) {
    const key = this.#key(recipe);
    if (!this.known.has(key)) {
      const asked = post("/api/joint", { recipe, draft: false, units: this.app.units });
      asked.catch(() => this.known.delete(key));
      this.#keep(key, asked);
    }
    return this.known.get(key);
  }

  #key(recipe) {
    return JSON.stringify([recipe, this.app.units]);
  }

  #keep(key, answer) {
    this.known.delete(key);
    this.known.set(key, answer);
    if (this.known.size > MOST) this.known.delete(this.known.keys().next().value);
  }
}
