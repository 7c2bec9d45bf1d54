// The joint in hand: its recipe, what was done to it (undo, redo), and the address that brings it back.
import { read, write } from "./address.js";
import { keep, recall } from "./keeping.js";

const KEPT = "helix.page", STEPS = "helix.page.steps";
const MOST = 200;
const MOST_KEPT = 50; // steps each way that a reload keeps
const SUCCESSION_MS = 900;
const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);

export class State {
  /** changed(what): "recipe" after anything that needs a new answer, "pane", "light". */
  constructor(first, changed) {
    this.changed = changed;
    this.done = [];
    this.undone = [];
    const found = read(location.hash) || read(String(recall("local", KEPT) ?? "")) || { recipe: first, pane: "", light: "" };
    Object.assign(this, found);
    this.#heard(found);
    this.kept = this.recipe;
    const steps = recall("session", STEPS);
    if (same(steps?.at, this.kept) && [steps.done, steps.undone].every(Array.isArray)) Object.assign(this, { done: steps.done, undone: steps.undone });
    this.#tell("replaceState");
    addEventListener("popstate", () => this.#arrive());
  }

  /** What the address says. */
  get address() {
    return { recipe: this.kept, pane: this.pane, light: this.light, pulled: this.pulled };
  }

  get units() {
    return this.recipe.units === "inch" ? "inch" : "metric";
  }

  /** Show a recipe that is only tried (a slider on its way): neither kept nor in the address. */
  try(recipe) {
    this.recipe = recipe;
    this.changed("draft");
  }

  /** Take a recipe as the joint in hand. say: what was done, for undo. knob: the one that was turned; what it
   *  does in quick succession is one step of undo. */
  set(recipe, say = "", knob = "") {
    if (same(recipe, this.kept)) {
      this.recipe = this.kept;
      return this.changed("recipe");
    }
    const now = performance.now(), last = this.last;
    const on = knob && last?.knob === knob && now - last.when < SUCCESSION_MS && this.done.length;
    this.last = { knob, when: now };
    if (!on) this.done.push({ recipe: this.kept, say });
    if (this.done.length > MOST) this.done.shift();
    this.undone = [];
    this.#take(recipe, on ? "replaceState" : "pushState");
  }

  /** One step back, or forward again; what it was, or null where there is none. */
  undo() {
    return this.#step(this.done, this.undone);
  }

  redo() {
    return this.#step(this.undone, this.done);
  }

  /** pulled: the pieces that the joint in hand is judged by, for its address; null where there are none. */
  tell(pulled) {
    if (same(pulled, this.pulled ?? null)) return;
    this.pulled = pulled;
    this.#tell("replaceState");
  }

  /** What an address tells of pieces is kept for the joints that come of its own. sent: the pieces themselves. */
  #heard({ recipe, pulled }) {
    this.sent = pulled?.sent ?? null;
    this.came = pulled && !pulled.sent ? { recipe, ...pulled } : null;
  }

  show(pane) {
    if (pane === this.pane) return;
    this.pane = pane;
    this.#tell("replaceState");
    this.changed("pane");
  }

  shine(light) {
    this.light = light;
    this.#tell("replaceState");
    this.changed("light");
  }

  #step(from, to) {
    const step = from.pop();
    if (!step) return null;
    to.push({ recipe: this.kept, say: step.say });
    this.last = null;
    this.#take(step.recipe);
    return step.say || "change";
  }

  #take(recipe, how = "pushState") {
    this.recipe = this.kept = recipe;
    this.pulled = null; // told anew once it is judged
    this.#tell(how);
    this.changed("recipe");
  }

  #tell(how) {
    const text = write(this.address);
    if (`#${text}` !== location.hash) history[how](null, "", `#${text}`);
    keep("local", KEPT, text); // where a browser keeps nothing, the address still holds the joint
    const [done, undone] = [this.done, this.undone].map((steps) => steps.slice(-MOST_KEPT));
    keep("session", STEPS, { at: this.kept, done, undone });
  }

  /** The address changed by itself: back, forward, or typed by hand. */
  #arrive() {
    const found = read(location.hash);
    if (!found) return;
    const { kept, pane, light } = this;
    Object.assign(this, found, { pane: found.pane || pane, light: found.light });
    if (this.pane !== pane) this.changed("pane");
    if (this.light !== light) this.changed("light");
    if (found.pulled) this.#heard(found);
    if (same(kept, found.recipe)) return found.pulled?.sent && this.changed("sent");
    this.done.push({ recipe: kept, say: "going to another address" });
    this.undone = [];
    this.kept = found.recipe;
    if (found.pulled?.sent) this.changed("sent");
    this.changed("recipe");
  }
}
