// The wire's surface: a prism round rings that were computed beforehand (middle, tangent, one side). What is seen of it is
// a round wire all the same: shine.js finds for each pixel where the line of sight meets the cylinder inside the prism.
import { BufferAttribute, BufferGeometry } from "three";

/** Numbers as they come in the page's data: base64. */
export function bytesOf(text) {
  const letters = atob(text), bytes = new Uint8Array(letters.length);
  for (let i = 0; i < letters.length; i++) bytes[i] = letters.charCodeAt(i);
  return bytes;
}

const SHORT = 32767;
const PLAIN = 225; // light on every place of an unshaded wire, about the mean of a shaded one

/** Rings as they come in the page's data: float32 middles, int16 unit vectors, one byte a colour channel.
 *  palettes: colours by section, for wires that carry no colours of their own. */
export function readRings(packed, palettes = {}) {
  const middle = new Float32Array(bytesOf(packed.middle).buffer);
  const unit = (text) => {
    const whole = new Int16Array(bytesOf(text).buffer), share = new Float32Array(whole.length);
    for (let i = 0; i < whole.length; i++) share[i] = whole[i] / SHORT;
    return share;
  };
  const colours = {};
  for (const [name, text] of Object.entries(packed.colours || {})) colours[name] = bytesOf(text);
  const section = packed.section ? bytesOf(packed.section) : null;
  if (section && !colours.plain) {
    for (const [name, table] of Object.entries(palettes)) {
      const bytes = table.map((colour) => [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16)));
      colours[name] = Uint8Array.from([...section].flatMap((row) => bytes[row]));
    }
  }
  return { count: middle.length / 3, middle, along: unit(packed.along), side: unit(packed.side),
    pieces: packed.pieces, colours, section, radius: packed.radius };
}

/** A prism round the wire, every unbroken piece closed by a flat end at either side: middles (position), the way out to
 *  the surface (rim, as long as the radius), tangent (along), and at ends which way they face (end: -1 or 1, else 0).
 *  shaded: also work out where other parts of the wire keep the light off. */
export function wireSurface(rings, sides, shaded = true) {
  const { middle, along, side, radius, count, pieces } = rings;
  const vertices = count * sides + 2 * pieces.length * (sides + 1);
  const position = new Float32Array(3 * vertices), rim = new Float32Array(3 * vertices), way = new Float32Array(3 * vertices);
  const end = new Int8Array(vertices), ringOf = new Uint32Array(vertices);
  const spans = pieces.reduce((sum, [first, last]) => sum + last - first - 1, 0);
  const index = new Uint32Array(6 * sides * (spans + pieces.length));
  const cos = [], sin = [];
  for (let k = 0; k < sides; k++) {
    cos.push(Math.cos((2 * Math.PI * k) / sides) * radius);
    sin.push(Math.sin((2 * Math.PI * k) / sides) * radius);
  }
  let v = 0, put = 0;
  for (let ring = 0; ring < count; ring++) {
    const i = 3 * ring;
    const tx = along[i], ty = along[i + 1], tz = along[i + 2];
    const ux = side[i], uy = side[i + 1], uz = side[i + 2];
    const wx = ty * uz - tz * uy, wy = tz * ux - tx * uz, wz = tx * uy - ty * ux;
    for (let k = 0; k < sides; k++, v++) {
      const c = cos[k], s = sin[k], at = 3 * v;
      rim[at] = c * ux + s * wx;
      rim[at + 1] = c * uy + s * wy;
      rim[at + 2] = c * uz + s * wz;
      position[at] = middle[i];
      position[at + 1] = middle[i + 1];
      position[at + 2] = middle[i + 2];
      way[at] = tx;
      way[at + 1] = ty;
      way[at + 2] = tz;
      ringOf[v] = ring;
    }
  }
  const face = (a, b, c) => {
    index[put++] = a;
    index[put++] = b;
    index[put++] = c;
  };
  for (const [first, last] of pieces) {
    for (let ring = first; ring < last - 1; ring++) {
      const a = ring * sides;
      for (let k = 0; k < sides; k++) {
        const next = k + 1 === sides ? 0 : k + 1;
        face(a + k, a + next, a + sides + next);
        face(a + k, a + sides + next, a + sides + k);
      }
    }
    for (const [ring, facing] of [[first, -1], [last - 1, 1]]) {
      const hub = v;
      for (let k = -1; k < sides; k++, v++) {
        const from = 3 * ring * sides;
        for (let x = 0; x < 3; x++) {
          position[3 * v + x] = position[from + x];
          way[3 * v + x] = way[from + x];
          rim[3 * v + x] = k < 0 ? 0 : rim[from + 3 * k + x];
        }
        end[v] = facing;
        ringOf[v] = ring;
      }
      for (let k = 0; k < sides; k++) {
        const a = hub + 1 + k, b = hub + 1 + ((k + 1) % sides);
        if (facing > 0) face(hub, a, b);
        else face(hub, b, a);
      }
    }
  }
  const open = shaded ? openness(rings, { rim, way, end, ringOf }) : new Uint8Array(vertices).fill(PLAIN);
  return surface({ position: [position, 3], rim: [rim, 3], along: [way, 3], end: [end, 1], open: [open, 1] }, index, ringOf);
}

