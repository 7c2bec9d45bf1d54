// A film of a joint's making, picture by picture: rings of the finished wire, the places beyond them, a straight line on.
// The shapes are those of the data (helix/output/viewer/scene_film.py); nothing is worked out here but where they lie.
import { bytesOf, readRings } from "../wire.js";

const floats = (text) => new Float32Array(bytesOf(text).buffer);
const SPACING = 1.2; // of rings on a straight line, in radii

/** Places beyond what is formed, by picture: from[k] to from[k + 1] are those of picture k. */
function readEnds({ count, s, points, along }) {
  const counts = bytesOf(count), from = new Uint32Array(counts.length + 1);
  counts.forEach((value, k) => (from[k + 1] = from[k] + value));
  return { from, s: floats(s), points: floats(points), along: floats(along) };
}

/** One of the wires of a film. */
class FilmWire {
  constructor({ first, breaks, last, formed, low, high, carried, tint }) {
    Object.assign(this, { first, breaks, last });
    this.formed = readRings(formed);
    this.s = floats(formed.s);
    this.low = readEnds(low);
    this.high = readEnds(high);
    this.carried = floats(carried);
    this.tint = tint.step;
    this.colours = Object.fromEntries(Object.entries(tint.colours).map(([name, text]) => [name, bytesOf(text)]));
  }

  /** The wire in a picture, as rings like those of a joint. */
  picture(k) {
    const { low, high, s, formed } = this, { radius } = formed;
    const [lowFrom, lowTo, highFrom, highTo] = [low.from[k], low.from[k + 1], high.from[k], high.from[k + 1]];
    const off = this.carried.subarray(3 * k, 3 * k + 3), broken = off.some(Boolean);
    let a = 0, b = s.length;
    while (a < b && s[a] <= low.s[lowFrom]) a++;
    while (b > a && s[b - 1] >= high.s[highFrom]) b--;
    if (broken) b = s.length; // the end at which it broke
    const straight = (length) => Math.max(Math.ceil(length / (SPACING * radius)), 0);
    const before = straight(low.s[lowTo - 1] - this.first), after = straight(this.last - high.s[highTo - 1]);
    const count = before + (lowTo - lowFrom) + (b - a) + (highTo - highFrom) + after;
    const rings = { count, radius, section: null, middle: new Float32Array(3 * count), along: new Float32Array(3 * count),
      side: new Float32Array(3 * count), s: new Float32Array(count), pieces: [[0, count]], colours: {} };
    let ring = 0;
    const put = (at, points, along, row, way = 0, by = null) => {
      for (let x = 0; x < 3; x++) {
        rings.middle[3 * ring + x] = points[3 * row + x] + way * along[3 * row + x] + (by ? by[x] : 0);
        rings.along[3 * ring + x] = along[3 * row + x];
      }
      rings.s[ring++] = at;
    };
    for (let i = 0; i < before; i++) {
      const at = this.first + (i * (low.s[lowTo - 1] - this.first)) / before;
      put(at, low.points, low.along, lowTo - 1, at - low.s[lowTo - 1]);
    }
    for (let row = lowTo - 1; row >= lowFrom; row--) put(low.s[row], low.points, low.along, row);
    for (let row = a; row < b; row++) put(s[row], formed.middle, formed.along, row);
    if (broken) rings.pieces = [[0, ring], [ring, count]];
    for (let row = highFrom; row < highTo; row++) put(high.s[row], high.points, high.along, row, 0, off);
    for (let i = 1; i <= after; i++) {
      const on = (i * (this.last - high.s[highTo - 1])) / after;
      put(high.s[highTo - 1] + on, high.points, high.along, highTo - 1, on, off);
    }
    carrySides(rings);
    for (const [name, bytes] of Object.entries(this.colours)) rings.colours[name] = this.#tinted(rings.s, bytes);
    return rings;
  }

  #tinted(s, bytes) {
    const colours = new Uint8Array(3 * s.length), most = bytes.length / 3 - 1;
    s.forEach((at, ring) => {
      const row = 3 * Math.min(Math.max(Math.round((at - this.first) / this.tint), 0), most);
      for (let x = 0; x < 3; x++) colours[3 * ring + x] = bytes[row + x];
    });
    return colours;
  }
}

