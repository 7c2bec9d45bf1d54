// The answer in one line: what to cut, what comes out, the worst bend, what it holds.
import { capital, el, mark } from "./dom.js";

export class Answer {
  constructor(holder) {
    this.holder = holder;
    this.fields = {};
    const field = (name, word) => {
      const big = el("dd", { class: "big" }), small = el("dd", { class: "small" });
      this.fields[name] = { big, small };
      holder.append(el("dl", { class: `field ${name}` }, el("dt", {}, word), big, small));
    };
    field("cut", "Cut (range: as hands vary)");
    field("finished", "Finished");
    field("worst", "Worst bend");
    field("hold", "Holds");
  }

  show({ answer }) {
    const { cut, finished, worst } = this.fields;
    this.holder.classList.remove("stale");
    cut.big.replaceChildren(answer.cut, el("span", { class: "interval" }, answer.interval ? `${answer.interval}` : ""));
    cut.small.textContent = answer.parts || "";
    finished.big.textContent = answer.finished;
    finished.small.textContent = "eye to last wrap";
    const { where, what, more } = halves(answer.worst);
    worst.big.replaceChildren(mark(verdictOf(what, answer.verdict)), el("span", {}, capital(what)));
    worst.small.textContent = [where, ...more].join(", ");
  }

  /** The input cannot be made: the last good joint stays, greyed. */
  fault() {
    this.holder.classList.add("stale");
  }

  hold({ state, said }) {
    const { big, small } = this.fields.hold;
    if (state === "waiting") {
      big.textContent = "...";
      small.textContent = said || "the estimate follows";
    } else if (state === "failed") {
      big.textContent = "not known";
      small.textContent = said;
    } else {
      const [line, rest] = split(said);
      big.textContent = capital(line);
      small.textContent = rest;
    }
  }
}

/** "Exit bend, tag: ok, strain 0.49 (limit 0.50), radius 1.03 d": its place, the first two words on it, and more. */
function halves(text) {
  const at = text.indexOf(": ");
  const [verdict, strain, ...more] = text.slice(at < 0 ? 0 : at + 2).split(", ");
  return { where: capital(at < 0 ? "" : text.slice(0, at)), what: [verdict, strain].filter(Boolean).join(", "), more };
}

/** A bend's own verdict is the first word on it. */
const verdictOf = (what, otherwise) => ["ok", "caution", "sharp"].find((word) => what.startsWith(word)) || otherwise;

/** A line with something in brackets at its end as the line and what stood in the brackets. */
function split(text) {
  const found = /^(.*?)\s*\(([^()]*)\)\.?$/.exec(text);
  return found ? [found[1], found[2]] : [text, ""];
}
