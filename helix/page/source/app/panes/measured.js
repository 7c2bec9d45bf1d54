// The joint as a drawing whose sizes are typed: each label is what it is to be, and once read where that lies.
import { spread } from "viewer";
import { typed } from "../amount.js";
import { el, mark } from "../dom.js";

const SVG = "http://www.w3.org/2000/svg";
const ROWS = ["counts", "above", "below", "whole"]; // of labels, from above to below the drawing
const HIGH = 42; // pixels of a row of labels
const MOST_HIGH = 260; // of the drawing
const NARROW = 560; // a drawing without room for what is read beside what is intended
const UNITS = { turns: "", wraps: "", first_bend: "deg", exit: "deg" };
const PLUS_MINUS = /\s*(?:\+\s*\/?\s*-|\u00b1)\s*/;

const drawn = (kind, more) => {
  const made = document.createElementNS(SVG, kind);
  for (const [name, value] of Object.entries(more)) made.setAttribute(name, value);
  return made;
};

export class Measured {
  /** fields: those of the readings, which the labels stand for; read(): somebody has typed one. */
  constructor(app, fields, read) {
    Object.assign(this, { app, fields, read, places: [], labels: new Map(), told: new Map(), asked: "" });
    this.svg = drawn("svg", { "aria-hidden": "true" });
    this.lines = drawn("svg", { "aria-hidden": "true", class: "leaders" });
    this.rows = el("div", { class: "measured-labels", role: "group", "aria-label": "Readings: press one to type it" });
    this.line = el("p", { class: "measured-line", role: "status", hidden: true });
    this.legend = el("p", { class: "small measured-legend", hidden: true }, el("i", { class: "was" }), "as intended ", el("i", { class: "made" }), "as made");
    this.box = el("div", { class: "measured" }, this.svg, this.lines, this.rows);
    this.element = el("div", {}, this.box, this.line, this.legend);
    new ResizeObserver(() => this.#place()).observe(this.box);
  }

  /** Have the joint in hand drawn, unless it is. */
  async draw() {
    const body = { recipe: this.app.state.recipe, units: this.app.units }, asked = JSON.stringify(body);
    if (asked === this.asked) return;
    this.asked = asked;
    try {
      const picture = await this.app.api.post("/api/pane/inspect-drawing", body);
      if (asked !== this.asked) return;
      this.#say("");
      this.#show(picture);
    } catch (error) {
      this.asked = "";
      this.box.hidden = true;
      this.#say(error.faults?.[0].message ?? error.message);
    }
  }

  /** What was found, {wire, read} of the program, with the verdict in a line; null: nothing is known of the readings. */
  found(result, severity, verdict) {
    this.told = new Map((result?.read ?? []).map((one) => [one.name, one]));
    this.over.replaceChildren(...(result?.wire ?? []).map((d) => drawn("path", { d, class: "made" })));
    this.legend.hidden = !result?.wire.length;
    for (const name of this.labels.keys()) this.#tell(name);
    this.#say(verdict ?? "", severity);
    this.#place();
  }

  /** The first fault in a line under the drawing, its label marked. */
  faults(faults) {
    if (!this.labels.size) return;
    if (faults.length) this.found(null);
    for (const [name, label] of this.labels) label.toggleAttribute("aria-invalid", faults.some(({ key }) => key === name));
    const [fault] = faults;
    this.#say(fault ? [this.#name(fault.key), fault.message].filter(Boolean).join(": ") : "", "fault");
  }

  #say(text, severity = "fault") {
    this.line.hidden = !text;
    this.line.replaceChildren(...(text ? [mark(severity), ` ${text}`] : []));
  }

