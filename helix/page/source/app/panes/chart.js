// Charts that come as SVG text: only shapes and words of them are taken over, so that nothing in them can act.
import { fresh } from "../dom.js";

const SVG = "http://www.w3.org/2000/svg";
const SHAPES = new Set([
  "svg", "g", "defs", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text", "tspan", "title", "desc",
  "use", "clipPath", "marker", "symbol", "linearGradient", "radialGradient", "stop", "pattern",
]);
const ELSEWHERE = /url\((?!\s*['"]?#)|javascript:|expression\(|@import/i;

/** A drawn chart of an SVG text, with words in its place for who cannot see it; null where it is no SVG. */
export function chart(text, words) {
  const parsed = new DOMParser().parseFromString(unstyled(text), "image/svg+xml");
  if (parsed.documentElement.localName !== "svg" || parsed.querySelector("parsererror")) return null;
  const svg = safe(parsed.documentElement);
  const { width, height } = parsed.documentElement.attributes;
  if (!svg.hasAttribute("viewBox") && width && height) svg.setAttribute("viewBox", `0 0 ${parseFloat(width.value)} ${parseFloat(height.value)}`);
  svg.removeAttribute("width");
  svg.removeAttribute("height");
  svg.setAttribute("role", "img");
  svg.setAttribute("aria-label", words);
  svg.classList.add("chart");
  apart(svg);
  return svg;
}

/** Styles as plain data: the page's own policy lets no text bring styles with it, only this program sets them. */
const unstyled = (text) => text.replace(/<style[\s\S]*?<\/style>/g, "").replace(/\sstyle=(?=["'])/g, " data-style=");

/** A copy of an element in which only what draws is left. */
function safe(from) {
  const made = document.createElementNS(SVG, from.localName);
  for (const { name, value } of from.attributes) {
    if (name.startsWith("on") || name.startsWith("xmlns") || ELSEWHERE.test(value)) continue;
    if (name === "data-style") made.style.cssText = value;
    else if (name === "href" || name === "xlink:href") {
      if (value.startsWith("#")) made.setAttribute("href", value);
    } else if (!name.includes(":")) made.setAttribute(name, value);
  }
  for (const child of from.childNodes) {
    if (child.nodeType === Node.TEXT_NODE) made.append(child.data);
    else if (child.nodeType === Node.ELEMENT_NODE && child.namespaceURI === SVG && SHAPES.has(child.localName)) made.append(safe(child));
  }
  return made;
}

/** Names within a chart that no other chart of the page has. */
function apart(svg) {
  const before = fresh("chart");
  const own = (value) => value.replace(/#([\w.-]+)/g, (whole, id) => (ids.has(id) ? `#${before}-${id}` : whole));
  const ids = new Set([...svg.querySelectorAll("[id]")].map((element) => element.id));
  for (const element of [svg, ...svg.querySelectorAll("*")]) {
    for (const { name, value } of [...element.attributes]) {
      if (name === "id") element.id = `${before}-${value}`;
      else if (name === "href" || value.includes("url(")) element.setAttribute(name, own(value));
    }
  }
}
