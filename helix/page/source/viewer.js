// The joint in 3-D in any element of a page: new Viewer(host).show(scene). The scene's data: docs/sheet-and-viewer.md.
import { Scene, Vector3, WebGLRenderer } from "three";

import { DrawnWire } from "./drawn_wire.js";
import { Notes } from "./notes.js";
import { isHidden } from "./picking.js";
import { Shadow } from "./shadow.js";
import { glass, steel } from "./shine.js";
import { Turning } from "./turning.js";
import { readRings } from "./wire.js";

const SIDES = 16; // directions round the wire in which it is worked out how much light gets there
const QUICK_SIDES = 8;
const LOW = 0.2; // height over width of a stage
const SLOW_MS = 45;
const LITTLE = 0.15; // share by which a stage may change and the camera stays
const NO_ROOM = { left: 0, right: 0, top: 0, bottom: 0 }; // labels may lie over a joint that stays where it is
const REST_MS = 250;
const FINE = 2; // pixels drawn for each that is seen, along and across: smooth edges without slow multisampling
const MOST_PIXELS = 8e6;
const LIT = [64, 170, 240];

/** Whether this browser can draw in 3-D. */
export function canDraw() {
  try {
    return Boolean(document.createElement("canvas").getContext("webgl2"));
  } catch {
    return false;
  }
}

/** Colours with those of one section drawn towards the colour of light. */
function brightened(colours, section, lit) {
  const made = colours.slice();
  section.forEach((of, ring) => {
    if (of === lit) for (let x = 0; x < 3; x++) made[3 * ring + x] = 0.35 * made[3 * ring + x] + 0.65 * LIT[x];
  });
  return made;
}

export class Viewer {
  /** host: an element with a size. Throws where WebGL is missing. chosen(note): called when a label is pressed. */
  constructor(host, { chosen = () => {}, moved = () => {}, angled = false } = {}) {
    this.host = host;
    this.angled = angled; // the angles of the bench are drawn
    this.leader = null; // a viewer whose camera this one has
    this.laid = null; // labels of a film's picture
    this.headroom = 0; // pixels at the top that something else takes
    this.renderer = new WebGLRenderer({ antialias: false, alpha: true });
    this.renderer.setClearColor(0x000000, 0);
    const canvas = this.renderer.domElement;
    canvas.setAttribute("aria-hidden", "true");
    host.prepend(canvas);
    this.moved = moved;
    this.world = new Scene();
    this.wire = new DrawnWire(this.world, steel());
    this.before = new DrawnWire(this.world, glass(), 10);
    this.others = []; // wires beside the joint, such as one that is linked with it
    this.shadow = new Shadow(this.renderer);
    this.props = []; // what stands beside the wire of a film
    this.framed = null; // points that are in the picture all through a film
    this.shaded = true;
    this.by = "plain";
    this.labelled = true;
    this.waiting = 0;
    this.quick = false;
    this.moving = false;
    this.lit = null;
    this.turning = new Turning(host, () => this.refresh());
    this.notes = new Notes(host, (note) => {
      this.goTo(note.point);
      chosen(note);
    });
    this.watch = new ResizeObserver(() => this.resize());
    this.watch.observe(host);
  }

  /** Show a scene. keepView: the camera stays as long as the joint is in the picture.
   *  quick: for a joint that changes under the hand: fewer sides, fewer pixels, no shade. before: a scene whose wire is
   *  seen faintly beside it. around: points that must be in the picture in place of the joint. */
  show(scene, { keepView = false, quick = false, before = null, around = null } = {}) {
    this.scene = scene;
    this.sides = quick ? QUICK_SIDES : SIDES;
    this.before.lay(before && readRings(before.wire));
    this.quick = quick;
    this.shaded = !quick;
    this.#move(quick);
    this.#stand([]);
    this.laid = null; // a film that goes on names its own again
    this.framed = around;
    this.finished = readRings(scene.wire);
    this.#beside(scene.others || []);
    this.#note(scene.notes);
    this.#mesh(this.finished);
    if (!this.width) this.resize(true);
    if (keepView) this.keep();
    else this.look("three-quarter");
  }

