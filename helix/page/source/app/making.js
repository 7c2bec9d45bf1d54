// The making of a joint on the stage: a film under one slider, its step in words on the stage, the whole screen for a class.
import { arrow, ball, bar, choice, plainMaterial, showLegend, VIEWS } from "viewer";
import { el, fresh } from "./dom.js";
import { WholeScreen } from "./whole_screen.js";

const HAND = "#d55e00", PIN = "#b98b4e";
const ARROW_THICK = 0.85, BEAD = 1.75; // in radii of the wire
const PIN_OUT = 2.5; // how far the pin is drawn out, in its half lengths
const REST_MS = 180; // after a scrub, until the wire is drawn finely
const TYPED = "input:not([type=range]), textarea, select, button, summary, a, [contenteditable]";

export class Making {
  /** app: as the panes get it. reached(step): another step is at work, by its number from 0; null: the film is closed. called: what is played. */
  constructor(app, reached, called = "The making") {
    Object.assign(this, { app, reached, film: null, frame: 0, playing: 0, step: null });
    const { stage } = app.parts;
    this.box = stage.parentElement;
    const id = fresh("making");
    this.slider = el("input", { type: "range", id, min: 0, step: 1, oninput: () => this.#scrub(Number(this.slider.value)),
      onkeydown: (event) => this.#sliderKey(event) });
    this.play = el("button", { class: "plain", "aria-keyshortcuts": "Space", onclick: () => this.toggle() }, "Play");
    this.wide = new WholeScreen(this.box, app);
    this.speed = el("select", { "aria-label": "Speed", onchange: () => this.playing && (this.stop(), this.toggle()) },
      ...[["1", "usual speed"], ["0.5", "half as fast"], ["0.2", "a fifth as fast"]].map(([value, text]) => el("option", { value }, text)));
    const views = el("div", { class: "row views", role: "group", "aria-label": "View" });
    choice(views, VIEWS, "three-quarter", (view) => this.bar && this.shown && app.viewer?.look(view));
    this.bar = el("div", { class: "making-bar", role: "group", "aria-label": called, hidden: true },
      this.play, el("button", { class: "plain", "aria-label": "Step back", onclick: () => this.#by(-1) }, "\u2039"),
      el("label", { for: id, class: "unseen" }, called), el("div", { class: "making-slide" }, this.slider, (this.marks = el("div", { class: "making-marks", "aria-hidden": "true" }))),
      el("button", { class: "plain", "aria-label": "Step on", onclick: () => this.#by(1) }, "\u203a"),
      this.speed, views, this.wide.button, el("button", { class: "plain after", onclick: () => this.close() }, "Close"),
      (this.legend = el("div", { class: "making-legend", hidden: true })));
    this.title = el("b", {});
    this.sentence = el("span", {});
    this.count = el("p", { class: "making-count", hidden: true });
    this.caption = el("div", { class: "making-caption", "aria-hidden": "true", hidden: true }, el("p", {}, this.title, this.sentence), this.count);
    stage.append(this.caption);
    stage.after(this.bar);
    document.addEventListener("fullscreenchange", () => {
      if (!this.shown || !app.viewer) return;
      app.viewer.headroom = 0;
      this.show(this.frame);
    });
    this.pin = plainMaterial(PIN, 0.38);
    this.hand = plainMaterial(HAND);
    document.addEventListener("keydown", (event) => this.#key(event));
  }

  get shown() {
    return !this.bar.hidden;
  }

  open(film) {
    if (this.shown && film === this.film) return;
    this.stop();
    this.app.takeStage(this);
    this.film = film;
    this.slider.max = film.frames - 1;
    this.step = null;
    this.bar.hidden = false;
    this.caption.hidden = Boolean(film.two); // what is said of two stands at each
    this.box.classList.add("making");
    this.box.classList.toggle("pulling", Boolean(film.props));
    showLegend(this.legend, film.legend);
    this.#mark(film.props ? film.marks : []);
    this.show(0);
  }

  /** The joint is on the stage again. */
  close() {
    if (!this.shown) return;
    this.stop();
    this.wide.leave();
    this.app.leaveStage(this);
    this.bar.hidden = this.caption.hidden = true;
    this.box.classList.remove("making", "pulling");
    if (this.app.viewer) this.app.viewer.headroom = 0;
    this.app.viewer?.lay(null);
    this.step = null;
    this.reached(null);
  }

  /** Show a picture by its number; moving: the next follows at once. */
  show(frame, moving = false) {
    const { film, app } = this;
    this.frame = Math.min(Math.max(frame, 0), film.frames - 1);
    this.slider.value = this.frame;
    this.#tell();
    if (app.viewer && !this.caption.hidden) app.viewer.headroom = Math.max(app.viewer.headroom, this.caption.offsetTop + this.caption.offsetHeight);
    app.viewer?.lay(film.picture(this.frame), { props: this.#props(), moving, around: film.around(this.frame),
      notes: film.notes(this.frame), says: film.says?.(this.frame), ...(film.props ? { lying: false, level: film.two } : {}) });
  }

  /** Places on the slider that have a name: a stroke under it each, and its words in a line of their own. */
  #mark(marks) {
    const most = Number(this.slider.max);
    this.marks.replaceChildren(...marks.map(({ at, text }) => {
      const one = el("p", { class: 2 * at > most ? "before" : "" }, text);
      one.style.setProperty("--at", at / most);
      return one;
    }));
  }

  /** What is done in this picture, in words. */
  #tell() {
    const { film } = this;
    const step = film.step(this.frame), { title, sentence } = film.captions[step], counted = film.count(this.frame);
    this.count.hidden = !counted;
    if (counted) this.count.replaceChildren(el("b", {}, counted[0]), ` ${counted[1]}`);
    this.slider.setAttribute("aria-valuetext", [title, counted ? counted.join(" ") : sentence].join(". "));
    if (step === this.step) return;
    this.step = step;
    this.title.textContent = title;
    this.sentence.textContent = sentence;
    this.reached(step);
  }

  /** Where a step is done. */
  toStep(step) {
    this.stop();
    this.show(this.film.captions[step].done);
  }

  toggle() {
    if (this.playing) return this.stop();
    this.play.textContent = "Stop";
    let from = this.frame >= this.film.frames - 1 ? 0 : this.frame, since = performance.now();
    const next = (now) => {
      const frame = from + Math.max(Math.floor(((now - since) / 1000) * this.film.aSecond * Number(this.speed.value)), 0);
      if (frame >= this.film.frames - 1) {
        this.show(this.film.frames - 1);
        return this.stop();
      }
      if (frame !== this.frame) this.show(frame, true);
      this.playing = requestAnimationFrame(next);
    };
    this.playing = requestAnimationFrame(next);
  }

  stop() {
    clearTimeout(this.rest);
    if (!this.playing) return;
    cancelAnimationFrame(this.playing);
    this.playing = 0;
    this.play.textContent = "Play";
    this.show(this.frame);
  }

  #scrub(frame) {
    if (this.playing) this.stop();
    this.show(frame, true);
    clearTimeout(this.rest);
    this.rest = setTimeout(() => this.shown && this.show(this.frame), REST_MS);
  }

  /** To the end of the next step, or of the one before. */
  #by(way) {
    const ends = this.film.captions.map(({ done }) => done);
    const at = way > 0 ? ends.find((done) => done > this.frame) : ends.findLast((done) => done < this.frame);
    this.stop();
    this.show(at ?? (way > 0 ? this.film.frames - 1 : 0));
  }

  #sliderKey(event) {
    const way = { PageUp: 1, PageDown: -1 }[event.key];
    if (!way) return;
    event.preventDefault();
    this.#by(way);
  }

  #key(event) {
    if (!this.shown || event.ctrlKey || event.metaKey || event.altKey || event.target.closest?.(TYPED)) return;
    const act = { " ": () => this.toggle(), ",": () => this.#by(-1), ".": () => this.#by(1), f: () => this.wide.change(this.slider) }[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  }

  /** Pin, hands and the way they go. */
  #props() {
    const { film, frame } = this, { pin, radius } = film;
    if (film.props) return film.props(frame);
    const props = [];
    if (pin.out[frame] < 1) {
      const [x, y, z] = pin.middle, by = PIN_OUT * pin.half * pin.out[frame];
      props.push(bar([x, y - pin.half + by, z], [x, y + pin.half + by, z], pin.radius, this.pin));
    }
    for (let side = 0; side < film.sides; side++) {
      const way = film.way(frame, side);
      const going = way && arrow(way, ARROW_THICK * radius, this.hand);
      if (going) props.push(going, ball(way[0], BEAD * radius, this.hand));
    }
    return props;
  }
}
