// The answer in one line: what to cut, what comes out, the verdict on it, what it holds.
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
    field("worst", "Verdict");
    field("hold", "Holds");
  }

  show({ answer }) {
    const { cut, finished, worst } = this.fields;
    this.holder.classList.remove("stale");
    cut.big.replaceChildren(answer.cut, el("span", { class: "interval" }, answer.interval ? `${answer.interval}` : ""));
    cut.small.textContent = answer.parts || "";
    finished.big.textContent = answer.finished;
    finished.small.textContent = "eye to last wrap";
    const found = answer.first ? `${capital(answer.verdict)}: ${answer.first.short}` : capital(answer.verdict);
    worst.big.replaceChildren(mark(answer.verdict), el("span", {}, found));
    const bend = Object.values(answer.worst).filter(Boolean).join(", ");
    worst.small.textContent = answer.first ? `${answer.first.what}; hardest bend: ${bend}` : `hardest bend: ${bend}`;
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

/** A line with something in brackets at its end as the line and what stood in the brackets. */
function split(text) {
  const found = /^(.*?)\s*\(([^()]*)\)\.?$/.exec(text);
  return found ? [found[1], found[2]] : [text, ""];
}
