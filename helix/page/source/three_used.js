// What the pages use of three.js: the only bundle that holds it; both pages load it first.
export {
  BufferAttribute, BufferGeometry, Mesh, PerspectiveCamera, Quaternion, Raycaster, Scene, ShaderMaterial, Vector2, Vector3,
  WebGLRenderer,
} from "three";
