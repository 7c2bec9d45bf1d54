// A button that takes over a joint worked out from the one in hand: off once that is another than the one that it was made for.
import { el } from "./dom.js";

const OLD = "This was worked out for another joint than the one in hand.";

/** A button that does `act` only while the joint in hand is `recipe`. */
export function madeFor(app, recipe, button, act) {
  button.classList.add("made-for");
  button.madeFor = JSON.stringify(recipe);
  button.addEventListener("click", () => button.getAttribute("aria-disabled") === "true" || act());
  tell(button, app);
  return button;
}

/** The button of a remedy {say, recipe} of a joint. */
export const applyButton = (app, fix, recipe, act = () => app.setRecipe(fix.recipe, fix.say)) =>
  madeFor(app, recipe, el("button", { class: "apply" }, "Apply: ", fix.say), act);

/** Look at every such button anew: the joint in hand may be another one. */
export const tellMadeFor = (app) => document.querySelectorAll(".made-for").forEach((button) => tell(button, app));

function tell(button, app) {
  const old = button.madeFor !== JSON.stringify(app.state.recipe);
  button.setAttribute("aria-disabled", old);
  button.title = old ? OLD : "";
}
