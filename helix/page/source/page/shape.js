// The shape's own pane: what to count and measure, the bends, the ink marks, and each part of the wire.
import { el } from "./dom.js";

function table({ title, head, rows }) {
  const cells = (row) => row.map((text, k) => (k ? el("td", {}, text) : el("th", { scope: "row" }, text)));
  return el("section", { class: "block" }, el("h3", {}, title), el("table", {},
    head.length ? el("thead", {}, el("tr", {}, ...head.map((text) => (text ? el("th", { scope: "col" }, text) : el("td"))))) : "",
    el("tbody", {}, ...rows.map((row) => el("tr", {}, ...cells(row))))));
}

function partsBlock(parts) {
  return { title: "Parts of the wire", head: ["", "wire", "least radius", "strain", "verdict"],
    rows: Object.values(parts).map((part) => [part.title, part.wire, part.radius || "", part.strain || "", part.verdict || ""]) };
}

export const SHAPE = {
  name: "shape",
  title: "Shape",
  make(holder, app) {
    const show = (answer) => {
      if (!answer) return;
      const remarks = answer.remarks?.length ? [el("ul", { class: "remarks" }, ...answer.remarks.map((line) => el("li", {}, line)))] : [];
      const { scrollTop } = holder.parentElement;
      holder.replaceChildren(...answer.blocks.filter((block) => block.rows.length).map(table), ...(answer.parts ? [table(partsBlock(answer.parts))] : []), ...remarks);
      holder.parentElement.scrollTop = scrollTop;
    };
    return { shown: () => show(app.answer), changed: (answer) => answer.draft || show(answer) };
  },
};
