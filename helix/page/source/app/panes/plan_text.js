// A cutting plan as the text of its file, from what stands in the pane's table. Keys: docs/planning.md.
export const OWN_RECIPE = "joint.toml";

const word = (text) => (/^[A-Za-z0-9_-]+$/.test(text) ? text : JSON.stringify(text));

/** A value as TOML writes it; tables stand in one line. */
function value(given) {
  if (Array.isArray(given)) return `[${given.map(value).join(", ")}]`;
  if (given && typeof given === "object") return `{ ${lines(given).join(", ")} }`;
  return JSON.stringify(given);
}

const lines = (table) => Object.entries(table).filter(([, given]) => given !== "" && given !== undefined && given !== null)
  .map(([key, given]) => `${word(key)} = ${value(given)}`);

const block = (head, table) => [head, ...lines(table)].join("\n");

/** A count typed as text is a bare number in the file; anything else stays as typed, for the program to judge. */
const count = (text) => (/^\d+(\.\d+)?$/.test(text) ? Number(text) : text);

/** {title, units, cutting, wire, pieces, stock} as a plan in which every joint is that of the recipe in hand. */
export function planText({ title, units, cutting, wire, pieces, stock }) {
  const ends = { both: ["joint", "joint"], one: ["joint", "plain"], none: ["plain", "plain"] };
  const jointed = pieces.some((piece) => piece.ends !== "none");
  const { spare, ...rest } = cutting;
  const named = typeof wire.size === "string" && wire.size.trim() ? wire.size.trim() : String(wire.diameter ?? "own");
  return `${[
    lines({ title, units }).join("\n"),
    Object.values(cutting).some(Boolean) ? block("[cutting]", { ...rest, spare: spare && count(spare) }) : "",
    block(`[wire.${word(named)}]`, wire),
    jointed ? block("[end.joint]", { recipe: OWN_RECIPE }) : "",
    ...pieces.map((piece) => block("[[piece]]", { name: piece.name, count: count(piece.count), length: piece.length, at_load: piece.at_load, ends: ends[piece.ends] })),
    ...stock.map((each) => block("[[stock]]", { name: each.name, count: count(each.count), length: each.length, mass: each.mass })),
  ].filter(Boolean).join("\n\n")}\n`;
}
