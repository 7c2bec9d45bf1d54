// What the pages use of three.js: the only bundle that holds it; both pages load it first.
export {
  BufferAttribute, BufferGeometry, DepthTexture, DoubleSide, Matrix4, Mesh, OrthographicCamera, PerspectiveCamera, Quaternion, Raycaster, Scene,
  ShaderMaterial, Vector2, Vector3, WebGLRenderTarget, WebGLRenderer,
} from "three";
