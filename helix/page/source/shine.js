// How the wire looks: bright drawn wire under one lamp, its edges dark so that what lies over what can be seen.
import { ShaderMaterial } from "three";

const VERTEX = `
attribute vec3 tint;
attribute float open;
varying vec3 vTint;
varying vec3 vNormal;
varying vec3 vAt;
varying float vOpen;
void main() {
  vec4 at = modelViewMatrix * vec4(position, 1.0);
  vTint = tint;
  vOpen = open;
  vNormal = normalMatrix * normal;
  vAt = at.xyz;
  gl_Position = projectionMatrix * at;
}`;

const FRAGMENT = `
varying vec3 vTint;
varying vec3 vNormal;
varying vec3 vAt;
varying float vOpen;
void main() {
  vec3 n = normalize(vNormal);
  vec3 eye = normalize(-vAt);
  vec3 lamp = normalize(vec3(-0.35, 0.70, 0.62));
  float tone = clamp(0.36 + 0.64 * dot(n, lamp), 0.0, 1.0);
  float back = pow(max(dot(n, normalize(vec3(0.55, -0.62, 0.35))), 0.0), 2.5);
  float gleam = pow(max(dot(n, normalize(lamp + eye)), 0.0), 42.0);
  float rim = smoothstep(0.0, 0.46, dot(n, eye));
  vec3 body = vTint * (0.20 + 0.88 * tone + 0.16 * back) * mix(0.26, 1.0, rim);
  gl_FragColor = vec4(body * vOpen + vec3(0.62 * gleam * vOpen * vOpen), 1.0);
}`;

export const wireMaterial = () => new ShaderMaterial({ vertexShader: VERTEX, fragmentShader: FRAGMENT });
