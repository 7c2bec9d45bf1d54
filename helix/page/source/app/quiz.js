// A quiz on the stage: a joint with a fault and without a name; who learns taps the place, and is told why and what to do.
import { ringAt } from "viewer";
import { el, mark } from "./dom.js";
import { Half, lessonNodes } from "./half.js";

const TAP_PX = 6; // that a finger may move
const NEAR = 5; // radii from a marked place that still are that place
const FAULTS = ["sharp", "fault"]; // what a joint is remade for; a caution is none
const LEG = "standing leg";

export class Quiz {
  constructor(app) {
    Object.assign(this, { app, right: 0, asked: 0, order: [], missed: new Set() });
    const { stage } = app.parts, { places, joints } = app.start.quiz;
    this.places = places;
    this.joints = joints;
    this.box = stage.parentElement;
    this.half = new Half("A joint with a fault");
    this.element = el("div", { class: "above quiz", hidden: true }, this.half.stage);
    for (const name of ["pointerdown", "pointermove", "pointerup", "wheel", "keydown"]) this.element.addEventListener(name, (event) => event.stopPropagation());
    this.count = el("span", { class: "count" });
    this.result = el("div", { class: "result", role: "status", "aria-live": "polite" });
    this.buttons = places.map(({ name, title }) => el("button", { class: "plain", value: name, onclick: () => this.#answer(name) }, title));
    this.choice = el("div", { class: "places", role: "group", "aria-label": "Places of the joint" }, ...this.buttons);
    this.next = el("button", { class: "go", onclick: () => this.ask() });
    this.beside = el("button", { class: "plain", onclick: () => this.#beside() }, "Beside the good joint");
    this.after = el("div", { class: "fixes", hidden: true }, this.next, this.beside);
    this.card = el("section", { class: "quiz-card", "aria-label": "Find the fault", hidden: true },
      el("h2", {}, el("span", {}, "Find the fault"), this.count, el("button", { class: "close", "aria-label": "Close", onclick: () => this.#leave() }, "\u00d7")),
      el("p", {}, "Where is it? Tap the place on the joint, or press its name."), this.choice, this.result, this.after);
    stage.append(this.element);
    this.box.append(this.card);
    for (const part of [this.element, this.card]) part.addEventListener("keydown", (event) => event.key === "Escape" && this.#leave());
    let down = null;
    this.half.stage.addEventListener("pointerdown", (event) => (down = [event.clientX, event.clientY]));
    this.half.stage.addEventListener("pointerup", (event) => {
      if (down && Math.hypot(event.clientX - down[0], event.clientY - down[1]) < TAP_PX) this.#tap(event);
      down = null;
    });
    app.subscribe((what) => this.shown && (what === "light" ? this.half.refresh() : what === "recipe" && this.close()));
  }

  get ofOthers() {
    return true;
  }

  get shown() {
    return !this.element.hidden;
  }

  open() {
    this.opener = document.activeElement;
    this.resume();
    this.ask();
  }

  /** The question as it stands is on the stage again. */
  resume() {
    this.app.takeStage(this);
    this.element.hidden = this.card.hidden = false;
    this.box.classList.add("covered");
    this.card.scrollIntoView({ block: "nearest" });
  }

  /** The next joint, in an order of its own each time. */
  async ask() {
    if (!this.order.length) {
      this.order = shuffled(this.joints);
      Object.assign(this, { right: 0, asked: 0, missed: new Set() });
    }
    const recipe = this.order.pop(), { app } = this;
    const joint = await app.joints.of(recipe).catch((error) => app.say(error.message));
    if (!joint || !this.shown) return;
    this.question = { recipe, joint, done: false };
    this.half.show(joint, "", { told: false });
    this.result.replaceChildren();
    this.after.hidden = true;
    for (const button of this.buttons) {
      button.removeAttribute("aria-disabled");
      button.className = "plain";
    }
    this.#tell();
    this.buttons[0].focus({ preventScroll: true });
    if (this.order.length) app.joints.of(this.order.at(-1)).catch(() => {}); // there when it is asked for
  }

  close() {
    if (!this.shown) return;
    this.element.hidden = this.card.hidden = true;
    this.box.classList.remove("covered");
    this.app.leaveStage(this);
  }

  #leave() {
    this.close();
    this.opener?.focus();
  }

  #tell() {
    const { right, asked, joints } = this;
    this.count.textContent = asked ? `${right} of ${asked} right` : `${joints.length} joints`;
    this.next.textContent = this.order.length ? "Next joint" : "Again from the start";
  }

  #tap(event) {
    const { viewer, stage } = this.half, box = stage.getBoundingClientRect();
    const ring = ringAt(viewer, event.clientX - box.left, event.clientY - box.top, 9);
    if (!this.question || this.question.done) return;
    if (ring < 0) return this.result.replaceChildren(el("p", {}, "That is beside the wire: tap on it."));
    const { rings, scene } = viewer, at = rings.middle.subarray(3 * ring, 3 * ring + 3);
    const section = scene.sections[rings.section[ring]];
    const place = this.places.find(({ sections }) => sections.includes(section));
    const near = this.#faults().find(({ points_mm: points }) => points.some((point) => Math.hypot(...point.map((value, x) => value - at[x])) < NEAR * rings.radius));
    this.#answer(near ? near.at[0] : place?.name ?? LEG);
  }

  #faults() {
    return this.question.joint.findings.filter(({ at, severity }) => at.length && FAULTS.includes(severity));
  }

  #answer(name) {
    const { question } = this;
    if (!question || question.done) return;
    question.done = true;
    const wanted = [...new Set(this.#faults().flatMap(({ at }) => at))], good = wanted.includes(name);
    const title = (of) => this.places.find((place) => place.name === of)?.title ?? LEG;
    this.asked++;
    this.right += Number(good);
    if (!good) for (const of of wanted) this.missed.add(title(of));
    for (const button of this.buttons) {
      button.setAttribute("aria-disabled", "true");
      button.classList.toggle("right", wanted.includes(button.value));
      button.classList.toggle("wrong", !good && button.value === name);
    }
    const look = `the ${wanted.map(title).join(" and the ")}`;
    const verdict = good ? [mark("ok"), el("b", {}, " Right. ")] : [mark("fault"), el("b", {}, ` Not at the ${title(name)}. `), this.#isNext(name, wanted) ? `Close: look next to it, at ${look}. ` : `Look at ${look}. `];
    const { lessons } = question.joint;
    this.half.show(question.joint, "", { keepView: true });
    this.result.replaceChildren(el("p", {}, ...verdict), ...lessons.slice(0, 2).map((lesson) => el("p", {}, el("b", {}, `${lesson.headline}. `), ...lessonNodes(lesson))), ...this.#score());
    this.after.hidden = false;
    this.#tell();
    this.next.focus({ preventScroll: true });
    this.after.scrollIntoView({ block: "nearest" });
  }

  /** Whether a place lies beside one of others, along the wire. */
  #isNext(name, others) {
    const order = [...this.places.map((place) => place.name), LEG];
    return others.some((other) => Math.abs(order.indexOf(other) - order.indexOf(name)) === 1);
  }

  /** How it went, once every joint was asked. */
  #score() {
    if (this.order.length) return [];
    const missed = [...this.missed];
    return [el("p", { class: "score" }, el("b", {}, `That was all: ${this.right} of ${this.asked} right.`), missed.length ? ` Missed: ${missed.join(", ")}.` : "")];
  }

  #beside() {
    const { app, question } = this;
    app.beside.open({ title: "Good joint", recipe: app.start.lessons[0].good }, { title: "This joint", recipe: question.recipe }, { back: () => this.resume() });
  }
}

function shuffled(list) {
  const made = [...list];
  for (let k = made.length - 1; k > 0; k--) {
    const other = Math.floor(Math.random() * (k + 1));
    [made[k], made[other]] = [made[other], made[k]];
  }
  return made;
}
