// The joint in hand in the eye of another of its own, or on a ring: the bend where they cross, and the room to move.
import { el } from "../dom.js";
import { chart } from "./chart.js";
import { buttons, Fields, fieldsOf, goButton } from "./form.js";
import { JobBox } from "./job_box.js";
import { forOneWire, judged, watch } from "./pane.js";
import { reportNodes } from "./report.js";

const RING = ["ring", "ring_inside"];

export function linkSection(app) {
  const fields = new Fields(fieldsOf(app, "link", RING));
  const box = new JobBox(app, { fields, wait: "pulling the eyes together, this takes a few seconds" });
  const papers = new JobBox(app, { fields, wait: "drawing, this takes a few seconds" });
  const mine = watch(app, [box]);
  const body = (ring) => ({ ...judged(app), ...(ring ? fields.values : {}) });
  const link = (ring) => {
    const missing = ring ? RING.filter((name) => !fields.values[name]) : [];
    if (missing.length) return box.fail(missing.map((key) => ({ key, message: "is needed: a ring has a bar and an inside" })));
    mine(box);
    return box.pane("link", body(ring), (result) => [
      el("figure", {}, chart(result.drawn, result.report.title)),
      ...reportNodes({ ...result.report, title: "" }, 4),
      buttons(goButton("Save the picture", () => papers.file("link.png", body(ring)), "plain"),
        goButton("Interactive 3-D page", () => papers.file("link.html", body(ring)), "plain")), papers.element,
    ]);
  };
  return el("section", { "aria-label": "Linked" }, el("h3", {}, "Eye through eye, or on a ring"),
    ...forOneWire(app, "link",
      el("p", { class: "intro" }, "The eye drawn tight over what it hangs in: the sharpest bend of all, and what it leaves."),
      buttons(goButton("Through the eye of another like it", () => link(false), "plain")), fields.element,
      buttons(goButton("On this ring", () => link(true), "plain")), box.element));
}
