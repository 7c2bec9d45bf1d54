// The self-contained page: everything is in the file already; this makes its joint turn.
import { Formed } from "./film/formed.js";
import { Pulled } from "./film/pulled.js";
import { controls, showRuler } from "./tools.js";
import { canDraw, Viewer } from "./viewer.js";
import { readRings } from "./wire.js";

/** Bring the page to life; the viewer, or null where this browser cannot draw in 3-D. */
export function start() {
  const data = document.getElementById("helix-scene");
  const stage = document.getElementById("stage");
  if (!data || !stage) return null;
  document.documentElement.classList.add("scripted");
  brightness();
  let viewer = null;
  const scene = JSON.parse(data.textContent);
  try {
    if (canDraw()) viewer = new Viewer(stage, { chosen: reveal, moved: (size) => showRuler(element("ruler"), size, scene.units) });
  } catch {
    viewer = null;
  }
  if (!viewer) {
    document.getElementById("no-3d").hidden = false;
    return null;
  }
  document.documentElement.classList.add("live");
  stage.tabIndex = 0;
  viewer.show(scene);
  const [views, colours, labels, legend] = ["views", "colours", "labels", "legend"].map(element);
  controls(viewer, scene, { stage, views, colours, labels, legend });
  if (scene.pulled) pulled(viewer, scene.pulled);
  else if (scene.formed) played(viewer, new Formed([scene.formed]), "Forming", scene.formed.frames - 1);
  else steps(viewer, scene);
  for (const place of document.querySelectorAll("[data-place]")) {
    place.addEventListener("click", () => viewer.goTo(JSON.parse(place.dataset.place)));
  }
  return viewer;
}

const element = (id) => document.getElementById(id);

/** The forming steps under a slider. */
function steps(viewer, scene) {
  if (!scene.steps || !scene.steps.length) return;
  const count = scene.steps.length, around = scene.steps.filter(({ kind }) => kind !== "mark").flatMap(({ fit }) => fit);
  slide(count, 1400, count, (step, said, slider) => {
    const done = step >= count;
    if (done) viewer.lay(null);
    else {
      const { wire, kind, fit, notes = [] } = scene.steps[step], lying = kind === "mark"; // the wire is inked
      viewer.lay(readRings(wire, scene.palettes), { around: lying ? fit : around, notes, lying });
    }
    const text = done ? "The finished joint." : `${step + 1} of ${count}. ${scene.steps[step].sentence}`;
    said.textContent = done ? "The finished joint. Move the slider back to see how it is made." : text;
    slider.setAttribute("aria-valuetext", text);
  });
}

/** A simulated pull under a slider; where there is no way back is marked at it. */
function pulled(viewer, record) {
  const film = new Pulled([record]), end = film.ends[0], slider = element("step");
  const marks = document.createElement("datalist");
  marks.id = "no-way-back";
  marks.append(Object.assign(document.createElement("option"), { value: end, label: "gives way" }));
  slider.after(marks);
  slider.setAttribute("list", marks.id);
  played(viewer, film, "Pull", end, (frame) => `; pulled by ${record.pull_words[frame]}`);
}

/** A film of a simulation under a slider, from one of its frames on. more(frame): what is said after its numbers. */
function played(viewer, film, called, first, more = () => "") {
  element("step").setAttribute("aria-label", called);
  slide(film.frames - 1, 1000 / film.aSecond, first, (frame, said, slider) => {
    const { title, sentence } = film.captions[film.step(frame)], [number, words] = film.count(frame);
    viewer.lay(film.picture(frame), { props: film.props(frame), around: film.around(frame), notes: film.notes(frame), lying: false });
    said.textContent = `${title}. ${number}, ${words}${more(frame)}. ${sentence}`;
    slider.setAttribute("aria-valuetext", said.textContent);
  });
}

/** The slider and its button; show(number, words, slider) shows one of 0 to count. */
function slide(count, rest, first, tell) {
  element("steps").hidden = false;
  const slider = element("step"), said = element("said"), play = element("play");
  slider.max = count;
  let timer = 0;
  const show = (number) => {
    slider.value = number;
    tell(number, said, slider);
  };
  const stop = () => {
    clearInterval(timer);
    timer = 0;
    play.textContent = "Play";
  };
  slider.addEventListener("input", () => {
    stop();
    show(Number(slider.value));
  });
  play.addEventListener("click", () => {
    if (timer) return stop();
    play.textContent = "Stop";
    if (Number(slider.value) >= count) show(0);
    timer = setInterval(() => {
      const next = Number(slider.value) + 1;
      show(next);
      if (next >= count) stop();
    }, rest);
  });
  element("stage").addEventListener("keydown", (event) => {
    const way = { ",": -1, ".": 1 }[event.key];
    if (!way) return;
    stop();
    show(Math.min(Math.max(Number(slider.value) + way, 0), count));
    event.preventDefault();
  });
  show(first);
}

/** Bring the words that belong to a label into sight. */
function reveal(note) {
  for (const told of document.querySelectorAll("[data-name]")) {
    const same = told.dataset.name === note.name && told.classList.contains(note.verdict);
    told.classList.toggle("chosen", same);
    if (same) told.scrollIntoView({ block: "nearest" });
  }
}

function brightness() {
  const button = element("brightness"), root = document.documentElement;
  const dark = () => root.dataset.light === "dark" || (!root.dataset.light && matchMedia("(prefers-color-scheme: dark)").matches);
  const tell = () => (button.textContent = dark() ? "Light" : "Dark");
  button.addEventListener("click", () => {
    root.dataset.light = dark() ? "light" : "dark";
    tell();
  });
  tell();
}
