// The page of `helix page`: knobs, the joint in 3-D, the answer.
import * as api from "./api.js";
import { Answer } from "./answer.js";
import { Asker } from "./asker.js";
import { Beside } from "./beside.js";
import { el } from "./dom.js";
import { Findings } from "./findings.js";
import { Header } from "./header.js";
import { Hold } from "./hold.js";
import { Joints } from "./joints.js";
import { Knobs } from "./knobs.js";
import { layout } from "./layout.js";
import { tellMadeFor } from "./made_for.js";
import { PANES } from "./panes/index.js";
import { Pieces } from "./pieces.js";
import { printing } from "./printing.js";
import { Quiz } from "./quiz.js";
import { SHAPE } from "./shape.js";
import { Stage } from "./stage.js";
import { State } from "./state.js";
import { attempt, Tabs } from "./tabs.js";

const NARROW = matchMedia("(max-width: 56rem)");
const TOAST_MS = 4000;
const LOOK_MS = 2000; // between two looks for a program that is gone

/**
 * What the panes are given.
 * @typedef {object} App
 * @property {object} start    reply of /api/start: knobs, groups, wires, lessons, examples, cautions
 * @property {object} state    {recipe: TABLES, units: "metric"|"inch", pane, light}: read it, change it by setRecipe
 * @property {object|null} answer  the last good reply of /api/joint; `answer.draft` while a slider moves
 * @property {object|null} answered  the joint that `answer` is about
 * @property {object[]} faults  faults of the input in hand ([] while it can be made)
 * @property {{state: "waiting"|"done"|"failed", said: string, head?: object, result: object|null}} hold  estimate of the joint in
 *   hand, asked for after every full answer: the result of POST /api/pane/hold
 * @property {"metric"|"inch"} units
 * @property {{get, post, job, download, save}} api  see api.js; job() drops its work when its signal is aborted
 * @property {import("../viewer.js").Viewer|null} viewer  the joint on the stage; null where there is no WebGL
 * @property {(tables: object, say: string) => void} setRecipe  makes this the joint in hand; can be undone.
 *   say: what was done in a few words ("Exit made gradual")
 * @property {(units: string, tables: object, say: string) => Promise} takeIn  the same with its lengths in "metric" or "inch"
 * @property {(fn: (what: string) => void) => (() => void)} subscribe  fn is called with "answer" (a new app.answer),
 *   "hold", "faults", "recipe" (before its answer), "light"; returns what ends it
 * @property {(point: number[]) => void} goTo  the camera goes to a place of the joint (mm)
 * @property {(section: string) => number[]|null} placeOf  the middle of a section, for goTo
 * @property {import("./joints.js").Joints} joints  answers on joints beside the one in hand
 * @property {import("./beside.js").Beside|null} beside  shows two joints side by side; null where there is no WebGL
 * @property {(one: {close: () => void}) => void} takeStage  it covers the stage now; leaveStage: no more
 * @property {(text: string) => void} say  a line for everyone: shown shortly, and read out by screen readers
 * @property {import("./pieces.js").Pieces} pieces  the pull tests that were typed
 * @property {object} pulled  {pulls}: the pieces of the joint in hand that its verdict takes; {} where it takes none
 * @property {(name: string) => void} open  opens another pane
 *
 * A pane is made the first time it is looked at: make(holder, app) -> {shown(), changed(answer)}.
 * shown() is called each time its tab is opened; changed(answer) at each new answer while it is open
 * (drafts too: leave those out that cost anything).
 */

