// A simulated forming, frame by frame, of one joint or of two side by side, by how far either is (helix/output/simulate/forming_film.py).
// It is played like a pull.
import { joined, viewAt } from "./film.js";
import { bar, plainMaterial } from "./props.js";
import { PIN, Played, Strand } from "./pulled.js";

const ASIDE = 26; // from one joint to the other, in radii of the wire, beside the pins: legs and hands need room
const ASIDE_DONE = 10; // once they are let go

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
    this.called = [ASIDE, ASIDE_DONE].map((apart) => this.#called(apart, names));
  }

  /** What each is called, so far apart. */
  #called(apart, names) {
    this.setApart(apart);
    return this.wires.slice(0, names.length).map((wire, row) => ({ name: `formed-${row}`, part: true, side: row, title: `${names[row]}, ${wire.wire}`,
      ...(this.two ? { lines: ["\u2009"], big: "" } : { lines: [] }), verdict: "", point: wire.shown(wire.pin.middle) }));
  }

  /** The frame of a wire that is done earlier is its last. They stand closer once both are let go. */
  #frames(k) {
    this.setApart(this.#isDone(k) ? ASIDE_DONE : ASIDE);
    return this.wires.map((wire) => [wire, Math.min(k, wire.frames - 1)]);
  }

  #isDone(k) {
    return this.wires.every(({ starts }) => k >= starts.at(-1));
  }

  step(k) {
    return this.starts.filter((at) => at <= k).length - 1;
  }

  /** All that is in the picture of this stage of the work. */
  around(k) {
    return this.#frames(k).flatMap(([wire, at]) => viewAt(wire.views, at).map((value, i) => value + (i % 3 ? 0 : wire.aside)));
  }

  notes(k) {
    return this.called[Number(this.#isDone(k))];
  }

  /** What is said at each note: what the hands do and how far they are; the hardest bend. */
  says(k) {
    return this.two ? this.#frames(k).map(([wire, at]) => [`${this.captions[this.step(k)].title}, ${wire.said[at][0]}`, wire.said[at][1]]) : [];
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

  props(k) {
    return this.#frames(k).map(([{ pin, aside }]) => {
      const [x, y, z] = pin.middle;
      return bar([x + aside, y - pin.half, z], [x + aside, y + pin.half, z], pin.radius, this.pin);
    });
  }
}
