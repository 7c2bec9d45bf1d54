// What to take away: the sheet for the bench, pictures, a page, a model, numbers; the recipe itself, out and in.
import { el } from "../dom.js";
import { dropZone } from "./drop.js";
import { Fields, fieldsOf, goButton, intro } from "./form.js";
import { JobBox } from "./job_box.js";
import { model } from "./model.js";
import { judged, pane } from "./pane.js";
import { share } from "./share.js";

const BENCH = [
  ["sheet.pdf", "Bench sheet", "One page: the joint at true size, ink marks, counts and sizes. Print it at 100 %, not fitted to the page, and check its rule."],
  ["recipe.toml", "Recipe", "The joint as a text file, to open here again or to use with the helix commands."],
];
const LOOK = [
  ["page.html", "Interactive 3-D page", "One file for any browser, with the steps of making it. Takes a few seconds."],
  ["picture.png", "Picture", "With labels and flags, for a report or a wall."],
  ["drawing.svg", "Drawing", "Lines and dimensions that stay sharp at any size."],
];
const NUMBERS = [
  ["points.csv", "Points", "The wire's centre line, for other programs."],
  ["record.json", "All numbers", "Every number as data, always in mm."],
];

export const PAPER = pane("paper", "Print and files", (sheet, app) => {
  const options = new Fields(fieldsOf(app, "sheet", ["paper"]));
  if (app.units === "inch") options.set("paper", "letter");
  const box = new JobBox(app, { fields: options, wait: "writing the file" });
  const making = new JobBox(app, { wait: "writing the model" });
  const load = (name) => box.file(name, { ...judged(app), ...(name === "sheet.pdf" ? options.values : {}) });
  const row = ([name, title, text]) => el("li", {}, goButton(title, () => load(name), "plain"), el("span", {}, text));
  const files = (rows) => el("ul", { class: "files" }, ...rows.map(row));
  const shape = model(app, (name, body, fields) => {
    making.fields = fields;
    making.file(name, { ...body, ...app.pulled });
  });
  const link = share(app);
  const print = el("li", {}, goButton("Print this page", () => window.print(), "plain"), el("span", {}, "The verdict, the joint as it is turned now, and what to count, measure and ink."));
  const open = async ([file]) => {
    try {
      const { recipe } = await app.api.post("/api/read", { text: file.text, kind: "recipe" });
      box.clear();
      app.setRecipe(recipe, `${file.name} opened`);
      app.say(`${file.name} opened.`);
    } catch (error) {
      box.fail((error.faults || [{ key: "", message: error.message }]).map((fault) => ({ ...fault, key: "", message: [fault.key, fault.message].filter(Boolean).join(": "), place: file.name })));
    }
  };
  const bench = files(BENCH);
  bench.append(print);
  sheet.append(
    ...intro("Print it, or take it with you", "Made here and saved by the browser; nothing leaves this machine."),
    options.element, box.element,
    el("h3", {}, "For the bench"), bench,
    el("h3", {}, "To look at and hand on"), files(LOOK), link.element,
    el("h3", {}, "A model to hold"), shape.element, making.element,
    el("h3", {}, "To build on"), files(NUMBERS),
    el("h3", {}, "Open a recipe"), dropZone({ label: "Drop a recipe here, or choose its file", accept: ".toml,text/plain", taken: open, failed: (faults) => box.fail(faults) }));
  app.subscribe((event) => ["recipe", "answer"].includes(event) && link.changed());
  return shape;
});
