// One of the joints that are looked at beside each other, or alone: a picture in 3-D of its own, with what is wrong in words.
import { Viewer } from "viewer";
import { capital, el, mark } from "./dom.js";

export class Half {
  /** name: for who does not see it; moved(): its camera has moved. */
  constructor(name, moved = () => {}) {
    this.words = el("p", {});
    this.caption = el("div", { class: "half-caption" }, this.words);
    this.stage = el("div", { class: "stage half", tabindex: "0", role: "application", "aria-label": name }, this.caption);
    Object.assign(this, { name, moved });
  }

  /** Made when it is first looked at: the element has a size then. */
  get viewer() {
    return (this.made ??= new Viewer(this.stage, { moved: () => this.moved(), angled: true }));
  }

  /** Show a joint's answer with its faults marked, or with nothing told. */
  show({ scene, answer, lessons, draft }, title, { told = true, ...more } = {}) {
    const notes = told ? this.flagsOf({ scene }).slice(0, 1) : []; // the most severe
    const [first] = lessons;
    this.caption.hidden = !told || !title;
    const fine = answer.verdict === "ok"; // of such a joint its mark says all
    this.words.replaceChildren(el("b", {}, mark(answer.verdict), ` ${title}${fine ? "" : ": "}`), first ? first.headline : fine ? "" : answer.sentence,
      first ? el("span", {}, ...lessonNodes(first)) : "");
    const angles = told ? scene.angles.map(({ name, text }) => `${name === "entry" ? "first bend" : name} ${text}`) : [];
    const seen = told && title ? [`${title}: ${first ? first.headline : answer.sentence}`, ...angles].join(", ") : this.name;
    this.stage.setAttribute("aria-label", `${seen}; in 3-D. Arrows turn it, plus and minus zoom.`);
    const { viewer } = this;
    viewer.by = told ? "verdict" : "plain";
    viewer.headroom = this.caption.offsetHeight;
    viewer.show({ ...scene, notes, angles: told ? scene.angles : [] }, { quick: Boolean(draft), ...more });
  }

  /** The labels of what is wrong with a joint. */
  flagsOf({ scene }) {
    return scene.notes.filter(({ part, verdict }) => !part && verdict !== "ok");
  }

  /** The light of the page has changed, or the room that it has. */
  refresh() {
    this.made?.resize();
    this.made?.refresh();
  }
}

/** Why a fault matters, and what hands should do. */
export const lessonNodes = ({ because, do: hands }) => [el("b", {}, "Because "), `${because}. `, ...(hands ? [el("b", {}, "Do this: "), `${capital(hands)}.`] : [])];
