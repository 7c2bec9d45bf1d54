// Which wire will do for a load: the lightest first, to take into the joint in hand.
import { el } from "../dom.js";
import { changed } from "../address.js";
import { buttons, Fields, goButton, intro, more } from "./form.js";
import { JobBox } from "./job_box.js";
import { pane } from "./pane.js";
import { reportNodes } from "./report.js";

export const CHOOSE = pane("choose", "Choose wire", (sheet, app) => {
  const materials = [...new Set(app.start.wires.flatMap((wire) => Object.keys(wire.breaks || {})))].sort();
  const families = [...new Set(app.start.wires.map((wire) => wire.size.split(" ")[0]))];
  const inch = app.units === "inch";
  const fields = new Fields([
    { name: "load", label: "Load to hold", value: inch ? "90 lbf" : "400 N", help: "With its unit." },
    { name: "margin", label: "Margin", hint: "1.5", help: "Times the load that the joint must hold." },
    { name: "pin", label: "Pin", hint: "8 wire diameters", help: "What sits in the eye." },
    { name: "like", label: "Turns, lay and wraps of the joint in hand", kind: "check", value: true },
  ]);
  const rest = new Fields([
    { name: "material", label: "Material", kind: "select", options: [["", "all"], ...materials.map((name) => [name, name])] },
    { name: "family", label: "Gauge", kind: "select", options: [["", "all"], ...families.map((name) => [name, name])] },
    { name: "piece", label: "Length of a piece", hint: "1 m", help: "Between its pins, for its wire and its cost." },
    { name: "price", label: "Price of a kg", hint: "45 EUR", help: "Of every wire, or of one: music wire = 12 EUR." },
    { name: "rows", label: "Wires to show", hint: "12" },
  ]);
  const both = { faults: (faults) => rest.faults(fields.faults(faults)), focusFault: () => fields.focusFault() || rest.focusFault() };
  const box = new JobBox(app, { fields: both, wait: "trying wires" });
  const ask = () => {
    const { like, price, ...said } = { ...fields.values, ...rest.values };
    const body = { units: app.units, ...said, ...(price ? { price: [price] } : {}), ...(like ? { recipe: app.state.recipe } : {}) };
    return box.pane("choose", body, (result) => [...reportNodes(result.report, 3), ...take(result.wires)]);
  };
  /** Buttons that put one of the wires found into the joint in hand. */
  const take = (wires) => (wires?.length ? [el("p", {}, el("b", {}, "Take one into the joint in hand")), buttons(...wires.filter(({ size }) => size).slice(0, 6).map(({ size, material }) =>
    goButton(`${size}, ${material}`, () => {
      const sized = changed(app.state.recipe, "wire.size", size, ["wire.diameter"]);
      app.setRecipe(changed(sized, "wire.material", material), `Wire ${size}, ${material}`);
    }, "plain")))] : []);
  sheet.append(...intro("Which wire will do", "The lightest wires whose joint holds a load with a margin. An estimate: prove the choice with pull tests."),
    fields.element, more("Narrow it down, and prices", rest.element), buttons(goButton("Find wires", ask)), box.element);
});
