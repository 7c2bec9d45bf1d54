// Knobs that are a choice or a text: buttons for a few, a list for many, the wires with what each breaks at.
import { el } from "./dom.js";

const FEW = 3;

export class Choice {
  constructor(knob, ids, { taken }) {
    this.knob = knob;
    this.few = knob.kind === "choice" && knob.options.length <= FEW;
    const described = { "aria-describedby": ids.described };
    if (knob.kind === "text") {
      this.input = el("input", { type: "text", id: ids.main, class: "wide", autocomplete: "off", ...described,
        onchange: () => taken(this.input.value.trim() || undefined) });
    } else if (this.few) {
      const buttons = knob.options.map(({ value, text }) => el("button", { value, onclick: () => taken(value) }, text));
      this.input = el("div", { class: "row", role: "group", "aria-labelledby": ids.label, ...described }, ...buttons);
    } else {
      this.input = el("select", { id: ids.main, class: "wide", ...described, onchange: () => taken(this.input.value) });
      if (knob.kind === "choice") this.#list(knob.options);
    }
  }

  get nodes() {
    return [this.input];
  }

  /** wires: {list, material, units} for the list of wires. */
  show(given, filled, scale, wires) {
    const value = given ?? filled ?? "";
    this.input.classList.toggle("open", given === undefined);
    if (this.few) {
      for (const button of this.input.children) button.setAttribute("aria-pressed", button.value === String(value));
      return;
    }
    if (this.knob.kind === "wire") this.#wires(wires);
    if (this.input.tagName === "SELECT") this.#other(value);
    if (document.activeElement !== this.input || this.input.tagName === "SELECT") this.input.value = value;
  }

  /** A value that is not in the list gets a place of its own. */
  #other(value) {
    const { input } = this;
    input.querySelector("option[data-other]")?.remove();
    if ([...input.options].some((option) => option.value === String(value))) return;
    input.prepend(el("option", { value, "data-other": true }, value === "" ? this.knob.open || "" : String(value)));
  }

  #list(options) {
    this.input.replaceChildren(...options.map(({ value, text }) => el("option", { value }, text)));
  }

  #wires({ list, material, units }) {
    const drawn = `${material}|${units}`;
    if (drawn === this.drawn) return;
    this.drawn = drawn;
    this.other ??= this.input.after(el("p", { class: "small" }, "Not listed? Type the wire's diameter below: it goes before the size.")) ?? true;
    const families = new Map();
    for (const wire of list) {
      const family = wire.size.split(" ")[0];
      const breaks = wire.breaks?.[material]?.[units];
      const text = [wire.size, wire.diameter[units], breaks || "not drawn in this material"].join(", ");
      if (!families.has(family)) families.set(family, []);
      families.get(family).push(el("option", { value: wire.size }, text));
    }
    this.input.replaceChildren(...[...families].map(([family, options]) => el("optgroup", { label: family }, ...options)));
  }

  get sense() {
    return "";
  }
}
