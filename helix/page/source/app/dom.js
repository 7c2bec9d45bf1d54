// Elements of the page, made in a line.
let count = 0;

/** el("button", {class: "x", onclick: f, "aria-label": "y"}, child, "text"): an element. false and null are left out. */
export function el(kind, more = {}, ...children) {
  const made = document.createElement(kind);
  for (const [name, value] of Object.entries(more)) {
    if (value === false || value === null || value === undefined) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (name === "text") made.textContent = value;
    else made.setAttribute(name, value === true ? "" : value);
  }
  if (kind === "button" && !made.hasAttribute("type")) made.type = "button";
  made.append(...children.filter((child) => child !== null && child !== undefined && child !== false));
  return made;
}

/** An id that no other element has. */
export const fresh = (before) => `${before}-${++count}`;

/** A verdict's mark, told apart by its shape as well: circle ok, hexagon caution, diamond what is worse. */
export function mark(verdict) {
  const corners = { ok: 24, caution: 6, note: 24 }[verdict] || 4;
  const places = [];
  for (let k = 0; k < corners; k++) {
    const angle = (2 * Math.PI * k) / corners;
    places.push(`${(8 + 6.5 * Math.cos(angle)).toFixed(2)},${(8 + 6.5 * Math.sin(angle)).toFixed(2)}`);
  }
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  svg.setAttribute("viewBox", "0 0 16 16");
  svg.setAttribute("class", `sign ${verdict}`);
  svg.setAttribute("aria-hidden", "true");
  const shape = document.createElementNS("http://www.w3.org/2000/svg", "polygon");
  shape.setAttribute("points", places.join(" "));
  svg.append(shape);
  return svg;
}

export const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
