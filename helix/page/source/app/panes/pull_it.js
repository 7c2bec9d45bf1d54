// Joints pulled in a simulation, played on the stage under one slider: those that come with helix, and the joint in hand.
import { Pulled } from "viewer";
import { el } from "../dom.js";
import { Making } from "../making.js";
import { buttons, Fields, goButton } from "./form.js";
import { JobBox } from "./job_box.js";
import { judged } from "./pane.js";
import { reportNodes } from "./report.js";

const INSTALL = 'pip install "helix[simulate]"';

export function pullItSection(app) {
  const { pulls, pairs, note, limit, legend, own: simulates } = app.start.pulls;
  const playing = new Making(app, () => {}, "The pull");
  playing.ofOthers = true;
  const box = new JobBox(app, { wait: "fetching the pull", live: true });
  const own = new JobBox(app, { wait: "pulling this joint in a simulation, this takes a minute" });
  const options = [["", "none"], ...pulls.map(({ key, name }) => [key, name])];
  const fields = new Fields([
    { name: "one", label: "This joint", help: "", kind: "select", options: options.slice(1), value: pulls[0].key },
    { name: "two", label: "beside this joint", help: "", kind: "select", options },
  ]);
  const play = (films, names, decides, others) => {
    playing.ofOthers = others;
    playing.open(new Pulled(films, names, { by: "tension", legend, decides }));
  };
  const pieces = () => (app.pieces.complete.length ? app.pieces.file : app.pieces.own);
  const show = (keys) => box.pane("pull-it", { keys, units: app.units, pulls: pieces() }, (result) => {
    play(result.films, result.names, result.labels, true);
    return result.decides.map((line, k) => el("p", {}, el("b", {}, `${result.names[k]}: `), line));
  });
  const pull = () => own.pane("simulate", { ...judged(app), friction: "0.08" }, (result) => {
    if (result.film) play([result.film], ["The joint in hand"], [result.label], false);
    return reportNodes({ ...result.report, title: "" }, 4);
  });
  app.subscribe((event) => {
    if (event === "recipe" && own.result) {
      own.clear();
      if (!playing.ofOthers) playing.close();
    } else if (event === "answer" && playing.shown) playing.show(playing.frame); // the joint itself came onto the stage once more
  });
  const both = () => show([fields.values.one, fields.values.two].filter(Boolean));
  return {
    leave: () => playing.close(),
    element: el("section", { "aria-label": "Pull it" }, el("h2", {}, "Pull it"),
      el("p", { class: "intro" }, "Joints pulled in a simulation until they break or slip, not tested. Colours: tension, from blue (none) to pale yellow (all that straight wire holds). ", el("b", {}, limit), " That is told under Will it hold."),
      el("ul", { class: "pairs" }, ...pairs.map(({ keys, says }) => el("li", {}, el("button", { class: "step", onclick: () => show(keys) }, says)))),
      fields.element, buttons(goButton("Pull them", both, "plain"), simulates ? goButton("Pull the joint in hand", pull, "plain") : ""),
      el("p", { class: "small" }, `${note}.`), ...(simulates ? [] : [el("p", { class: "small" }, "To pull the joint in hand too, add the simulation to helix once: stop helix, type ", el("code", {}, INSTALL), " where you start it, and start it again.")]), box.element, own.element),
  };
}
