// Will it hold: the estimate of the joint in hand, why, and how much it stretches.
import { el } from "../dom.js";
import { dropZone } from "./drop.js";
import { buttons, Fields, fieldsOf, goButton, more } from "./form.js";
import { inWords, JobBox } from "./job_box.js";
import { joint, pane, watch } from "./pane.js";
import { reportNodes } from "./report.js";

export const HOLD = pane("hold", "Will it hold", (sheet, app) => {
  const state = el("p", { class: "going" });
  const estimate = el("div", { class: "output" });
  const why = new JobBox(app, { wait: "trying changes, this takes a few seconds" });
  const table = new JobBox(app, { wait: "trying every pair of turns and wraps, this takes a few seconds" });
  const load = new Fields(fieldsOf(app, "stretch", ["load"]));
  const stretch = new JobBox(app, { fields: load });
  const assumed = new Fields(fieldsOf(app, "hold", ["friction", "ductility", "pin"]));
  const papers = new JobBox(app, { wait: "writing the file" });
  const other = new JobBox(app, { fields: assumed, wait: "estimating" });
  let tests = null;
  const named = el("p", { class: "small" }, "No file of your own: friction from common practice (no source).");
  const own = dropZone({ label: "Fit the friction to pull tests of your own: drop their file (CSV), or choose it", accept: ".csv,.txt,text/csv",
    taken: ([file]) => {
      tests = file;
      named.textContent = `Fitted to ${file.name}.`;
    }, failed: (faults) => other.fail(faults) });
  const assumptions = () => ({ ...assumed.values, ...(tests ? { calibrate: tests } : {}) });
  const mine = watch(app, [why, table, stretch, other]);
  const ask = (box, name, body) => {
    mine(box);
    return box.pane(name, { ...joint(app), ...body }, (result) => reportNodes(result.report, 3));
  };

  sheet.append(
    el("h2", {}, "Will it hold"), state, estimate,
    buttons(goButton("Print the estimate (PDF)", () => papers.file("hold.pdf", { ...joint(app), ...assumptions() }), "plain"),
      goButton("Why, as a page to keep", () => papers.file("why.html", { ...joint(app), ...assumptions() }), "plain")), papers.element,
    el("section", { "aria-label": "Why" }, el("h3", {}, "Why, and what would help"),
      el("p", { class: "intro" }, "Follows the load from the pin to the last wrap and names the weakest place."),
      buttons(goButton("Why it holds what it holds", () => ask(why, "why", assumptions())),
        goButton("Every pair of turns and wraps", () => ask(table, "hold", { ...assumptions(), table: true }))), why.element, table.element),
    el("section", { "aria-label": "Stretch" }, el("h3", {}, "How much it lengthens under a load"), load.element,
      buttons(goButton("Stretch under this load", () => ask(stretch, "stretch", load.values))), stretch.element),
    more("Other assumptions", el("p", { class: "intro" }, "The estimate above takes what tests of others say. With numbers of your own:"),
      assumed.element, own, named, buttons(goButton("Estimate with these", () => ask(other, "hold", assumptions()))), other.element));

  const show = () => {
    const hold = app.hold || { state: "waiting", said: "" };
    const { result } = hold;
    state.hidden = hold.state === "done";
    estimate.classList.toggle("gone", hold.state !== "done");
    if (hold.state === "failed") state.textContent = inWords({ message: hold.said || "No estimate for this joint." });
    else state.textContent = hold.said || "The estimate follows when the knobs rest ...";
    if (hold.state !== "done" || !result?.report || estimate.shown === result) return;
    estimate.shown = result;
    estimate.replaceChildren(...reportNodes({ ...result.report, title: "" }, 2));
  };
  app.subscribe((event) => event === "hold" && show());
  show();
  return { shown: show };
});