class Page {
  constructor(start) {
    const parts = (this.parts = layout());
    this.start = start;
    this.answer = this.answered = null;
    this.faults = [];
    this.hold = { state: "waiting", said: "", result: null };
    this.api = api;
    this.pace = []; // ms from a slider's move to its picture, for whoever measures
    this.listeners = new Set();
    this.state = new State(start.recipe, (what) => this.#changed(what));
    this.asker = new Asker((reply, asked) => this.#answered(reply, asked), (faults, asked) => this.#failed(faults, asked));
    this.pieces = new Pieces(this, () => this.#ask(false));
    this.holding = new Hold((hold) => this.#held(hold));
    this.header = new Header(parts.head, this);
    this.findings = new Findings(parts.findings, parts.told, this);
    this.line = new Answer(parts, { finding: (...finding) => this.findings.button(...finding), knob: (key) => this.knobs.label(key) });
    parts.foot.append(start.caution);
    this.stage = new Stage(parts, { chosen: (note) => note.part || this.findings.choose(note) });
    this.viewer = this.stage.viewer;
    this.joints = new Joints(this);
    this.above = null; // what covers the stage: one at a time
    this.beside = this.viewer && new Beside(this);
    this.quiz = this.viewer && new Quiz(this);
    parts.beside.hidden = !this.viewer;
    parts.beside.addEventListener("click", () => this.beside.openInHand());
    this.knobs = new Knobs(parts.knobs, this);
    const knobs = { name: "knobs", title: "Adjust", make: () => ({}) };
    this.tabs = new Tabs(parts.tabs, parts.panel, [knobs, SHAPE, ...PANES], this, (name) => this.state.show(name));
    printing(this, parts);
    NARROW.addEventListener("change", () => this.#place());
    this.#place();
    api.onHeard((heard) => this.#heard(heard));
    document.addEventListener("visibilitychange", () => document.hidden || api.there());
    this.#ask(false);
  }

  get units() {
    return this.state.units;
  }

  get pulled() {
    const { own } = this.pieces;
    return own && !this.holding.unread ? { pulls: own } : {};
  }

  /** A joint that is only tried, while a slider moves. */
  tryRecipe(recipe) {
    this.since = window.event?.timeStamp ?? performance.now();
    this.state.try(recipe);
  }

  setRecipe(recipe, say, knob) {
    this.state.set(recipe, say, knob);
    if (!knob) this.say(say);
  }

  /** A recipe as the joint in hand, its lengths in these units. */
  async takeIn(units, recipe, say) {
    try {
      const same = units === (recipe.units ?? "metric");
      this.setRecipe(same ? structuredClone(recipe) : (await api.post("/api/units", { recipe, units })).recipe, say);
    } catch (error) {
      this.say(error.message);
    }
  }

  subscribe(fn) {
    this.listeners.add(fn);
    return () => this.listeners.delete(fn);
  }

  goTo(point) {
    this.stage.goTo(point);
  }

  placeOf(section) {
    return this.stage.placeOf(section);
  }

  open(name) {
    this.tabs.open(name, true);
  }

  /** Something covers the stage; what covered it before goes. */
  takeStage(one) {
    const { above } = this;
    this.above = one;
    this.line.aside(Boolean(one.ofOthers));
    this.parts.bench.classList.add("teaching");
    if (above !== one) above?.close();
  }

  leaveStage(one) {
    if (this.above !== one) return;
    this.above = null;
    this.line.aside(false);
    this.parts.bench.classList.remove("teaching");
  }

  /** Bring the knobs into sight, where they are a tab. */
  toKnobs() {
    if (NARROW.matches) this.open("knobs");
  }

  explain(...words) {
    this.knobs.explain(...words);
  }

  say(text) {
    const { said, toast } = this.parts;
    said.textContent = toast.textContent = text;
    toast.hidden = false;
    clearTimeout(this.toasting);
    this.toasting = setTimeout(() => (toast.hidden = true), TOAST_MS);
  }

  #emit(what) {
    for (const listener of [...this.listeners]) attempt(() => listener(what));
  }

  #changed(what) {
    tellMadeFor(this);
    if (what === "draft") return this.#ask(true);
    if (what === "light") this.header.light.tell();
    if (what === "pane" && NARROW.matches) this.above?.close(); // it has no room beside a pane there
    if (what === "pane" && this.tabs.name !== this.state.pane) this.tabs.open(this.state.pane);
    if (what === "sent") {
      this.pieces.receive(this.state.sent);
      this.#ask(false);
    }
    if (what === "recipe") {
      this.header.tell();
      this.knobs.show(this.state.recipe, this.answer?.filled, this.answer?.sensible);
      this.#ask(false);
    }
    this.#emit(what);
  }

  #ask(draft) {
    this.holding.forget();
    this.asker.want({ recipe: this.state.recipe, draft, units: this.units, since: this.since, pulls: draft ? null : this.pieces.own });
  }

  #answered(reply, asked) {
    const { draft, since } = asked;
    Object.assign(this, { answer: reply, answered: asked.recipe });
    this.faults = [];
    this.parts.panel.classList.remove("stale");
    this.stage.show(reply);
    this.line.show(reply);
    this.findings.show(reply, asked.recipe);
    this.knobs.faults([]);
    this.knobs.show(this.state.recipe, reply.filled, reply.sensible);
    if (!draft) {
      this.pieces.learn(asked.recipe, reply.filled);
      this.state.tell(this.pieces.counts(reply.judgement));
    }
    this.tabs.changed(reply);
    this.#emit("answer");
    if (draft) {
      this.line.hold({ state: "waiting", said: "" });
      requestAnimationFrame(() => setTimeout(() => this.pace.push(performance.now() - since)));
      return;
    }
    const { cut, interval, finished, sentence } = reply.answer;
    this.parts.said.textContent = `Cut ${cut}${interval ? ` (${interval})` : ""}. Finished ${finished}. ${sentence}`;
    if (JSON.stringify(this.pieces.own) === JSON.stringify(asked.pulls)) this.#askHold();
    else this.#ask(false); // its pieces are known now that it is known which joint it is
  }

  /** What the joint in hand holds, with the pieces of it that were pulled. */
  #askHold() {
    if (this.answer && !this.answer.draft && !this.faults.length) this.holding.ask(this.state.kept, this.units, this.pieces.own, this.pieces.leftOut);
  }

  /** Whether the program that serves this page is there: while it is not, it is looked for; back again, it is asked anew. */
  #heard(heard) {
    if (heard === !this.lost) return;
    this.lost = !heard;
    this.parts.bench.classList.toggle("lost", this.lost);
    this.line.gone(this.lost, api.GONE);
    clearInterval(this.looking);
    if (this.lost) this.looking = setInterval(api.there, LOOK_MS);
    else this.#ask(false);
  }

