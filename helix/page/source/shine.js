// How the wire looks: drawn steel under one lamp, round to the pixel, its edges dark so that what lies over what can be seen.
import { DoubleSide, Matrix4, ShaderMaterial, Vector3 } from "three";

/** Where the lamp stands, for whoever looks: above, to the left, in front. */
export const LAMP = [-0.345, 0.69, 0.636];

// What a place of the prism tells the pixels between it and others.
const PASSED = ["vec3 vTint", "vec3 vMiddle", "vec3 vAlong", "vec3 vAt", "float vEnd", "float vOpen", "vec2 vDepth"].map((name) => `varying ${name};`).join("");
const VERTEX = `
attribute vec3 rim;
attribute vec3 along;
attribute float end;
attribute vec3 tint;
attribute float open;
uniform float swell;
${PASSED}
void main() {
  vec4 at = modelViewMatrix * vec4(position + swell * rim, 1.0);
  vTint = tint;
  vOpen = open;
  vEnd = end;
  vMiddle = (modelViewMatrix * vec4(position, 1.0)).xyz;
  vAlong = normalMatrix * along;
  vAt = at.xyz;
  vDepth = vec2(projectionMatrix[2][2], projectionMatrix[3][2]);
  gl_Position = projectionMatrix * at;
}`;

// Where a line of sight meets the round wire inside the prism: how far beside the wire's middle it passes is the same for
// every facet, so none is seen.
const ROUND = `
uniform float radius;
${PASSED}
struct Seen { vec3 at; vec3 normal; vec3 along; vec3 eye; };
Seen seen() {
  vec3 eye = normalize(-vAt), along = normalize(vAlong), off = (vAt - vMiddle) / radius;
  if (abs(vEnd) > 0.5) {
    if (dot(off, off) > 1.0) discard;
    return Seen(vAt, sign(vEnd) * along, along, eye);
  }
  vec3 across = cross(along, eye);
  float lean = max(length(across), 0.02);
  across /= lean;
  float beside = dot(off, across);
  if (abs(beside) > 1.0) discard;
  vec3 front = cross(across, along);
  float deep = sqrt(1.0 - beside * beside), on = clamp((deep - dot(off, front)) / lean, -1.5, 1.5);
  return Seen(vAt + on * radius * eye, beside * across + deep * front, along, eye);
}
float depthOf(vec3 at) { return 0.5 - 0.5 * (vDepth.x * at.z + vDepth.y) / at.z; }
`;

const BODY = `
const vec3 LAMP = vec3(${LAMP.join(", ")});
vec3 body(vec3 tint, vec3 n, float light, float facing) {
  float towards = dot(n, LAMP);
  float tone = clamp(0.36 + 0.64 * towards, 0.0, 1.0) - 0.40 * (1.0 - light) * clamp(0.3 + towards, 0.0, 1.0);
  float back = max(dot(n, vec3(0.60, -0.68, 0.42)), 0.0);
  return tint * (0.20 + 0.80 * tone + 0.16 * back * back) * mix(0.26, 1.0, smoothstep(0.0, 0.46, facing));
}`;

const STEEL = `${ROUND}${BODY}
uniform float shady;
uniform sampler2D shadow;
uniform mat4 toLamp;
uniform vec3 lampSize;
float lit(vec3 at, vec3 normal) {
  if (shady < 0.5) return 1.0;
  vec3 on = (toLamp * vec4(at + 0.12 * radius * normal, 1.0)).xyz;
  vec2 step = 0.30 * radius / lampSize.xy;
  float sum = 0.0;
  for (int k = 0; k < 9; k++) { // places round about, so that the edge is soft
    float turn = 2.4 * float(k), far = sqrt((float(k) + 0.5) / 9.0);
    float nearest = texture2D(shadow, on.xy + far * step * vec2(cos(turn), sin(turn))).r;
    float above = (on.z - nearest) * lampSize.z / radius;
    sum += 1.0 - smoothstep(-0.06, 0.20, above) * (1.0 - smoothstep(5.0, 16.0, above)); // the lamp is broad: far wire takes none
  }
  return sum / 9.0;
}
void main() {
  Seen s = seen();
  float light = lit(s.at, s.normal);
  vec3 h = normalize(LAMP + s.eye);
  float lean = dot(s.along, h); // drawn wire spreads a light round itself, and keeps it narrow along itself
  float about = max(dot(s.normal, normalize(h - s.along * lean)), 0.0);
  float sheen = exp(-4.0 * lean * lean) * (0.30 * pow(about, 7.0) + 0.55 * pow(about, 48.0)) * light * vOpen * vOpen;
  gl_FragDepth = depthOf(s.at);
  gl_FragColor = vec4(body(vTint, s.normal, light, dot(s.normal, s.eye)) * vOpen + (0.25 + 0.75 * vTint) * sheen, 1.0);
}`;

const EDGE_VERTEX = `${BODY}
attribute vec3 along;
attribute vec2 place;
attribute vec3 tint;
attribute float open;
uniform float radius;
uniform float pixel;
varying vec3 vTint;
varying float vCover;
void main() {
  vec4 at = modelViewMatrix * vec4(position, 1.0);
  vec3 across = place.x * normalize(cross(normalize(normalMatrix * along), normalize(-at.xyz)));
  at.xyz += across * (radius + (place.y - 0.5) * pixel * -at.z);
  vTint = body(tint, across, 1.0, 0.0) * open;
  vCover = 1.0 - place.y;
  gl_Position = projectionMatrix * at;
}`;
const EDGE = `
varying vec3 vTint;
varying float vCover;
void main() { gl_FragColor = vec4(vTint, vCover); }`;

const GLASS = `${ROUND}
uniform vec3 tone;
void main() {
  Seen s = seen();
  gl_FragDepth = depthOf(s.at - 0.05 * radius * s.eye);
  float edge = 1.0 - max(dot(s.normal, s.eye), 0.0);
  gl_FragColor = vec4(tone, 0.15 + 0.55 * edge * edge);
}`;

const of = (vertexShader, fragmentShader, uniforms, more = {}) => new ShaderMaterial({ vertexShader, fragmentShader, uniforms, ...more });
const shape = () => ({ radius: { value: 1 }, pixel: { value: 0 }, swell: { value: 1 } });

/** What paints a wire of steel: its surface, and then its outermost pixel over whatever is behind it. */
export function steel() {
  const uniforms = { ...shape(), shady: { value: 0 }, shadow: { value: null }, toLamp: { value: new Matrix4() }, lampSize: { value: new Vector3(1, 1, 1) } };
  const edges = of(EDGE_VERTEX, EDGE, uniforms, { transparent: true, depthWrite: false, side: DoubleSide });
  return { uniforms, surfaces: [of(VERTEX, STEEL, uniforms)], edges };
}

/** What paints a wire that is not there any more: its depth first, so that no part of it is seen through another. */
export function glass() {
  const uniforms = { ...shape(), tone: { value: new Vector3(0.35, 0.55, 0.78) } };
  return { uniforms, edges: null, surfaces: [{ colorWrite: false }, { depthWrite: false }].map((more) => of(VERTEX, GLASS, uniforms, { transparent: true, ...more })) };
}

/** Fit a paint to a wire's radius, its prism's sides, and to how large a pixel is, seen from 1 mm away. */
export function fitPaint({ uniforms }, radius, sides, pixel) {
  uniforms.radius.value = radius;
  uniforms.pixel.value = pixel;
  uniforms.swell.value = 1 / Math.cos(Math.PI / sides); // all of the wire lies inside the prism
}
