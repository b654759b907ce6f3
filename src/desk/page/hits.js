// Which marks lie under the pen. Pure.
import { isInside, nearestEdge, nearestVertex } from './points.js';

/** The nearest point or line first, then an area whose edge is near, then the smallest around it. */
export function marksAt(at, marks, shapeOf) {
  const near = [];
  for (const mark of marks) {
    const shape = shapeOf(mark);
    if (!shape) continue;
    const edge = shape.kind === 'point' ? nearestVertex(shape.rings[0], at, at.reach)
      : shape.rings.map((ring) => nearestEdge(ring, shape.kind === 'area', at, at.reach)).find(Boolean);
    const within = shape.kind === 'area' && isInside(shape.rings, at);
    const { left, right, top, bottom } = shape.box;
    if (edge) near.push({ mark, rank: shape.kind === 'area' ? 1 : 0, size: edge.distance });
    else if (within) near.push({ mark, rank: 2, size: (right - left) * (bottom - top) });
  }
  return near.sort((a, b) => a.rank - b.rank || a.size - b.size).map(({ mark }) => mark);
}
