// What stands beside the wire while it is made: the pin, a bead where a hand holds, an arrow along the way it goes.
import { BufferAttribute, BufferGeometry, Mesh, ShaderMaterial } from "three";

import { carrySides } from "./film.js";

const SIDES = 36;
const VERTEX = `
varying vec3 vNormal;
varying vec3 vAt;
void main() {
  vec4 at = modelViewMatrix * vec4(position, 1.0);
  vNormal = normalMatrix * normal;
  vAt = at.xyz;
  gl_Position = projectionMatrix * at;
}`;
const FRAGMENT = `
uniform vec3 tone;
uniform float solid;
varying vec3 vNormal;
varying vec3 vAt;
void main() {
  vec3 n = normalize(vNormal);
  float light = 0.62 + 0.38 * clamp(dot(n, normalize(vec3(-0.35, 0.70, 0.62))), 0.0, 1.0);
  float rim = 1.0 - abs(dot(n, normalize(-vAt)));
  gl_FragColor = vec4(tone * light, mix(solid, 1.0, solid < 1.0 ? 0.75 * rim * rim : 0.0));
}`;

/** A plain surface of one colour ("#rrggbb"); solid: 1, or less where what is behind shows through. */
export function plainMaterial(colour, solid = 1) {
  const tone = { value: [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16) / 255) };
  return new ShaderMaterial({ vertexShader: VERTEX, fragmentShader: FRAGMENT, uniforms: { tone, solid: { value: solid } },
    transparent: solid < 1, depthWrite: solid === 1 });
}

/** A round body along points, with a radius at each; a radius of 0 closes it. flat: -1 or 1 where a ring is of a flat end. */
export function turned(points, radii, material, flat = []) {
  const count = points.length, middle = Float32Array.from(points.flat()), along = new Float32Array(3 * count), side = new Float32Array(3 * count);
  for (let k = 0; k < count; k++) {
    const [before, after] = [points[Math.max(k - 1, 0)], points[Math.min(k + 1, count - 1)]];
    let way = before.map((value, x) => after[x] - value);
    if (!way.some(Boolean)) way = points[0].map((value, x) => points[count - 1][x] - value); // a flat end
    const size = Math.hypot(...way) || 1;
    way.forEach((value, x) => (along[3 * k + x] = value / size));
  }
  carrySides({ along, side, count });
  const position = new Float32Array(3 * count * SIDES), normal = new Float32Array(3 * count * SIDES), index = [];
  for (let k = 0; k < count; k++) {
    const [t, u] = [along, side].map((of) => [...of.subarray(3 * k, 3 * k + 3)]);
    const w = [t[1] * u[2] - t[2] * u[1], t[2] * u[0] - t[0] * u[2], t[0] * u[1] - t[1] * u[0]];
    const back = Math.max(k - 1, 0), on = Math.min(k + 1, count - 1);
    const far = Math.hypot(...points[on].map((value, x) => value - points[back][x])) || 1;
    const lean = Math.max(Math.min((radii[back] - radii[on]) / far, 3), -3); // of a cone's side, towards its tip
    for (let j = 0; j < SIDES; j++) {
      const c = Math.cos((2 * Math.PI * j) / SIDES), s = Math.sin((2 * Math.PI * j) / SIDES), at = 3 * (k * SIDES + j);
      for (let x = 0; x < 3; x++) {
        const out = c * u[x] + s * w[x];
        normal[at + x] = flat[k] ? flat[k] * t[x] : out + lean * t[x];
        position[at + x] = middle[3 * k + x] + radii[k] * out;
      }
      if (k === count - 1) continue;
      const a = k * SIDES + j, b = k * SIDES + ((j + 1) % SIDES);
      index.push(a, b, b + SIDES, a, b + SIDES, a + SIDES);
    }
  }
  const shape = new BufferGeometry();
  shape.setAttribute("position", new BufferAttribute(position, 3));
  shape.setAttribute("normal", new BufferAttribute(normal, 3));
  shape.setIndex(new BufferAttribute(new Uint32Array(index), 1));
  const made = new Mesh(shape, material);
  made.frustumCulled = false;
  return made;
}

/** A bar with flat ends from one point to another. */
export const bar = (from, to, radius, material) => turned([from, from, from, to, to, to], [0, radius, radius, radius, radius, 0], material, [-1, -1, 0, 0, 1, 1]);

/** A ball. */
export function ball(at, radius, material) {
  const steps = [...Array(9).keys()].map((k) => -Math.cos((Math.PI * k) / 8));
  return turned(steps.map((z) => [at[0], at[1], at[2] + radius * z]), steps.map((z) => radius * Math.sqrt(Math.max(1 - z * z, 0))), material);
}

/** An arrow along points, its head as long as 4 of its thicknesses; null where the way is shorter than that. */
export function arrow(points, thick, material) {
  const run = [0];
  for (let k = 1; k < points.length; k++) run.push(run[k - 1] + Math.hypot(...points[k].map((value, x) => value - points[k - 1][x])));
  const whole = run.at(-1), head = 4 * thick;
  if (whole < 1.2 * head) return null;
  const at = (s) => {
    let k = 1;
    while (k < run.length - 1 && run[k] < s) k++;
    const share = (s - run[k - 1]) / (run[k] - run[k - 1] || 1), on = points[k];
    const before = points[Math.max(k - 2, 0)], after = points[Math.min(k + 1, points.length - 1)];
    return points[k - 1].map((a, x) => { // a curve through the points
      const [b, m, n] = [on[x], (on[x] - before[x]) / 2, (after[x] - a) / 2];
      return a + share * (m + share * (3 * (b - a) - 2 * m - n + share * (2 * (a - b) + m + n)));
    });
  };
  const neck = whole - head, count = Math.max(Math.ceil(neck / thick), 2);
  const shaft = [...Array(count + 1).keys()].map((k) => (neck * k) / count);
  const places = [0, ...shaft, neck, neck + 0.5 * head, whole].map(at);
  const radii = [0, ...shaft.map((s) => thick * (0.25 + (0.25 * s) / neck)), 1.5 * thick, 0.75 * thick, 0];
  return turned(places, radii, material);
}
