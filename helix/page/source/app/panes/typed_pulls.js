// Pull tests typed or pasted into a table: a row a piece. They become the same file that a bench would bring.
import { el } from "../dom.js";
import { buttons, goButton } from "./form.js";

const FEWEST = 5; // rows that stand ready
const COLUMNS = ["id", "load", "failure", "kind"];

/** Rising numbers in words: "1 to 3, 5". */
const runs = (numbers) => numbers.filter((n) => !numbers.includes(n - 1)).map((from) => {
  let to = from;
  while (numbers.includes(to + 1)) to++;
  return from === to ? String(from) : `${from} to ${to}`;
}).join(", ");

export class TypedPulls {
  /** changed(): something was typed; opened(file): a whole file with a heading was pasted; kept: a button beside those of the table. */
  constructor(app, { changed, opened, kept }) {
    Object.assign(this, { app, pieces: app.pieces, changed, opened, told: new Map(), typing: new Set() });
    this.joints = el("select", { onchange: () => {
      this.pieces.ends = this.joints.value;
      this.#done();
    } }, el("option", { value: "2" }, "an eye at both ends"), el("option", { value: "1" }, "an eye at one end"));
    this.joints.value = this.pieces.ends;
    this.body = el("tbody", {});
    const heads = ["", "Piece", "Largest load", "How it ended", "What was pulled"].map((text) => el("th", { scope: "col" }, text));
    this.table = el("table", { class: "typed-pulls" }, el("thead", {}, el("tr", {}, ...heads)), this.body);
    this.table.addEventListener("paste", (event) => this.#paste(event));
    this.left = el("p", { class: "left-out small", role: "status", hidden: true });
    this.emptying = goButton("Clear the table", () => this.#clear(), "plain");
    this.back = goButton("", () => this.#putBack(), "plain");
    this.element = el("div", {}, el("label", { class: "joints" }, "Each piece of the joint in hand has ", this.joints),
      el("div", { class: "sideways", role: "group", "aria-label": "Pull tests, a row a piece" }, this.table), this.left, buttons(this.emptying, this.back, kept));
    this.redraw();
  }

  get rows() {
    return this.pieces.rows;
  }

  /** Faults of rows at their rows; row 1 of the file is its heading. */
  faults(faults) {
    const { complete } = this.pieces;
    this.told = new Map(faults.map(({ row, message }) => [complete[row - 2], message]));
    this.#tell();
  }

  /** All rows go; the button that brings them again stands beside. */
  #clear() {
    this.pieces.clear();
    this.redraw();
    this.#done();
    if (!this.back.hidden) this.back.focus();
  }

  #putBack() {
    this.pieces.putBack();
    this.redraw();
    this.#done();
    if (this.back.hidden) this.emptying.focus();
  }

  #done() {
    this.pieces.keep();
    this.changed();
  }

  /** The unit of loads may be another one, and another joint in hand. */
  redraw() {
    this.joints.value = this.pieces.ends;
    const last = this.rows.at(-1);
    this.pieces.row(Math.max(FEWEST, this.rows.length + Number(Boolean(last?.load || last?.failure))) - 1);
    const { children } = this.body;
    while (children.length > this.rows.length) this.body.lastChild.remove();
    this.rows.forEach((row, n) => {
      if (!children[n]) this.body.append(this.#line(n));
      this.#fill(children[n], row);
    });
    const many = this.pieces.cleared.at(-1)?.rows.length;
    this.back.hidden = many === undefined;
    this.back.textContent = many === 1 ? "Put the row back" : many ? `Put the ${many} rows back` : "Put what the address told back";
    this.#tell();
  }

  /** What is wrong with a row or missing in it, and how many are not counted for the joint in hand. */
  #tell() {
    const { pieces, rows } = this, begun = rows.filter((row) => pieces.missing(row));
    rows.forEach((row, n) => {
      const line = this.body.children[n];
      if (line) line.querySelector(".wrong").textContent = this.told.get(row) ?? pieces.missing(row);
    });
    const others = pieces.complete.filter((row) => !pieces.isOwn(row));
    const numbers = (list) => runs(list.map((row) => rows.indexOf(row) + 1));
    const many = (list, one, more) => `${list.length === 1 ? "Row" : "Rows"} ${numbers(list)} ${list.length === 1 ? one : more}`;
    this.left.textContent = [
      begun.length ? `${many(begun, "is", "are")} not counted yet: a piece needs its load and how it ended.` : "",
      others.length ? `${many(others, "is", "are")} of another joint than the one in hand (${[...new Set(others.map((row) => pieces.named(row)))].join("; ")}): kept apart${pieces.counted ? "; what they say of this one is in the head of the page" : ", and not in the head of the page"}.` : "",
    ].filter(Boolean).join(" ");
    this.left.hidden = !this.left.textContent;
  }

