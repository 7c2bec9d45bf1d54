// A joint that was made: what it is, from readings; and what small errors do to a batch.
import { el } from "../dom.js";
import { madeFor } from "../made_for.js";
import { buttons, Fields, fieldsOf, goButton, intro, more } from "./form.js";
import { JobBox } from "./job_box.js";
import { Measured } from "./measured.js";
import { judged, pane, sides, watch } from "./pane.js";
import { reportNodes } from "./report.js";

const READINGS = ["turns", "crossings", "twist_length", "lay", "twist_diameter", "wraps", "barrel_length", "barrel_diameter", "eye", "eye_length", "length", "outside_length", "wire", "first_bend", "exit", "evenness", "counted_to"];

export const MADE = pane("made", "Inspect", (sheet, app) => {
  const seen = app.start.fields.inspect.find(({ name }) => name === "evenness").options;
  const readings = new Fields(fieldsOf(app, "inspect", READINGS, {
    twist_length: { hint: app.units === "inch" ? "0.58 in" : "14.7 mm" }, evenness: { options: [["", "not looked at"], ...seen] } }));
  const oneWire = () => {
    readings.inputs.get("evenness").closest(".field").hidden = app.state.recipe.wire?.count === 2;
  };
  app.subscribe((event) => event === "recipe" && oneWire());
  oneWire();
  const caliper = new Fields(fieldsOf(app, "inspect", ["caliper"]));
  const picture = new Measured(app, readings, () => (Object.keys(readings.values).length ? inspect() : forget()));
  const both = {
    tells: true, // in a line of the drawing
    faults: (faults) => {
      const left = caliper.faults(readings.faults(faults));
      picture.faults(faults);
      return left;
    },
    focusFault: () => list.open && (readings.focusFault() || caliper.focusFault()),
  };
  const look = new JobBox(app, { fields: both, wait: "comparing with joints of every make" });
  const errors = new Fields(fieldsOf(app, "spread", ["angle", "length", "turn", "own"]));
  const spread = new JobBox(app, { fields: errors, wait: "trying 10000 joints" });
  look.live = true; // the drawing stays in sight
  const mine = watch(app, [look, spread], "This was for the joint as it was before. Press again for the joint in hand.");

  /** The verdict at the drawing, and the whole report below it. */
  const told = (result) => {
    picture.found(result.drawn, result.severity, result.report.blocks.find((block) => block.lead)?.text);
    return reportNodes(result.report, 3);
  };
  const inspect = () => {
    const { recipe } = app.state;
    mine(look);
    look.pane("inspect", { ...judged(app), ...caliper.values, ...readings.values }, (result) => [
      ...told(result),
      ...(result.made ? [buttons(madeFor(app, recipe, goButton("Take the joint as made in hand (Undo takes it back)", null, "plain"), () => app.setRecipe(result.made, "The joint as made")))] : []),
    ]);
  };
  const forget = () => {
    look.clear();
    picture.found(null);
  };
  const clear = () => {
    for (const name of readings.inputs.keys()) readings.set(name, "");
    forget();
  };
  const list = more("All readings as a list, and the caliper", readings.element, caliper.element);
  sheet.append(sides([
    ...intro("Is this one good?", "Press a size on the drawing and type what you measure; leave the rest. The joint in hand is what was to be made."),
    picture.element,
    el("p", { class: "small" }, "A reading may have its uncertainty: 14.7 +- 0.1. It sees shape only: no nick, no kink, no crack."),
    list, buttons(goButton("Inspect", inspect), goButton("Clear the readings", clear, "plain"))], [look.element,
    el("section", { "aria-labelledby": "spread-title" }, el("h2", { id: "spread-title" }, "How exact do the hands have to be?"),
      el("p", { class: "intro" }, "What small errors do to cut length, finished length and verdicts of a batch."),
      errors.element, buttons(goButton("Try a batch", () => {
        mine(spread);
        spread.pane("spread", { ...judged(app), ...errors.values }, (result) => reportNodes(result.report, 3));
      })), spread.element)]));
  return { shown: () => picture.draw(), changed: (answer) => answer.draft || picture.draw() };
});
