// What to cut for a batch, and from which length of stock: a plan filled in as a table, or written as a file.
import { el, fresh } from "../dom.js";
import { keep, recall } from "../keeping.js";
import { dropZone } from "./drop.js";
import { buttons, Fields, fieldsOf, goButton, intro, more } from "./form.js";
import { JobBox } from "./job_box.js";
import { pane, sides, watch } from "./pane.js";
import { OWN_RECIPE, planText } from "./plan_text.js";
import { reportNodes } from "./report.js";
import { Rows } from "./rows.js";

const KEPT = "helix.page.cut";
const JOINTS = [["both", "at both ends"], ["one", "at one end"], ["none", "none"]];
const USUAL = {
  metric: { piece: "500 mm", stock: "20 m", saw: "1 mm" },
  inch: { piece: "20 in", stock: "60 ft", saw: "0.04 in" },
};
const MASS = { metric: "0.1 kg", inch: "0.25 lb" };
const PIECE = (units) => [
  { name: "name", label: "Called", value: "tether" },
  { name: "count", label: "How many", value: "10" },
  { name: "length", label: "Finished length", help: "Between what bears in the eyes.", dimension: "length", units },
  { name: "ends", label: "This joint", kind: "select", options: JOINTS },
  { name: "at_load", label: "Under a load", hint: "none", help: "Where the length is wanted under one.", dimension: "force", units },
];
const STOCK = (units) => [
  { name: "name", label: "Called", value: "coil" },
  { name: "count", label: "How many", value: "1" },
  { name: "length", label: "Length of one", dimension: "stock", units },
  { name: "mass", label: "or mass of one", hint: MASS[units()], help: "Of the wire alone.", dimension: "mass", units },
];

