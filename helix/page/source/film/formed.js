// A simulated forming, frame by frame, of one joint or of two side by side, by how far either is (helix/output/simulate/forming_film.py).
// It is played like a pull.
import { joined } from "./film.js";
import { bar, plainMaterial } from "./props.js";
import { Strand } from "./pulled.js";

const PIN = "#b98b4e";
const ASIDE = 26; // from one joint to the other, in radii of the wire, beside the pins: legs and hands need room

export class Formed {
  /** records: of one forming, or of two; names: what each is called; legend: of the colours, strain, whatever others are asked for. */
  constructor(records, names = [], legend = null) {
    Object.assign(this, { names, legend, sides: 0, marks: [] });
    this.wires = records.map((record) => new Strand(record));
    this.radius = this.wires[0].radius;
    this.pin = plainMaterial(PIN, 0.38);
    this.two = this.wires.length === 2;
    if (this.two) [this.wires[0].aside, this.wires[1].aside] = [1, -1].map((way, k) => way * (this.wires[k].pin.radius + 0.5 * ASIDE * this.radius));
    this.frames = Math.max(...this.wires.map((wire) => wire.frames));
    this.aSecond = this.wires[0].a_second;
    const { starts, captions } = this.wires.find((wire) => wire.frames === this.frames);
    this.starts = starts;
    this.captions = captions.map((caption, row) => ({ ...caption, done: row + 1 < starts.length ? starts[row + 1] - 1 : this.frames - 1 }));
    this.points = this.wires.flatMap((wire) => wire.around.map((value, i) => value + (i % 3 === 0 ? wire.aside : 0)));
    this.called = !this.two ? [] : this.wires.map(({ pin, aside }, row) => {
      const [x, y, z] = pin.middle;
      return { name: `formed-${row}`, part: true, side: row, title: names[row], lines: [], big: "", verdict: "", point: [x + aside, y, z] };
    });
  }

  /** The frame of a wire that is done earlier is its last. */
  #frames(k) {
    return this.wires.map((wire) => [wire, Math.min(k, wire.frames - 1)]);
  }

  step(k) {
    return this.starts.filter((at) => at <= k).length - 1;
  }

  notes() {
    return this.called;
  }

  /** What is said at each note: what the hands do, how far they are, the hardest bend. */
  says(k) {
    return this.two ? this.#frames(k).map(([wire, at]) => [this.captions[this.step(k)].title, ...wire.said[at]].join(", ")) : [];
  }

  count(k) {
    const [[wire, at]] = this.#frames(k);
    return this.two ? [wire.said[at][0], "simulated"] : [wire.said[at][0], `${wire.said[at][1]}, simulated`];
  }

  picture(k) {
    const rings = joined(this.#frames(k).map(([wire, at]) => wire.rings(at)));
    if (this.legend) rings.colours = { plain: rings.colours.tension };
    return rings;
  }

  around() {
    return this.points;
  }

  way() {
    return null;
  }

  props() {
    return this.wires.map(({ pin, aside }) => {
      const [x, y, z] = pin.middle;
      return bar([x + aside, y - pin.half, z], [x + aside, y + pin.half, z], pin.radius, this.pin);
    });
  }
}
