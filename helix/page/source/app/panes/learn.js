// Lessons: a good joint beside one with a fault, what differs in words; and how hands make the joint, step by step.
import { el } from "../dom.js";
import { buttons, goButton, intro } from "./form.js";
import { JobBox } from "./job_box.js";
import { judged, pane } from "./pane.js";
import { formItSection } from "./form_it.js";
import { Player } from "./player.js";
import { pullItSection } from "./pull_it.js";
import { reportNodes } from "./report.js";

export const LEARN = pane("learn", "Learn", (sheet, app) => {
  const pulled = pullItSection(app), formed = formItSection(app), player = new Player(app);
  const making = new JobBox(app, { wait: "working out the making" });
  const films = new JobBox(app, { wait: "drawing every step, this takes a while" });
  let of = "";
  const now = () => JSON.stringify(judged(app));
  const make = () => {
    const asked = now();
    return making.pane("steps", judged(app), (result) => {
      if (asked !== now() || !app.answer) return null;
      of = asked;
      player.begin(result.film, reportNodes({ ...result.report, title: "" }, 3));
      return [];
    });
  };
  sheet.append(
    ...intro("How hands make it", "The joint in hand from straight wire to broken-off handle, on the stage, with the marks to ink on the wire."),
    buttons(goButton("Show the making", make), goButton("The steps as a moving picture", () => films.file("steps.webp", judged(app)), "plain")), films.element, player.element, making.element,
    ...(app.quiz ? [el("h2", {}, "Find the fault"), el("p", { class: "intro" }, "Joints with a fault and without a name: tap the place, and see why it matters and what hands should do."),
      buttons(goButton("Begin", () => app.quiz.open()))] : []),
    formed.element, pulled.element,
    el("h2", {}, "Lessons"), el("p", { class: "intro" }, "One fault each, beside a good joint. The joint in hand stays as it is."),
    el("div", { class: "lessons" }, ...app.start.lessons.map((lesson) => card(lesson, app))));

  app.subscribe((event) => {
    if (!["recipe", "answer", "hold"].includes(event)) return;
    if (of && of !== now()) {
      of = "";
      player.end();
      making.clear();
    } else if (event === "answer") player.again();
  });
  new MutationObserver(() => {
    if (!sheet.parentElement.hidden) return;
    player.leave();
    pulled.leave();
    formed.leave();
  }).observe(sheet.parentElement, { attributeFilter: ["hidden"] });
});

function card(lesson, app) {
  const box = new JobBox(app, { wait: "comparing", live: true }), drawn = new JobBox(app, { wait: "drawing both, this takes a few seconds" });
  const both = () => ({ recipes: [lesson.good, lesson.recipe], units: app.units });
  const differ = () => box.pane("compare", both(), (result) => [
    el("p", {}, el("b", {}, "What differs from the good joint")), el("ul", {}, ...result.differences.map((line) => el("li", {}, line)))]);
  const both3d = () => app.beside?.open({ title: "Good joint", recipe: lesson.good }, { title: lesson.title, recipe: lesson.recipe });
  const take = () => app.takeIn(app.units, lesson.recipe, `Lesson: ${lesson.title}`);
  const details = el("details", { class: "lesson" }, el("summary", {}, lesson.title), el("p", {}, lesson.paragraph),
    el("p", { class: "small" }, `Numbers here are of the lesson's own joints: ${[lesson.good.wire.size ?? lesson.good.wire.diameter, lesson.good.wire.material].join(", ")}.`),
    buttons(app.beside ? goButton("Good and bad, side by side", both3d) : "", goButton("Take it in hand", take, "plain"),
      goButton("Picture of both", () => drawn.file("compare.png", both()), "plain")), drawn.element, box.element);
  details.addEventListener("toggle", () => {
    if (!details.open) return;
    both3d()?.then(() => details.scrollIntoView({ block: "start" }));
    if (!box.result && !box.busy) differ();
  });
  return details;
}
