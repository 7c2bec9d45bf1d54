// The frame of the page: what stands where, without anything in it yet.
import { el } from "./dom.js";

/** Build the frame in the body; its elements by name. */
export function layout() {
  const parts = {};
  const keep = (name, made) => (parts[name] = made);
  const jump = (text, to) =>
    el("a", { href: "#", class: "skip", onclick: (event) => {
      event.preventDefault();
      parts[to].focus();
    } }, text);
  const stage = keep("stage", el("div", {
    id: "stage", tabindex: "0", role: "application",
    "aria-label": "The joint in 3-D. Arrows turn it, plus and minus zoom, 1 to 4 choose a view, C a colouring, L labels.",
  },
  keep("no3d", el("p", { id: "no-3d", hidden: true }, "This browser cannot draw in 3-D here (no WebGL). All numbers are there.")),
  keep("ruler", el("div", { id: "ruler" })),
  keep("stale", el("p", { class: "stale", role: "alert", hidden: true })),
  keep("before", el("p", { class: "before", "aria-hidden": "true", hidden: true }, "faint: before the change")),
  keep("part", el("div", { class: "part-card", hidden: true }))));
  const taller = (event) => {
    const tall = parts.bench.classList.toggle("tall");
    event.currentTarget.setAttribute("aria-pressed", tall);
  };
  const set = (word, name) =>
    el("div", { class: "set" }, el("span", {}, word), keep(name, el("div", { class: "row", id: name, role: "group", "aria-label": word })));
  document.body.replaceChildren(
    el("nav", { "aria-label": "Skip" }, jump("Skip to the findings", "findings"), jump("Skip to the sliders", "knobs"), jump("Skip to the tabs", "panel")),
    keep("bench", el("div", { class: "bench" },
      keep("head", el("header", {})),
      keep("answer", el("section", { class: "answer", "aria-label": "The answer" })),
      keep("gone", el("p", { class: "gone-line", role: "alert", hidden: true })),
      keep("findings", el("section", { class: "findings", "aria-label": "Findings", tabindex: "-1" })),
      el("main", { class: "stage-box" }, stage, keep("told", el("section", { class: "told-card", "aria-label": "The chosen finding", hidden: true })),
        el("div", { id: "tools", role: "toolbar", "aria-label": "How the joint is shown" }, set("View", "views"), keep("fit", el("button", { id: "fit" }, "Fit")), set("Colour", "colours"),
          keep("labels", el("button", { id: "labels", "aria-pressed": "true" }, "Labels")), keep("beside", el("button", { id: "beside" }, "Compare")), keep("legend", el("div", { id: "legend", hidden: true })))),
      el("section", { class: "panes", "aria-label": "More about this joint" },
        el("div", { class: "tab-bar" }, keep("tabs", el("div", { class: "tabs", role: "tablist", "aria-label": "What to look at" })),
          el("button", { class: "plain taller", "aria-pressed": "false", onclick: taller }, "More room")),
        keep("panel", el("div", { class: "panel", tabindex: "-1" }))),
      keep("knobs", el("section", { class: "knobs", "aria-label": "Adjust the joint", tabindex: "-1" })),
      keep("foot", el("footer", { class: "foot" })))),
    keep("said", el("p", { class: "unseen", role: "status", "aria-live": "polite" })),
    keep("toast", el("p", { class: "toast", "aria-hidden": "true", hidden: true })));
  return parts;
}
