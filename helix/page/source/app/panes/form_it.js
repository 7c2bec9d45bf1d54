// Joints formed by hands in a simulation, played on the stage under one slider: those that come with helix.
import { Formed } from "viewer";
import { el } from "../dom.js";
import { Making } from "../making.js";
import { buttons, Fields, goButton } from "./form.js";
import { JobBox } from "./job_box.js";

export function formItSection(app) {
  const { forms, pairs, note, legend } = app.start.forms;
  const playing = new Making(app, () => {}, "The forming");
  playing.ofOthers = true;
  const box = new JobBox(app, { wait: "fetching the forming", live: true });
  const options = forms.map(({ key, name }) => [key, name]);
  const fields = new Fields([
    { name: "one", label: "These hands", help: "", kind: "select", options, value: forms[0].key },
    { name: "two", label: "beside these hands", help: "", kind: "select", options: [["", "none"], ...options] },
  ]);
  const show = (keys) => box.pane("form-it", { keys, units: app.units }, (result) => {
    playing.open(new Formed(result.films, result.names, legend));
    return result.ends.map((line, k) => el("p", {}, el("b", {}, `${result.names[k]}. `), line));
  });
  app.subscribe((event) => {
    if (event === "answer" && playing.shown) playing.show(playing.frame); // the joint itself came onto the stage once more
  });
  return {
    leave: () => playing.close(),
    element: el("section", { "aria-label": "Form it" }, el("h2", {}, "Form it"),
      el("p", { class: "intro" }, "Joints that two hands twist and wind in a simulation, not tested: what the angle between the hands, and hands that are unlike, make of a twist."),
      el("ul", { class: "pairs" }, ...pairs.map(({ keys, says }) => el("li", {}, el("button", { class: "step", onclick: () => show(keys) }, says)))),
      fields.element, buttons(goButton("Form them", () => show([fields.values.one, fields.values.two].filter(Boolean)), "plain")),
      el("p", { class: "small" }, `Colours: ${note}.`), box.element),
  };
}
