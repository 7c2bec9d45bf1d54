// A simulated pull, frame by frame, of one joint or of two side by side: a smooth line through the places of its data
// (helix/output/simulate/pull_film.py). It is played like the film of a joint's making.
import { bytesOf } from "../wire.js";
import { carrySides } from "./film.js";

const FINE = 3; // rings between two places
const ASIDE = 16; // from one joint to the other, in radii of the wire, beside the pins

const bytesOfColour = (colour) => [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16));

class PulledWire {
  constructor(record) {
    Object.assign(this, record);
    this.places = new Int16Array(bytesOf(record.points).buffer);
    this.tensions = bytesOf(record.tension);
    this.bare = bytesOf(record.plain);
    this.colours = record.ramp.map(bytesOfColour);
    this.nodes = this.tensions.length / record.frames;
    this.aside = 0;
  }

  /** The frame after so much pull. */
  at(pull) {
    const on = this.pull.findIndex((value) => value >= pull - 1e-9);
    return on < 0 ? this.frames - 1 : on;
  }

  /** The wire in a frame, as rings like those of a joint; a quadratic spline over the places. */
  rings(k) {
    const { nodes, scale, radius, places, tensions } = this, count = FINE * (nodes - 2);
    const rings = { count, radius, section: null, pieces: [[0, count]], middle: new Float32Array(3 * count), along: new Float32Array(3 * count),
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
        const shade = this.colours[tensions[nodes * k + i]];
        for (let x = 0; x < 3; x++) {
          rings.along[3 * ring + x] /= length;
          rings.colours.plain[3 * ring + x] = this.bare[3 * i + x];
          rings.colours.tension[3 * ring + x] = shade[x];
        }
      }
    }
    carrySides(rings);
    return rings;
  }
}

/** Several sets of rings as one. */
function joined(sets) {
  if (sets.length === 1) return sets[0];
  const made = { ...sets[0], count: 0, pieces: [], colours: {} };
  for (const set of sets) {
    made.pieces.push([made.count, made.count + set.count]);
    made.count += set.count;
  }
  const all = (get, Kind) => {
    const list = new Kind(3 * made.count);
    sets.reduce((at, set) => (list.set(get(set), at), at + get(set).length), 0);
    return list;
  };
  for (const key of ["middle", "along", "side"]) made[key] = all((set) => set[key], Float32Array);
  for (const name of Object.keys(sets[0].colours)) made.colours[name] = all((set) => set.colours[name], Uint8Array);
  return made;
}

export class Pulled {
  /** records: of one pull, or of two that are seen side by side at the same pull; names: what each is called; by: the colours of
   *  the wire, whatever others are asked for. */
  constructor(records, names = [], by = "") {
    this.by = by;
    this.wires = records.map((record) => new PulledWire(record));
    this.names = names;
    this.radius = this.wires[0].radius;
    const half = (wire) => wire.pin.radius + ASIDE * wire.radius * 0.5;
    if (this.wires.length === 2) {
      const [one, two] = this.wires;
      [one.aside, two.aside] = [-half(one), half(two)];
    }
    this.called = this.wires.length < 2 ? [] : this.wires.map(({ pin, aside }, k) => ({
      name: `pulled-${k}`, part: true, title: names[k], lines: [], verdict: "", point: [pin.middle[0] + aside, pin.middle[1], pin.middle[2]], also: [],
    }));
    // every moment of either; the one from which there is no way back is among them
    this.pulls = [...new Set(this.wires.flatMap((wire) => wire.pull))].sort((a, b) => a - b);
    this.frames = this.pulls.length;
    this.aSecond = this.wires[0].a_second * this.wires.length;
    this.sides = 0;
    const ends = this.wires.map((wire) => this.pulls.indexOf(wire.pull[wire.last]));
    const order = ends.map((at, k) => [at, k]).sort((a, b) => a[0] - b[0]);
    this.ends = order.map(([at]) => at);
    this.captions = [{ ...this.wires[0].captions[0], done: this.ends[0] - 1 }, ...order.map(([, k], row) => ({
      title: this.names[k] ? `${this.names[k]}: ${this.wires[k].captions[1].title}` : this.wires[k].captions[1].title,
      sentence: this.wires[k].captions[1].sentence,
      done: row + 1 < order.length ? order[row + 1][0] - 1 : this.frames - 1,
    }))];
    this.points = this.wires.flatMap((wire) => wire.around.map((value, i) => value + (i % 3 === 0 ? wire.aside : 0)));
  }

  step(k) {
    return this.ends.filter((at) => at <= k).length;
  }

  /** Which joint is which, where there are two. */
  notes() {
    return this.called;
  }

  /** Load and what it is of straight wire; of two, one after the other. */
  count(k) {
    const said = this.wires.map((wire) => wire.said[wire.at(this.pulls[k])]);
    if (said.length === 1) return [said[0][0], `${said[0][1]}, simulated`];
    return [said.map(([load]) => load).join(" | "), `${this.names.join(" | ")}, simulated`];
  }

  picture(k) {
    const rings = joined(this.wires.map((wire) => wire.rings(wire.at(this.pulls[k]))));
    if (this.by) rings.colours = { plain: rings.colours[this.by] };
    return rings;
  }

  around() {
    return this.points;
  }

  way() {
    return null;
  }

  /** Ends and radii of the pins, in mm. */
  pins() {
    return this.wires.map(({ pin, aside }) => {
      const [x, y, z] = pin.middle;
      return { from: [x + aside, y - pin.half, z], to: [x + aside, y + pin.half, z], radius: pin.radius };
    });
  }
}
