// Answers on joints that are looked at beside the one in hand: each is asked for once.
import { post } from "./api.js";

const MOST = 24;

export class Joints {
  constructor(app) {
    Object.assign(this, { app, known: new Map() });
    app.subscribe((what) => what === "answer" && !app.answer.draft && this.#keep(this.#key(app.state.kept, app.pieces.of(app.state.kept)), Promise.resolve(app.answer)));
  }

  /** The whole answer on a joint, by its recipe's tables; pulls: own pieces of it, or null. */
  of(recipe, pulls = null) {
    const key = this.#key(recipe, pulls);
    if (!this.known.has(key)) {
      const asked = post("/api/joint", { recipe, draft: false, units: this.app.units, ...(pulls ? { pulls } : {}) });
      asked.catch(() => this.known.delete(key));
      this.#keep(key, asked);
    }
    return this.known.get(key);
  }

  #key(recipe, pulls) {
    return JSON.stringify([recipe, this.app.units, pulls]);
  }

  #keep(key, answer) {
    this.known.delete(key);
    this.known.set(key, answer);
    if (this.known.size > MOST) this.known.delete(this.known.keys().next().value);
  }
}
