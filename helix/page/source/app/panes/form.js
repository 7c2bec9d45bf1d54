// Labelled fields from a list, and what belongs to a form: its values, faults at its fields.
import { typed, UNITS } from "../amount.js";
import { el, fresh } from "../dom.js";

/**
 * Fields of a form. Each: {name, label, help, kind: "text"|"select"|"check"|"area", value, hint (shown while empty),
 * options: [[value, text]], wide, dimension: of a quantity, whose bare number takes the unit of the page (units())}. Blank ones are
 * left out of the values.
 */
export class Fields {
  constructor(fields, changed = () => {}) {
    this.inputs = new Map();
    this.wrong = new Map();
    this.element = el("div", { class: "fields" }, ...fields.map((field) => this.#field(field, changed)));
  }

  /** What stands in the fields, by name; ticks are true. */
  get values() {
    const found = {};
    for (const [name, input] of this.inputs) {
      if (input.type === "checkbox") {
        if (input.checked) found[name] = true;
      } else if (input.value.trim()) found[name] = input.value.trim();
    }
    return found;
  }

  set(name, value) {
    const input = this.inputs.get(name);
    if (input.type === "checkbox") input.checked = Boolean(value);
    else input.value = value ?? "";
  }

  /** Show faults at the fields that they belong to; those that found none. more: those shown stay. */
  faults(faults, more = false) {
    if (!more) for (const name of this.inputs.keys()) this.#fault(name, "");
    return faults.filter((fault) => {
      const name = nameOf(fault);
      if (!this.inputs.has(name)) return true;
      this.#fault(name, [this.wrong.get(name).textContent, fault.message].filter(Boolean).join("; "));
      return false;
    });
  }

  focusFault() {
    for (const input of this.inputs.values()) {
      if (!input.hasAttribute("aria-invalid")) continue;
      input.focus();
      return true;
    }
    return false;
  }

  #fault(name, message) {
    const input = this.inputs.get(name), line = this.wrong.get(name);
    line.textContent = message;
    line.hidden = !message;
    if (message) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  }

  #field({ name, label, help, kind = "text", value = "", hint = "", options = [], wide = false, dimension = null, units = null }, changed) {
    const id = fresh("field"), helpId = fresh("help"), wrongId = fresh("wrong");
    const shared = { id, "aria-describedby": help ? `${helpId} ${wrongId}` : wrongId, name, onchange: () => {
      if (units && UNITS[dimension]) input.value = typed(input.value, UNITS[dimension][units()]) ?? "";
      changed(name);
    } };
    let input;
    if (kind === "select") input = el("select", shared, ...options.map(([to, text]) => el("option", { value: to }, text)));
    else if (kind === "area") input = el("textarea", { ...shared, rows: 4, spellcheck: "false" });
    else input = el("input", { ...shared, type: kind === "check" ? "checkbox" : "text", placeholder: hint || null, autocomplete: "off", spellcheck: "false" });
    if (kind === "check") input.checked = Boolean(value);
    else if (value !== "") input.value = value;
    const wrong = el("p", { class: "wrong", id: wrongId, hidden: true });
    this.inputs.set(name, input);
    this.wrong.set(name, wrong);
    const word = el("label", { for: id }, label), more = help ? el("p", { class: "help", id: helpId }, help) : null;
    const inside = kind === "check" ? [el("div", { class: "tick" }, input, word), more, wrong] : [word, input, more, wrong];
    return el("div", { class: `field ${kind}${wide ? " wide" : ""}` }, ...inside);
  }
}

/** Fields as a task of the program tells them, those of these names in their order; own: what the pane adds, by name. */
export const fieldsOf = (app, task, names, own = {}) => names.map((name) => ({ ...app.start.fields[task].find((field) => field.name === name), units: () => app.units, ...own[name] }));

/** The field that a fault is about: the last part of its key. */
export const nameOf = (fault) => (fault.key || "").replace(/^.*\./, "");

/** What is not needed at first, behind a line to press. */
export function more(title, ...inside) {
  return el("details", { class: "more" }, el("summary", {}, title), ...inside);
}

/** A button that does the pane's work. */
export const goButton = (text, onclick, kind = "go") => el("button", { class: kind, onclick }, text);

/** The head of a pane: what it is for, in a line. */
export const intro = (title, text) => [el("h2", {}, title), el("p", { class: "intro" }, text)];

export const buttons = (...inside) => el("div", { class: "buttons" }, ...inside);
