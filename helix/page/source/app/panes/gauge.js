// The loads of a joint on one scale that begins at 0: plan with, expected, label, straight wire.
import { el } from "../dom.js";

/** gauge: {marks: [{name, load_n, words}], to_plan (else nothing looks like a load to plan with), low_n, high_n, most_n, range, no_label}, or null. */
export function gaugeNodes(gauge, severity) {
  if (!gauge) return [];
  const { marks, most_n: most } = gauge;
  const at = (load) => `${Math.min(Math.max((100 * load) / most, 0), 100).toFixed(2)}%`;
  const put = (made, properties) => {
    for (const [name, value] of Object.entries(properties)) made.style.setProperty(name, value);
    return made;
  };
  const plan = marks.find(({ name }) => name === "plan");
  const scale = el("div", { class: "scale" },
    gauge.to_plan ? put(el("i", { class: "safe" }), { width: at(plan.load_n) }) : null,
    put(el("i", { class: "range" }), { left: at(gauge.low_n), width: at(gauge.high_n - gauge.low_n) }),
    ...marks.map(({ name, load_n: load }) => put(el("i", { class: `load ${name}` }), { left: at(load) })));
  const words = marks.map(({ name, words: said }) => el("li", { class: name }, said));
  return [el("div", { class: `gauge ${severity}` },
    el("div", { "aria-hidden": "true" }, scale),
    el("ul", { class: "loads" }, ...words, el("li", { class: "range" }, gauge.range), gauge.no_label ? el("li", { class: "none" }, gauge.no_label) : null))];
}
