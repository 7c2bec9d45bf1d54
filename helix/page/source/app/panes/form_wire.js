// How to form it: what the hands must apply, springback, where to hold.
import { buttons, Fields, fieldsOf, goButton, intro, more } from "./form.js";
import { JobBox } from "./job_box.js";
import { judged, pane, watch } from "./pane.js";
import { reportNodes } from "./report.js";

export const FORM = pane("form", "How to form it", (sheet, app) => {
  const fields = new Fields(fieldsOf(app, "form", ["hand_force"]));
  const box = new JobBox(app, { fields });
  const mine = watch(app, [box]);
  let of = "";
  const now = () => JSON.stringify(judged(app));
  const ask = () => {
    of = now();
    mine(box);
    box.pane("form", { ...judged(app), ...fields.values }, (result) => reportNodes(result.report, 3));
  };
  sheet.append(...intro("How to form it", "Torques and cranks, where to hold, how far to bend so that it springs back to the right shape. The steps, one by one: see Learn."),
    box.element, more("Another hand", fields.element), buttons(goButton("Work it out for the joint in hand", ask)));
  const fresh = () => of === now() || ask();
  return { shown: fresh, changed: (answer) => answer.draft || fresh() };
});
