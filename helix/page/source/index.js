// What the bundle offers; a page that carries a scene of its own comes to life by itself.
import { start } from "./shared.js";

export { canDraw, Viewer } from "./viewer.js";
export { start };
export const viewer = typeof document === "undefined" ? null : start();
