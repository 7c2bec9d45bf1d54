// A series of pull tests to come: how many pieces, which load cell, how much wire, in which order.
import { el } from "../dom.js";
import { buttons, Fields, fieldsOf, goButton, more } from "./form.js";
import { JobBox } from "./job_box.js";
import { joint, watch } from "./pane.js";
import { reportNodes } from "./report.js";

const ASKED = ["efficiency", "confidence", "expect", "cv", "power", "cell"];
const REST = ["each", "controls", "free", "grip", "joints", "turns", "wraps", "batches", "makers", "apart", "seed"];

/** The form of a series, and its plan. */
export function series(app) {
  const asked = new Fields(fieldsOf(app, "pulls plan", ASKED)), rest = new Fields(fieldsOf(app, "pulls plan", REST));
  const both = { faults: (faults) => rest.faults(asked.faults(faults)), focusFault: () => asked.focusFault() || rest.focusFault() };
  const box = new JobBox(app, { fields: both, wait: "counting pieces" }), files = new JobBox(app, { wait: "writing the file" });
  const mine = watch(app, [box]);
  const body = () => {
    const { cell, ...said } = { ...asked.values, ...rest.values };
    return { ...joint(app), ...said, ...(cell ? { cell: [cell] } : {}) };
  };
  const plan = () => {
    mine(box);
    return box.pane("pulls-plan", body(), (result) => [
      buttons(goButton("The order, to fill in (CSV)", () => files.file("pulls-order.csv", body()), "plain"), goButton("Labels to print (PDF)", () => files.file("pulls-labels.pdf", body()), "plain")),
      files.element, ...reportNodes(result.report, 3)]);
  };
  return [el("p", { class: "intro" }, "Of the joint in hand: how many pieces, which load cell, how much wire, in which order."),
    asked.element, more("Pieces, batches, what to vary", rest.element), buttons(goButton("Plan the series", plan)), box.element];
}
