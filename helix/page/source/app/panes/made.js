// A joint that was made: what it is, from readings; and what small errors do to a batch.
import { el } from "../dom.js";
import { buttons, Fields, fieldsOf, goButton, intro, more } from "./form.js";
import { JobBox } from "./job_box.js";
import { joint, pane, watch } from "./pane.js";
import { reportNodes } from "./report.js";

const READINGS = ["turns", "crossings", "twist_length", "lay", "twist_diameter", "wraps", "barrel_length", "barrel_diameter", "eye", "eye_length", "length", "wire", "first_bend", "exit", "evenness", "counted_to"];

export const MADE = pane("made", "Inspect", (sheet, app) => {
  const readings = new Fields(fieldsOf(app, "inspect", READINGS, { twist_length: { hint: app.units === "inch" ? "0.58 in" : "14.7 mm" } }));
  const caliper = new Fields(fieldsOf(app, "inspect", ["caliper"]));
  const both = { faults: (faults) => caliper.faults(readings.faults(faults)), focusFault: () => readings.focusFault() || caliper.focusFault() };
  const look = new JobBox(app, { fields: both, wait: "comparing with joints of every make" });
  const errors = new Fields(fieldsOf(app, "spread", ["angle", "length", "turn", "own"]));
  const spread = new JobBox(app, { fields: errors, wait: "trying 10000 joints" });
  const mine = watch(app, [look, spread], "This was for the recipe as it was before. Press again for the recipe in hand.");

  const inspect = () => {
    mine(look);
    look.pane("inspect", { ...joint(app), ...caliper.values, ...readings.values }, (result) => [
      ...reportNodes(result.report, 3),
      ...(result.made ? [buttons(goButton("Show the joint as made", () => app.setRecipe(result.made, "The joint as made"), "plain"))] : []),
    ]);
  };
  sheet.append(
    ...intro("Is this one good?", "Measure what you can reach, with units; leave the rest empty. The recipe in hand is what was to be made."),
    readings.element, el("p", { class: "small" }, "A reading may have its uncertainty: 14.7 mm +- 0.1 mm. It sees shape only: no nick, no kink, no crack."),
    more("The caliper", caliper.element), buttons(goButton("Inspect", inspect)), look.element,
    el("section", { "aria-labelledby": "spread-title" }, el("h2", { id: "spread-title" }, "How exact do the hands have to be?"),
      el("p", { class: "intro" }, "What small errors do to cut length, finished length and verdicts of a batch."),
      errors.element, buttons(goButton("Try a batch", () => {
        mine(spread);
        spread.pane("spread", { ...joint(app), ...errors.values }, (result) => reportNodes(result.report, 3));
      })), spread.element));
});
