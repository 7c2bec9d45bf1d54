// Recipe files: opened from and saved to wherever the browser keeps them.
import { download, post } from "./api.js";
import { el } from "./dom.js";

const MOST = 200_000;

/** A recipe's tables from a file; what is wrong with it is thrown, with its faults. */
export async function readRecipe(file) {
  try {
    if (file.size > MOST) throw Object.assign(new Error(), { faults: [{ place: file.name, key: "", message: "it is too large for a recipe." }] });
    return (await post("/api/read", { text: await file.text(), kind: "recipe" })).recipe;
  } catch (error) {
    const faults = (error.faults || [{ message: error.message }]).map((fault) => ({ ...fault, message: `${file.name}: ${fault.message}` }));
    throw Object.assign(new Error(faults.map(({ message }) => message).join("\n")), { faults });
  }
}

/** Open and Save. taken(recipe, name): a file was read; failed(faults). */
export function fileButtons(recipe, taken, failed) {
  const read = async (file) => {
    try {
      taken(await readRecipe(file), file.name);
    } catch (error) {
      failed(error.faults || [{ place: "", key: "", message: error.message }]);
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
