// A knob that is a number: a slider with its sensible range marked, and the value to type.
import { amount, rounded, told, typed, valueOf } from "./amount.js";
import { el } from "./dom.js";

export class Slider {
  /** tried(value): while it moves; taken(value): when it is let go or typed (undefined: nothing typed). */
  constructor(knob, ids, { tried, taken }) {
    this.knob = knob;
    this.held = false;
    const described = { "aria-describedby": ids.described };
    this.range = el("input", { type: "range", id: ids.main, ...described,
      oninput: () => {
        this.held = true;
        this.text.value = this.#told();
        this.#open(false);
        tried(this.#value());
      },
      onchange: () => this.#let(taken),
      ...Object.fromEntries(["pointerup", "pointercancel", "keyup", "blur"].map((name) => [`on${name}`, () => this.#back(taken)])) });
    this.text = el("input", { type: "text", class: "typed", autocomplete: "off", spellcheck: "false",
      "aria-labelledby": `${ids.label} ${ids.typed}`, ...described,
      onchange: () => taken(typed(this.text.value, this.scale.unit)),
      onkeydown: (event) => event.key === "Enter" && this.text.select() });
    this.typed = el("span", { class: "unseen", id: ids.typed }, "typed");
    this.sensible = el("span", { class: "sensible" });
    this.track = el("span", { class: "track" }, this.sensible, this.range);
    const step = (sign, by) => el("button", { class: "stepper", tabindex: "-1", "aria-hidden": "true", onclick: () => {
      by();
      this.#let(taken);
    } }, sign); // for fingers: keys step the slider itself
    this.slide = el("span", { class: "slide" }, step("\u2212", () => this.range.stepDown()), this.track, step("+", () => this.range.stepUp()));
  }

  get nodes() {
    return [this.text, this.slide, this.typed];
  }

  #let(taken) {
    this.held = false;
    taken(this.#value());
  }

  /** A slider that came back to where it was is let go too, though nothing tells of a change. */
  #back(taken) {
    setTimeout(() => this.held && this.#let(taken));
  }

  /** given: the recipe's value or undefined; filled: what stands there now, as text. */
  show(given, filled, scale, wires, sensible = scale.sensible) {
    const { range } = this;
    if (scale !== this.scale) this.#scaled(scale);
    if (String(sensible) !== String(this.marked)) this.#marked(sensible);
    if (this.held) return;
    const open = given === undefined;
    const places = [given, filled].map(amount).filter((found) => found && found.unit === scale.unit);
    if (places.length) range.value = places[0].number;
    else if (open) range.value = range.min; // it stands for nothing
    if (document.activeElement !== this.text || this.text.value === this.shown) {
      this.shown = this.text.value = this.text.dataset.shown = open ? String(filled ?? "") : this.#words(given);
    }
    range.setAttribute("aria-valuetext", open ? `${filled ?? ""}, ${this.knob.open || "left open"}` : this.#words(given));
    this.#open(open);
  }

  #words(value) {
    return told(value);
  }

  #scaled(scale) {
    this.scale = scale;
    const { range } = this;
    [range.min, range.max, range.step] = [scale.low, scale.high, scale.step];
    this.marked = null;
  }

  /** Mark the sensible range [from, to] on the track; null: there is none to mark. */
  #marked(sensible) {
    this.marked = sensible;
    this.sensible.hidden = !sensible;
    if (!sensible) return;
    const { low, high } = this.scale;
    const share = (value) => Math.min(Math.max((value - low) / (high - low), 0), 1);
    this.sensible.style.setProperty("--from", share(sensible[0]));
    this.sensible.style.setProperty("--to", share(sensible[1]));
  }

  #open(yes) {
    this.range.classList.toggle("open", yes);
    this.text.classList.toggle("open", yes);
  }

  #value() {
    return valueOf(rounded(Number(this.range.value), this.scale.step), this.scale.unit);
  }

  #told() {
    return String(this.#value());
  }

  /** The sensible range in words. */
  get sense() {
    const { marked, scale } = this;
    return marked ? `Sensible: ${marked[0]} to ${marked[1]}${scale.unit ? ` ${scale.unit}` : ""}.` : "";
  }
}
