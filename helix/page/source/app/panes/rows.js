// Rows of labelled fields that can be added and taken away.
import { el } from "../dom.js";
import { Fields } from "./form.js";

export class Rows {
  /** what: what a row is ("Piece"); fields(row): the fields of a row; changed(): after any change. */
  constructor(what, fields, changed) {
    Object.assign(this, { what, fields, changed, rows: [] });
    this.list = el("div", { class: "rows" });
    const add = el("button", { class: "plain", onclick: () => {
      this.add().inputs.values().next().value.focus();
      changed();
    } }, `Add a ${what.toLowerCase()}`);
    this.element = el("div", {}, this.list, add);
  }

  get values() {
    return this.rows.map(({ made }) => Object.fromEntries([...made.inputs].map(([name, input]) => [name, input.value.trim()])));
  }

  /** Show faults at the fields of the rows that they belong to ("piece 2.length"); those that found none. */
  faults(faults) {
    for (const { made } of this.rows) made.faults([]);
    return faults.filter((fault) => {
      const [, what, n] = /^(\w+) (\d+)\./.exec(fault.key || "") ?? [];
      const row = what === this.what.toLowerCase() && this.rows[n - 1];
      return !row || row.made.faults([fault], true).length > 0;
    });
  }

  focusFault() {
    return this.rows.some(({ made }) => made.focusFault());
  }

  set(values) {
    this.rows = [];
    this.list.replaceChildren();
    for (const each of values) this.add(each);
  }

  add(values = {}) {
    const made = new Fields(this.fields(), this.changed);
    for (const [name, value] of Object.entries(values)) if (made.inputs.has(name)) made.set(name, value);
    const remove = el("button", { class: "plain remove" }, "Take away");
    const row = { made, remove, set: el("fieldset", { class: "row-of-fields" }, el("legend", {}), made.element, remove) };
    remove.addEventListener("click", () => {
      const at = this.rows.indexOf(row);
      this.rows.splice(at, 1);
      row.set.remove();
      this.#name();
      (this.rows[Math.min(at, this.rows.length - 1)]?.set.querySelector("input") || this.element.querySelector("button")).focus();
      this.changed();
    });
    this.rows.push(row);
    this.list.append(row.set);
    this.#name();
    return made;
  }

  #name() {
    this.rows.forEach(({ set, remove }, k) => {
      set.querySelector("legend").textContent = `${this.what} ${k + 1}`;
      remove.setAttribute("aria-label", `Take ${this.what.toLowerCase()} ${k + 1} away`);
      remove.hidden = this.rows.length === 1;
    });
  }
}
