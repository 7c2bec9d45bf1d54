// The self-contained page: everything is in the file already; this makes its joint turn.
import { canDraw, Viewer } from "./viewer.js";

const VIEWS = [["three-quarter", "Slanted"], ["side", "Side"], ["top", "Top"], ["eye", "From the eye"]];
const ROUND = [1, 2, 5];

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
    if (canDraw()) viewer = new Viewer(stage, { chosen: reveal, moved: (size) => ruler(size, scene.units) });
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
  controls(viewer, scene);
  steps(viewer, scene);
  for (const place of document.querySelectorAll("[data-place]")) {
    place.addEventListener("click", () => viewer.goTo(JSON.parse(place.dataset.place)));
  }
  return viewer;
}

const element = (id) => document.getElementById(id);

function choice(holder, options, chosen, act) {
  for (const [value, text] of options) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = text;
    button.value = value;
    button.addEventListener("click", () => pick(value));
    holder.append(button);
  }
  const pick = (value) => {
    for (const button of holder.querySelectorAll("button")) button.setAttribute("aria-pressed", button.value === value);
    act(value);
  };
  pick(chosen);
  return pick;
}

function controls(viewer, scene) {
  const names = Object.keys(scene.wire.colours);
  const marked = scene.notes.some((note) => !note.part && note.verdict !== "ok");
  const view = choice(element("views"), VIEWS, "three-quarter", (name) => viewer.look(name));
  let by = marked ? "verdict" : "plain";
  const colour = choice(element("colours"), names.map((name) => [name, scene.legends[name].name]), by, (name) => {
    by = name;
    viewer.colour(name);
    legend(scene.legends[name]);
  });
  const labels = element("labels");
  const label = () => viewer.label(labels.getAttribute("aria-pressed") === "true");
  labels.addEventListener("click", () => {
    labels.setAttribute("aria-pressed", labels.getAttribute("aria-pressed") !== "true");
    label();
  });
  element("stage").addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const number = Number(event.key);
    if (number >= 1 && number <= VIEWS.length) view(VIEWS[number - 1][0]);
    else if (event.key === "0" || event.key === "Home") view("three-quarter");
    else if (event.key === "c") colour(names[(names.indexOf(by) + 1) % names.length]);
    else if (event.key === "l") labels.click();
    else return;
    event.preventDefault();
  });
}

function legend(shown) {
  const holder = element("legend");
  holder.replaceChildren();
  const add = (kind, text, parent = holder) => {
    const made = document.createElement(kind);
    if (text) made.textContent = text;
    parent.append(made);
    return made;
  };
  if (shown.title) add("strong", shown.title);
  if (shown.scale) {
    const bar = add("div");
    bar.className = "ramp";
    shown.ramp.forEach((colour) => (add("i", "", bar).style.background = colour));
    const ticks = add("div");
    ticks.className = "ticks";
    for (const [value, text] of shown.ticks) {
      const tick = add("span", text, ticks);
      tick.style.left = `${(100 * (value - shown.scale[0])) / (shown.scale[1] - shown.scale[0])}%`;
    }
    add("small", shown.note);
  }
  for (const entry of shown.entries) {
    const row = add("span");
    row.className = "entry";
    entry.colours.forEach((colour) => (add("i", "", row).style.background = colour));
    row.append(entry.text);
  }
  holder.hidden = !holder.childElementCount;
}

function ruler(mmPerPixel, units) {
  const unit = units === "inch" ? 25.4 : 1;
  const most = (130 * mmPerPixel) / unit;
  const power = 10 ** Math.floor(Math.log10(most));
  const length = power * Math.max(...ROUND.filter((step) => step * power <= most));
  const bar = element("ruler");
  bar.style.width = `${(length * unit) / mmPerPixel}px`;
  bar.textContent = `${Number(length.toPrecision(3))} ${units === "inch" ? "in" : "mm"}`;
}

function steps(viewer, scene) {
  const box = element("steps");
  if (!scene.steps || !scene.steps.length) return;
  box.hidden = false;
  const slider = element("step"), said = element("said"), play = element("play"), count = scene.steps.length;
  slider.max = count;
  let timer = 0;
  const show = (step) => {
    slider.value = step;
    const done = step >= count;
    viewer.form(done ? null : step);
    const text = done ? "The finished joint." : `${step + 1} of ${count}. ${scene.steps[step].sentence}`;
    said.textContent = done ? "The finished joint. Move the slider back to see how it is made." : text;
    slider.setAttribute("aria-valuetext", text);
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
    }, 1400);
  });
  element("stage").addEventListener("keydown", (event) => {
    const way = { ",": -1, ".": 1 }[event.key];
    if (!way) return;
    stop();
    show(Math.min(Math.max(Number(slider.value) + way, 0), count));
    event.preventDefault();
  });
  show(count);
}

/** Bring the words that belong to a label into sight. */
function reveal(note) {
  for (const told of document.querySelectorAll("[data-name]")) {
    const same = told.dataset.name === note.name;
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
