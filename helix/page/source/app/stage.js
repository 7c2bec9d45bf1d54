// The joint in 3-D: drawn, pointed at, and gone to.
import { canDraw, controls, sectionAt, showRuler, Viewer } from "viewer";
import { el, mark } from "./dom.js";

const NARROW_PX = 600;
const BEFORE_MS = 6000; // for which the joint of before is seen, once a hand has let go
const SAME = 0.05; // of a radius: a wire that has moved no farther has not changed

/** How far one wire lies from another [mm], at the most; Infinity where they have not the same rings. */
function moved(one, other) {
  if (one.count !== other.count) return Infinity;
  return one.middle.reduce((most, value, k) => Math.max(most, Math.abs(value - other.middle[k])), 0);
}

export class Stage {
  /** parts: elements of the layout; chosen(note): a label was pressed. */
  constructor(parts, { chosen }) {
    this.parts = parts;
    this.viewer = null;
    this.answer = null;
    const moved = (size) => {
      const narrow = parts.stage.clientWidth < NARROW_PX;
      showRuler(parts.ruler, size, this.answer?.scene.units, narrow ? 80 : 130);
      this.#spare();
      parts.labels.textContent = this.viewer.crowded ? "Labels: no room" : "Labels";
      const { touched, view } = this.viewer.turning;
      for (const button of parts.views.children) button.setAttribute("aria-pressed", !touched && button.value === view);
    };
    try {
      if (canDraw()) this.viewer = new Viewer(parts.stage, { chosen: (note) => this.#chosen(note, chosen), moved });
    } catch {
      this.viewer = null;
    }
    parts.no3d.hidden = Boolean(this.viewer);
    document.documentElement.classList.toggle("live", Boolean(this.viewer));
    if (!this.viewer) return;
    parts.fit.addEventListener("click", () => this.viewer.fit());
    this.#point();
  }

  /** Labels leave the scale its place, and what stands above it. */
  #spare() {
    const { ruler, before } = this.parts, { notes } = this.viewer;
    const spare = [Math.max(ruler.offsetWidth, before.offsetWidth) + 24, ruler.offsetHeight + before.offsetHeight + 16];
    const more = spare.some((value, k) => value > notes.spare[k] + 3);
    notes.spare = spare;
    if (more) this.viewer.refresh();
  }

  show(answer) {
    const first = !this.answer, quick = Boolean(answer.draft);
    this.answer = answer;
    this.stale(null);
    const { viewer, parts } = this;
    if (!viewer) return;
    viewer.show(answer.scene, { keepView: !first, quick, before: quick ? null : this.last });
    if (!quick) this.#remember(answer.scene);
    if (first) this.legends = controls(viewer, answer.scene, parts);
    else if (!quick) this.legends(answer.scene);
    if (quick) {
      parts.before.hidden = true;
      this.#part(null);
    }
  }

  /** The joint of before is seen faintly for a while, until a hand moves something again; not where nothing has moved. */
  #remember(scene) {
    const { viewer, parts } = this, { rings, before } = viewer;
    const far = before.rings && moved(before.rings, rings) > SAME * rings.radius;
    if (before.rings && !far) viewer.forget();
    this.last = scene;
    parts.before.hidden = !far;
    if (far) viewer.refresh(); // labels make room for its words
    clearTimeout(this.fading);
    if (far) this.fading = setTimeout(() => this.#forget(), BEFORE_MS);
  }

  #forget() {
    this.parts.before.hidden = true;
    this.viewer.forget();
  }

  /** The joint that is seen is not the one in hand, in words; null: it is. */
  stale(why) {
    const { stage, stale } = this.parts;
    stage.classList.toggle("greyed", Boolean(why));
    stale.hidden = !why;
    stale.textContent = why ?? "";
  }

  goTo(place) {
    this.viewer?.goTo(place);
  }

  /** The middle of a section, or null. */
  placeOf(section) {
    const rings = this.viewer?.rings;
    if (!rings?.section) return null;
    const of = this.viewer.scene.sections.indexOf(section), own = [];
    rings.section.forEach((value, ring) => value === of && own.push(ring));
    const ring = own[own.length >> 1];
    return ring === undefined ? null : [...rings.middle.subarray(3 * ring, 3 * ring + 3)];
  }

  #chosen(note, chosen) {
    if (note.part && this.answer?.parts?.[note.name]) this.#part(note.name, 12, 12);
    chosen(note);
  }

  #point() {
    const { stage } = this.parts;
    let waiting = 0;
    stage.addEventListener("pointermove", (event) => {
      if (event.pointerType === "touch" || event.buttons || event.target.closest("button") || waiting) return;
      waiting = requestAnimationFrame(() => {
        waiting = 0;
        this.#under(event, 3);
      });
    });
    stage.addEventListener("pointerleave", (event) => event.pointerType !== "touch" && this.#part(null));
    let down = null;
    stage.addEventListener("pointerdown", (event) => (down = [event.clientX, event.clientY]));
    stage.addEventListener("pointerup", (event) => {
      if (!down || event.target.closest("button")) return;
      if (Math.hypot(event.clientX - down[0], event.clientY - down[1]) < 6) this.#under(event, 9);
    });
  }

  #under(event, slack) {
    const box = this.parts.stage.getBoundingClientRect();
    const x = event.clientX - box.left, y = event.clientY - box.top;
    this.#part(this.viewer.quick ? null : sectionAt(this.viewer, x, y, slack), x, y);
  }

  /** Tell of a part beside a place on the stage; null: of none. */
  #part(name, x = 0, y = 0) {
    const { part: card, stage } = this.parts;
    const part = name && this.answer?.parts?.[name];
    this.viewer.light(part ? name : null);
    card.hidden = !part;
    if (!part) return;
    if (card.dataset.name !== name || card.answer !== this.answer) {
      card.dataset.name = name;
      card.answer = this.answer;
      const row = (word, text) => (text ? [el("dt", {}, word), el("dd", {}, text)] : []);
      card.replaceChildren(el("b", {}, part.title), el("dl", {},
        ...row("wire", part.wire), ...row("least radius", part.radius), ...row("strain", part.strain),
        ...(part.verdict ? [el("dt", {}, "verdict"), el("dd", {}, mark(part.verdict), ` ${part.verdict}`)] : [])));
    }
    const { offsetWidth: width, offsetHeight: height } = card;
    const left = x + 18 + width > stage.clientWidth ? x - 18 - width : x + 18;
    const top = y + 18 + height > stage.clientHeight ? y - 14 - height : y + 18;
    card.style.transform = `translate(${Math.max(left, 4)}px, ${Math.max(top, 4)}px)`;
  }
}
