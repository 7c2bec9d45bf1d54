// What is not right with the joint: a button each; pressed, it tells what, why and what to do, and shows where.
import { capital, el, mark } from "./dom.js";
import { applyButton, madeFor } from "./made_for.js";

const sentence = (text) => (text ? capital(/[.!?]$/.test(text) ? text : `${text}.`) : "");

const keyOf = ({ name, what }) => `${name} ${what}`;

export class Findings {
  /** holder: the row of buttons; card: where the chosen one is told. */
  constructor(holder, card, app) {
    Object.assign(this, { holder, card, app, chosen: null });
    this.more = el("button", { class: "finding others", onclick: () => {
      holder.classList.add("all");
      this.#fold();
      holder.lastChild.focus();
    } });
    new ResizeObserver(() => holder.clientWidth !== this.width && this.#fold()).observe(holder);
  }

  /** recipe: the joint that the answer is about. */
  show(answer, recipe) {
    const { findings } = answer;
    Object.assign(this, { list: findings, recipe });
    const { first, worst } = answer.answer, rest = first ? findings.slice(1) : findings; // the first is the verdict at the head of the page
    const hardest = el("span", { class: "hardest" }, `Hardest bend: ${[worst.where, worst.verdict, worst.strain, worst.radius].filter(Boolean).join(", ")}`);
    this.holder.replaceChildren(...rest.map((finding) => this.button(finding)), ...(rest.length < 2 ? [hardest] : [])); // it is in the table of bends too
    this.#fold();
    if (this.chosen) {
      const { chosen } = this;
      const still = findings.find((finding) => keyOf(finding) === keyOf(chosen)) ||
        findings.find((finding) => finding.name === chosen.name && finding.severity === chosen.severity);
      if (still) this.#tell(still);
      else this.close();
    }
  }

  /** What has no room in two rows is behind a button that says how many there are: none is cut through. */
  #fold() {
    const { holder, more } = this, found = [...holder.children].filter((one) => one !== more);
    this.width = holder.clientWidth;
    more.remove();
    for (const one of found) one.hidden = false;
    const full = () => holder.scrollHeight > holder.clientHeight + 2;
    if (holder.classList.contains("all") || !full()) return;
    holder.append(more);
    for (let left = found.length - 1; left > 0 && full(); left--) {
      found[left].hidden = true;
      more.textContent = `${found.length - left} more`;
    }
  }

  /** Faults of the input, where findings are otherwise; pressed, one leads to its knob. */
  faults(faults, recipe) {
    this.list = [];
    this.holder.replaceChildren(...faults.flatMap((fault) => [
      el("button", { class: "finding fault", title: fault.message, onclick: () => this.app.knobs.focus(fault.key) },
        mark("fault"), el("b", {}, this.app.knobs.label(fault.key) || "Cannot be made"), el("span", {}, this.app.knobs.label(fault.key) ? "go to it" : "")),
      ...(fault.fixes || []).map((fix) => this.#apply(fix, recipe)),
    ]));
    this.close();
  }

  /** Choose the finding that a label on the stage stands for. */
  choose(note) {
    const own = (this.list || []).filter((finding) => finding.name === note.name);
    const title = note.title.toLowerCase();
    const finding = own.find(({ what }) => title.includes(what.toLowerCase())) || own[0];
    if (finding) this.#tell(finding);
  }

  close() {
    this.chosen = null;
    this.card.hidden = true;
    this.#press();
  }

  /** A finding as a button. */
  button(finding, words = finding.what) {
    const press = () => {
      if (this.chosen && keyOf(this.chosen) === keyOf(finding)) return this.close();
      this.#tell(finding);
      const place = finding.points_mm[0] || this.app.placeOf(finding.section);
      if (place) this.app.goTo(place);
    };
    return el("button", { class: `finding ${finding.severity}`, "data-of": keyOf(finding), "aria-expanded": "false", title: words, onclick: press },
      mark(finding.severity), el("b", {}, `${finding.word}: `), el("span", {}, words));
  }

  #tell(finding) {
    this.chosen = finding;
    const close = el("button", { class: "close", "aria-label": "Close", onclick: () => this.#leave() }, "\u00d7");
    const fixes = (finding.fixes || []).map((fix) => this.#apply(fix, this.recipe));
    this.card.className = `told-card ${finding.severity}`;
    this.card.replaceChildren(
      el("h2", {}, mark(finding.severity), el("span", {}, `${finding.word}: ${finding.what}`), close),
      el("p", {}, el("b", {}, "Why "), sentence(finding.why)),
      finding.do ? el("p", {}, el("b", {}, "What to do "), sentence(finding.do)) : "",
      fixes.length ? el("div", { class: "fixes" }, ...fixes, this.#beside(finding.fixes[0])) : "");
    this.card.hidden = false;
    this.card.scrollIntoView({ block: "nearest" });
    this.#press();
  }

  #apply(fix, recipe) {
    return applyButton(this.app, fix, recipe, () => {
      this.holder.focus(); // the button goes with its finding
      this.app.setRecipe(fix.recipe, fix.say);
      this.app.say(`Done: ${fix.say}`);
    });
  }

  #beside(fix) {
    const { beside } = this.app;
    return beside && madeFor(this.app, this.recipe, el("button", { class: "plain beside-cured" }, "See it changed, side by side"),
      () => beside.open({ title: "In hand" }, { title: `Changed: ${fix.say}`, recipe: fix.recipe }));
  }

  #leave() {
    const of = keyOf(this.chosen);
    this.close();
    [...document.querySelectorAll(".finding")].find((button) => button.dataset.of === of)?.focus();
  }

  #press() {
    for (const button of document.querySelectorAll(".finding")) {
      const open = Boolean(this.chosen) && button.dataset.of === keyOf(this.chosen);
      button.setAttribute("aria-expanded", open);
      button.classList.toggle("chosen", open);
    }
  }
}
