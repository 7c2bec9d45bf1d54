// Recipe files: opened from and saved to wherever the browser keeps them.
import { download, post } from "./api.js";
import { el } from "./dom.js";

const MOST = 200_000;

/** Open and Save. taken(recipe, name): a file was read; failed(faults). */
export function fileButtons(recipe, taken, failed) {
  const read = async (file) => {
    try {
      if (file.size > MOST) throw Object.assign(new Error(), { faults: [{ place: file.name, key: "", message: `${file.name} is too large for a recipe.` }] });
      const reply = await post("/api/read", { text: await file.text(), kind: "recipe" });
      taken(reply.recipe, file.name);
    } catch (error) {
      failed((error.faults || [{ message: error.message }]).map((fault) => ({ ...fault, message: `${file.name}: ${fault.message}` })));
    }
  };
  const input = el("input", { type: "file", accept: ".toml,text/plain", hidden: true, onchange: async () => {
    if (input.files[0]) await read(input.files[0]);
    input.value = "";
  } });
  const keep = async () => {
    try {
      await download("recipe.toml", { recipe: recipe() });
    } catch (error) {
      failed(error.faults || [{ place: "", key: "", message: error.message }]);
    }
  };
  return [el("button", { class: "plain", onclick: () => input.click() }, "Open"), el("button", { class: "plain", onclick: keep }, "Save"), input];
}
