// A report as the program gives it (title and blocks), as elements of the page.
import { el, fresh, mark } from "../dom.js";
import { chart } from "./chart.js";

const VERDICTS = { ok: "ok", good: "ok", locks: "ok", caution: "caution", marginal: "caution", sharp: "sharp", unwinds: "sharp", remake: "sharp", impossible: "fault" };

/** The report's elements; its title is a heading of `level`, what is in it follows. */
export function reportNodes(report, level = 2) {
  const heading = (text, depth) => el(`h${Math.min(level + depth, 6)}`, {}, text);
  const nodes = report.title ? [heading(report.title, 0)] : [];
  let depth = 1;
  for (const block of report.blocks) {
    if (block.kind === "heading") {
      if (block.level <= 1 && block.text === report.title) continue;
      depth = Math.max(block.level - 1, 1);
      nodes.push(heading(block.text, depth));
    } else nodes.push(...(KINDS[block.kind] || unknown)(block));
  }
  return nodes;
}

const KINDS = {
  para: ({ text, strong }) => [el("p", { class: strong ? "strong" : null }, text)],
  bullets: ({ items }) => (items.length ? [el("ul", {}, ...items.map((item) => el("li", {}, item)))] : []),
  text: ({ text, title }) => [scrolled(el("pre", {}, text), title || "Text of fixed width")],
  table: (block) => (block.rows.length ? [tableBox(block)] : []),
  chart: chartBox,
};

const unknown = (block) => (block.text ? [el("p", {}, block.text)] : []);

/** A box that scrolls sideways by itself, also by keys. */
function scrolled(inside, label) {
  return el("div", { class: "sideways", tabindex: "0", role: "group", "aria-label": label }, inside);
}

/** {title, heading, rows, left, note} as a table; extra(row number): a last cell of each row. */
export function tableBox({ title, heading, rows, left = [0], note }, extra) {
  const side = (k) => (left.includes(k) ? "left" : null);
  const cell = (text, k) => {
    const inside = VERDICTS[text] ? [mark(VERDICTS[text]), ` ${text}`] : [text];
    return k === 0 ? el("th", { scope: "row", class: side(k) }, ...inside) : el("td", { class: side(k) }, ...inside);
  };
  const head = heading?.some(Boolean) && el("thead", {}, el("tr", {},
    ...heading.map((text, k) => (text ? el("th", { scope: "col", class: side(k) }, text) : el("td", {}))), extra ? el("td", {}) : null));
  const body = rows.map((row, n) => el("tr", {}, ...row.map(cell), extra ? el("td", {}, extra(n)) : null));
  const id = fresh("note");
  const table = el("table", { "aria-describedby": note ? id : null }, title ? el("caption", {}, title) : null, head || null, el("tbody", {}, ...body));
  return el("div", { class: "table-box" }, scrolled(table, title || "Table"), note ? el("p", { class: "small", id }, note) : null);
}

function chartBox({ title: name, methods = "", caption, svg }) {
  const title = name && name + methods;
  const drawn = svg && chart(svg, [title, caption].filter(Boolean).join(". "));
  const words = el("figcaption", {}, title ? el("b", {}, title) : null, title && caption ? " " : null, caption || null);
  if (!drawn) return [el("figure", {}, words)];
  const box = scrolled(drawn, title || "Chart");
  const large = el("button", { class: "plain large-chart", "aria-pressed": "false", onclick: () => { // where the window is narrower than the chart
    const yes = box.classList.toggle("large");
    large.setAttribute("aria-pressed", yes);
    large.textContent = yes ? "Whole chart" : "Larger";
  } }, "Larger");
  return [el("figure", {}, box, large, words)];
}
