// The knobs in the order of the hands: each with its value, its reset, what it means and what is wrong with it.
import { at, changed } from "./address.js";
import { Choice } from "./choosing.js";
import { el, fresh } from "./dom.js";
import { Slider } from "./slider.js";

const NUMBERS = ["length", "force", "count", "share", "angle"];
const FOLDED = ["tolerance"];

class Knob {
  constructor(knob, app) {
    Object.assign(this, { knob, app });
    const ids = { main: fresh("knob"), label: fresh("label"), help: fresh("help"), fault: fresh("fault"), typed: fresh("typed") };
    ids.described = `${ids.help} ${ids.fault}`;
    const Made = NUMBERS.includes(knob.kind) ? Slider : Choice;
    this.control = new Made(knob, ids, {
      tried: (value) => app.tryRecipe(this.#with(value), knob.key),
      taken: (value) => this.#take(value, `${knob.label} ${value ?? "left open"}`),
    });
    const few = this.control.few;
    this.word = el("span", { class: "word-open" });
    this.reset = el("button", { class: "reset", onclick: () => this.#take(this.back ?? undefined, `${knob.label} reset`) }, "\u21ba");
    this.help = el("span", { class: "unseen", id: ids.help }, knob.help);
    this.wrong = el("p", { class: "wrong", id: ids.fault, hidden: true });
    this.note = el("p", { class: "small", hidden: true }, knob.note_of_two || "");
    const { title } = app.start.groups.find((group) => group.name === knob.group);
    const apart = app.start.knobs.some((other) => other !== knob && other.label === knob.label); // for who hears it alone
    const label = el(few ? "span" : "label", { id: ids.label, class: "label", for: few ? null : ids.main }, knob.label,
      apart ? el("span", { class: "unseen" }, `, ${title}`) : "");
    const [first, ...rest] = this.control.nodes;
    this.element = el("div", { class: `knob ${knob.kind}`, "data-key": knob.key },
      el("div", { class: "line" }, label, this.word, this.reset, rest.length || few ? first : ""),
      ...(rest.length || few ? rest : [first]), this.help, this.note, this.wrong);
    const tell = () => app.explain(knob.label, knob.help, this.control.sense);
    this.element.addEventListener("pointerenter", tell);
    this.element.addEventListener("focusin", tell);
  }

  /** filled: what the knobs stand at; list: of wires; sensible: where it goes with the joint. */
  show(recipe, filled, list, sensible) {
    const { knob } = this;
    const said = at(recipe, knob.key), given = said === knob.word ? undefined : said; // "tangent" is the same as left open
    const wires = at(recipe, "wire.count") ?? 1;
    this.element.hidden = Boolean(knob.only) && (at(recipe, knob.only.key) ?? 1) !== knob.only.value;
    this.note.hidden = !knob.note_of_two || wires !== 2;
    const units = recipe.units === "inch" ? "inch" : "metric", usual = units === "inch" ? knob.default_inch : knob.default;
    this.back = wires === 2 ? knob.default_of_two ?? usual : usual;
    const back = this.back === null ? knob.open || "left open" : this.back;
    this.reset.setAttribute("aria-label", `Reset ${knob.label} to ${back}`);
    this.reset.title = `Reset to ${back}`;
    this.control.show(given, filled?.[knob.key], knob.scales?.[units], list, sensible?.[knob.key]);
    this.word.textContent = given === undefined ? knob.open || "" : "";
    const same = given === undefined ? true : this.back !== null && String(given) === String(this.back);
    this.reset.classList.toggle("idle", same);
    this.reset.tabIndex = same ? -1 : 0;
    if (same) this.reset.setAttribute("aria-hidden", "true");
    else this.reset.removeAttribute("aria-hidden");
  }

  fault(message) {
    this.wrong.hidden = !message;
    this.wrong.textContent = message || "";
    this.element.classList.toggle("faulty", Boolean(message));
    for (const input of this.element.querySelectorAll("input, select")) {
      if (message) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
    }
  }

  #with(value) {
    return changed(this.app.state.kept, this.knob.key, value, value === undefined ? [] : this.knob.drops);
  }

  #take(value, say) {
    this.app.setRecipe(this.#with(value), say, this.knob.key);
  }
}

export class Knobs {
  constructor(holder, app) {
    Object.assign(this, { holder, app });
    const { groups, knobs } = app.start;
    this.knobs = new Map(knobs.map((knob) => [knob.key, new Knob(knob, app)]));
    const made = groups.map((group) => {
      const id = fresh("group");
      const own = knobs.filter((knob) => knob.group === group.name).map((knob) => this.knobs.get(knob.key).element);
      if (!own.length) return "";
      const title = el("h2", { id }, group.title);
      if (!FOLDED.includes(group.name)) return el("section", { class: "group", "aria-labelledby": id }, title, ...own);
      return el("details", { class: "group", "aria-labelledby": id }, el("summary", {}, title), ...own);
    });
    this.help = el("p", { class: "explain", "aria-hidden": "true" }, "");
    this.help.classList.add("idle");
    this.help.append("Marked on each slider: green: usual range; grey: not set, worked out.");
    holder.append(...made, el("p", { class: "cautions" }, app.start.cautions.join(" ")), this.help);
  }

  explain(label, help, sense) {
    this.help.classList.remove("idle");
    this.help.replaceChildren(el("b", {}, `${label}. `), `${help} ${sense}`.trim());
  }

  show(recipe, filled, sensible) {
    const material = at(recipe, "wire.material") || "";
    const wires = { list: this.app.start.wires, material, units: this.app.units };
    for (const knob of this.knobs.values()) knob.show(recipe, filled, wires, sensible);
  }

  /** Faults at the knobs that they belong to; how many found theirs. */
  faults(faults) {
    let found = 0;
    for (const [key, knob] of this.knobs) {
      const own = faults.filter((fault) => fault.key === key);
      knob.fault(own.map((fault) => fault.message).join("; "));
      found += own.length;
    }
    return found;
  }

  /** What a key is called, "" where it has no knob. */
  label(key) {
    return this.knobs.get(key)?.knob.label || "";
  }

  focus(key) {
    const element = this.knobs.get(key)?.element;
    if (!element) return;
    this.app.toKnobs();
    const folded = element.closest("details");
    if (folded) folded.open = true;
    element.querySelector("input, select, .row button")?.focus();
  }
}
