// A wire in a picture: its prism, and the pixel along its edges, painted.
import { Mesh } from "three";

import { fitPaint } from "./shine.js";
import { tintSurface, wireEdges, wireSurface } from "./wire.js";

export class DrawnWire {
  /** world: the scene that it lies in; paint: from shine.js; after: what is drawn later has the higher number. */
  constructor(world, paint, after = 0) {
    Object.assign(this, { world, paint, after, rings: null, surface: null, edges: null, meshes: [] });
  }

  /** Lay it along rings; null: there is none. shaded: see wireSurface. */
  lay(rings, sides = 8, shaded = false) {
    const { world, paint, after } = this;
    world.remove(...this.meshes);
    this.surface?.dispose();
    this.edges?.dispose();
    this.rings = rings;
    this.sides = sides;
    this.surface = rings && wireSurface(rings, sides, shaded);
    this.edges = rings && paint.edges && wireEdges(rings, this.surface.getAttribute("open").array, sides);
    const meshes = rings ? paint.surfaces.map((layer) => new Mesh(this.surface, layer)) : [];
    if (this.edges) meshes.push(new Mesh(this.edges, paint.edges));
    meshes.forEach((mesh, k) => Object.assign(mesh, { frustumCulled: false, renderOrder: after + k }));
    if (meshes.length) world.add(...meshes);
    this.meshes = meshes;
  }

  tint(colours) {
    tintSurface(this.surface, colours);
    if (this.edges) tintSurface(this.edges, colours);
  }

  /** pixel: how large a pixel of the canvas is, seen from 1 mm away. */
  fit(pixel) {
    if (this.rings) fitPaint(this.paint, this.rings.radius, this.sides, pixel);
  }

  dispose() {
    this.lay(null);
    for (const layer of [...this.paint.surfaces, this.paint.edges]) layer?.dispose();
  }
}
