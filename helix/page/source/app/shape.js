// The shape's own pane: what to count and measure, the bends, the ink marks, and each part of the wire.
import { el } from "./dom.js";

function table({ title, head, rows }) {
  const cells = (row) => row.map((text, k) => (k ? el("td", {}, text) : el("th", { scope: "row" }, text)));
  return el("section", { class: "block" }, el("h2", {}, title), el("table", {},
    head.length ? el("thead", {}, el("tr", {}, ...head.map((text) => (text ? el("th", { scope: "col" }, text) : el("td"))))) : "",
    el("tbody", {}, ...rows.map((row) => el("tr", {}, ...cells(row))))));
}

function partsBlock(parts) {
  return { title: "Parts of the wire", head: ["", "wire", "least radius", "strain", "verdict"],
    rows: Object.values(parts).map((part) => [part.title, part.wire, part.radius || "", part.strain || "", part.verdict || ""]) };
}

const blocksOf = (answer) => [...answer.blocks, ...(answer.parts ? [partsBlock(answer.parts)] : [])].filter((block) => block.rows.length);

/** Put a block's words into a table of the same shape, touching only cells that change; false where it has another shape. */
function refilled(section, { rows }) {
  const shown = [...section.querySelectorAll("tbody tr")].map((row) => row.children);
  if (shown.length !== rows.length || shown.some((cells, n) => cells.length !== rows[n].length)) return false;
  rows.forEach((row, n) => row.forEach((text, k) => {
    const { firstChild } = shown[n][k];
    if (!firstChild) shown[n][k].textContent = text;
    else if (firstChild.data !== text) firstChild.data = text;
  }));
  return true;
}

export const SHAPE = {
  name: "shape",
  title: "Shape",
  make(holder, app) {
    let sections = new Map();
    const show = (answer) => {
      if (!answer) return;
      const remarks = answer.remarks?.length ? [el("ul", { class: "remarks" }, ...answer.remarks.map((line) => el("li", {}, line)))] : [];
      const { scrollTop } = holder.parentElement;
      sections = new Map(blocksOf(answer).map((block) => [block.title, table(block)]));
      holder.replaceChildren(...sections.values(), ...remarks);
      holder.parentElement.scrollTop = scrollTop;
    };
    /** A slider moves: what a draft tells follows it, the rest waits until it is let go. */
    const follow = (answer) => {
      const told = new Map(blocksOf(answer).map((block) => [block.title, block]));
      if ([...told.keys()].some((title) => !sections.has(title))) return show(answer);
      for (const [title, section] of sections) {
        const block = told.get(title);
        section.classList.toggle("waits", !block);
        if (!block || refilled(section, block)) continue;
        const made = table(block);
        section.replaceWith(made);
        sections.set(title, made);
      }
    };
    return { shown: () => show(app.answer), changed: (answer) => (answer.draft ? follow(answer) : show(answer)) };
  },
};