  #failed(faults, { recipe }) {
    if (this.lost) return;
    this.faults = faults;
    this.knobs.show(recipe, this.answer?.filled, this.answer?.sensible);
    this.knobs.faults(faults);
    this.findings.faults(faults, recipe);
    this.line.fault(faults);
    this.parts.panel.classList.add("stale");
    this.stage.stale(this.answer ? "This cannot be made. The last joint that can is shown." : "This cannot be made.");
    this.parts.said.textContent = faults.map(({ key, message }) => [this.knobs.label(key), message].filter(Boolean).join(": ")).join(". ");
    this.#held({ state: "failed", said: "", result: null });
    this.#emit("faults");
  }

  #held(hold) {
    this.hold = hold;
    if (!this.lost) this.line.hold(hold);
    if (hold.state === "done") this.parts.said.textContent = `Holds: ${hold.said}`;
    this.#emit("hold");
  }

  /** On a narrow window the knobs are a tab, else a column. */
  #place() {
    const { knobs, bench } = this.parts;
    if (NARROW.matches) document.getElementById("panel-knobs").append(knobs);
    else bench.append(knobs);
    const pane = this.state.pane || (NARROW.matches ? "knobs" : "shape");
    this.tabs.open(pane === "knobs" && !NARROW.matches ? "shape" : pane);
  }
}

async function begin() {
  try {
    return new Page(await api.get("/api/start"));
  } catch (error) {
    console.error(error);
    document.body.replaceChildren(el("p", { class: "no-start", role: "alert" }, error.message));
    return null;
  }
}

begin().then((app) => (window.helixPage = app)); // for whoever measures or tests
