// The steps of making a joint, on the stage: a slider, Play, and each step in words.
import { el, fresh } from "../dom.js";

const STEP_MS = 1400;

export class Player {
  constructor(app) {
    this.app = app;
    this.timer = 0;
    this.steps = [];
    const id = fresh("step");
    this.slider = el("input", { type: "range", id, min: 0, step: 1, oninput: () => {
      this.stop();
      this.show(Number(this.slider.value));
    } });
    this.play = el("button", { class: "plain", onclick: () => this.#play() }, "Play");
    this.said = el("p", { class: "step-said" });
    this.list = el("ol", { class: "steps" });
    this.element = el("div", { class: "player", hidden: true },
      el("div", { class: "player-line" }, this.play, el("label", { for: id }, "Step"), this.slider), this.said, this.list);
  }

  /** scene: that of the joint, with its steps and palettes. */
  begin(scene) {
    this.steps = scene.steps;
    this.scene = scene;
    this.slider.max = this.steps.length;
    this.list.replaceChildren(...this.steps.map((step, k) => el("li", {}, el("button", { class: "step", onclick: () => {
      this.stop();
      this.show(k);
    } }, el("b", {}, step.title), " ", step.sentence))));
    this.element.hidden = false;
    this.shown = false;
    this.show(0);
  }

  show(step) {
    const count = this.steps.length, done = step >= count, { viewer } = this.app;
    if (viewer && !this.shown) {
      viewer.show(this.scene, { keepView: true });
      this.shown = true;
    }
    viewer?.form(done ? null : step);
    this.slider.value = step;
    const text = done ? "The finished joint." : `${step + 1} of ${count}. ${this.steps[step].title}. ${this.steps[step].sentence}`;
    this.said.textContent = text;
    this.slider.setAttribute("aria-valuetext", text);
    [...this.list.children].forEach((item, k) => item.firstChild.setAttribute("aria-pressed", k === step));
  }

  stop() {
    clearInterval(this.timer);
    this.timer = 0;
    this.play.textContent = "Play";
  }

  /** The finished joint is on the stage again. */
  leave() {
    this.stop();
    if (!this.shown) return;
    this.shown = false;
    this.app.viewer?.form(null);
  }

  /** Another joint is on the stage: these steps are not its own. */
  end() {
    this.stop();
    this.shown = false;
    this.element.hidden = true;
  }

  #play() {
    if (this.timer) return this.stop();
    this.play.textContent = "Stop";
    if (Number(this.slider.value) >= this.steps.length) this.show(0);
    this.timer = setInterval(() => {
      const next = Number(this.slider.value) + 1;
      this.show(next);
      if (next >= this.steps.length) this.stop();
    }, STEP_MS);
  }
}
