// What viewer.js holds: the self-contained page, which comes to life by itself where it carries a scene of its own, and what the page of
// `helix page` uses of it (there it is called "viewer").
import { start } from "./shared.js";

export { Film } from "./film/film.js";
export { Formed } from "./film/formed.js";
export { arrow, ball, bar, plainMaterial } from "./film/props.js";
export { Pulled } from "./film/pulled.js";
export { spread } from "./notes.js";
export { ringAt, sectionAt } from "./picking.js";
export { choice, controls, showLegend, showRuler, VIEWS } from "./tools.js";
export { canDraw, Viewer } from "./viewer.js";
export { readRings } from "./wire.js";
export { start };
export const viewer = typeof document === "undefined" ? null : start();
