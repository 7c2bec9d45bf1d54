// What stands around a joint in 3-D: views, ways to colour, labels, legend and ruler.
export const VIEWS = [["three-quarter", "Slanted"], ["side", "Side"], ["top", "Top"], ["eye", "From the eye"]];
const ROUND = [1, 2, 5];

/** Buttons of which one is pressed; returns what presses one by its value. */
export function choice(holder, options, chosen, act) {
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

/** Buttons and keys of a stage. parts: {stage, views, colours, labels, legend}, all elements.
 *  Returns what tells it of another scene, whose legends may differ. */
export function controls(viewer, scene, { stage, views, colours, labels, legend }) {
  const names = Object.keys(scene.wire.colours);
  const usual = (of) => of.by || (of.notes.some((note) => !note.part && note.verdict !== "ok") && names.includes("verdict") ? "verdict" : "plain");
  const view = choice(views, VIEWS, "three-quarter", (name) => viewer.look(name));
  let shown = scene, by = usual(scene), own = false; // own: chosen by a hand
  const colour = choice(colours, names.map((name) => [name, scene.legends[name].name]), by, (name) => {
    own = name !== usual(shown);
    by = name;
    viewer.colour(name);
    showLegend(legend, shown.legends[name]);
  });
  const label = () => viewer.label(labels.getAttribute("aria-pressed") === "true");
  labels.addEventListener("click", () => {
    labels.setAttribute("aria-pressed", labels.getAttribute("aria-pressed") !== "true");
    label();
  });
  stage.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const number = Number(event.key);
    if (number >= 1 && number <= VIEWS.length) view(VIEWS[number - 1][0]);
    else if (event.key === "0" || event.key === "Home") view("three-quarter");
    else if (event.key === "c") colour(names[(names.indexOf(by) + 1) % names.length]);
    else if (event.key === "l") labels.click();
    else return;
    event.preventDefault();
  });
  return (next) => {
    shown = next;
    if (!own && by !== usual(next)) return colour(usual(next));
    showLegend(legend, shown.legends?.[by]);
  };
}

export function showLegend(holder, shown) {
  holder.replaceChildren();
  const add = (kind, text, parent = holder) => {
    const made = document.createElement(kind);
    if (text) made.textContent = text;
    parent.append(made);
    return made;
  };
  if (shown?.title) add("strong", shown.title);
  if (shown?.scale) {
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
  for (const entry of shown?.entries || []) {
    const row = add("span");
    row.className = "entry";
    entry.colours.forEach((colour) => (add("i", "", row).style.background = colour));
    row.append(entry.text);
  }
  holder.hidden = !holder.childElementCount;
}

/** A bar of a round length, true to the scale of the picture, of at most so many pixels. */
export function showRuler(bar, mmPerPixel, units, pixels = 130) {
  const unit = units === "inch" ? 25.4 : 1;
  const most = (pixels * mmPerPixel) / unit;
  const power = 10 ** Math.floor(Math.log10(most));
  const length = power * Math.max(...ROUND.filter((step) => step * power <= most));
  bar.style.width = `${(length * unit) / mmPerPixel}px`;
  bar.textContent = `${Number(length.toPrecision(3))} ${units === "inch" ? "in" : "mm"}`;
}
