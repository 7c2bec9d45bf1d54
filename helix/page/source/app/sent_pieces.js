// Pull tests as a part of an address: rows as "812 N*broke_exit", the joints that they are of beside them.
import { amount } from "./amount.js";

const MOST = 900; // letters: with more an address is no longer read off a screen, and tells how many there are alone
const FIELDS = "*", ROWS = "**", NONE = ".";
const plain = (text) => String(text ?? "").replaceAll("*", " ").trim() || NONE;
const meant = (text) => (text === undefined || text === NONE ? "" : text);

/** Complete rows with the recipes that they are of, {text, joints}; null where there are none or too many. of(row): a recipe, null for the
 *  joint in hand. */
export function pack(rows, ends, of, unit) {
  if (!rows.length) return null;
  const joints = [];
  const line = (row) => {
    const recipe = of(row), same = recipe && joints.findIndex((one) => JSON.stringify(one) === JSON.stringify(recipe));
    const at = recipe ? (same < 0 ? joints.push(recipe) : same + 1) : "";
    const fields = [`${row.load}${amount(row.load)?.unit ? "" : ` ${row.unit || unit}`}`, row.failure, at, row.id, row.kind === "straight" ? row.kind : ""].map(plain);
    while (fields.at(-1) === NONE) fields.pop();
    return fields.join(FIELDS);
  };
  const text = [ends, ...rows.map(line)].join(ROWS);
  return text.length > MOST ? null : { text, joints };
}

/** What `pack` wrote, {ends, rows}: each row's `at` is the number of its joint, 0 for the one in hand; null where it is nothing of the kind. */
export function unpack(text) {
  const [ends, ...lines] = text.split(ROWS);
  if (!["1", "2"].includes(ends) || !lines.length) return null;
  const rows = lines.map((line) => {
    const [load, failure, at, id, kind] = line.split(FIELDS).map(meant), found = amount(load);
    return found?.unit && failure ? { id: id ?? "", load: String(found.number), unit: found.unit, failure, kind: kind || "joint", at: Number(at) || 0 } : null;
  });
  return rows.includes(null) ? null : { ends, rows };
}
