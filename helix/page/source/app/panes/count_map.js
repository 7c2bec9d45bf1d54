// Turns against wraps as a map: a cell a pair, the joint in hand framed; pressed, a cell becomes the joint in hand.
import { at, changed } from "../address.js";
import { el } from "../dom.js";

const KEYS = ["twist.turns", "barrel.wraps"];

/** What a map is of: a recipe without its counts, and the pieces that decide in it. */
export function uncounted(app) {
  return JSON.stringify([KEYS.reduce((recipe, key) => changed(recipe, key, undefined, drops(app, key)), app.state.recipe), app.pieces.complete]);
}

const drops = (app, key) => app.start.knobs.find((knob) => knob.key === key).drops;

/** The counts of the joint in hand, as numbers. */
const counts = (app) => KEYS.map((key) => Number(at(app.state.recipe, key) ?? parseFloat(app.answer?.filled[key])));

/** map: {title, safe, star, here, turns, wraps, cells: rows of {verdict, word, said}, pieces} -> its element and what frames the joint. */
export function countMap(map, app) {
  const cells = [];
  const take = (row, k) => {
    const values = [map.turns[row], map.wraps[k]];
    const recipe = KEYS.reduce((made, key, n) => changed(made, key, values[n], drops(app, key)), app.state.kept);
    app.setRecipe(recipe, `${values[0]} turns, ${values[1]} wraps`);
  };
  const cell = ({ verdict, word, said }, row, k) => {
    const button = el("button", { class: verdict.replace(" ", "-"), title: said, "aria-label": said, onclick: () => take(row, k) }, word);
    cells.push({ button, row, k });
    return el("td", {}, button);
  };
  const table = el("table", { class: "count-map" }, el("caption", {}, map.title),
    el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "turns"), ...map.wraps.map((count) => el("th", { scope: "col" }, String(count))))),
    el("tbody", {}, ...map.cells.map((row, n) => el("tr", {}, el("th", { scope: "row" }, String(map.turns[n])), ...row.map((one, k) => cell(one, n, k))))));
  const frame = () => {
    const [turns, wraps] = counts(app);
    for (const { button, row, k } of cells) {
      const near = Math.abs(map.turns[row] - turns) <= 0.5 && Math.abs(map.wraps[k] - wraps) <= 0.5;
      const same = near && map.turns[row] === turns && map.wraps[k] === wraps;
      button.classList.toggle("here", near);
      if (same) button.setAttribute("aria-current", "true");
      else button.removeAttribute("aria-current");
    }
  };
  frame();
  return { frame, nodes: [el("p", { class: "strong" }, map.safe), ...(map.pieces ? [el("p", { class: "strong" }, map.pieces)] : []), el("p", { class: "small" }, map.here),
    el("div", { class: "sideways", tabindex: "0", role: "group", "aria-label": map.title }, table), el("p", { class: "small" }, map.star)] };
}
