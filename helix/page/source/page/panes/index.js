// The panes beside the shape's own, in the order of their tabs: [{name, title, make(holder, app)}].
// make(holder, app) -> {shown(), changed(answer)}; `app` is described in ../main.js.
export const PANES = [];
