// Which part of the wire lies under a place of the picture.
import { Vector2, Vector3, Raycaster } from "three";

const ray = new Raycaster();

/** The ring of the wire under a place of the canvas (pixels from its upper left), or -1. slack: pixels beside the
 *  wire that still count. The nearest ring to the eye of those that the line of sight passes within the wire. */
export function ringAt(viewer, x, y, slack = 3) {
  const { rings, turning, width, height } = viewer;
  if (!rings || !width) return -1;
  const { camera, mmPerPixel } = turning;
  ray.setFromCamera(new Vector2((2 * x) / width - 1, 1 - (2 * y) / height), camera);
  const { origin, direction } = ray.ray;
  const most = (rings.radius + slack * mmPerPixel) ** 2;
  const { middle, count } = rings;
  const from = new Vector3();
  let best = -1, depth = Infinity;
  for (let ring = 0; ring < count; ring++) {
    from.set(middle[3 * ring], middle[3 * ring + 1], middle[3 * ring + 2]).sub(origin);
    const ahead = from.dot(direction);
    if (ahead <= 0) continue;
    const beside = from.lengthSq() - ahead * ahead;
    if (beside > most) continue;
    const surface = ahead - Math.sqrt(Math.max(most - beside, 0));
    if (surface < depth) [best, depth] = [ring, surface];
  }
  return best;
}

/** Whether other wire lies before a place (x, y, z) of the wire for who looks. */
export function isHidden({ rings: { middle, count, radius }, turning: { camera } }, place) {
  const eye = camera.position, [x, y, z] = [place[0] - eye.x, place[1] - eye.y, place[2] - eye.z];
  const far = Math.hypot(x, y, z), nearer = (far - 1.6 * radius) * far, most = (0.9 * radius) ** 2;
  for (let at = 0; at < 3 * count; at += 3) {
    const a = middle[at] - eye.x, b = middle[at + 1] - eye.y, c = middle[at + 2] - eye.z;
    const ahead = a * x + b * y + c * z;
    if (ahead > 0 && ahead < nearer && a * a + b * b + c * c - (ahead / far) ** 2 < most) return true;
  }
  return false;
}

/** The name of the section there, or null. */
export function sectionAt(viewer, x, y, slack) {
  const ring = ringAt(viewer, x, y, slack);
  const { section } = viewer.rings || {};
  return ring < 0 || !section ? null : viewer.scene.sections[section[ring]];
}
