// A model to hold: so many times true size, alone or beside another joint; how large it comes out is told first.
import { el } from "../dom.js";
import { buttons, Fields, fieldsOf, goButton } from "./form.js";
import { joint } from "./pane.js";

const FILES = [["model.stl", "For a printer (STL)"], ["model.glb", "With colours (GLB)"], ["model.ply", "With numbers (PLY)"]];
const ASKED = ["scale", "standing", "bed", "split"];

/** The form of a model; load(name, body) has a file made and saved. -> {element, shown(), changed(answer)} */
export function model(app, load) {
  const { lessons } = app.start, inch = app.units === "inch";
  const others = [["", "nothing"], ["good", "the good joint of the lessons"], ...lessons.map(({ name, title }) => [name, title])];
  const other = (name) => (name === "good" ? lessons[0].good : lessons.find((lesson) => lesson.name === name)?.recipe);
  const fields = new Fields([
    ...fieldsOf(app, "draw", ASKED, { scale: { value: "4" }, standing: { hint: inch ? "0.79 in" : "20 mm" }, bed: { hint: inch ? "8.66 in" : "220 mm" } }),
    { name: "beside", label: "Beside it on the plate", kind: "select", options: others, help: "Good beside bad, to hand round." },
  ], () => tell());
  const size = el("div", { class: "model-size", role: "status" });
  const body = () => {
    const { beside, ...said } = fields.values;
    return { ...joint(app), ...said, ...(beside ? { beside: other(beside) } : {}) };
  };
  const take = ({ scale, split, leg }) => {
    if (leg) fields.set("standing", leg);
    else fields.set("scale", scale);
    if (split) fields.set("split", true);
    tell();
  };
  let told = "", open = false;
  /** Ask how large it comes out, where that may have changed. */
  const tell = async () => {
    const asked = JSON.stringify(body());
    if (asked === told) return;
    told = asked;
    try {
      const { lines, scales, leg } = await app.api.post("/api/pane/draw", body());
      if (asked !== told) return;
      fields.faults([]);
      size.replaceChildren(...lines.map((line, k) => el("p", { class: k ? "small" : "strong" }, line)),
        ...(scales.length || leg ? [buttons(...(leg ? [goButton(`Keep ${leg} of standing leg`, () => take({ leg }), "plain")] : []), ...scales.map((one) => goButton(`Take ${one.scale}x${one.split ? " in two parts" : ""}`, () => take(one), "plain")))] : []));
    } catch (error) {
      if (asked !== told) return;
      const left = fields.faults(error.faults || [{ key: "", message: error.message }]);
      size.replaceChildren(...left.slice(0, 1).map(({ message }) => el("p", { class: "wrong" }, message)));
      if (!error.faults) told = "";
    }
  };
  const files = buttons(...FILES.map(([name, title]) => goButton(title, () => load(name, body(), fields), "plain")));
  const element = el("div", {}, fields.element, size, files);
  return {
    element,
    shown: () => {
      open = true;
      tell();
    },
    changed: (answer) => open && !answer.draft && tell(),
  };
}