/** Several wires as one set of rings. */
export function joined(wires) {
  if (wires.length === 1) return wires[0];
  const all = (list) => {
    const made = new list[0].constructor(list.reduce((sum, part) => sum + part.length, 0));
    list.reduce((at, part) => (made.set(part, at), at + part.length), 0);
    return made;
  };
  const rings = { ...wires[0], count: 0, pieces: [], colours: {} };
  for (const wire of wires) {
    rings.pieces.push(...wire.pieces.map((ends) => ends.map((end) => rings.count + end)));
    rings.count += wire.count;
  }
  for (const key of ["middle", "along", "side", "s"]) if (rings[key]) rings[key] = all(wires.map((wire) => wire[key]));
  for (const name of Object.keys(wires[0].colours)) rings.colours[name] = all(wires.map((wire) => wire.colours[name]));
  return rings;
}

/** What must be in a picture, as points one after the other, passing over evenly between the pictures of which it is told. */
export function viewAt(views, k) {
  const on = views.findIndex(({ frame }) => frame > k);
  if (on < 1) return views.at(on < 0 ? -1 : 0).points;
  const [a, b] = [views[on - 1], views[on]], share = (k - a.frame) / (b.frame - a.frame);
  const eased = share * share * (3 - 2 * share);
  return a.points.map((value, i) => value + eased * (b.points[i] - value));
}

export class Film {
  constructor(record) {
    const { frames, a_second: aSecond, ahead, captions, views } = record;
    Object.assign(this, { frames, aSecond, ahead, captions, views, marks: record.marks, unmarked: [] });
    this.wires = record.wires.map((wire) => new FilmWire(wire));
    this.radius = this.wires[0].formed.radius;
    this.hands = floats(record.hands);
    this.sides = this.hands.length / (3 * frames);
    this.steps = bytesOf(record.step);
    this.counts = floats(record.count);
    this.pin = { ...record.pin, out: floats(record.pin.out) };
  }

  /** Number of the step at work in a picture, from 0. */
  step(k) {
    return this.steps[k] - 1;
  }

  /** The names of the ink marks, while they are made. */
  notes(k) {
    return this.step(k) === 0 ? this.marks : this.unmarked;
  }

  /** How many turns or wraps there are in a picture, in words; "": nothing is counted. */
  count(k) {
    const { counted } = this.captions[this.step(k)];
    return counted && !Number.isNaN(this.counts[k]) ? [this.counts[k].toFixed(1), counted] : null;
  }

  /** Each wire in a picture, as rings like those of a joint. */
  picture(k) {
    return joined(this.wires.map((wire) => wire.picture(k)));
  }

  /** What must be in a picture, as points x, y, z one after the other. */
  around(k) {
    return viewAt(this.views, k);
  }

  /** The way that a hand goes next (0: on the tag, 1: on the standing leg, 2: on the second tag of two), as points; null: it rests. */
  way(k, side) {
    const points = [];
    for (let at = k; at <= Math.min(k + this.ahead, this.frames - 1); at++) {
      const from = 3 * (this.sides * at + side);
      if (Number.isNaN(this.hands[from])) break;
      points.push([...this.hands.subarray(from, from + 3)]);
    }
    return points.length > 1 ? points : null;
  }
}

/** Normals along a wire, each as little turned from the one before as can be. */
export function carrySides({ along, side, count }) {
  let [x, y, z] = Math.abs(along[1]) < 0.9 ? [0, 1, 0] : [1, 0, 0];
  for (let i = 0; i < 3 * count; i += 3) {
    const on = x * along[i] + y * along[i + 1] + z * along[i + 2];
    [x, y, z] = [x - on * along[i], y - on * along[i + 1], z - on * along[i + 2]];
    const size = Math.hypot(x, y, z) || 1;
    [x, y, z] = [x / size, y / size, z / size];
    [side[i], side[i + 1], side[i + 2]] = [x, y, z];
  }
}
