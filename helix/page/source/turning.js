// Turning, moving and zooming the joint by pointer, wheel and keys. Angles in rad, lengths in mm.
import { PerspectiveCamera, Quaternion, Vector3 } from "three";

const FIELD_DEG = 22;
const X = new Vector3(1, 0, 0), Y = new Vector3(0, 1, 0), Z = new Vector3(0, 0, 1);
const turn = (axis, angle) => new Quaternion().setFromAxisAngle(axis, angle);

/** Directions of view: which way the joint is turned before it is looked at (joint axis to the right). */
export const VIEWS = {
  "three-quarter": [0.5, 0.55],
  side: [0, 0],
  top: [Math.PI / 2, 0],
  eye: [0, Math.PI / 2],
};

export class Turning {
  constructor(host, changed) {
    this.host = host;
    this.changed = changed;
    this.camera = new PerspectiveCamera(FIELD_DEG, 1, 0.1, 1000);
    this.spin = new Quaternion();
    this.middle = new Vector3();
    this.far = 100;
    this.nearest = 1;
    this.farthest = 1e4;
    this.upright = false;
    this.low = false; // a stage so low that the joint is laid level, to be seen larger
    this.level = false; // two are shown, one above the other: level too
    this.view = "three-quarter";
    this.touched = false;
    this.fingers = new Map();
    this.flight = null;
    const listen = (name, act, options) => host.addEventListener(name, act, options);
    listen("pointerdown", (event) => this.down(event));
    listen("pointermove", (event) => this.move(event));
    for (const name of ["pointerup", "pointercancel"]) listen(name, (event) => this.up(event));
    listen("wheel", (event) => this.wheel(event), { passive: false });
    listen("contextmenu", (event) => event.preventDefault());
    listen("keydown", (event) => this.key(event));
  }

  /** Look from one of VIEWS at these points (x, y, z one after the other) so that they fill the room that is free.
   *  straight: the wire before it is bent, which lies across the joint's axis; always seen from the side. */
  look(view, points, radius, room, straight = false) {
    this.view = view;
    this.touched = false;
    this.spin.copy(this.spinOf(straight ? "side" : view));
    if (straight) this.spin.premultiply(turn(Z, Math.PI / 2));
    this.fit(points, radius, room);
  }

  /** How the joint is turned for a view: its axis runs to the right, or up where the screen is tall. */
  spinOf(view) {
    const [tilt, swing] = VIEWS[view];
    const spin = turn(X, tilt).multiply(turn(Y, swing)).multiply(new Quaternion(0.5, 0.5, 0.5, 0.5));
    if (this.upright) return spin.premultiply(turn(Z, Math.PI / 2));
    const axis = Z.clone().applyQuaternion(spin);
    return (this.low || this.level) && view === "three-quarter" ? spin.premultiply(turn(Z, -Math.atan2(axis.y, axis.x))) : spin;
  }

  /** Keep the direction; move and zoom so that the points fill the room {left, right, top, bottom} in pixels kept free.
   *  least: only if they are not seen whole in this room, or as less than half of what there is room for. */
  fit(points, radius, room, least = null) {
    const low = new Vector3(Infinity, Infinity, Infinity), high = low.clone().negate(), at = new Vector3();
    for (let i = 0; i < points.length; i += 3) {
      at.set(points[i], points[i + 1], points[i + 2]).applyQuaternion(this.spin);
      low.min(at);
      high.max(at);
    }
    const { clientWidth: width, clientHeight: height } = this.host;
    const free = [Math.max(width - room.left - room.right, 40), Math.max(height - room.top - room.bottom, 40)];
    const size = high.clone().sub(low).addScalar(2 * radius);
    const perPixel = Math.max(size.x / free[0], size.y / free[1]) * 1.02;
    const centre = low.clone().add(high).multiplyScalar(0.5);
    if (least && this.holds(low, high, radius, least) && perPixel > 0.5 * this.mmPerPixel) return;
    this.far = (perPixel * height) / (2 * Math.tan((FIELD_DEG * Math.PI) / 360)) + size.z / 2;
    centre.x -= ((room.left - room.right) / 2) * perPixel;
    centre.y += ((room.top - room.bottom) / 2) * perPixel;
    this.middle.copy(centre.applyQuaternion(this.spin.clone().invert()));
    this.nearest = 8 * radius;
    this.farthest = Math.max(8 * this.far, 60 * radius);
    this.flight = null;
    this.changed();
  }

  /** Whether a box (of places turned by the spin) and the wire round it lie in the room as the camera stands. */
  holds(low, high, radius, room) {
    const { clientWidth: width, clientHeight: height } = this.host;
    const centre = this.middle.clone().applyQuaternion(this.spin);
    const mm = this.mmPerPixel, spare = 6 * mm;
    const left = centre.x - (width / 2 - room.left) * mm - spare, right = centre.x + (width / 2 - room.right) * mm + spare;
    const bottom = centre.y - (height / 2 - room.bottom) * mm - spare, top = centre.y + (height / 2 - room.top) * mm + spare;
    return low.x - radius >= left && high.x + radius <= right && low.y - radius >= bottom && high.y + radius <= top;
  }

