// The answer at the head of the page: the judgement of the joint, what it holds, what to cut, what comes out.
import { capital, el, mark } from "./dom.js";

const NOTHING = "\u2013";
const LONG = 20; // letters
const FIELDS = { worst: "Verdict", hold: "Holds", cut: "Cut", finished: "Finished" };

export class Answer {
  /** parts: {answer, gone} of the layout; finding(finding): the button of the most severe finding; knob(key): its name. */
  constructor({ answer, gone }, { finding, knob }) {
    Object.assign(this, { holder: answer, lost: gone, finding, knob, fields: {}, reply: null });
    for (const [name, word] of Object.entries(FIELDS)) {
      const head = el("dt", {}, word), big = el("dd", { class: "big" }), small = el("dd", { class: "small" });
      this.fields[name] = { head, big, small };
      answer.append(el("dl", { class: `field ${name}` }, head, big, small));
    }
    new ResizeObserver(() => document.documentElement.style.setProperty("--answer", `${answer.offsetHeight}px`)).observe(answer);
  }

  show(reply) {
    const { answer, draft, scene } = reply, { cut, finished } = this.fields;
    this.reply = reply;
    this.holder.classList.remove("stale");
    cut.big.replaceChildren(answer.cut, el("span", { class: "interval" }, answer.interval ? `${answer.interval}` : ""));
    cut.small.textContent = answer.parts ? `${answer.parts}; range as hands vary` : "";
    this.#moved(answer.cut_mm, draft, scene.units);
    finished.big.textContent = answer.finished;
    finished.small.textContent = "eye to last wrap";
    this.#judged();
  }

  /** The verdict, own pull tests in it where there are any. */
  #judged() {
    const { answer, findings } = this.reply, { worst } = this.fields, { first, judged_by: by } = answer;
    this.heads = { worst: { shape: "Verdict on the shape alone", pulls: "Verdict, with your pull tests" }[by] ?? FIELDS.worst };
    this.#head();
    worst.big.replaceChildren(first ? this.finding(findings[0], first.what) : el("span", {}, mark("ok"), capital(answer.verdict)));
    worst.small.textContent = first ? first.do : by === "pulls" ? `${answer.sentence} Your pull tests are in it.` : answer.sentence;
    worst.small.title = worst.small.textContent;
    worst.small.classList.toggle("do", Boolean(first));
  }

  /** What is on the stage is another joint than the one in hand, of which the numbers here are. */
  aside(yes) {
    this.holder.classList.toggle("aside", yes);
    this.#head();
  }

  #head() {
    const aside = this.holder.classList.contains("aside");
    this.fields.worst.head.textContent = aside ? "The joint in hand, not the one shown" : this.heads?.worst ?? FIELDS.worst;
  }

  /** By how much the wire to cut is another one than before the hand moved. */
  #moved(now, draft, units) {
    const by = units === "inch" ? (now - this.before) / 25.4 : now - this.before;
    const shown = Math.abs(by).toFixed(units === "inch" ? 2 : 0);
    const { dataset } = this.fields.cut.big;
    if (Number(shown)) dataset.moved = `${by > 0 ? "+" : "\u2212"}${shown} ${units === "inch" ? "in" : "mm"}`;
    else delete dataset.moved;
    if (!draft) this.before = now;
  }

  /** The input cannot be made: no number of another joint is left standing. */
  fault([fault]) {
    this.#empty();
    const { worst } = this.fields;
    worst.big.replaceChildren(mark("fault"), `Cannot be made${this.knob(fault.key) ? `: ${this.knob(fault.key)}` : ""}`);
    worst.small.textContent = worst.small.title = capital(fault.message);
  }

  /** The program that answers is gone, or is there again. */
  gone(yes, why) {
    this.lost.hidden = !yes;
    if (!yes) return;
    this.lost.replaceChildren(mark("fault"), ` ${why}. The joint in hand is kept in the address of this page.`);
    this.#empty();
    this.fields.worst.big.textContent = "Nobody answers";
  }

  #empty() {
    this.holder.classList.add("stale");
    for (const { big, small } of Object.values(this.fields)) {
      big.textContent = NOTHING;
      delete big.dataset.moved;
      small.textContent = small.title = "";
    }
  }

  hold({ state, said, head }) {
    const { big, small } = this.fields.hold;
    big.classList.toggle("long", state === "done" && head?.short.length > LONG);
    if (state === "done" && head) big.replaceChildren(mark(head.severity), el("span", { class: `word ${head.severity}` }, head.short));
    else big.textContent = state === "waiting" ? "..." : NOTHING;
    small.textContent = state === "done" ? `${head?.more ?? said}.` : state === "waiting" ? said || "the estimate follows" : said;
    small.title = small.textContent;
  }
}
