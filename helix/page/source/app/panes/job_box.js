// Work that may take long: how far it is, for how long it has been going, a way to stop it, faults in words, its result.
import { dropped } from "../api.js";
import { el, mark } from "../dom.js";

const SLOW_MS = 400;

export class JobBox {
  /** app: as the panes get it. live: what comes follows the hand, so the page stays where it is. closes: what is of another joint is out of sight. fields: of the form, where there is one: their faults are shown at them. */
  constructor(app, { fields = null, wait = "working it out", live = false, closes = false } = {}) {
    Object.assign(this, { app, fields, wait, live, closes, stop: null, timer: 0, result: null });
    this.line = el("span", {});
    this.seconds = el("span", { class: "seconds", "aria-hidden": "true" });
    this.cancel = el("button", { class: "plain", onclick: () => this.end() }, "Cancel");
    this.going = el("div", { class: "going", hidden: true }, el("span", { class: "spin", "aria-hidden": "true" }), this.line, this.seconds, this.cancel);
    this.told = el("p", { class: "unseen", role: "status", "aria-live": "polite" });
    this.wrong = el("div", { class: "faults", role: "alert", hidden: true });
    this.stale = el("p", { class: "old", hidden: true });
    this.output = el("div", { class: "output" });
    this.element = el("div", { class: "job" }, this.going, this.told, this.wrong, this.stale, this.output);
  }

  get busy() {
    return Boolean(this.stop);
  }

  /** Ask for /api/pane/NAME and show what comes back; show(result) gives the nodes. The result, or null. */
  pane(name, body, show) {
    return this.run((more) => this.app.api.pane(name, body, more), show);
  }

  /** Have a file made and saved. */
  file(name, body) {
    return this.run((more) => this.app.api.download(name, body, more), (saved) => {
      this.app.say(`Saved as ${saved}.`);
      return null;
    });
  }

  /** work({said, signal}) -> a promise; show(result) -> nodes, or null to leave what is there. */
  async run(work, show) {
    this.end(false);
    const stop = (this.stop = new AbortController());
    this.fields?.faults([]);
    this.#faults([]);
    this.#start();
    try {
      const result = await work({ said: (text) => this.#say(text), signal: stop.signal });
      if (stop !== this.stop) return null;
      this.#done();
      const nodes = show(result);
      if (nodes) this.show(nodes);
      return (this.result = result);
    } catch (error) {
      if (stop !== this.stop) return null;
      this.#done();
      if (dropped(error)) this.told.textContent = "Cancelled.";
      else {
        if (!error.faults) console.error(error);
        this.fail(error.faults || [{ place: "", key: "", message: `A fault of this page: ${error.message}` }]);
      }
      return null;
    }
  }

  /** Stop the work; byHand: somebody asked for it, and is told. */
  end(byHand = true) {
    if (!this.stop) return;
    const { stop } = this;
    this.stop = null;
    stop.abort();
    this.#still();
    if (byHand) {
      this.told.textContent = "Cancelled.";
      this.app.say("Cancelled.");
    }
  }

  show(nodes) {
    this.output.replaceChildren(...nodes);
    this.old("");
    this.told.textContent = "Done.";
    this.#seen();
  }

  /** What is wrong takes the place of an answer that it is not about. */
  fail(faults) {
    this.output.replaceChildren();
    this.result = null;
    this.old("");
    const left = this.fields ? this.fields.faults(faults) : faults;
    this.#faults(left, left.length < faults.length && !this.fields.tells);
    this.wrong.scrollIntoView({ block: "nearest" });
    if (this.fields && left.length < faults.length) this.fields.focusFault();
  }

  /** Words over a result that no longer belongs to what is in hand; "": it does. */
  old(text) {
    const shown = Boolean(text) && this.output.childElementCount > 0;
    this.stale.hidden = !shown;
    this.stale.textContent = shown ? text : "";
    this.output.classList.toggle("gone", shown);
    this.output.inert = shown; // what it offers is of what is no longer in hand
    if (this.closes) this.output.hidden = shown;
  }

  clear() {
    this.end(false);
    this.fields?.faults([]);
    this.#faults([]);
    this.output.replaceChildren();
    this.result = null;
    this.old("");
  }

  /** Bring the head of a result into sight that came up below the edge. */
  #seen() {
    const panel = this.element.closest(".panel");
    if (this.live || !panel || !this.output.childElementCount) return;
    const edge = Math.min(panel.getBoundingClientRect().bottom, innerHeight);
    if (this.element.getBoundingClientRect().top > edge - 140) this.element.scrollIntoView({ block: "start" });
  }

  #start() {
    const since = performance.now();
    this.going.hidden = false;
    this.#say(`${this.wait} ...`);
    const count = () => {
      const time = performance.now() - since;
      this.seconds.textContent = time > SLOW_MS ? `${(time / 1000).toFixed(0)} s` : "";
    };
    count();
    clearInterval(this.timer);
    this.timer = setInterval(count, 250);
  }

  #say(text) {
    this.line.textContent = text;
    this.told.textContent = text;
  }

  #done() {
    this.stop = null;
    this.told.textContent = "";
    this.#still();
  }

  #still() {
    clearInterval(this.timer);
    const held = this.going.contains(document.activeElement);
    this.going.hidden = true;
    if (held) this.element.closest("[role=tabpanel]")?.focus();
  }

  #faults(faults, more = false) {
    this.wrong.hidden = !faults.length && !more;
    this.wrong.replaceChildren(...(more && !faults.length ? [faultLine("Something in the fields above is not right.")] : faults.map((fault) => faultLine(inWords(fault)))));
  }
}

const faultLine = (text) => el("p", { class: "fault" }, mark("fault"), el("span", {}, text));

/** A fault as a line: where, and what. */
export function inWords({ place, key = "", message }) {
  const where = place && place !== key ? place : key.replaceAll("_", " ");
  return where && !message.startsWith(where) ? `${where}: ${message}` : message;
}