  #name(key) {
    return this.app.start.fields.inspect.find((field) => field.name === key)?.label;
  }

  #show({ box, d_mm: wide, wire, places }) {
    this.box.hidden = false;
    this.view = box;
    this.places = places;
    this.over = drawn("g", { "stroke-width": wide });
    this.svg.setAttribute("viewBox", box.join(" "));
    const strokes = wire.flatMap(({ edge, body, tag }) => [
      drawn("path", { d: edge, class: "edge", "stroke-width": wide }), drawn("path", { d: body, class: tag ? "tag" : "leg", "stroke-width": 0.8 * wide })]);
    this.measures = new Map(places.map(({ name, path }) => [name, drawn("path", { d: path, class: "measure" })]));
    this.svg.replaceChildren(...strokes, this.over, ...this.measures.values());
    this.labels = new Map(places.map(({ name }) => [name, el("button", { class: "reading", onclick: () => this.#type(name) })]));
    this.rows.replaceChildren(...this.labels.values());
    this.found(null);
  }

  #tell(name) {
    const label = this.labels.get(name), told = this.told.get(name), place = this.places.find((one) => one.name === name);
    const typedText = this.fields.inputs.get(name).value.trim();
    const title = this.#name(name), shown = told?.shown ?? typedText;
    label.className = `reading ${told?.severity ?? ""}`;
    this.measures.get(name).setAttribute("class", `measure ${told?.severity ?? ""}`);
    const heard = (text) => el("span", { class: "unseen" }, text);
    label.replaceChildren(el("span", {}, title),
      ...(shown ? [el("b", {}, told ? mark(told.severity) : "", shown), heard(`${told ? ` ${told.severity}` : ""}, intended`), el("i", {}, ` (${place.intended})`)]
        : [heard("not read, intended"), el("i", {}, place.intended)]));
  }

  /** A label becomes a field until something is typed. */
  #type(name) {
    const label = this.labels.get(name), input = this.fields.inputs.get(name), place = this.places.find((one) => one.name === name);
    const field = el("input", { type: "text", class: "reading-typed", "aria-label": `${this.#name(name)}, intended ${place.intended}`, placeholder: place.intended, autocomplete: "off", spellcheck: "false" });
    field.value = input.value;
    field.style.transform = label.style.transform;
    let left = false;
    const leave = (keep) => {
      if (left) return;
      left = true;
      const text = keep ? this.#meant(name, field.value) : input.value;
      field.replaceWith(label);
      if (text === input.value) return;
      input.value = text;
      this.told.delete(name);
      this.#tell(name);
      this.#place();
      this.read();
    };
    field.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" && event.key !== "Escape") return;
      event.preventDefault(); // or the key would press the label that has the focus next
      leave(event.key === "Enter");
      label.focus();
    });
    field.addEventListener("blur", () => leave(true));
    label.replaceWith(field);
    field.focus();
    field.select();
  }

  /** What was typed with its unit: a bare number takes the label's; its uncertainty too. */
  #meant(name, text) {
    const unit = UNITS[name] ?? (this.app.units === "inch" ? "in" : "mm");
    return text.trim().split(PLUS_MINUS).map((part) => String(typed(part, unit) ?? "")).join(" +- ");
  }

  /** Labels in their rows above and below the drawing, no two over each other, each with a line to its place. */
  #place() {
    const wide = this.box.clientWidth;
    if (!wide || !this.view || !this.labels.size) return;
    this.box.classList.toggle("narrow", wide < NARROW);
    const [x0, y0, w, h] = this.view;
    const scale = Math.min(wide / w, MOST_HIGH / h), left = (wide - scale * w) / 2, top = 2 * HIGH + 8;
    const high = scale * h;
    Object.assign(this.svg.style, { left: `${left}px`, top: `${top}px`, width: `${scale * w}px`, height: `${high}px` });
    const tops = { counts: 0, above: HIGH, below: top + high + 8, whole: top + high + 8 + HIGH };
    this.box.style.height = `${tops.whole + HIGH}px`;
    const leaders = [];
    for (const row of ROWS) {
      const own = this.places.filter((place) => place.row === row).map((place) => ({ ...place, x: left + scale * (place.at[0] - x0), y: top + scale * (place.at[1] - y0) })).sort((a, b) => a.x - b.x);
      const labels = own.map(({ name }) => this.labels.get(name)), widths = labels.map((label) => label.offsetWidth + 8);
      const starts = spread(own.map(({ x }) => x), widths, 0, wide);
      own.forEach(({ name, x, y }, k) => {
        labels[k].style.transform = `translate(${starts[k].toFixed(1)}px, ${tops[row].toFixed(1)}px)`;
        const over = tops[row] < top, foot = over ? tops[row] + HIGH - 6 : tops[row];
        const head = Math.min(Math.max(x, starts[k] + 8), starts[k] + widths[k] - 16);
        leaders.push(drawn("polyline", { class: this.told.get(name)?.severity ?? "", points: `${head},${foot} ${head},${foot + (over ? 5 : -5)} ${x},${y}` }));
      });
    }
    this.lines.replaceChildren(...leaders);
  }
}
