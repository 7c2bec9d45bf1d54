// Will it hold, in three layers: a line and a gauge, the one change to make, then layers and evidence; turns against wraps.
import { capital, el } from "../dom.js";
import { applyButton } from "../made_for.js";
import { dropZone } from "./drop.js";
import { countMap, uncounted } from "./count_map.js";
import { buttons, Fields, fieldsOf, goButton, more } from "./form.js";
import { gaugeNodes } from "./gauge.js";
import { inWords, JobBox } from "./job_box.js";
import { linkSection } from "./linked.js";
import { forOneWire, judged, pane, watch } from "./pane.js";
import { reportNodes } from "./report.js";

export const HOLD = pane("hold", "Will it hold", (sheet, app) => {
  const state = el("p", { class: "going" });
  const [lead, cure, evidence] = ["output lead", "output cure", "evidence"].map((name) => el("div", { class: name }));
  const why = new JobBox(app, { wait: "trying changes, this takes a few seconds", closes: true });
  const map = new JobBox(app, { wait: "trying every pair of turns and wraps, this takes a few seconds" });
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
  const mine = watch(app, [why, stretch, other]);
  const ask = (box, name, body) => {
    const { recipe } = app.state;
    mine(box);
    return box.pane(name, { ...judged(app), ...body }, (result) => [...cureNodes(result.cure, recipe), ...reportNodes(result.report, 3)]);
  };
  /** The one change to make to a joint, to press. */
  const cureNodes = (cure, recipe) => (cure ? [el("div", { class: "fixes" }, applyButton(app, cure, recipe))] : []);
  let drawn = null, drawnFor = "";
  const draw = () => {
    drawnFor = uncounted(app);
    return map.pane("hold", { ...judged(app), ...assumptions(), table: true }, (result) => {
      drawn = countMap(result.map, app);
      return [...drawn.nodes, more("Turn by turn, and what moves the answer", ...reportNodes({ ...result.report, title: "" }, 4))];
    });
  };

  sheet.append(
    el("h2", {}, "Will it hold"), state, lead,
    el("section", { "aria-label": "What to change" }, el("h3", {}, "What to change"), cure,
      ...forOneWire(app, "why", buttons(goButton("Find the change that helps most", () => ask(why, "why", assumptions()), "plain")), why.element)),
    el("section", { "aria-label": "Turns and wraps" }, el("h3", {}, "How many turns and wraps"),
      ...forOneWire(app, "table", buttons(goButton("Every pair of turns and wraps", draw, "plain")), map.element)),
    evidence,
    el("section", { "aria-label": "Stretch" }, el("h3", {}, "How much it lengthens under a load"),
      ...forOneWire(app, "stretch", load.element, buttons(goButton("Stretch under this load", () => ask(stretch, "stretch", load.values), "plain")), stretch.element)),
    linkSection(app),
    more("Other assumptions", el("p", { class: "intro" }, "The estimate above takes what tests of others say. With numbers of your own:"),
      assumed.element, own, named, buttons(goButton("Estimate with these", () => ask(other, "hold", assumptions()))), other.element),
    buttons(goButton("Print the estimate (PDF)", () => papers.file("hold.pdf", { ...judged(app), ...assumptions() }), "plain"),
      goButton("Why, as a page to keep", () => papers.file("why.html", { ...judged(app), ...assumptions() }), "plain")), papers.element);

  const show = () => {
    const hold = app.hold || { state: "waiting", said: "" };
    const { result } = hold;
    state.hidden = hold.state === "done";
    for (const part of [lead, evidence]) part.classList.toggle("gone", hold.state !== "done");
    if (hold.state === "failed") {
      for (const part of [lead, evidence]) part.replaceChildren(); // no number of another joint is left standing
      lead.shown = null;
      state.textContent = app.faults.length ? "Cannot be made: no estimate." : inWords({ message: hold.said || "No estimate for this joint." });
    } else state.textContent = hold.said || "The estimate follows when the knobs rest ...";
    if (hold.state !== "done" || !result?.report || lead.shown === result) return;
    lead.shown = result;
    const { blocks } = result.report;
    const [short, rest] = [true, false].map((first) => blocks.filter((block) => Boolean(block.lead) === first));
    const [verdict, ...lines] = reportNodes({ title: "", blocks: short }, 2);
    lead.replaceChildren(verdict, ...gaugeNodes(result.gauge, result.head.severity), ...lines);
    const open = evidence.querySelector("details")?.open;
    evidence.replaceChildren(more("Layers and evidence", ...reportNodes({ title: "", blocks: rest }, 3)));
    evidence.querySelector("details").open = Boolean(open);
  };
  /** What cures the worst that was found, or what makes a joint that can be made, where that is known; else it has to be looked for. */
  const tellCure = () => {
    const { answer, faults } = app, { recipe } = app.state;
    if (faults.length || !answer) {
      return cure.replaceChildren(...faults.flatMap(({ message, fixes }) => [el("p", {}, capital(message)), ...(fixes || []).flatMap((fix) => cureNodes(fix, recipe))]));
    }
    const wrong = answer?.answer.first, [fix] = answer?.findings[0]?.fixes ?? [];
    cure.replaceChildren(...(wrong ? [el("p", {}, wrong.do), ...cureNodes(fix, app.answered)] : [el("p", {}, "Nothing is found wrong.")]));
  };
  const counted = () => {
    drawn?.frame();
    map.old(drawnFor && drawnFor !== uncounted(app) ? "This map is for the joint as it was before. Press again for the joint in hand." : "");
  };
  app.subscribe((event) => {
    if (event === "answer" && !app.answer.draft) {
      tellCure();
      counted();
    } else if (event === "faults") tellCure();
  });
  tellCure();
  app.subscribe((event) => {
    if (event === "hold") show();
  });
  show();
  return { shown: show };
});