  /** Move so that a place (x, y, z) is in the middle, seen from so far; not along the joint, where it would be hidden. */
  goTo(place, far) {
    const from = { middle: this.middle.clone(), far: this.far, spin: this.spin.clone() }, to = new Vector3(...place);
    const hidden = Math.abs(Z.clone().applyQuaternion(this.spin).z) > 0.75;
    const turned = hidden ? this.spinOf("three-quarter") : from.spin;
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const start = performance.now(), lasts = still ? 0 : 380;
    const fly = (now) => {
      if (this.flight !== fly) return;
      const share = lasts ? Math.min((now - start) / lasts, 1) : 1, eased = share * share * (3 - 2 * share);
      this.middle.lerpVectors(from.middle, to, eased);
      this.spin.slerpQuaternions(from.spin, turned, eased);
      this.far = from.far + (far - from.far) * eased;
      this.touched = true;
      this.changed();
      if (share < 1) requestAnimationFrame(fly);
      else this.flight = null;
    };
    this.flight = fly;
    fly(start);
  }

  /** Stand as another camera does; whether it stood otherwise. */
  take({ spin, middle, far, nearest, farthest, view, touched }) {
    const alike = this.spin.equals(spin) && this.middle.equals(middle) && this.far === far && this.touched === touched;
    if (alike) return false;
    this.spin.copy(spin);
    this.middle.copy(middle);
    Object.assign(this, { far, nearest, farthest, view, touched, flight: null });
    return true;
  }

  place() {
    const { camera } = this;
    const { clientWidth: width, clientHeight: height } = this.host;
    camera.aspect = width / Math.max(height, 1);
    camera.quaternion.copy(this.spin).invert();
    camera.position.copy(Z).multiplyScalar(this.far).applyQuaternion(camera.quaternion).add(this.middle);
    camera.near = this.far * 0.05;
    camera.far = this.far * 20;
    camera.updateProjectionMatrix();
    camera.updateMatrixWorld();
  }

  get mmPerPixel() {
    return (2 * this.far * Math.tan((FIELD_DEG * Math.PI) / 360)) / Math.max(this.host.clientHeight, 1);
  }

  rotate(dx, dy) {
    this.spin.premultiply(turn(Y, dx)).premultiply(turn(X, dy)).normalize();
    this.moved();
  }

  roll(angle) {
    this.spin.premultiply(turn(Z, angle)).normalize();
    this.moved();
  }

  shift(dx, dy) {
    const by = new Vector3(-dx * this.mmPerPixel, dy * this.mmPerPixel, 0);
    this.middle.add(by.applyQuaternion(this.spin.clone().invert()));
    this.moved();
  }

  zoom(factor) {
    this.far = Math.min(Math.max(this.far * factor, this.nearest), this.farthest);
    this.moved();
  }

  moved() {
    this.touched = true;
    this.flight = null;
    this.changed();
  }

  down(event) {
    if (event.target.closest("button")) return;
    this.fingers.set(event.pointerId, [event.clientX, event.clientY]);
    this.host.setPointerCapture(event.pointerId);
  }

  up(event) {
    this.fingers.delete(event.pointerId);
  }

  move(event) {
    const before = this.fingers.get(event.pointerId);
    if (!before) return;
    const now = [event.clientX, event.clientY];
    const dx = now[0] - before[0], dy = now[1] - before[1];
    if (this.fingers.size === 2) {
      const other = [...this.fingers].find(([id]) => id !== event.pointerId)[1];
      const apart = (p) => Math.hypot(p[0] - other[0], p[1] - other[1]) || 1;
      const angle = (p) => Math.atan2(p[1] - other[1], p[0] - other[0]);
      this.zoom(apart(before) / apart(now));
      this.roll(angle(before) - angle(now));
      this.shift(dx / 2, dy / 2);
    } else if (event.shiftKey || event.buttons & 6) {
      this.shift(dx, dy);
    } else {
      const rate = 4.2 / Math.max(Math.min(this.host.clientWidth, this.host.clientHeight), 200);
      this.rotate(dx * rate, dy * rate);
    }
    this.fingers.set(event.pointerId, now);
  }

  wheel(event) {
    event.preventDefault();
    const lines = event.deltaMode === 1 ? 16 : 1;
    this.zoom(Math.exp(Math.max(Math.min(event.deltaY * lines, 240), -240) * 0.0016));
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const [dx, dy] = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key] || [0, 0];
    if (dx || dy) {
      if (event.shiftKey) this.shift(40 * dx, 40 * dy);
      else this.rotate(0.12 * dx, 0.12 * dy);
    } else if (event.key === "+" || event.key === "=") this.zoom(1 / 1.15);
    else if (event.key === "-") this.zoom(1.15);
    else return;
    event.preventDefault();
  }
}
