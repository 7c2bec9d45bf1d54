// The panes beside the shape's own, in the order of their tabs: [{name, title, make(holder, app)}].
// make(holder, app) -> {shown(), changed(answer)}; `app` is described in ../main.js.
import { CHOOSE } from "./choose.js";
import { CUT } from "./cut.js";
import { FORM } from "./form_wire.js";
import { HOLD } from "./hold.js";
import { LEARN } from "./learn.js";
import { MADE } from "./made.js";
import { PAPER } from "./paper.js";
import { PULLS } from "./pulls.js";

export const PANES = [HOLD, FORM, CUT, PAPER, LEARN, PULLS, MADE, CHOOSE];
