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

/** The name of the section there, or null. */
export function sectionAt(viewer, x, y, slack) {
  const ring = ringAt(viewer, x, y, slack);
  const { section } = viewer.rings || {};
  return ring < 0 || !section ? null : viewer.scene.sections[section[ring]];
}
