// Neighbours share an edge: the pen is drawn to a vertex that is there already. Pure.
import { apart } from './points.js';

/**
 * The nearest vertex of `shapes` near enough to draw the pen, as an exact copy {x, y, shape, ring, i}, or null.
 * `skip(shape, ring, i)`: true for a vertex that is the pen's own.
 */
export function snapTo(at, shapes, skip = () => false) {
  if (at.alone) return null;
  let [best, least] = [null, at.pull];
  for (const shape of shapes) {
    const { left, top, right, bottom } = shape.box;
    const isFar = at.x < left - least || at.x > right + least || at.y < top - least || at.y > bottom + least;
    if (isFar) continue;
    shape.rings.forEach((ring, r) => ring.forEach((vertex, i) => {
      const distance = apart(vertex, at);
      if (distance > least || skip(shape, r, i)) return;
      [best, least] = [{ x: vertex.x, y: vertex.y, shape, ring: r, i }, distance];
    }));
  }
  return best;
}
