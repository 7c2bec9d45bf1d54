// The angles that can be seen on the bench: an arc from one wire to the other about their corner, with its size.
const SVG = "http://www.w3.org/2000/svg";
const ARM = 7, ARC = 5.5; // in radii of the wire; the arms reach beyond the arc
const WORDS_PX = 16; // beyond the arc
const PARTS = 24;

export class Angles {
  constructor(lines) {
    this.lines = lines;
    this.shown = [];
  }

  /** angles: as in a scene; radius: of the wire [mm]. */
  show(angles, radius) {
    for (const { nodes } of this.shown) for (const node of nodes) node.remove();
    this.shown = angles.map(({ corner, ways, text, past }) => {
      const nodes = ["polyline", "polyline", "text"].map((kind) => document.createElementNS(SVG, kind));
      nodes.forEach((node, k) => node.setAttribute("class", `angle ${["arms", "arc", "size"][k]}${past ? " past" : ""}`));
      nodes[2].textContent = text;
      this.lines.append(...nodes);
      const at = (far) => (way) => corner.map((value, x) => value + far * radius * way[x]);
      const arc = between(...ways);
      return { nodes, corner, arms: [at(ARM)(ways[0]), corner, at(ARM)(ways[1])], arc: arc.map(at(ARC)) };
    });
  }

  place(flat) {
    const line = (points) => points.map((point) => flat(point).map((value) => value.toFixed(1)).join(",")).join(" ");
    for (const { nodes, corner, arms, arc } of this.shown) {
      nodes[0].setAttribute("points", line(arms));
      nodes[1].setAttribute("points", line(arc));
      const from = flat(corner), to = flat(arc[PARTS / 2]);
      const way = [0, 1].map((x) => to[x] - from[x]), long = Math.hypot(...way) || 1;
      const [x, y] = way.map((value, k) => to[k] + (WORDS_PX * value) / long);
      nodes[2].setAttribute("x", x.toFixed(1));
      nodes[2].setAttribute("y", y.toFixed(1));
      nodes[2].setAttribute("text-anchor", Math.abs(way[0]) < 0.5 * long ? "middle" : way[0] < 0 ? "end" : "start");
    }
  }
}

/** Unit vectors from one to another, evenly turned. */
function between(a, b) {
  const cos = a.reduce((sum, value, x) => sum + value * b[x], 0), angle = Math.acos(Math.min(Math.max(cos, -1), 1));
  const share = (s) => (angle > 1e-6 ? Math.sin(s * angle) / Math.sin(angle) : s);
  return [...Array(PARTS + 1).keys()].map((k) => a.map((value, x) => share(1 - k / PARTS) * value + share(k / PARTS) * b[x]));
}