  /** The whole joint in the picture, from where it is looked at now. */
  fit() {
    const { turning, rings } = this;
    if (!this.#led()) turning.fit(this.framed || this.#all(), rings.radius, this.#room());
  }

  /** Leave the camera, unless the joint has grown out of the picture or become small in it; draw at once. */
  keep() {
    const { turning, rings } = this;
    if (!turning.touched && !this.#led()) turning.fit(this.framed || this.#all(), rings.radius, this.#room(), NO_ROOM);
    cancelAnimationFrame(this.waiting);
    this.waiting = 0;
    this.#draw();
  }

  /** The wire of before is seen no longer. */
  forget() {
    this.before.lay(null);
    this.refresh();
  }

  /** Light up one section of the wire by its name; null: none. */
  light(name) {
    if (name === this.lit) return;
    this.lit = name;
    this.#tint();
    this.refresh();
  }

  /** Colour by one of the names in scene.wire.colours. */
  colour(by) {
    this.by = by;
    this.#tint();
    this.refresh();
  }

  label(yes) {
    this.labelled = yes;
    this.notes.visible = yes;
    this.look(this.turning.view, true);
  }

  /** A wire of a film with what stands beside it (meshes) in place of the joint; moving: the next will follow at once.
   *  around: points that must be in the picture all through the film; notes: labels of this picture; lying: the wire is seen
   *  from the side, as where it is inked; says: what stands at each label now; level: as on a low
   *  stage. null: the joint itself again. */
  lay(rings, { props = [], moving = false, around = null, notes = [], says = [], lying = notes.length > 0, level = false } = {}) {
    const begins = rings && !this.framed;
    this.before.lay(null);
    this.shaded = !moving;
    this.sides = moving ? QUICK_SIDES : SIDES;
    this.framed = rings ? around : null;
    this.#stand(rings ? props : []);
    this.#mesh(rings || this.finished);
    const named = rings && notes !== this.laid;
    this.laid = rings && notes;
    this.lying = lying;
    this.turning.level = Boolean(rings && level);
    if (named || !rings) this.#note(rings ? notes : this.scene.notes);
    this.notes.say(says);
    if (begins || named || !rings) {
      this.look(this.turning.view, true);
    } else if (!this.turning.touched) this.turning.fit(around, rings.radius, this.#room());
    else this.refresh();
  }

  /** Look from a side: "three-quarter", "side", "top" or "eye". ifUntouched: only if nobody has turned the joint. */
  look(view, ifUntouched = false) {
    const { turning, rings, framed } = this;
    if (this.#led() || (ifUntouched && turning.touched)) return this.refresh();
    turning.look(view, framed || this.#all(), rings.radius, this.#room(), Boolean(framed && this.lying));
  }

  /** The camera is another's: taken from there. */
  #led() {
    if (!this.leader) return false;
    this.turning.take(this.leader.turning);
    return true;
  }

  #note(notes) {
    this.notes.show(notes, this.angled ? this.scene.angles : [], this.finished.radius);
  }

  goTo(place) {
    const across = 26 * this.rings.radius;
    this.turning.goTo(place, across / (2 * Math.tan((11 * Math.PI) / 180)));
  }

  /** The wire as drawn now, without labels, in fine pixels, as a PNG in a data URL. */
  picture() {
    const { moving } = this;
    this.moving = false;
    this.#draw();
    this.moving = moving;
    return this.renderer.domElement.toDataURL("image/png");
  }

  /** Whether labels are wanted and there is no room for any. */
  get crowded() {
    return this.labelled && this.notes.none && this.notes.notes.length > 0;
  }

  /** What a test or a ruler needs: the matrix from mm to the screen, and the canvas in pixels of the screen. */
  get projection() {
    const { width, height } = this, { camera } = this.turning;
    const matrix = camera.projectionMatrix.clone().multiply(camera.matrixWorldInverse);
    return { matrix: matrix.elements.slice(), width, height, eye: camera.position.toArray() };
  }

  resize(force = false) {
    const { clientWidth: width, clientHeight: height } = this.host;
    if (!width || !height || (!force && width === this.width && height === this.height)) return;
    const alike = Math.abs(width / this.width - 1) < LITTLE && Math.abs(height / this.height - 1) < LITTLE;
    [this.width, this.height] = [width, height];
    this.#sized();
    const upright = width < 0.85 * height;
    const low = height < LOW * width;
    const turned = upright !== this.turning.upright;
    Object.assign(this.turning, { upright, low });
    this.host.classList.toggle("upright", upright);
    if (!this.rings) return;
    if (turned) this.look(this.turning.view);
    else if (alike) this.keep(); // a line more at the head of the page moves no camera
    else this.look(this.turning.view, true);
  }

  refresh() {
    if (this.waiting) return;
    this.waiting = requestAnimationFrame((now) => {
      this.waiting = 0;
      this.#draw();
      this.#keepUp(now);
    });
  }

  /** Where frames come slowly, the shadow and fine pixels wait until the joint stands still. */
  #keepUp(now) {
    const since = now - (this.drawn || -Infinity);
    this.drawn = now;
    if (since > SLOW_MS && since < 1000) this.#move(true);
    clearTimeout(this.rest);
    this.rest = setTimeout(() => {
      if (this.quick || !this.moving) return;
      this.#move(false);
      this.#draw();
    }, REST_MS);
  }

  #move(yes) {
    this.moving = yes;
    this.host.classList.toggle("moving", yes);
  }

  #sized() {
    const { clientWidth: width, clientHeight: height } = this.host;
    if (!width || !height) return;
    const seen = Math.min(devicePixelRatio || 1, 2);
    const ratio = this.moving ? Math.min(seen, 1) : Math.max(Math.min(FINE * seen, Math.sqrt(MOST_PIXELS / (width * height))), 1);
    const size = [width, height, ratio].join(" ");
    if (size === this.size) return; // to set it wipes the picture
    this.size = size;
    this.renderer.setPixelRatio(ratio);
    this.renderer.setSize(width, height);
  }

