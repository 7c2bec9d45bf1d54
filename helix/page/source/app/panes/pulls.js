// Pull tests: typed, or read from a file; compare its groups, plan a series.
import { el } from "../dom.js";
import { dropZone } from "./drop.js";
import { buttons, Fields, fieldsOf, goButton, intro, more } from "./form.js";
import { JobBox } from "./job_box.js";
import { pane } from "./pane.js";
import { reportNodes } from "./report.js";
import { TypedPulls } from "./typed_pulls.js";
import { series } from "./series.js";

const REST_MS = 700;

export const PULLS = pane("pulls", "Pull tests", (sheet, app) => {
  let files = [];
  const live = new JobBox(app, { wait: "reading", live: true });
  let resting = 0;
  /** The short answer, points over the predicted band, prediction and pieces; then all of it. */
  const short = (result) => {
    const { blocks } = result.report;
    const points = blocks.find(({ name }) => name === "pieces");
    const nodes = (part) => reportNodes({ title: "", blocks: part }, 3);
    return [...nodes(blocks.filter(({ lead }) => lead)), ...nodes(points ? [{ ...points, methods: "" }] : []),
      ...(result.against.length ? [el("h3", {}, "Prediction against pieces"), el("ul", { class: "against" }, ...result.against.map((line) => el("li", {}, line)))] : []),
      more("All that they say", ...nodes(blocks.filter((block) => !block.lead && block !== points)))];
  };
  const typed = new TypedPulls(app, {
    changed: () => {
      clearTimeout(resting);
      resting = setTimeout(() => readTyped(), REST_MS);
    },
    opened: (file) => take([file]),
    kept: goButton("Keep as a file (CSV)", () => app.say(`Saved as ${app.api.save("pull-tests.csv", new Blob([app.pieces.kept.text], { type: "text/csv" }))}.`), "plain"),
  });
  const readTyped = async () => {
    if (!app.pieces.complete.length) {
      typed.faults([]);
      return live.clear();
    }
    const { name, text, recipes } = app.pieces.file;
    const result = await live.pane("pulls-read", { files: [{ name, text }], recipes, units: app.units, leave_out: true }, short);
    typed.faults(result?.faults || []);
  };
  const fields = new Fields(fieldsOf(app, "pulls read", ["rated", "leave_out"], { rated: { hint: app.units === "inch" ? "140 lbf" : "620 N" } }), (name) => name === "rated" && files.length && read());
  const by = new Fields(fieldsOf(app, "pulls compare", ["by"], { by: { kind: "select", options: ["group", "maker", "batch", "size", "date"].map((name) => [name, name]) } }));
  const box = new JobBox(app, { fields, wait: "reading" });
  const other = new JobBox(app, { fields: by, wait: "comparing every pair" });
  const papers = new JobBox(app, { wait: "writing the report" });
  const named = el("p", { class: "opened", hidden: true });
  const after = el("section", { "aria-label": "What to do with this file", hidden: true },
    el("h3", {}, "Compare its groups, pair by pair"), by.element, buttons(goButton("Compare", () => compare())), other.element);
  const body = () => ({ files, units: app.units, ...fields.values });

  const read = async () => {
    named.hidden = false;
    named.textContent = `Read from: ${files.map((file) => file.name).join(", ")}`;
    other.clear();
    const done = await box.pane("pulls-read", body(), (result) => [
      buttons(goButton("Report as a page", () => papers.file("pulls.html", body()), "plain"), goButton("Report to print (PDF)", () => papers.file("pulls.pdf", body()), "plain")),
      papers.element, ...faulty(result), ...reportNodes(result.report, 3)]);
    after.hidden = !done;
  };
  /** Rows that were left out, in words. */
  const faulty = (result) => (result.faults?.length ? [el("div", { class: "left-out" }, el("p", {}, el("b", {}, "Rows that could not be read")),
    el("ul", {}, ...result.faults.map((fault) => el("li", {}, typeof fault === "string" ? fault : `${fault.place}: ${fault.message}`))))] : []);
  const compare = () => other.pane("pulls-compare", { files, units: app.units, ...by.values }, (result) => [...faulty(result), ...reportNodes(result.report, 4)]);
  const take = (chosen) => {
    const table = chosen.find((file) => /\.(csv|txt|tsv)$/i.test(file.name)) || chosen[0];
    files = [table, ...chosen.filter((file) => file !== table)];
    return read();
  };
  const templates = new JobBox(app, { wait: "writing the file" });
  const examples = app.start.examples.filter((example) => example.kind === "pulls");
  sheet.append(
    ...intro("What do the pull tests say?", "Type them in, or paste them from a sheet: they are read as you type, and those of the joint in hand count in the head of the page."),
    el("div", { class: "typed-and-read" }, typed.element, el("div", {}, live.element,
    el("h3", {}, "Or from a file"), el("p", { class: "small" }, "A file is read for the joints that it names. The head of the page goes by the model and by what is typed above."),
    dropZone({ label: "Drop a file of pull tests (CSV) here, or choose it", accept: ".csv,.txt,.toml,text/csv", multiple: true, taken: take, failed: (faults) => box.fail(faults) }),
    buttons(goButton("A file to fill in", () => templates.file("pulls-template.csv", { units: app.units }), "plain"),
      goButton("A file that names the columns of curves", () => templates.file("pulls-mapping.toml", { units: app.units }), "plain"),
      ...examples.map((example) => goButton(`Example: ${example.title}`, () => take([{ name: example.name, text: example.text }, ...(example.files || [])]), "plain"))),
    templates.element, named, fields.element, box.element, after,
    more("Plan a series of tests", ...series(app)))));
  const again = () => app.pieces.complete.length && readTyped();
  let asked = "";
  const shown = () => {
    typed.redraw(); // another joint may be in hand than when the table was last seen
    again();
  };
  return { shown, changed: (answer) => {
    const now = JSON.stringify([app.state.recipe, app.pieces.received]);
    if (answer.draft || now === asked) return;
    asked = now;
    typed.redraw();
    again();
  } };
});
