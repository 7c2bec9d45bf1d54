// Quantities as the knobs show them: a number and a unit, as far as a slider needs them apart.
const AMOUNT = /^\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?)\s*([a-z"']*)\s*$/i;

/** "3.68 d" as {number: 3.68, unit: "d"}; a bare number has the unit ""; null for anything else. */
export function amount(value) {
  const found = AMOUNT.exec(String(value ?? ""));
  return found ? { number: Number(found[1]), unit: found[2] } : null;
}

/** A slider's number as text, with as many decimals as its step has. */
export function rounded(number, step) {
  const decimals = (String(step).split(".")[1] || "").length;
  return String(Number(number.toFixed(decimals)));
}

/** A quantity as it is read: what came from mm has no more digits of an inch than a caliper shows. The recipe keeps it as it is. */
export function told(value) {
  const found = amount(value);
  return found?.unit === "in" ? `${Number(found.number.toPrecision(4))} in` : String(value);
}

/** A number on a scale as it goes into the recipe: bare without a unit, text with one. */
export const valueOf = (text, unit) => (unit ? `${text} ${unit}` : Number(text));

/** What somebody typed as it goes into the recipe: a bare number takes the scale's unit; undefined for nothing. */
export function typed(text, unit) {
  const clean = text.trim();
  if (!clean) return undefined;
  const found = amount(clean);
  if (!found) return clean;
  if (found.unit) return clean;
  return unit ? `${clean} ${unit}` : found.number;
}

/** The unit that a bare number takes in a form, by its dimension and the page's units. */
export const UNITS = {
  length: { metric: "mm", inch: "in" }, stock: { metric: "m", inch: "ft" }, force: { metric: "N", inch: "lbf" }, mass: { metric: "kg", inch: "lb" },
  angle: { metric: "deg", inch: "deg" },
};
