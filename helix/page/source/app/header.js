// The bar at the very top: the joint's name, undo and redo, files, units, light.
import { changed } from "./address.js";
import { el } from "./dom.js";
import { fileButtons } from "./files.js";
import { lightButton, unitButtons } from "./look.js";

export class Header {
  constructor(holder, app) {
    this.app = app;
    const { state } = app;
    this.name = el("input", { type: "text", class: "name", "aria-label": "Name of this joint", autocomplete: "off", maxlength: "200",
      onchange: () => app.setRecipe(changed(state.kept, "title", this.name.value.trim() || undefined), "Name") });
    this.undo = el("button", { class: "plain", onclick: () => this.back(false) }, "Undo");
    this.redo = el("button", { class: "plain", onclick: () => this.back(true) }, "Redo");
    this.light = lightButton(state);
    this.units = unitButtons((units) => this.#units(units));
    const files = fileButtons(() => state.kept, (recipe, name) => app.setRecipe(recipe, `${name} opened`), (faults) => app.say(faults.map((fault) => fault.message).join("\n")));
    const fresh = el("button", { class: "plain", onclick: () => app.setRecipe(structuredClone(app.units === "inch" ? app.start.recipe_inch : app.start.recipe), "New joint") }, "New");
    holder.append(el("h1", {}, "helix"), this.name,
      el("div", { class: "tools-set", role: "group", "aria-label": "Steps" }, this.undo, this.redo),
      el("div", { class: "tools-set", role: "group", "aria-label": "Recipe file" }, fresh, ...files), this.units.row, this.light.button);
    addEventListener("keydown", (event) => this.#key(event));
    this.tell();
  }

  tell() {
    const { state } = this.app;
    const title = state.kept.title || "Untitled joint";
    if (document.activeElement !== this.name) this.name.value = this.name.dataset.shown = title;
    document.title = `${title} - helix`;
    const doing = (button, word, steps) => {
      const step = steps.at(-1);
      button.setAttribute("aria-disabled", !step);
      button.title = step ? `${word}: ${step.say || "change"}` : `Nothing to ${word.toLowerCase()}`;
    };
    doing(this.undo, "Undo", state.done);
    doing(this.redo, "Redo", state.undone);
    this.units.tell(this.app.units);
  }

  back(forward) {
    const said = forward ? this.app.state.redo() : this.app.state.undo();
    const word = forward ? "Redone" : "Undone";
    this.app.say(said ? `${word}: ${said}` : forward ? "Nothing to redo." : "Nothing to undo.");
  }

  #units(units) {
    if (units !== this.app.units) this.app.takeIn(units, this.app.state.kept, units === "inch" ? "Shown in inches" : "Shown in mm");
  }

  #key(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const key = event.key.toLowerCase();
    if (key !== "z" && key !== "y") return;
    const { target } = event;
    const typing = target.matches("textarea, input[type=text], input[type=number]");
    if (typing && target.value !== target.dataset.shown) return;
    event.preventDefault();
    this.back(key === "y" || event.shiftKey);
  }
}
