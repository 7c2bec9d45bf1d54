// How the page looks: light or dark, metric or inch.
import { el } from "./dom.js";

const system = matchMedia("(prefers-color-scheme: dark)");
const dark = (light) => (light ? light === "dark" : system.matches);

/** A button that changes between light and dark, and what tells it that the state has changed. */
export function lightButton(state) {
  const button = el("button", { class: "plain", onclick: () => state.shine(dark(state.light) ? "light" : "dark") });
  const tell = () => {
    if (state.light) document.documentElement.dataset.light = state.light;
    else delete document.documentElement.dataset.light;
    const to = dark(state.light) ? "Light" : "Dark";
    button.textContent = to;
    button.setAttribute("aria-label", `Change to ${to.toLowerCase()}`);
  };
  system.addEventListener("change", tell);
  tell();
  return { button, tell };
}

/** Metric or inch. changed(units) is called when another is pressed. */
export function unitButtons(changed) {
  const buttons = ["metric", "inch"].map((units) => el("button", { value: units, onclick: () => changed(units) }, units === "inch" ? "Inch" : "Metric"));
  const tell = (units) => buttons.forEach((button) => button.setAttribute("aria-pressed", button.value === units));
  return { row: el("div", { class: "row", role: "group", "aria-label": "Units" }, ...buttons), tell };
}
