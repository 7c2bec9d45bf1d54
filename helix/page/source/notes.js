// Names of the parts and flags at their places: words beside the wire, thin lines to where they belong.
import { Angles } from "./angles.js";

const SVG = "http://www.w3.org/2000/svg";
const ROOM_PX = 30; // between the wire and its labels
const MOST_OF_ALL = 0.75; // share of an upright stage that labels and the room beside them may take
const MOST_OF_LOW = 0.6; // of one that is not: what is left is the wire's
const MOST_ACROSS = 0.28; // share of a low stage that labels with all their lines may take

export class Notes {
  constructor(host, chosen) {
    this.host = host;
    this.chosen = chosen;
    this.layer = document.createElement("div");
    this.layer.className = "notes";
    this.lines = document.createElementNS(SVG, "svg");
    this.lines.setAttribute("aria-hidden", "true");
    this.layer.append(this.lines);
    host.append(this.layer);
    this.notes = [];
    this.angles = new Angles(this.lines);
    this.deep = [0, 0]; // pixels across the wire that the labels of each side take
    this.none = false; // there is no room for any
    this.spare = [0, 0]; // pixels at the right of the flags' row that something else takes, and below their column
  }

  /** notes: [{title, big, lines, warned, point, also, verdict, part, side}]; parts stand on one side of the wire, flags on the other,
   *  where none (0, 1) is asked for; big: a number that is changed by `say`; warned: the last line is a warning.
   *  angles: as in a scene, on a wire of this radius. */
  show(notes, angles = [], radius = 1) {
    for (const note of this.notes) note.button.remove();
    this.lines.replaceChildren();
    this.angles.show(angles, radius);
    this.notes = notes.map((note) => {
      const button = document.createElement("button");
      button.type = "button";
      button.className = note.part ? "note part" : `note flag ${note.verdict}`;
      button.classList.toggle("bare", !note.title); // a mark, and no words
      button.classList.toggle("warned", Boolean(note.warned));
      const title = document.createElement("b");
      title.textContent = note.title;
      button.append(title);
      if (note.short) button.setAttribute("aria-label", note.title);
      if (note.big !== undefined) button.append(document.createElement("strong"));
      for (const text of note.part ? note.lines : []) {
        const line = document.createElement("span");
        line.textContent = text;
        button.append(line);
      }
      button.addEventListener("click", () => this.chosen(note));
      this.layer.append(button);
      const leader = document.createElementNS(SVG, "polyline");
      const places = note.part ? [note.point] : [note.point, ...(note.also || [])];
      const marks = places.map(() => document.createElementNS(SVG, "path"));
      leader.setAttribute("class", note.part ? "part" : note.verdict);
      for (const mark of marks) mark.setAttribute("class", note.part ? "dot" : `mark ${note.verdict}`);
      this.lines.append(leader, ...marks);
      return { ...note, side: note.side ?? (note.part ? 0 : 1), button, leader, marks, places };
    });
  }

  /** Another number at each label that has one: its text, or that and the one of its last line; null: as it is. */
  say(rows) {
    rows.forEach((row, k) => {
      if (!row) return;
      const [big, last] = [row].flat(), { button } = this.notes[k];
      button.querySelector("strong").textContent = big;
      if (last !== undefined) button.lastChild.textContent = last;
    });
  }

  set visible(yes) {
    this.layer.hidden = !yes;
  }

  /** Titles only where there is no room for more, then smaller ones, then not all of the parts; nothing where they would leave
   *  the wire none. Then the room [parts, flags] that is taken across the wire. */
  measure(upright) {
    const { clientWidth: width, clientHeight: height } = this.host;
    const long = upright ? height : width;
    const taken = [0, 0];
    for (const mode of ["", "brief", "brief tight", "few"]) {
      for (const name of ["brief", "tight"]) this.layer.classList.toggle(name, mode === "few" || mode.includes(name));
      const sums = [0, 0], rooms = [long - 4, long - 4 - this.spare[Number(upright)]];
      taken.fill(0);
      for (const note of this.notes) {
        const { button, side } = note;
        if (!note.title) continue;
        if (note.short) button.firstChild.textContent = mode ? note.short : note.title;
        note.left = button.hidden = false;
        button.classList.remove("over");
        [note.along, note.across] = upright ? [button.offsetHeight, button.offsetWidth] : [button.offsetWidth, button.offsetHeight];
        sums[side] += note.along + 10;
        taken[side] = Math.max(taken[side], note.across);
        this.deep[side] = taken[side];
      }
      if (mode === "few") {
        const light = this.notes.filter(({ part, verdict, big }) => (part && big === undefined) || verdict === "ok").sort((one, other) => other.along - one.along);
        const grave = this.notes.filter(({ part, verdict, title }) => !part && verdict !== "ok" && title).reverse(); // the most severe come first
        for (const note of [...light, ...grave.slice(0, -1)]) {
          const { side } = note;
          if (sums[side] <= rooms[side]) continue;
          note.left = true;
          sums[side] -= note.along + 10;
        }
      }
      const deep = !upright && taken[0] + taken[1] > (mode.includes("brief") ? MOST_OF_LOW * height - 2 * ROOM_PX : MOST_ACROSS * height);
      if (sums[0] <= rooms[0] && sums[1] <= rooms[1] && !deep) break;
    }
    const none = taken[0] + taken[1] + 2 * ROOM_PX > (upright ? MOST_OF_ALL * width : MOST_OF_LOW * height);
    this.layer.classList.toggle("none", none);
    this.none = none;
    return none ? [0, 0] : taken;
  }

