// A series of pull tests to come: how many pieces, which load cell, how much wire, in which order.
import { el } from "../dom.js";
import { buttons, Fields, goButton, more } from "./form.js";
import { JobBox } from "./job_box.js";
import { joint, watch } from "./pane.js";
import { reportNodes } from "./report.js";

const ASKED = [
  { name: "efficiency", label: "Efficiency to be shown", hint: "0.90", help: "Over the straight control." },
  { name: "confidence", label: "Confidence of it", hint: "0.95" },
  { name: "expect", label: "Efficiency expected", hint: "0.97" },
  { name: "cv", label: "Scatter expected", hint: "0.04", help: "SD over mean; common practice, no source." },
  { name: "power", label: "Chance that the test succeeds", hint: "0.90" },
  { name: "cell", label: "Load cell", hint: "5000 N, class 1, resolution 0.5 N" },
];
const REST = [
  { name: "each", label: "Pieces of each kind", hint: "what it takes" },
  { name: "controls", label: "Straight pieces of each batch", hint: "5" },
  { name: "free", label: "Free length", hint: "250 mm", help: "Between the joints." },
  { name: "grip", label: "Wire for each grip", hint: "60 mm" },
  { name: "joints", label: "Joints a piece", hint: "2" },
  { name: "turns", label: "Turns to vary", hint: "3,4,5" },
  { name: "wraps", label: "Wraps to vary", hint: "3,5" },
  { name: "batches", label: "Batches of wire", hint: "A,B" },
  { name: "makers", label: "Makers", hint: "Ines,Tomo" },
  { name: "apart", label: "To be told apart", hint: "0.05", help: "Difference of two kinds, as a share or a load." },
  { name: "seed", label: "Seed of the random order", hint: "1" },
];

/** The form of a series, and its plan. */
export function series(app) {
  const asked = new Fields(ASKED), rest = new Fields(REST);
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
