// A joint as the readable end of an address: #wire.size=MWG+12&eye.pin=6+mm&twist.turns=5&units=metric&pane=shape
const NUMBER = /^-?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?$/i;
const QUOTED = /^(["[{]|true$|false$)/;
const OWN = ["pane", "light"], OF = /^of(\d)$/;
const PULLED = ["turns", "wraps", "pieces", "unwound"];

/** {recipe, pane, light, pulled} as text; the recipe's tables as dotted keys. Numbers stay numbers, text stays text. pulled: pieces that
 *  were pulled, {sent: {text, joints}} with the other joints that they are of; where they are too many {turns, wraps, pieces, unwound}:
 *  their counts, not their loads. */
export function write({ recipe, pane, light, pulled }) {
  const pairs = flat(recipe).map(([key, value]) => [key, said(value)]);
  if (pane) pairs.push(["pane", pane]);
  if (light) pairs.push(["light", light]);
  if (pulled?.sent) pairs.push(["pulls", pulled.sent.text], ...pulled.sent.joints.map((recipe, k) => [`of${k + 1}`, write({ recipe })]));
  else if (pulled) pairs.push(["pulled", PULLED.map((name) => pulled[name]).join(",")]);
  return new URLSearchParams(pairs).toString();
}

/** What `write` wrote; null where the text holds no joint. */
export function read(text) {
  const state = { recipe: {}, pane: "", light: "", pulled: null };
  let found = false;
  const joints = [];
  for (const [key, value] of new URLSearchParams(text.replace(/^#/, ""))) {
    const names = key.split(".");
    if (key === "pulls") state.pulled = { sent: { text: value, joints } };
    else if (OF.test(key)) joints[key.match(OF)[1] - 1] = read(value)?.recipe;
    else if (key === "pulled") state.pulled = counted(value);
    else if (OWN.includes(key)) state[key] = value;
    else if (names.every((name) => /^[a-z][a-z_]*$/.test(name))) {
      put(state.recipe, names, meant(value));
      found ||= names.length > 1;
    }
  }
  return found ? state : null;
}

function counted(text) {
  const numbers = text.split(",").map(Number);
  const fits = numbers.length === PULLED.length && numbers.every((number) => number >= 0) && numbers[2] > 0;
  return fits ? Object.fromEntries(PULLED.map((name, k) => [name, numbers[k]])) : null;
}

function flat(table, before = "") {
  return Object.entries(table).flatMap(([key, value]) =>
    value && typeof value === "object" && !Array.isArray(value) ? flat(value, `${before}${key}.`) : [[before + key, value]]);
}

function said(value) {
  if (typeof value !== "string") return JSON.stringify(value);
  return NUMBER.test(value) || QUOTED.test(value) ? JSON.stringify(value) : value;
}

function meant(text) {
  if (NUMBER.test(text)) return Number(text);
  if (!QUOTED.test(text)) return text;
  try {
    return JSON.parse(text);
  } catch {
    return text;
  }
}

/** Set a value in nested tables; undefined removes it, and a table that this empties. */
export function put(tables, names, value) {
  const [name, ...rest] = names;
  if (!rest.length) {
    if (value === undefined) delete tables[name];
    else tables[name] = value;
    return tables;
  }
  const inside = tables[name] && typeof tables[name] === "object" ? tables[name] : {};
  put(inside, rest, value);
  if (Object.keys(inside).length) tables[name] = inside;
  else delete tables[name];
  return tables;
}

/** The value at a dotted key, or undefined. */
export const at = (tables, key) => key.split(".").reduce((table, name) => table?.[name], tables);

/** A copy of a recipe's tables with one key changed (undefined: left out) and others removed. */
export function changed(tables, key, value, drops = []) {
  const made = structuredClone(tables);
  for (const other of drops) put(made, other.split("."), undefined);
  return put(made, key.split("."), value);
}
