// Two joints on the stage, seen by one camera at one scale: beside each other, or one over the other with an edge to drag.
import { choice, readRings, VIEWS } from "viewer";
import { el } from "./dom.js";
import { readRecipe } from "./files.js";
import { Half } from "./half.js";
import { WholeScreen } from "./whole_screen.js";

const LONG = 2.6; // how many times longer than wide a joint is, about
const STEP = 4; // per cent that a key moves the edge
const BESIDE = "Side by side", BELOW = "One below the other";
const UNLIKE = 0.02; // of diameters: wires that differ by more are told

export class Beside {
  constructor(app) {
    Object.assign(this, { app, pair: null, lead: null, held: 0, edge: 50, over: false });
    const { stage } = app.parts;
    this.box = stage.parentElement;
    this.halves = ["Left", "Right"].map((name, k) => new Half(`${name} joint`, () => this.#follow(k)));
    this.handle = el("div", { class: "edge", role: "slider", tabindex: "0", "aria-label": "Edge between the joints", "aria-valuemin": 0, "aria-valuemax": 100, hidden: true,
      onkeydown: (event) => this.#key(event), onpointerdown: (event) => this.#drag(event), onpointermove: (event) => this.#drag(event) });
    this.element = el("div", { class: "above beside", role: "group", "aria-label": "Two joints side by side", hidden: true }, ...this.halves.map(({ stage: half }) => half), this.handle);
    for (const name of ["pointerdown", "pointermove", "pointerup", "wheel", "keydown"]) {
      this.halves.forEach(({ stage: half }, k) => half.addEventListener(name, () => (this.held = k), { capture: true, passive: true }));
      this.element.addEventListener(name, (event) => event.stopPropagation());
    }
    this.select = el("select", { "aria-label": "What stands at the right", onchange: () => this.#choose(Number(this.select.value)) });
    this.file = el("input", { type: "file", accept: ".toml,text/plain", hidden: true, onchange: () => this.#read() });
    const row = (name) => el("div", { class: "row", role: "group", "aria-label": name });
    const how = row("How they are shown"), views = row("View");
    views.classList.add("views");
    this.screen = new WholeScreen(this.box, app);
    this.bar = el("div", { class: "making-bar beside-bar", role: "group", "aria-label": "Side by side", hidden: true }, how, this.select, this.file, views,
      el("button", { class: "plain", onclick: () => this.#led((viewer) => viewer.fit()) }, "Fit"), this.screen.button,
      el("button", { class: "plain", onclick: () => this.#leave() }, "Close"));
    stage.append(this.element);
    stage.after(this.bar);
    choice(how, [["beside", BESIDE], ["over", "Laid over each other"]], "beside", (name) => this.#how(name === "over"));
    this.apart = how.firstChild;
    choice(views, VIEWS, "three-quarter", (view) => this.pair && this.#led((viewer) => viewer.look(view)));
    this.element.addEventListener("keydown", (event) => event.key === "Escape" && this.#leave());
    this.watch = new ResizeObserver(() => this.#lay());
    this.watch.observe(this.element);
    app.subscribe((what) => this.#changed(what));
  }

  /** Whether neither is the joint in hand. */
  get ofOthers() {
    return this.pair.every(({ recipe }) => recipe);
  }

  get shown() {
    return !this.element.hidden;
  }

  /** Show two joints: {title, recipe}; without a recipe it is the joint in hand. others: more of them, to put at the right;
   *  back(): who had the stage before takes it again. */
  async open(left, right, { others = this.#others(left), back = null } = {}) {
    const since = performance.now(), { app } = this;
    this.opener = document.activeElement;
    const asked = (this.asked = {});
    let answers;
    try {
      answers = await Promise.all([left, right].map(({ recipe }) => app.joints.of(recipe ?? app.state.kept, this.#pulled(recipe, left, right))));
    } catch (error) {
      return app.say(error.message);
    }
    if (asked !== this.asked) return;
    Object.assign(this, { pair: [left, right], back });
    app.takeStage(this);
    this.element.hidden = this.bar.hidden = false;
    this.box.classList.add("covered");
    this.#list(right, others);
    this.#lay();
    try {
      this.#show(answers);
    } catch (error) {
      console.error(error);
      this.close();
      return app.say("This browser cannot draw one more picture in 3-D.");
    }
    this.bar.scrollIntoView({ block: "nearest" });
    this.opened = performance.now() - since; // ms, for who measures
  }

  /** Own pieces of a joint; lessons, neither of which is the joint in hand, stand for themselves. */
  #pulled(recipe, ...pair) {
    const { pieces, state } = this.app;
    return pair.every((one) => one.recipe) ? null : pieces.of(recipe ?? state.kept);
  }

  /** A joint's title; with its wire, where the two are of unlike wires and so of unlike size; with whether own pieces are in its verdict, where there are any. */
  #titled({ title }, { answer, scene }) {
    const [one, other] = this.answers.map((each) => each.scene.diameter_mm), inch = scene.units === "inch";
    const wire = Math.abs(one / other - 1) > UNLIKE ? `, wire of ${inch ? (scene.diameter_mm / 25.4).toFixed(3) : scene.diameter_mm.toFixed(2)} ${inch ? "in" : "mm"}` : "";
    if (this.ofOthers || !this.app.pieces.complete.length) return `${title}${wire}`;
    return `${title}${wire}, ${answer.judged_by === "pulls" ? "with your pull tests" : "by the models alone"}`;
  }

  /** The joint in hand beside what is most worth seeing there. */
  openInHand() {
    const others = this.#others({});
    return this.open({ title: "In hand" }, others[0], { others });
  }

  close() {
    this.asked = null;
    if (!this.shown) return;
    this.screen.leave();
    this.element.hidden = this.bar.hidden = true;
    this.box.classList.remove("covered");
    this.pair = null;
    this.app.leaveStage(this);
  }

  #leave() {
    const { opener, back } = this;
    this.close();
    opener?.focus({ preventScroll: true });
    back?.();
  }

  /** What may stand at the right: cures, the joint before the last change, the good joint, lessons. */
  #others({ recipe }) {
    const { state, start, answer } = this.app, [first] = start.lessons;
    const cures = recipe ? [] : (answer?.findings ?? []).flatMap(({ fixes }) => fixes).map((fix) => ({ title: `Changed: ${fix.say}`, recipe: fix.recipe }));
    const before = recipe ? null : state.done.at(-1);
    return [...cures, ...(before ? [{ title: "As it was before the last change", recipe: before.recipe }] : []),
      { title: "Good joint", recipe: first.good }, ...start.lessons.map(({ title, recipe: bad }) => ({ title, recipe: bad }))];
  }

  #list(right, others) {
    const same = others.findIndex(({ recipe }) => recipe === right.recipe);
    this.others = same < 0 ? [right, ...others] : others;
    this.select.replaceChildren(...this.others.map(({ title }, k) => el("option", { value: k }, title)), el("option", { value: -1 }, "Another recipe ..."));
    this.select.value = Math.max(same, 0);
  }

  async #read() {
    const [file] = this.file.files;
    if (!file) return;
    try {
      const recipe = await readRecipe(file);
      this.open(this.pair[0], { title: recipe.title || file.name, recipe }, { others: this.others, back: this.back });
    } catch (error) {
      this.app.say(error.message);
    }
    this.file.value = "";
  }

  #choose(k) {
    if (k < 0) {
      this.select.value = this.others.findIndex(({ recipe }) => recipe === this.pair[1].recipe);
      return this.file.click();
    }
    this.open(this.pair[0], this.others[k], { others: this.others, back: this.back });
  }

  /** keepView: the camera stays where it is. */
  #show(answers, keepView = false) {
    this.answers = answers;
    const around = answers.flatMap(({ scene }) => [...readRings(scene.wire).middle]);
    const flags = answers.map((answer, k) => this.halves[k].flagsOf(answer).length);
    this.lead = this.halves[Number(flags[1] >= flags[0])].viewer;
    const order = this.halves[0].viewer === this.lead ? [0, 1] : [1, 0];
    this.#led(() => {
      for (const k of order) { // the one with the camera first
        const { viewer } = this.halves[k];
        viewer.leader = viewer === this.lead ? null : this.lead;
        this.halves[k].show(answers[k], this.#titled(this.pair[k], answers[k]), { around, keepView });
      }
    });
  }

  /** Do something to the viewer that has the camera: the other follows it. */
  #led(act) {
    this.held = Number(this.halves[1].viewer === this.lead);
    act(this.lead);
  }

  /** A camera has moved: the other follows the one that a hand is on. */
  #follow(k) {
    if (k !== this.held) return;
    const [from, to] = [this.halves[k].made, this.halves[1 - k].made];
    if (from?.rings && to?.rings && to.turning.take(from.turning)) to.refresh();
  }

  #how(over) {
    this.over = over;
    this.element.classList.toggle("over", over);
    this.handle.hidden = !over;
    if (this.pair) this.#led(() => this.#lay());
  }

  /** In a row or in a column, as there is more room for joints that lie or stand. */
  #lay() {
    if (!this.shown) return;
    const { clientWidth: width, clientHeight: height } = this.element;
    const scale = (w, h) => (w < 0.85 * h ? Math.min(w, h / LONG) : Math.min(w / LONG, h));
    const column = scale(width, height / 2) > scale(width / 2, height);
    this.element.classList.toggle("column", column);
    this.apart.textContent = column ? BELOW : BESIDE;
    this.element.style.setProperty("--edge", `${this.edge}%`);
    this.handle.setAttribute("aria-valuenow", Math.round(this.edge));
  }

  #to(edge) {
    this.edge = Math.min(Math.max(edge, 0), 100);
    this.#lay();
  }

  #key(event) {
    const to = { ArrowLeft: this.edge - STEP, ArrowRight: this.edge + STEP, Home: 0, End: 100 }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    this.#to(to);
  }

  #drag(event) {
    if (event.type === "pointerdown") this.handle.setPointerCapture(event.pointerId);
    if (!event.buttons) return;
    const box = this.element.getBoundingClientRect();
    this.#to((100 * (event.clientX - box.left)) / box.width);
  }

  #changed(what) {
    if (!this.shown) return;
    if (what === "light") for (const half of this.halves) half.refresh();
    const inHand = this.pair.findIndex(({ recipe }) => !recipe);
    if (what === "recipe" && inHand < 0) this.close();
    if (what === "answer" && inHand >= 0) this.#show(this.answers.map((answer, k) => (k === inHand ? this.app.answer : answer)), true);
  }
}
