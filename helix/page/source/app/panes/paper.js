// What to take away: the sheet for the bench, pictures, a page, models, numbers; and the recipe itself, out and in.
import { el } from "../dom.js";
import { dropZone } from "./drop.js";
import { Fields, fieldsOf, goButton, intro } from "./form.js";
import { JobBox } from "./job_box.js";
import { joint, pane } from "./pane.js";

const FILES = [
  ["For the bench", [
    ["sheet.pdf", "Bench sheet", "One page: the joint at true size, ink marks, counts and sizes. Print it at 100 %, not fitted to the page, and check its rule."],
    ["recipe.toml", "Recipe", "The joint as a text file, to open here again or to use with the helix commands."],
  ]],
  ["To look at and hand on", [
    ["page.html", "Interactive 3-D page", "One file for any browser, with the steps of making it. Takes a few seconds."],
    ["picture.png", "Picture", "With labels and flags, for a report or a wall."],
    ["drawing.svg", "Drawing", "Lines and dimensions that stay sharp at any size."],
  ]],
  ["To hold, print and build on", [
    ["model.stl", "Hand model (STL)", "For a 3-D printer: so many times true size, to turn in the hand."],
    ["model.glb", "Model with colours (GLB)", "For programs that show 3-D models, coloured by verdict."],
    ["model.ply", "Model with numbers (PLY)", "The surface with its colours, parts and strains, for measuring programs."],
    ["points.csv", "Points", "The wire's centre line, for other programs."],
    ["record.json", "All numbers", "Every number as data, always in mm."],
  ]],
];

export const PAPER = pane("paper", "Print and files", (sheet, app) => {
  const options = new Fields([...fieldsOf(app, "sheet", ["paper"]), ...fieldsOf(app, "draw", ["scale"], { scale: { value: "10" } })]);
  if (app.units === "inch") options.set("paper", "letter");
  const box = new JobBox(app, { fields: options, wait: "writing the file" });
  const own = { "sheet.pdf": ["paper"], "model.stl": ["scale"] };
  const load = (name) => {
    const extra = Object.fromEntries((own[name] || []).map((key) => [key, options.values[key]]).filter(([, value]) => value));
    box.file(name, { ...joint(app), ...extra });
  };
  const row = ([name, title, text]) => el("li", {}, goButton(title, () => load(name), "plain"), el("span", {}, text));
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
  sheet.append(
    ...intro("Print it, or take it with you", "Made here and saved by the browser; nothing leaves this machine."),
    options.element, box.element,
    ...FILES.flatMap(([title, rows]) => [el("h3", {}, title), el("ul", { class: "files" }, ...rows.map(row))]),
    el("h3", {}, "Open a recipe"), dropZone({ label: "Drop a recipe here, or choose its file", accept: ".toml,text/plain", taken: open, failed: (faults) => box.fail(faults) }));
});
