// What is not right with the joint: a button each; pressed, it tells what, why and what to do, and shows where.
import { capital, el, mark } from "./dom.js";

const sentence = (text) => (text ? capital(/[.!?]$/.test(text) ? text : `${text}.`) : "");

export class Findings {
  /** holder: the row of buttons; card: where the chosen one is told. */
  constructor(holder, card, app) {
    Object.assign(this, { holder, card, app, chosen: null });
  }

  show(answer) {
    const { findings } = answer;
    this.list = findings;
    if (!findings.length) this.holder.replaceChildren(mark("ok"), el("span", { class: "sound" }, answer.answer.sentence));
    else this.holder.replaceChildren(...findings.map((finding) => this.#button(finding)));
    if (this.chosen) {
      const still = findings.find((finding) => finding.name === this.chosen.name);
      if (still) this.#tell(still);
      else this.close();
    }
  }

  /** Faults of the input, where findings are otherwise; pressed, one leads to its knob. */
  faults(faults) {
    this.list = [];
    this.holder.replaceChildren(...faults.map((fault) =>
      el("button", { class: "finding fault", title: fault.message, onclick: () => this.app.knobs.focus(fault.key) },
        mark("fault"), el("b", {}, this.app.knobs.label(fault.key) || "Cannot be made"), el("span", {}, fault.message))));
    this.close();
  }

  /** Choose the finding of this name, as a label on the stage does. */
  choose(name) {
    const finding = this.list?.find((one) => one.name === name);
    if (finding) this.#tell(finding);
    return Boolean(finding);
  }

  close() {
    this.chosen = null;
    this.card.hidden = true;
    this.#press();
  }

  #button(finding) {
    const press = () => {
      if (this.chosen?.name === finding.name && !this.card.hidden) return this.close();
      this.#tell(finding);
      const place = finding.points_mm[0] || this.app.placeOf(finding.section);
      if (place) this.app.goTo(place);
    };
    return el("button", { class: `finding ${finding.severity}`, "data-name": finding.name, "aria-expanded": "false", onclick: press },
      mark(finding.severity), el("b", {}, capital(finding.severity)), el("span", {}, finding.what));
  }

  #tell(finding) {
    this.chosen = finding;
    const apply = (fix) => el("button", { class: "apply", onclick: () => this.app.setRecipe(fix.recipe, fix.say) }, "Apply: ", fix.say);
    const close = el("button", { class: "close", "aria-label": "Close", onclick: () => this.#leave() }, "\u00d7");
    const fixes = (finding.fixes || []).map(apply);
    this.card.className = `told-card ${finding.severity}`;
    this.card.replaceChildren(
      el("h2", {}, mark(finding.severity), el("span", {}, `${capital(finding.severity)}: ${finding.what}`), close),
      el("p", {}, el("b", {}, "Why "), sentence(finding.why)),
      finding.do ? el("p", {}, el("b", {}, "What to do "), sentence(finding.do)) : "",
      fixes.length ? el("div", { class: "fixes" }, ...fixes) : "");
    this.card.hidden = false;
    this.#press();
  }

  #leave() {
    const name = this.chosen?.name;
    this.close();
    this.holder.querySelector(`[data-name="${name}"]`)?.focus();
  }

  #press() {
    for (const button of this.holder.querySelectorAll("button")) {
      const open = Boolean(this.chosen) && button.dataset.name === this.chosen.name;
      button.setAttribute("aria-expanded", open);
      button.classList.toggle("chosen", open);
    }
  }
}
