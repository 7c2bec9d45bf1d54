// A simulated forming, frame by frame, of one joint or of two side by side, by how far either is (helix/output/simulate/forming_film.py).
// It is played like a pull.
import { joined } from "./film.js";
import { bar, plainMaterial } from "./props.js";
import { PIN, Played, Strand } from "./pulled.js";

const ASIDE = 26; // from one joint to the other, in radii of the wire, beside the pins: legs and hands need room

export class Formed extends Played {
  /** records: of one forming, or of two; names: what each is called; legend: of the colours, strain, whatever others are asked for. */
  constructor(records, names = [], legend = null) {
    super(records.map((record) => new Strand(record)), names, ASIDE, { legend, marks: [] });
    this.pin = plainMaterial(PIN, 0.38);
    this.frames = Math.max(...this.wires.map((wire) => wire.frames));
    this.aSecond = this.wires[0].a_second;
    const { starts, captions } = this.wires.find((wire) => wire.frames === this.frames);
    this.starts = starts;
    this.captions = captions.map((caption, row) => ({ ...caption, done: row + 1 < starts.length ? starts[row + 1] - 1 : this.frames - 1 }));
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

  props() {
    return this.wires.map(({ pin, aside }) => {
      const [x, y, z] = pin.middle;
      return bar([x + aside, y - pin.half, z], [x + aside, y + pin.half, z], pin.radius, this.pin);
    });
  }
}
