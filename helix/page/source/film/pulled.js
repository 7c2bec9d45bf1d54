// A simulated pull, frame by frame, of one joint or of two side by side: a smooth line through the places of its data
// (helix/output/simulate/pull_film.py). It is played like the film of a joint's making.
import { bytesOf } from "../wire.js";
import { carrySides, joined } from "./film.js";
import { arrow, bar, plainMaterial } from "./props.js";

const FINE = 3; // rings between two places
const ASIDE = 12; // from one joint to the other, in radii of the wire, beside the pins
export const PIN = "#b98b4e";
const HAND = "#d55e00", INK = "#14171a", PAINT = [255, 255, 255], EDGE = bytesOfColour(INK);
const THICK = [1.3, 0.85]; // of the arrow that pulls and of the one round the pin, in radii of the wire

function bytesOfColour(colour) {
  return [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16));
}

/** A wire by its places in each frame, coloured by a shade at each. */
export class Strand {
  constructor(record) {
    Object.assign(this, record);
    this.places = new Int16Array(bytesOf(record.points).buffer);
    this.tensions = bytesOf(record.tension);
    this.bare = bytesOf(record.plain);
    this.inked = record.ink ? bytesOf(record.ink) : [];
    this.colours = record.ramp.map(bytesOfColour);
    this.nodes = this.tensions.length / record.frames;
    this.aside = 0;
  }

  /** Whether the wire is in two in a frame. */
  parted(k) {
    return this.broken != null && k > this.last;
  }

  place(k, node) {
    const from = 3 * (this.nodes * k + node);
    return this.shown([0, 1, 2].map((x) => this.scale * this.places[from + x]));
  }

  /** The wire in a frame, as rings like those of a joint; a quadratic spline over the places. */
  rings(k) {
    const { nodes, scale, radius, places, tensions } = this, count = FINE * (nodes - 2);
    // what lies between the places above a break and below it is not drawn
    const pieces = this.parted(k) ? [[0, FINE * (this.broken - 2)], [FINE * this.broken, count]] : [[0, count]];
    const rings = { count, radius, section: null, pieces, middle: new Float32Array(3 * count), along: new Float32Array(3 * count),
      side: new Float32Array(3 * count), colours: { plain: new Uint8Array(3 * count), tension: new Uint8Array(3 * count) } };
    const from = 3 * nodes * k;
    for (let i = 1, ring = 0; i < nodes - 1; i++) {
      for (let q = 0; q < FINE; q++, ring++) {
        const u = (q + 0.5) / FINE - 0.5, a = 0.5 - u, b = 0.5 + u;
        let length = 0;
        for (let x = 0; x < 3; x++) {
          const at = from + 3 * i + x, [p, m, n] = [places[at - 3], places[at], places[at + 3]];
          rings.middle[3 * ring + x] = scale * (0.5 * a * a * p + (0.75 - u * u) * m + 0.5 * b * b * n) + (x === 0 ? this.aside : 0);
          const slope = -a * p - 2 * u * m + b * n;
          rings.along[3 * ring + x] = slope;
          length += slope * slope;
        }
        length = Math.sqrt(length) || 1;
        const beside = q === 0 ? this.inked[i - 1] : q === FINE - 1 && this.inked[i + 1];
        const ink = this.inked[i] ? PAINT : beside ? EDGE : null, shade = ink || this.colours[tensions[nodes * k + i]];
        for (let x = 0; x < 3; x++) {
          rings.along[3 * ring + x] /= length;
          rings.colours.plain[3 * ring + x] = ink ? ink[x] : this.bare[3 * i + x];
          rings.colours.tension[3 * ring + x] = shade[x];
        }
      }
    }
    carrySides(rings);
    return rings;
  }

  /** A place of the data as it is shown. */
  shown([x, y, z]) {
    return [x + this.aside, y, z];
  }
}

class PulledWire extends Strand {
  /** The frame after so much pull. */
  at(pull) {
    const on = this.pull.findIndex((value) => value >= pull - 1e-9);
    return on < 0 ? this.frames - 1 : on;
  }

  /** Pin, the mark on it, and arrows: of the load, of wire that runs round the pin. */
  props(k, paint) {
    const { pin, radius } = this, rod = ([from, to], thick, by) => bar(this.shown(from), this.shown(to), thick, by);
    const [x, y, z] = this.place(k, 0), size = this.pulls * Math.min(this.load[k], 1);
    const made = [rod(pin.ends, pin.radius, paint.pin), ...pin.marks.map((mark) => rod(mark, 0.35 * radius, paint.ink)),
      arrow([0, 0.5, 1].map((share) => [x, y, z + share * size]), THICK[0] * radius, paint.hand)];
    if (this.runs && k >= this.last) made.push(arrow(this.runs.map((place) => this.shown(place)), THICK[1] * radius, paint.hand));
    return made.filter(Boolean);
  }
}

