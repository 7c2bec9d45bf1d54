// Which wire will do for a load: the lightest first, to take into the joint in hand.
import { el } from "../dom.js";
import { changed } from "../address.js";
import { buttons, Fields, fieldsOf, goButton, intro, more } from "./form.js";
import { JobBox } from "./job_box.js";
import { pane, sides } from "./pane.js";
import { reportNodes } from "./report.js";

export const CHOOSE = pane("choose", "Choose wire", (sheet, app) => {
  const materials = [...new Set(app.start.wires.flatMap((wire) => Object.keys(wire.breaks || {})))].sort();
  const families = [...new Set(app.start.wires.map((wire) => wire.size.split(" ")[0]))];
  const inch = app.units === "inch";
  const select = (names) => ({ kind: "select", options: [["", "all"], ...names.map((name) => [name, name])] });
  const fields = new Fields([
    ...fieldsOf(app, "choose", ["load", "margin", "pin"], { load: { value: inch ? "90 lbf" : "400 N" } }),
    { name: "like", label: "Turns, lay and wraps of the joint in hand", kind: "check", value: true },
  ]);
  const rest = new Fields(fieldsOf(app, "choose", ["material", "family", "piece", "price", "rows"], { material: select(materials), family: select(families) }));
  const both = { faults: (faults) => rest.faults(fields.faults(faults)), focusFault: () => fields.focusFault() || rest.focusFault() };
  const box = new JobBox(app, { fields: both, wait: "trying wires" });
  const ask = () => {
    const { like, price, ...said } = { ...fields.values, ...rest.values };
    const body = { units: app.units, ...said, ...(price ? { price: [price] } : {}), ...(like ? { recipe: app.state.recipe, ...app.pulled } : {}) };
    return box.pane("choose", body, (result) => [...byModels(result), ...reportNodes(result.report, 3), ...take(result.wires)]);
  };
  /** What is judged without the pieces that were pulled says so. */
  const byModels = ({ by_pieces: counted }) => (app.pieces.complete.length && !counted ? [el("p", { class: "strong" }, "By the models alone: your pull tests are not of these wires.")] : []);
  /** Buttons that put one of the wires found into the joint in hand. */
  const take = (wires) => (wires?.length ? [el("p", {}, el("b", {}, "Take one into the joint in hand")), buttons(...wires.filter(({ size }) => size).slice(0, 6).map(({ size, material }) =>
    goButton(`${size}, ${material}`, () => {
      const sized = changed(app.state.recipe, "wire.size", size, ["wire.diameter"]);
      app.setRecipe(changed(sized, "wire.material", material), `Wire ${size}, ${material}`);
    }, "plain")))] : []);
  sheet.append(sides([...intro("Which wire will do", "The lightest wires whose joint holds a load with a margin. An estimate: prove the choice with pull tests."),
    fields.element, more("Narrow it down, and prices", rest.element), buttons(goButton("Find wires", ask))], [box.element]));
});