  #line(n) {
    const field = (name, words, made) => {
      made.dataset.column = name;
      made.setAttribute("aria-label", `${words}, row ${n + 1}`);
      made.addEventListener("input", () => this.typing.add(made));
      made.addEventListener("blur", () => this.typing.delete(made));
      made.addEventListener("change", () => {
        this.typing.delete(made);
        this.#take(n, name, made.value.trim());
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

  #take(n, name, value) {
    const row = this.pieces.row(n);
    if (name === "load") this.pieces.takeLoad(row, value);
    else if (name !== "kind") row[name] = value;
    else if (value !== "other") row.kind = value;
    if (name !== "kind") this.pieces.stamp(row);
    else if (value !== "other") this.pieces.stamp(row, true); // said by hand, of what is in hand
    this.redraw();
    this.#done();
  }

  #fill(line, row) {
    for (const made of line.querySelectorAll("[data-column]")) {
      const { column } = made.dataset, other = column === "kind" && !this.pieces.isOwn(row);
      if (column === "kind") {
        made.querySelector("[value=other]")?.remove();
        if (other) made.append(el("option", { value: "other" }, `${row.kind === "straight" ? "straight wire, " : ""}${this.pieces.named(row)}`));
      }
      const value = other ? "other" : column === "load" ? this.pieces.shownLoad(row) : row[column];
      if (made.tagName === "SELECT" && ![...made.options].some((option) => option.value === value)) made.append(el("option", { value }, value));
      if (made.value !== value && !this.typing.has(made)) made.value = value; // what is being typed stays
    }
    line.querySelector("[data-column=id]").placeholder = String(this.rows.indexOf(row) + 1);
    line.querySelector("[data-column=load]").placeholder = this.pieces.unit;
  }

  /** A block of cells from a sheet fills the table from the cell in hand on; one with a heading is a file of its own. */
  #paste(event) {
    const text = event.clipboardData.getData("text").trim();
    if (!/[\n\t]/.test(text)) return;
    event.preventDefault();
    const lines = text.split(/\r?\n/).map((line) => line.split(/[\t;]/));
    if (/load/i.test(lines[0].join()) && /failure/i.test(text)) return this.opened({ name: "pasted.csv", text });
    const line = event.target.closest("tr"), first = [...this.body.children].indexOf(line);
    const column = lines[0].length > 2 ? 0 : Math.max(COLUMNS.indexOf(event.target.dataset.column), 0);
    lines.forEach((cells, n) => {
      const into = this.pieces.row(first + n);
      cells.slice(0, 3 - column).forEach((cell, k) => (into[COLUMNS[column + k]] = this.#meant(column + k, cell.trim())));
      this.pieces.takeLoad(into, into.load);
      this.pieces.stamp(into);
    });
    this.redraw();
    this.#done();
  }

  /** How a piece ended, where the cell says it as the menu does. */
  #meant(column, cell) {
    if (COLUMNS[column] !== "failure") return cell;
    const plain = (text) => text.toLowerCase().replace(/[\s_-]+/g, " ");
    return this.app.start.failures.find(({ name, says }) => [name, says].map(plain).includes(plain(cell)))?.name || cell;
  }
}