  dispose() {
    cancelAnimationFrame(this.waiting);
    clearTimeout(this.rest);
    this.watch.disconnect();
    this.wire.dispose();
    this.before.dispose();
    for (const other of this.others) other.dispose();
    this.shadow.dispose();
    this.renderer.dispose();
    this.renderer.domElement.remove();
    this.notes.layer.remove();
  }

  /** Lay the wires that stand beside the joint. */
  #beside(packed) {
    for (const other of this.others) other.dispose();
    this.others = packed.map((wire) => {
      const drawn = new DrawnWire(this.world, steel()), rings = readRings(wire);
      drawn.lay(rings, this.sides, this.shaded);
      drawn.tint(rings.colours.plain);
      return drawn;
    });
  }

  /** Middles of every wire that is shown, one after the other. */
  #all() {
    const { rings, others } = this;
    return others.length ? [rings, ...others.map((other) => other.rings)].flatMap(({ middle }) => [...middle]) : rings.middle;
  }

  #stand(props) {
    for (const one of this.props) {
      this.world.remove(one);
      one.geometry.dispose();
    }
    this.props = props;
    if (props.length) this.world.add(...props);
  }

  #mesh(rings) {
    this.rings = rings;
    this.wire.lay(rings, this.sides, this.shaded);
    this.#tint();
  }

  #tint() {
    const { colours, section } = this.rings;
    const own = colours[this.by] || colours.plain;
    const lit = this.lit === null || !section ? -1 : this.scene.sections.indexOf(this.lit);
    this.wire.tint(lit < 0 ? own : brightened(own, section, lit));
  }

  /** Pixels at each side that labels need. */
  #room() {
    const { upright } = this.turning;
    const shown = this.labelled && this.notes.notes.length;
    const ends = Math.min(28, this.width * 0.05), head = this.framed ? this.headroom : 0; // the words of a film
    if (!shown) return { left: ends, right: ends, top: 24 + head, bottom: 24 };
    let [parts, flags] = this.notes.measure(upright);
    if (!parts && !flags) return { left: ends, right: ends, top: 10 + this.headroom, bottom: 10 };
    [parts, flags] = [parts + 36, flags ? flags + 36 : 24];
    return upright ? { left: parts, right: flags, top: 20 + head, bottom: 20 } : { left: ends, right: ends, top: parts + head, bottom: flags };
  }

  /** The wire as it is seen now; with the shadow of wire on wire while nothing hurries. */
  #paint() {
    const { turning, wire, renderer } = this, { camera } = turning;
    for (const each of [wire, this.before, ...this.others]) each.fit((turning.mmPerPixel * this.height) / turning.far / renderer.domElement.height);
    const shady = this.shaded && !this.moving;
    wire.paint.uniforms.shady.value = Number(shady);
    if (shady) this.shadow.cast(wire, camera);
    renderer.render(this.world, camera);
  }

  #draw() {
    const { turning, host } = this;
    if (!this.rings || !host.clientWidth || !host.clientHeight) return; // nothing is seen, and no place has a place
    turning.place();
    this.#sized();
    this.#paint();
    const at = new Vector3();
    const flat = (point) => {
      at.set(...point).project(turning.camera);
      return [((at.x + 1) / 2) * this.width, ((1 - at.y) / 2) * this.height];
    };
    const middle = this.#all(), { radius } = this.rings;
    const wirePixels = (2 * radius) / turning.mmPerPixel;
    let [low, high] = [Infinity, -Infinity];
    const every = 3 * Math.max(Math.floor(middle.length / 3 / 300), 1);
    for (let i = 0; i < middle.length; i += every) {
      const [x, y] = flat([middle[i], middle[i + 1], middle[i + 2]]);
      const [u, v] = turning.upright ? [y, x] : [x, y];
      if (u < 0 || u > (turning.upright ? this.height : this.width)) continue;
      [low, high] = [Math.min(low, v), Math.max(high, v)];
    }
    const half = wirePixels / 2;
    this.notes.place(flat, (point) => isHidden(this, point), [low - half, high + half], wirePixels, turning.upright);
    this.moved(turning.mmPerPixel);
  }
}
