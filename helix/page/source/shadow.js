// The shadow of wire on wire: the wire as the lamp sees it, in a picture of how far everything is from the lamp.
import { DepthTexture, Matrix4, Mesh, OrthographicCamera, Scene, ShaderMaterial, Vector3, WebGLRenderTarget } from "three";

import { LAMP } from "./shine.js";

const SIZE = [2048, 1024];
const HALF = new Matrix4().set(0.5, 0, 0, 0.5, 0, 0.5, 0, 0.5, 0, 0, 0.5, 0.5, 0, 0, 0, 1);
const VERTEX = `
attribute vec3 rim;
void main() {
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position + rim, 1.0);
}`;
const FRAGMENT = "void main() { gl_FragColor = vec4(1.0); }";

export class Shadow {
  constructor(renderer) {
    this.renderer = renderer;
    this.target = new WebGLRenderTarget(...SIZE, { depthTexture: new DepthTexture(...SIZE) });
    this.lamp = new OrthographicCamera();
    this.lamp.matrixAutoUpdate = this.lamp.matrixWorldAutoUpdate = false;
    this.turned = new Matrix4().lookAt(new Vector3(...LAMP), new Vector3(), new Vector3(0, 1, 0)); // the lamp goes with the eye
    this.material = new ShaderMaterial({ vertexShader: VERTEX, fragmentShader: FRAGMENT });
    this.world = new Scene();
  }

  /** Look from the lamp at a wire as the camera stands, for its paint. */
  cast({ paint: { uniforms }, surface, rings: { middle, radius } }, camera) {
    const { lamp } = this, at = new Vector3();
    const low = new Vector3(Infinity, Infinity, Infinity), high = low.clone().negate();
    lamp.matrixWorld.multiplyMatrices(camera.matrixWorld, this.turned);
    lamp.matrixWorldInverse.copy(lamp.matrixWorld).invert();
    const every = 3 * Math.max(Math.floor(middle.length / 3 / 400), 1);
    for (let i = 0; i < middle.length; i += every) {
      at.set(middle[i], middle[i + 1], middle[i + 2]).applyMatrix4(lamp.matrixWorldInverse);
      low.min(at);
      high.max(at);
    }
    low.addScalar(-3 * radius);
    high.addScalar(3 * radius);
    Object.assign(lamp, { left: low.x, right: high.x, bottom: low.y, top: high.y, near: -high.z, far: -low.z });
    lamp.updateProjectionMatrix();
    this.world.clear();
    const seen = new Mesh(surface, this.material);
    seen.frustumCulled = false;
    this.world.add(seen);
    this.renderer.setRenderTarget(this.target);
    this.renderer.clear();
    this.renderer.render(this.world, lamp);
    this.renderer.setRenderTarget(null);
    uniforms.shadow.value = this.target.depthTexture;
    uniforms.toLamp.value.copy(HALF).multiply(lamp.projectionMatrix).multiply(this.turned.clone().invert());
    high.sub(low);
    uniforms.lampSize.value.copy(high);
  }

  dispose() {
    this.target.depthTexture.dispose();
    this.target.dispose();
    this.material.dispose();
  }
}
