// A joint that was made: what it is, from readings; and what small errors do to a batch.
import { el } from "../dom.js";
import { buttons, Fields, goButton, intro, more } from "./form.js";
import { JobBox } from "./job_box.js";
import { joint, pane, watch } from "./pane.js";
import { reportNodes } from "./report.js";

const mm = (app) => (app.units === "inch" ? "0.58 in" : "14.7 mm");
const READINGS = (app) => [
  { name: "turns", label: "Turns", hint: "5", help: "Even turns of the twist, 360 deg each." },
  { name: "crossings", label: "or crossings", hint: "10", help: "Counted in place of turns; a crossing is half a turn." },
  { name: "twist_length", label: "Twist, length", hint: mm(app), help: "From the first crossing of the legs, at the eye, to the last before the tag swings out." },
  { name: "lay", label: "Lay", hint: "", help: "Along one turn, three crossings." },
  { name: "twist_diameter", label: "Twist, across", hint: "", help: "The largest, across the twist." },
  { name: "wraps", label: "Wraps", hint: "5", help: "Of the barrel; count them." },
  { name: "barrel_length", label: "Barrel, length", hint: "", help: "Over the wraps, both faces included." },
  { name: "barrel_diameter", label: "Barrel, across", hint: "", help: "Across the barrel." },
  { name: "eye", label: "Eye, across", hint: "", help: "Inside width of the hole." },
  { name: "eye_length", label: "Eye, along", hint: "", help: "Inside length of the hole, seen along the pin." },
  { name: "length", label: "Whole length", hint: "", help: "From the inside of the eye's bight to the far face of the last wrap." },
  { name: "wire", label: "Wire", hint: "", help: "Across the bare wire." },
];

export const MADE = pane("made", "Inspect", (sheet, app) => {
  const readings = new Fields(READINGS(app));
  const caliper = new Fields([{ name: "caliper", label: "The caliper is good to", hint: "0.02 mm", help: "Standard deviation of a reading across the joint." }]);
  const both = { faults: (faults) => caliper.faults(readings.faults(faults)), focusFault: () => readings.focusFault() || caliper.focusFault() };
  const look = new JobBox(app, { fields: both, wait: "comparing with joints of every make" });
  const errors = new Fields([
    { name: "angle", label: "Angles are off by", hint: "1 deg" },
    { name: "length", label: "Lengths are off by", hint: "0.1 mm" },
    { name: "turn", label: "Turns, swing and wraps by", hint: "0.25" },
    { name: "own", label: "The recipe's own tolerances in place of lengths and turns", kind: "check" },
  ]);
  const spread = new JobBox(app, { fields: errors, wait: "trying 10000 joints" });
  const mine = watch(app, [look, spread], "This was for the recipe as it was before. Press again for the recipe in hand.");

  const inspect = () => {
    mine(look);
    look.pane("inspect", { ...joint(app), ...caliper.values, readings: readings.values }, (result) => [
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