/** The outermost pixel of the wire: on either side of every ring a thin strip, to be turned to whoever looks. */
export function wireEdges({ middle, along, count, pieces }, open, sides) {
  const position = new Float32Array(12 * count), way = new Float32Array(12 * count);
  const place = new Int8Array(8 * count), shade = new Uint8Array(4 * count), ringOf = new Uint32Array(4 * count);
  const spans = pieces.reduce((sum, [first, last]) => sum + last - first - 1, 0), index = new Uint32Array(12 * spans);
  for (let ring = 0, v = 0; ring < count; ring++) {
    let light = 0;
    for (let k = 0; k < sides; k++) light += open[ring * sides + k];
    for (let k = 0; k < 4; k++, v++) {
      for (let x = 0; x < 3; x++) {
        position[3 * v + x] = middle[3 * ring + x];
        way[3 * v + x] = along[3 * ring + x];
      }
      place[2 * v] = k < 2 ? -1 : 1; // on which side
      place[2 * v + 1] = k % 2; // within the wire, or without
      shade[v] = light / sides;
      ringOf[v] = ring;
    }
  }
  let put = 0;
  for (const [first, last] of pieces) {
    for (let a = 4 * first; a < 4 * last - 4; a += 2) {
      for (const step of [0, 1, 5, 0, 5, 4]) index[put++] = a + step;
    }
  }
  return surface({ position: [position, 3], along: [way, 3], place: [place, 2], open: [shade, 1] }, index, ringOf);
}

/** attributes: [numbers, how many a vertex] by name; bytes stand for 0 to 1. */
function surface(attributes, index, ringOf) {
  const made = new BufferGeometry();
  for (const [name, [array, size]] of Object.entries(attributes)) {
    made.setAttribute(name, new BufferAttribute(array, size, array instanceof Uint8Array));
  }
  made.setAttribute("tint", new BufferAttribute(new Uint8Array(3 * ringOf.length), 3, true));
  made.setIndex(new BufferAttribute(index, 1));
  made.userData.ringOf = ringOf;
  return made;
}

/** Colour the surface ring by ring (three bytes a ring). */
export function tintSurface(surface, colours) {
  const tint = surface.getAttribute("tint"), { array } = tint;
  const { ringOf } = surface.userData;
  for (let v = 0; v < ringOf.length; v++) {
    const to = 3 * v, from = 3 * ringOf[v];
    array[to] = colours[from];
    array[to + 1] = colours[from + 1];
    array[to + 2] = colours[from + 2];
  }
  tint.needsUpdate = true;
}

/** How open each vertex lies to the light, 0 to 255: darker where another part of the wire is close before it. */
function openness({ middle, radius, count }, { rim, way, end, ringOf }) {
  const reach = 4.2 * radius, spacing = 0.6 * radius;
  const cell = (value) => Math.floor(value / reach) + 50000;
  const key = (x, y, z) => (x * 100003 + y) * 100003 + z;
  const run = new Float32Array(count), stands = new Float32Array(count);
  const cells = new Map();
  let since = Infinity;
  for (let ring = 0; ring < count; ring++) {
    const i = 3 * ring;
    const step = ring ? Math.hypot(middle[i] - middle[i - 3], middle[i + 1] - middle[i - 2], middle[i + 2] - middle[i - 1]) : 0;
    run[ring] = ring ? run[ring - 1] + step : 0;
    since += step;
    if (since < spacing) continue;
    stands[ring] = Math.min(since, 2 * spacing); // length of wire that this ring stands for
    since = 0;
    const place = key(cell(middle[i]), cell(middle[i + 1]), cell(middle[i + 2]));
    if (!cells.has(place)) cells.set(place, []);
    cells.get(place).push(ring);
  }
  const open = new Uint8Array(ringOf.length).fill(255);
  let own = -1, near = [];
  for (let v = 0; v < ringOf.length; v++) {
    if (ringOf[v] !== own) {
      own = ringOf[v];
      near = closeTo(own);
    }
    let covered = 0;
    const at = 3 * v, mid = 3 * own;
    const of = end[v] ? way : rim, scale = end[v] || 1 / radius; // the way that this place faces
    const nx = of[at] * scale, ny = of[at + 1] * scale, nz = of[at + 2] * scale;
    const px = middle[mid] + rim[at], py = middle[mid + 1] + rim[at + 1], pz = middle[mid + 2] + rim[at + 2];
    for (const ring of near) {
      const dx = middle[3 * ring] - px, dy = middle[3 * ring + 1] - py, dz = middle[3 * ring + 2] - pz;
      const facing = dx * nx + dy * ny + dz * nz;
      if (facing <= 0) continue;
      const square = dx * dx + dy * dy + dz * dz;
      if (square < reach * reach) covered += (facing * stands[ring] * radius) / (square * Math.sqrt(square));
    }
    if (covered) open[v] = 255 * Math.exp(-0.62 * covered);
  }
  return open;

  /** Rings of other parts of the wire that may cover this one. */
  function closeTo(own) {
    const i = 3 * own, found = [], most = (reach + radius) ** 2;
    const a = cell(middle[i]), b = cell(middle[i + 1]), c = cell(middle[i + 2]);
    for (let x = a - 1; x <= a + 1; x++) {
      for (let y = b - 1; y <= b + 1; y++) {
        for (let z = c - 1; z <= c + 1; z++) {
          for (const ring of cells.get(key(x, y, z)) || []) {
            if (Math.abs(run[ring] - run[own]) < 3 * radius) continue;
            const j = 3 * ring;
            const dx = middle[j] - middle[i], dy = middle[j + 1] - middle[i + 1], dz = middle[j + 2] - middle[i + 2];
            if (dx * dx + dy * dy + dz * dz < most) found.push(ring);
          }
        }
      }
    }
    return found;
  }
}
