// The making of a joint in its pane: every step in words, to press; the film itself runs on the stage.
import { el } from "../dom.js";
import { Film } from "viewer";
import { Making } from "../making.js";

const EDGE_PX = 8;

/** Scroll the panel, and nothing else, so that an item is seen in it. */
function inSight(item) {
  const panel = item.closest(".panel"), [own, all] = [item, panel].map((one) => one.getBoundingClientRect());
  if (panel.scrollHeight <= panel.clientHeight) return; // the page scrolls, under a hand
  if (own.top < all.top + EDGE_PX) panel.scrollTop -= all.top + EDGE_PX - own.top;
  else if (own.bottom > all.bottom - EDGE_PX) panel.scrollTop += own.bottom - all.bottom + EDGE_PX;
}

export class Player {
  constructor(app) {
    this.making = new Making(app, (step) => this.#at(step));
    this.list = el("ol", { class: "steps" });
    this.element = el("div", { class: "player", hidden: true });
  }

  /** record: of the film of the joint on the stage; marks: where to ink, as nodes. */
  begin(record, marks) {
    this.film = new Film(record);
    this.list.replaceChildren(...this.film.captions.map((caption, k) => el("li", {}, el("button", { class: "step", onclick: () => {
      this.making.open(this.film);
      this.making.toStep(k);
    } }, el("b", {}, caption.title), " ", caption.sentence))));
    this.element.replaceChildren(this.list, ...marks);
    this.element.hidden = false;
    this.making.open(this.film);
  }

  /** The finished joint is on the stage again. */
  leave() {
    this.making.close();
  }

  /** The joint itself came onto the stage once more: the film goes on in its place. */
  again() {
    if (this.making.shown) this.making.show(this.making.frame);
  }

  /** Another joint is on the stage: these steps are not its own. */
  end() {
    this.making.close();
    this.element.hidden = true;
  }

  #at(step) {
    [...this.list.children].forEach((item, k) => {
      item.firstChild.setAttribute("aria-pressed", k === step);
      if (k === step) inSight(item);
    });
  }
}