export const CUT = pane("cut", "Cut list", (sheet, app) => {
  const kept = recall("session", KEPT);
  const recipes = { ...kept?.recipes };
  let byHand = false, units = app.units, own = Boolean(kept?.own);
  const go = goButton("", () => plan());
  let mine = null;
  const write = () => {
    const total = pieces.values.reduce((sum, piece) => sum + Number(piece.count), 0);
    go.textContent = byHand || !(total > 0) ? "Plan the cutting" : `Plan ${total === 1 ? "this piece" : `these ${total} pieces`}`;
    if (!byHand) area.value = planText({
      title: app.state.recipe.title ? `Batch: ${app.state.recipe.title}` : "Batch", units: app.units, cutting: cutting.values,
      wire: app.state.recipe.wire || {}, pieces: pieces.values, stock: stock.values,
    });
    keep("session", KEPT, { units, own, byHand, text: byHand ? area.value : "", recipes, pieces: pieces.values, stock: stock.values, cutting: cutting.values, search: search.values });
    mine?.look();
  };
  /** A form that nobody has filled in goes with the unit; what somebody typed stays as it was typed. */
  const follow = () => {
    const [from, to] = [USUAL[units], USUAL[app.units]];
    if (from === to) return;
    units = app.units;
    for (const { made } of stock.rows) made.inputs.get("mass").placeholder = MASS[units];
    if (own) return;
    for (const { made } of pieces.rows) if (made.values.length === from.piece) made.set("length", to.piece);
    for (const { made } of stock.rows) if (made.values.length === from.stock) made.set("length", to.stock);
    if (cutting.values.saw_loss === from.saw) cutting.set("saw_loss", to.saw);
  };
  const filledIn = () => {
    own = true;
    write();
  };
  const pieces = new Rows("Piece", () => PIECE(() => app.units), filledIn), stock = new Rows("Stock", () => STOCK(() => app.units), filledIn);
  const cutting = new Fields([
    { name: "saw_loss", label: "Lost at each cut", hint: "0 mm", dimension: "length", units: () => app.units },
    { name: "least_tail", label: "Shortest rest to keep", hint: "the shortest piece", dimension: "length", units: () => app.units },
    { name: "spare", label: "Share of joints spoiled", hint: "0", help: "0.02: two in a hundred." },
    { name: "minimise", label: "Keep low", kind: "select", options: [["", "stock, then waste"], ["waste", "waste alone"]] },
  ], filledIn);
  const search = new Fields(fieldsOf(app, "cut", ["seconds"]), write);
  const areaId = fresh("plan");
  const area = el("textarea", { id: areaId, rows: 16, spellcheck: "false", class: "code", oninput: () => hand(true) });
  const form = el("div", {}, el("div", { class: "plan-form" },
    el("section", {}, el("h3", {}, "What to make"), pieces.element), el("section", {}, el("h3", {}, "What lies on the shelf"), stock.element)),
  more("Saw, rests and spares", cutting.element));
  const note = el("p", { class: "small" }), again = el("button", { class: "plain", hidden: true, onclick: () => hand(false) }, "Write it from the table again");
  const text = more("The plan as a file", el("label", { for: areaId }, "The plan's text"), area, note, again);
  const hand = (yes) => {
    byHand = yes;
    form.hidden = yes;
    again.hidden = !yes;
    note.textContent = yes
      ? `This text is the plan now. An end whose recipe is "${OWN_RECIPE}" is the joint in hand${names()}.`
      : "Written from the table above. Change it here, and this text is the plan.";
    if (yes) text.open = true;
    write();
  };
  const names = () => (Object.keys(recipes).length ? `; opened besides: ${Object.keys(recipes).join(", ")}` : "");
  /** Faults at the fields of the table that the plan was written from; the rest without the lines of a file that nobody has seen. */
  const table = {
    faults: (faults) => {
      const left = search.faults(stock.faults(pieces.faults(byHand ? [] : faults)));
      return byHand ? search.faults(faults) : left.map((fault) => ({ ...fault, place: (fault.place || "").replace(/^plan(?: line \d+)?:? */, "") }));
    },
    focusFault: () => pieces.focusFault() || stock.focusFault() || search.focusFault(),
  };
  const box = new JobBox(app, { fields: table, wait: "shaping every joint and looking for the best list" });
  const files = new JobBox(app, { wait: "writing the file" });
  const body = () => ({ plan: area.value, units: app.units, ...search.values, ...app.pulled, recipes: { ...recipes, [OWN_RECIPE]: app.state.recipe } });

  const open = async (chosen) => {
    for (const { name, text: inside } of chosen) {
      try {
        if (/^\s*\[\[\s*(piece|stock)\s*\]\]/m.test(inside)) {
          area.value = (await app.api.post("/api/read", { text: inside, kind: "plan" })).plan ?? inside;
          app.say(`${name} opened.`);
        } else recipes[name] = (await app.api.post("/api/read", { text: inside, kind: "recipe" })).recipe;
        hand(true);
      } catch (error) {
        box.fail((error.faults || [{ key: "", message: error.message }]).map((fault) => ({ ...fault, place: name })));
      }
    }
  };
  mine = watch(app, [box], "The plan, the joint or its pull tests have changed since. Plan again.", () => [area.value, search.values, recipes]);
  const plan = () => mine(box) || box.pane("cut", body(), (result) => [
    el("div", { class: "buttons" }, goButton("Sheet to print (PDF)", () => files.file("cut.pdf", body()), "plain"), goButton("List (CSV)", () => files.file("cut.csv", body()), "plain")),
    files.element, ...reportNodes(result.report, 3)]);
  const save = () => goButton("Save the plan", () => app.say(`Saved as ${app.api.save("plan.toml", new Blob([area.value], { type: "application/toml" }))}.`), "plain");
  const examples = app.start.examples.filter((example) => example.kind === "plan");

  const usual = USUAL[units];
  units = USUAL[kept?.units] ? kept.units : units;
  pieces.set(kept?.pieces?.length ? kept.pieces : [{ length: usual.piece }]);
  stock.set(kept?.stock?.length ? kept.stock : [{ length: usual.stock }]);
  for (const [name, value] of Object.entries(kept?.cutting || { saw_loss: usual.saw })) cutting.set(name, value);
  for (const [name, value] of Object.entries(kept?.search || {})) search.set(name, value);
  if (kept?.byHand) area.value = kept.text;
  follow();
  hand(Boolean(kept?.byHand));
  sheet.append(sides([...intro("Cut list", "How much wire for each piece, where to ink it, and which stock to cut it from. The joint is the one in hand."),
    form, more("How long to look", search.element), buttons(go, save())], [box.element], text,
    more("Open a plan", dropZone({ label: "Drop a plan here, with the recipes that it names, or choose them", accept: ".toml,text/plain", multiple: true, taken: open, failed: (faults) => box.fail(faults) }),
      ...examples.map((example) => goButton(`Example: ${example.title}`, () => open([...(example.files || []), { name: example.name, text: example.text }]), "plain")))));
  app.subscribe((event) => {
    if (event !== "recipe") return;
    follow();
    write();
  });
  return { shown: write };
});