  /** Put everything in its place. flat(point) -> [x, y]; hidden(point): whether wire lies before it; edge: [low, high] of the
   *  wire across the screen. */
  place(flat, hidden, edge, wirePixels, upright) {
    if (this.layer.hidden) return;
    this.angles.place(flat);
    const { clientWidth: width, clientHeight: height } = this.host;
    const [long, wide] = upright ? [height, width] : [width, height];
    const room = [edge[0], wide - edge[1]].map((free, side) => free - this.deep[side] > ROOM_PX);
    const shown = [];
    for (const note of this.notes) {
      note.button.classList.toggle("over", !room[note.side]); // the wire comes first where both want a place
      const at = note.places.map(flat);
      const [x, y] = at[0];
      const inside = !note.left && x > 0 && x < width && y > 0 && y < height;
      note.button.hidden = !inside;
      note.leader.style.display = inside && note.title ? "" : "none";
      note.marks.forEach((mark, k) => {
        mark.style.display = inside ? "" : "none";
        mark.classList.toggle("behind", inside && hidden(note.places[k]));
        mark.setAttribute("d", outline(note, at[k][0], at[k][1], wirePixels));
      });
      if (inside && note.title) shown.push({ note, at: at[0], u: upright ? y : x, v: upright ? x : y });
    }
    for (const side of [0, 1]) {
      const row = shown.filter((item) => item.note.side === side).sort((a, b) => a.u - b.u);
      for (const item of row) {
        const { offsetWidth: w, offsetHeight: h } = item.note.button;
        [item.along, item.across] = upright ? [h, w] : [w, h];
      }
      const left = spread(row.map((item) => item.u), row.map((item) => item.along + 10), 2, long - 2 - (side ? this.spare[Number(upright)] : 0));
      row.forEach((item, k) => {
        const u = left[k] + 5;
        const beside = side === 0 ? edge[0] - 26 - item.across : edge[1] + 26;
        const v = Math.min(Math.max(beside, 6), wide - item.across - 6);
        const { button, leader } = item.note;
        const [x, y] = upright ? [v, u] : [u, v];
        button.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
        const head = Math.min(Math.max(item.u, u + 8), u + item.along - 8);
        const foot = side === 0 ? v + item.across : v;
        const start = upright ? [foot, head] : [head, foot];
        const bow = side === 0 ? 10 : -10;
        const knee = upright ? [foot + bow, head] : [head, foot + bow];
        leader.setAttribute("points", [start, knee, item.at].map((p) => `${p[0].toFixed(1)},${p[1].toFixed(1)}`).join(" "));
      });
    }
  }
}

/** A dot for a part; for a flag a diamond (breaks, or cannot be made), a hexagon (caution) or a circle. */
function outline(note, x, y, wirePixels) {
  const corners = note.part || note.verdict === "ok" ? 20 : note.verdict === "caution" ? 6 : 4;
  const radius = note.part ? 3.2 : Math.max(0.85 * wirePixels, 9) * (corners === 4 ? 1.3 : 1);
  let path = "";
  for (let k = 0; k < corners; k++) {
    const angle = (2 * Math.PI * k) / corners;
    path += `${k ? "L" : "M"}${(x + radius * Math.cos(angle)).toFixed(1)} ${(y + radius * Math.sin(angle)).toFixed(1)}`;
  }
  return `${path}Z`;
}

/** Starts of boxes in a row, nearest to the wanted middles, in order, not over each other. */
export function spread(wanted, widths, low, high) {
  const groups = [];
  let before = 0;
  wanted.forEach((middle, k) => {
    groups.push([middle - widths[k] / 2 - before, 1]);
    before += widths[k];
    while (groups.length > 1 && groups.at(-2)[0] >= groups.at(-1)[0]) {
      const [value, count] = groups.pop(), last = groups.at(-1);
      groups[groups.length - 1] = [(last[0] * last[1] + value * count) / (last[1] + count), last[1] + count];
    }
  });
  const room = Math.max(high - before, low), starts = [];
  let sum = 0;
  for (const [value, count] of groups) {
    for (let n = 0; n < count; n++) {
      starts.push(Math.min(Math.max(value, low), room) + sum);
      sum += widths[starts.length - 1];
    }
  }
  return starts;
}
