// Pull tests typed or pasted into a table: a row a piece. They become the same file that a bench would bring.
import { amount } from "../amount.js";
import { el } from "../dom.js";
import { keep, recall } from "../keeping.js";

const KEPT = "helix.page.pulls";
const FEWEST = 5; // rows that stand ready
const COLUMNS = ["id", "load", "failure", "kind"];
const RECIPE = "joint.toml";
const quoted = (text) => (/[",\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

export class TypedPulls {
  /** changed(): some complete row is another one; opened(file): a whole file with a heading was pasted. */
  constructor(app, { changed, opened }) {
    Object.assign(this, { app, changed, opened });
    this.rows = recall("session", KEPT) || [];
    this.joints = el("select", { onchange: () => this.#done() }, el("option", { value: "2" }, "an eye at both ends"), el("option", { value: "1" }, "an eye at one end"));
    this.body = el("tbody", {});
    const heads = ["", "Piece", "Largest load", "How it ended", "What was pulled"].map((text) => el("th", { scope: "col" }, text));
    this.table = el("table", { class: "typed-pulls" }, el("thead", {}, el("tr", {}, ...heads)), this.body);
    this.table.addEventListener("paste", (event) => this.#paste(event));
    this.element = el("div", {}, el("label", { class: "joints" }, "Each piece of the joint in hand has ", this.joints),
      el("div", { class: "sideways", role: "group", "aria-label": "Pull tests, a row a piece" }, this.table));
    this.#draw();
  }

  /** Rows with a load and an end. */
  get complete() {
    return this.rows.filter((row) => row.load && row.failure);
  }

  /** The rows as a file of pull tests, and the recipe that it names. */
  get file() {
    const unit = this.app.units === "inch" ? "lbf" : "N";
    const lines = this.complete.map((row) => {
      const load = amount(row.load);
      const straight = row.kind === "straight";
      const cells = [row.id || String(this.rows.indexOf(row) + 1), straight ? "control" : "in hand", straight ? "0" : this.joints.value, straight ? "" : RECIPE,
        load ? String(load.number) : row.load, load?.unit || unit, row.failure];
      return cells.map(quoted).join(",");
    });
    return { name: "typed.csv", text: ["id,group,joints,recipe,load,unit,failure", ...lines, ""].join("\n"), recipes: { [RECIPE]: this.app.state.recipe } };
  }

  /** Faults of rows at their rows; row 1 of the file is its heading. */
  faults(faults) {
    for (const line of this.body.children) line.querySelector(".wrong").textContent = "";
    const { complete } = this;
    for (const { row, message } of faults) {
      const line = this.body.children[this.rows.indexOf(complete[row - 2])];
      if (line) line.querySelector(".wrong").textContent = message;
    }
  }

  clear() {
    this.rows = [];
    this.#draw();
    this.#done();
  }

  #done() {
    keep("session", KEPT, this.rows.filter((row) => row.id || row.load || row.failure));
    this.changed();
  }

  /** The unit of loads may be another one. */
  redraw() {
    this.#draw();
  }

  #draw() {
    while (this.rows.length < FEWEST || this.rows.at(-1).load || this.rows.at(-1).failure) this.rows.push({ id: "", load: "", failure: "", kind: "joint" });
    const { children } = this.body;
    while (children.length > this.rows.length) this.body.lastChild.remove();
    this.rows.forEach((row, n) => {
      if (!children[n]) this.body.append(this.#line(n));
      this.#fill(children[n], row);
    });
  }

  #line(n) {
    const field = (name, words, made) => {
      made.dataset.column = name;
      made.setAttribute("aria-label", `${words}, row ${n + 1}`);
      made.addEventListener("change", () => {
        this.rows[n][name] = made.value.trim();
        this.#draw();
        this.#done();
      });
      return el("td", {}, made);
    };
    const text = () => el("input", { type: "text", autocomplete: "off", spellcheck: "false", inputmode: "text" });
    const { failures } = this.app.start;
    return el("tr", {}, el("th", { scope: "row" }, String(n + 1)), field("id", "Piece", text()), field("load", "Largest load", text()),
      field("failure", "How it ended", el("select", {}, el("option", { value: "" }, ""), ...failures.map(({ name, says }) => el("option", { value: name }, says)))),
      field("kind", "What was pulled", el("select", {}, el("option", { value: "joint" }, "the joint in hand"), el("option", { value: "straight" }, "straight wire"))),
      el("td", { class: "wrong", role: "status" }));
  }

  #fill(line, row) {
    for (const made of line.querySelectorAll("[data-column]")) {
      const value = row[made.dataset.column];
      if (made.tagName === "SELECT" && ![...made.options].some((option) => option.value === value)) made.append(el("option", { value }, value));
      if (made.value !== value) made.value = value;
    }
    line.querySelector("[data-column=id]").placeholder = String(this.rows.indexOf(row) + 1);
    line.querySelector("[data-column=load]").placeholder = this.app.units === "inch" ? "lbf" : "N";
  }

  /** A block of cells from a sheet fills the table from the cell in hand on; one with a heading is a file of its own. */
  #paste(event) {
    const text = event.clipboardData.getData("text").trim();
    if (!/[\n\t]/.test(text)) return;
    event.preventDefault();
    const lines = text.split(/\r?\n/).map((line) => line.split(/[\t;]/));
    if (/load/i.test(lines[0].join()) && /failure/i.test(text)) return this.opened({ name: "pasted.csv", text });
    const line = event.target.closest("tr"), row = [...this.body.children].indexOf(line);
    const column = lines[0].length > 2 ? 0 : Math.max(COLUMNS.indexOf(event.target.dataset.column), 0);
    lines.forEach((cells, n) => {
      const into = (this.rows[row + n] ??= { id: "", load: "", failure: "", kind: "joint" });
      cells.slice(0, 3 - column).forEach((cell, k) => (into[COLUMNS[column + k]] = this.#meant(column + k, cell.trim())));
    });
    this.#draw();
    this.#done();
  }

  /** How a piece ended, where the cell says it as the menu does. */
  #meant(column, cell) {
    if (COLUMNS[column] !== "failure") return cell;
    const plain = (text) => text.toLowerCase().replace(/[\s_-]+/g, " ");
    return this.app.start.failures.find(({ name, says }) => [name, says].map(plain).includes(plain(cell)))?.name || cell;
  }
}
