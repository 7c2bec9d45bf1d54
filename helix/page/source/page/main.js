// The page of `helix page`: knobs, the joint in 3-D, the answer.
import * as api from "./api.js";

/**
 * What the panes are given.
 * @typedef {object} App
 * @property {object} start    reply of /api/start: knobs, groups, wires, lessons, examples, cautions
 * @property {object} state    {recipe: TABLES, units: "metric"|"inch", pane, light}: read it, change it by setRecipe
 * @property {object|null} answer  the last good reply of /api/joint; `answer.draft` while a slider moves
 * @property {object[]} faults  faults of the input in hand ([] while it can be made)
 * @property {{state: "waiting"|"done"|"failed", said: string, result: object|null}} hold  estimate of the joint in
 *   hand, asked for after every full answer: the result of POST /api/pane/hold
 * @property {"metric"|"inch"} units
 * @property {{get, post, job, download, save}} api  see api.js; job() drops its work when its signal is aborted
 * @property {import("../viewer.js").Viewer|null} viewer  the joint on the stage; null where there is no WebGL
 * @property {(tables: object, say: string) => void} setRecipe  makes this the joint in hand; can be undone.
 *   say: what was done in a few words ("Exit made gradual")
 * @property {(fn: (what: string) => void) => (() => void)} subscribe  fn is called with "answer" (a new app.answer),
 *   "hold", "faults", "recipe" (before its answer), "light"; returns what ends it
 * @property {(point: number[]) => void} goTo  the camera goes to a place of the joint (mm)
 * @property {(text: string) => void} say  a line for everyone: shown shortly, and read out by screen readers
 *
 * A pane is made the first time it is looked at: make(holder, app) -> {shown(), changed(answer)}.
 * shown() is called each time its tab is opened; changed(answer) at each new answer while it is open
 * (drafts too: leave those out that cost anything).
 */

export { api };
