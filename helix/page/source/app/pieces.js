// The pull tests that were typed: a row a piece, each with the joint that it is a piece of. The pane shows them; the head of
// the page counts those of the joint in hand.
import { at } from "./address.js";
import { amount } from "./amount.js";
import { keep, recall } from "./keeping.js";
import { pack, unpack } from "./sent_pieces.js";

const KEPT = "helix.page.pulls";
const RECIPE = "joint.toml"; // the joint in hand, as rows of a file name it
const SAID = "the joint in hand"; // and as the page does
const HEADING = "id,group,size,joints,recipe,load,unit,failure";
const ASIDE = ["title", "units", "finish", "tolerance", "wire.rated_load", "wire.measured_load", "wire.measured_pulls"]; // what no pull depends on
const WIRE = ["wire.size", "wire.diameter", "wire.material"];
const MM = { mm: 1, in: 25.4, '"': 25.4 };
const DIGITS = 3;
const UNWOUND = ["own-unwound", "like-unwound", "not-pulled"]; // findings that say of which pieces some unwound
const LEFT_OUT = ["grip", "stopped"];

const aside = (key) => ASIDE.some((table) => key === table || key.startsWith(`${table}.`));
const quoted = (text) => (/[",\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
const blank = () => ({ id: "", load: "", failure: "", kind: "joint" });

/** A value so that it reads alike in any unit. */
function plain(value) {
  const found = amount(value);
  if (!found || typeof value === "object") return JSON.stringify(value);
  const unit = MM[found.unit];
  return `${Number((found.number * (unit ?? 1)).toPrecision(DIGITS))} ${unit ? "mm" : found.unit}`;
}

const leaves = (table, before = "") => Object.entries(table ?? {}).flatMap(([key, value]) =>
  value && typeof value === "object" && !Array.isArray(value) ? leaves(value, `${before}${key}.`) : [[before + key, value]]);

export class Pieces {
  /** changed(): other pieces are complete now. */
  constructor(app, changed) {
    Object.assign(this, { app, changed });
    const kept = recall("session", KEPT);
    this.rows = Array.isArray(kept) ? kept : kept?.rows ?? [];
    this.joints = kept?.joints ?? []; // recipes that rows are of
    this.shapes = kept?.shapes ?? {}; // what comes of them, by their keys: a joint is the same however it is written
    this.now = { key: "", shape: "" };
    this.ends = kept?.ends ?? "2"; // joints that a piece has
    this.cleared = kept?.cleared ?? []; // tables that were cleared and can be put back, the last one last
    this.received = 0; // times that pieces came with an address
    this.told = this.#sign();
    if (app.state.sent) this.receive(app.state.sent);
  }

  /** Pieces that came with an address, {text, joints}: they are the table, where nothing stands in it. */
  receive({ text, joints }) {
    const found = unpack(text), { kept } = this.app.state;
    if (!found || this.complete.length || found.rows.some(({ at: n }) => n && !joints[n - 1])) return;
    const inHand = found.rows.some(({ at: n }) => !n) ? [structuredClone(kept)] : [];
    this.joints = [...joints, ...inHand];
    this.shapes = {};
    this.ends = found.ends;
    this.rows = found.rows.map(({ at: n, ...row }) => ({ ...row, of: n ? n - 1 : joints.length }));
    this.received++;
    this.told = this.#sign(); // the joint is asked about anyway
    this.keep();
  }

  /** Rows with a load and an end. */
  get complete() {
    return this.rows.filter((row) => row.load && row.failure);
  }

  /** What is missing in a row that somebody has begun; "" where nothing is. */
  missing(row) {
    if (!row.load === !row.failure) return row.id && !row.load ? "not counted: no load yet" : "";
    return row.load ? "not counted: how it ended is missing" : "not counted: no load yet";
  }

  /** The row at a place, made where there is none yet. */
  row(n) {
    while (this.rows.length <= n) this.rows.push(blank());
    return this.rows[n];
  }

  /** filled: what every knob stands at by the recipe in hand, also where it is left open. */
  learn(recipe, filled) {
    const open = Object.entries(filled).filter(([key]) => !aside(key)).map(([key, value]) => [key, plain(value)]);
    this.now = { key: this.#key(recipe), shape: JSON.stringify([this.#wire(recipe), open.sort()]) };
    if (this.joints.some((one) => this.#key(one) === this.now.key)) this.shapes[this.now.key] = this.now.shape;
  }

  /** Whether a recipe is that of the joint in hand, or comes to the same joint. */
  #isInHand(recipe) {
    const key = this.#key(recipe), own = this.#key(this.app.state.kept);
    return key === own || (this.now.key === own && this.shapes[key] === this.now.shape);
  }

  /** Something was typed into a row: it is a piece of the joint in hand, unless it is known of which. */
  stamp(row, anew = false) {
    if (row.of !== undefined && !anew) return;
    const { kept } = this.app.state, key = this.#key(kept);
    const known = this.joints.findIndex((recipe) => this.#isInHand(recipe));
    row.of = known < 0 ? this.joints.push(structuredClone(kept)) - 1 : known;
    if (this.now.key === key) this.shapes[this.#key(this.joints[row.of])] = this.now.shape;
  }

  /** What stands in a row's load: with its unit, where that is not the one in hand. */
  shownLoad({ load, unit }) {
    return unit && unit !== this.unit && amount(load) ? `${load} ${unit}` : load;
  }

  /** Take a load as it was typed; a bare number keeps the unit that it was typed in. */
  takeLoad(row, text) {
    Object.assign(row, { load: text, unit: amount(text)?.unit ? "" : this.unit });
  }

  get unit() {
    return this.app.units === "inch" ? "lbf" : "N";
  }

  /** Whether a row is of a joint, that in hand where none is given, or straight wire like its own. */
  isOwn(row, joint = this.app.state.kept) {
    const { kept } = this.app.state, of = this.joints[row.of] ?? kept;
    if (row.kind === "straight") return this.#sameWire(of, joint);
    return joint === kept ? row.of === undefined || this.#isInHand(of) : this.#key(of) === this.#key(joint);
  }

  #sameWire(one, other) {
    return this.#wire(one) === this.#wire(other);
  }

  /** What a row's joint is, in a few words. */
  named(row) {
    const recipe = this.joints[row.of] ?? this.app.state.kept, { kept } = this.app.state;
    const words = (one) => [at(one, "wire.count") === 2 ? `two wires ${this.#size(one)}` : this.#size(one), `${at(one, "twist.turns") ?? "?"} turns`, `${at(one, "barrel.wraps") ?? 5} wraps`].join(", ");
    return words(recipe) + (words(recipe) === words(kept) && !this.isOwn(row) ? ", made otherwise" : "");
  }

  /** All complete rows as a file of pull tests, and the recipes that it names. */
  get file() {
    return this.#file(SAID, "");
  }

  /** The same to keep on disk. */
  get kept() {
    return this.#file(RECIPE, ".toml");
  }

  #file(inHand, ending) {
    const recipes = { [inHand]: this.app.state.kept };
    const lines = this.complete.map((row) => {
      const own = this.isOwn(row), recipe = own ? inHand : `joint ${row.of + 1}${ending}`;
      if (!own && row.kind !== "straight") recipes[recipe] = this.joints[row.of];
      return this.#line(row, recipe, own ? "this joint" : this.named(row));
    });
    return { name: "typed.csv", text: [HEADING, ...lines, ""].join("\n"), recipes };
  }

  /** What the joint in hand is judged by. */
  get own() {
    return this.of(this.app.state.kept);
  }

  /** What a joint is judged by: its own pieces and straight wire like its own, and those of others in whatever wire, as the program
   *  knows which are near enough to say anything of it; null where there are none. */
  of(joint) {
    const { own, told } = this.#told(joint), came = this.#came(told);
    const counted = came?.unwound ? { counted: [came] } : {};
    if (!told.length) return came?.unwound ? { name: "address", text: "", ...counted } : null;
    const recipes = Object.fromEntries(told.filter((row) => !own.includes(row)).map((row) => [`joint ${row.of + 1}.toml`, this.joints[row.of]]));
    const lines = told.map((row) => (own.includes(row) ? this.#line(row, RECIPE, "this joint") : this.#line(row, `joint ${row.of + 1}.toml`, this.named(row))));
    return { name: "typed.csv", text: [HEADING, ...lines, ""].join("\n"), ...counted, ...(told.length > own.length ? { recipes } : {}) };
  }

  /** Pieces that an address told of, where no row of their wire says more; null where there are none. */
  #came(told) {
    const { came, kept } = this.app.state;
    return came && !told.some((row) => this.#sameWire(this.joints[row.of] ?? kept, came.recipe)) ? came : null;
  }

  /** The pieces that the joint in hand is judged by, for its address: {turns, wraps, pieces, unwound}; null where there are none. */
  counts({ findings }) {
    const { kept } = this.app.state, { own, told } = this.#told(kept), came = this.#came(told);
    const found = findings.find(({ code }) => UNWOUND.includes(code));
    const counts = { turns: at(kept, "twist.turns") ?? 5, wraps: at(kept, "barrel.wraps") ?? 5, ...found?.values };
    const pieces = found ? counts.pieces : own.filter(({ kind, failure }) => kind !== "straight" && !LEFT_OUT.includes(failure)).length;
    const { turns, wraps } = counts, { unwound = 0 } = found ? counts : {};
    const sent = pack(this.complete, this.ends, (row) => (this.isOwn(row) ? null : this.joints[row.of]), this.unit);
    if (sent) return { turns, wraps, pieces, unwound, sent };
    if (pieces) return { turns, wraps, pieces, unwound };
    return came && { turns: came.turns, wraps: came.wraps, pieces: came.pieces, unwound: came.unwound };
  }

  #told(joint) {
    const rows = this.complete.filter((row) => amount(row.load)), own = rows.filter((row) => this.isOwn(row, joint));
    const others = rows.filter((row) => !own.includes(row) && row.kind !== "straight" && this.joints[row.of]);
    return { own, told: [...own, ...others] };
  }

  /** Whether the joint in hand is judged by pieces. */
  get counted() {
    return this.app.answer?.answer.judged_by === "pulls";
  }

  /** What the head says of pieces that it leaves out; "" where it leaves none out. */
  get leftOut() {
    const { told } = this.#told(this.app.state.kept), { length } = this.counted ? [] : this.complete.filter((row) => !this.isOwn(row));
    const came = this.#came(told);
    if (came) return `The address tells of ${came.pieces} pieces of ${came.turns} turns and ${came.wraps} wraps, of which ${came.unwound || "none"} unwound; their loads are not in it`;
    if (!length) return "";
    return `${length} typed pull test${length === 1 ? " is" : "s are"} of another joint and do${length === 1 ? "es" : ""} not count here`;
  }

  /** Rows in which anything stands. */
  get #begun() {
    return this.rows.filter((row) => row.id || row.load || row.failure);
  }

  /** Take all rows out; `putBack` brings them again. */
  clear() {
    const rows = this.#begun, { joints, shapes, ends } = this, { state } = this.app, { came } = state;
    if (rows.length || came) this.cleared.push({ rows, joints, shapes, ends, came });
    Object.assign(this, { rows: [], joints: [], shapes: {} });
    state.came = null;
    this.keep();
    if (came) this.changed();
  }

  /** The rows that were cleared last stand again, above those typed since. */
  putBack() {
    const { rows, joints, shapes, ends, came } = this.cleared.pop();
    const since = this.#begun.map((row) => (row.of === undefined ? row : { ...row, of: row.of + joints.length }));
    Object.assign(this, { rows: [...rows, ...since], joints: [...joints, ...this.joints], shapes: { ...shapes, ...this.shapes }, ends });
    this.app.state.came ??= came ?? null;
    this.keep();
    if (came) this.changed();
  }

  keep() {
    const { joints, shapes, ends, cleared } = this;
    keep("session", KEPT, { rows: this.#begun, joints, shapes, ends, cleared });
    const now = this.#sign();
    if (now === this.told) return;
    this.told = now;
    this.changed();
  }

  #sign() {
    return JSON.stringify([this.complete, this.ends]);
  }

  #line(row, recipe, group) {
    const straight = row.kind === "straight", load = amount(row.load);
    const of = this.joints[row.of] ?? this.app.state.kept;
    return [row.id || String(this.rows.indexOf(row) + 1), straight ? "control" : group, this.#size(of), straight ? "0" : this.ends, straight ? "" : recipe,
      load ? String(load.number) : row.load, load?.unit || row.unit || this.unit, row.failure].map(quoted).join(",");
  }

  #size(recipe) {
    const { size, diameter } = recipe.wire ?? {};
    return String(diameter ?? size ?? "");
  }

  #key(recipe) {
    const open = new Map(this.app.start.knobs.map(({ key, default: back }) => [key, back]));
    const pairs = leaves(recipe).filter(([key, value]) => !aside(key) && plain(value) !== plain(open.get(key) ?? null));
    return JSON.stringify(pairs.map(([key, value]) => [key, plain(value)]).sort());
  }

  #wire(recipe) {
    return JSON.stringify(WIRE.map((key) => plain(at(recipe, key) ?? "")));
  }
}