/** One wire, or two side by side, under one slider: the first stands above, or at the left. */
export class Played {
  /** apart: from one to the other, in radii of the wire, beside the pins. */
  constructor(wires, names, apart, more) {
    Object.assign(this, { wires, names, radius: wires[0].radius, two: wires.length === 2, sides: 0, ...more });
    this.setApart(apart);
  }

  setApart(apart) {
    if (this.two) this.wires.forEach((wire, k) => (wire.aside = (1 - 2 * k) * (wire.pin.radius + 0.5 * apart * wire.radius)));
  }

  way() {
    return null;
  }
}

export class Pulled extends Played {
  /** records: of one pull, or of two that are seen side by side at the same pull; names: what each is called; by: the colours of
   *  the wire, whatever others are asked for; legend: of them; decides: what decides beside each, {text, against: the pull ends otherwise}. */
  constructor(records, names = [], { by = "", legend = null, decides = [] } = {}) {
    super(records.map((record) => new PulledWire(record)), names, ASIDE, { by, legend });
    this.decides = decides;
    this.points = this.wires.flatMap((wire) => wire.around.map((value, i) => value + (i % 3 === 0 ? wire.aside : 0)));
    this.paint = { pin: plainMaterial(PIN, 0.38), hand: plainMaterial(HAND), ink: plainMaterial(INK) };
    // every moment of either; the one from which there is no way back is among them
    this.pulls = [...new Set(this.wires.flatMap((wire) => wire.pull))].sort((a, b) => a - b);
    this.frames = this.pulls.length;
    this.aSecond = this.wires[0].a_second * this.wires.length;
    const ends = this.wires.map((wire) => this.pulls.indexOf(wire.pull[wire.last]));
    this.marks = ends.map((at, k) => ({ at, text: this.two ? `${names[k]}: gives way` : "gives way" }));
    const order = ends.map((at, k) => [at, k]).sort((a, b) => a[0] - b[0]);
    this.ends = order.map(([at]) => at);
    this.captions = [{ ...this.wires[0].captions[0], done: this.ends[0] }, ...order.map(([, k], row) => ({
      title: this.two ? `${names[k]}: ${this.wires[k].captions[1].title}` : this.wires[k].captions[1].title,
      sentence: this.wires[k].captions[1].sentence,
      done: row + 1 < order.length ? order[row + 1][0] : this.frames - 1,
    }))];
    this.called = new Map(); // notes by which of the wires are in two, so that they stay the same while that does
  }

  around() {
    return this.points;
  }

  step(k) {
    return this.ends.filter((at) => at <= k).length;
  }

  #frames(k) {
    return this.wires.map((wire) => [wire, wire.at(this.pulls[k])]);
  }

  /** Which joint is which, where there are two: the first above, the second below; where a wire has parted. */
  notes(k) {
    const frames = this.#frames(k), key = frames.map(([wire, at]) => wire.parted(at)).join();
    if (!this.called.has(key)) {
      this.called.set(key, frames.flatMap(([wire, at], row) => {
        const side = this.two ? row : 1, decides = this.decides[row];
        const name = { name: `pulled-${row}`, part: true, side: this.two ? row : 0, title: `${this.names[row]}, ${wire.wire}`, lines: decides ? [decides.text] : [], warned: decides?.against,
          ...(this.two ? { big: "" } : {}), verdict: "", point: wire.shown(wire.pin.middle) };
        const broken = { name: `broken-${row}`, side, title: this.two ? "" : "broken here", lines: [], verdict: "sharp", point: wire.parted(at) && wire.place(at, wire.broken) };
        return [...(this.names[row] ? [name] : []), ...(wire.parted(at) ? [broken] : [])];
      }));
    }
    return this.called.get(key);
  }

  /** What is said at each note of a picture: the load, and what has become of the joint; null where nothing is. */
  says(k) {
    if (!this.two) return [];
    return this.#frames(k).flatMap(([wire, at]) => {
      const said = wire.said[at][0] + (at >= wire.last ? `, ${wire.state}` : "");
      return wire.parted(at) ? [said, null] : [said];
    });
  }

  /** Load and what it is of straight wire; of two, one after the other. */
  count(k) {
    const said = this.#frames(k).map(([wire, at]) => wire.said[at]);
    if (!this.two) return [said[0][0], `${said[0][1]}, simulated`];
    return [this.names.map((name, row) => `${name} ${said[row][0]}`).join(", "), "simulated"];
  }

  picture(k) {
    const rings = joined(this.#frames(k).map(([wire, at]) => wire.rings(at)));
    if (this.by) rings.colours = { plain: rings.colours[this.by] };
    return rings;
  }

  /** What stands beside the wire, as meshes. */
  props(k) {
    return this.#frames(k).flatMap(([wire, at]) => wire.props(at, this.paint));
  }
}
