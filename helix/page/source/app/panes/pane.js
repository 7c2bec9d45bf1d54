// What the panes have in common: a sheet to lie on, and knowing when the joint in hand is another one.
import { el } from "../dom.js";

/** A pane from its name, its title and build(sheet, app) -> {shown(), changed(answer)} or nothing. */
export const pane = (name, title, build) => ({
  name, title,
  make(holder, app) {
    const sheet = el("div", { class: "sheet" });
    holder.append(sheet);
    return build(sheet, app) || {};
  },
});

/** What is asked, what is told of it and what follows; on a wide window the answer stands beside the question. */
export const sides = (asked, told, ...rest) =>
  el("div", { class: "sides" }, el("div", { class: "asked" }, ...asked), el("div", { class: "told" }, ...told), el("div", { class: "rest" }, ...rest));

/** The joint in hand as the questions want it. */
export const joint = (app) => ({ recipe: app.state.recipe, units: app.units });

/** The same with its own pull tests, which decide wherever it is judged. */
export const judged = (app) => ({ ...joint(app), ...app.pulled });

/** What stands in a pane for one wire alone: in its place, for two, why not and what does instead. */
export function forOneWire(app, study, ...nodes) {
  const inside = el("div", {}, ...nodes), note = el("p", { class: "small" }, app.start.of_two[study]);
  const show = () => {
    const two = app.state.recipe.wire?.count === 2;
    inside.hidden = two;
    note.hidden = !two;
  };
  app.subscribe((event) => event === "recipe" && show());
  show();
  return [note, inside];
}

/** Tell boxes that their results were for another joint, once the joint in hand is one. more(): what else they are of, told by `look`. */
export function watch(app, boxes, what = "These numbers are for the joint as it was before. Press again for the joint in hand.", more = () => "") {
  const asked = new Map();
  const now = () => JSON.stringify([app.state.recipe, app.pulled, more()]);
  const look = () => {
    const text = now();
    for (const box of boxes) box.old(asked.has(box) && asked.get(box) !== text ? what : "");
  };
  app.subscribe((event) => ["recipe", "answer", "hold"].includes(event) && look());
  /** The box's result is of the joint as it is now. */
  return Object.assign((box) => void asked.set(box, now()), { look });
}
