// Hatch lines cut to the inside of rings, as on the plates: parallel, on one raster for all marks of
// a picture, reaching in from each edge and leaving the middle of a large mark free. Pure; pixels.

/** A shorter gap in the middle of a line would look like a fault. */
const WORTH_LEAVING = 2.5;

/** Half-open in v, so that a line through a corner meets the ring as often as it crosses it. */
function crossEdge(crossings, gap, a, b) {
  const [low, high] = a.v <= b.v ? [a, b] : [b, a];
  for (let k = Math.ceil(low.v / gap); k < high.v / gap; k += 1) {
    const t = (k * gap - low.v) / (high.v - low.v);
    if (!crossings.has(k)) crossings.set(k, []);
    crossings.get(k).push(low.u + t * (high.u - low.u));
  }
}

/**
 * Segments [x1, y1, x2, y2] `gap` apart at `angle` degrees (against the clock as seen, 0 level).
 * `reach`: how far a line reaches in from each edge. `box` in the same pixels: lines that lie wholly
 * outside are not made. `origin` fixes the raster to the photograph.
 */
export function hatch(rings, { angle, gap, reach, box, origin }) {
  if (!(gap > 0)) return [];
  const [cos, sin] = [Math.cos((angle * Math.PI) / 180), Math.sin((angle * Math.PI) / 180)];
  const turn = ({ x, y }) => {
    const [dx, dy] = [x - origin.x, y - origin.y];
    return { u: dx * cos - dy * sin, v: dx * sin + dy * cos };
  };
  const crossings = new Map();
  for (const ring of rings) {
    const turned = ring.map(turn);
    turned.forEach((a, i) => crossEdge(crossings, gap, a, turned[(i + 1) % turned.length]));
  }
  const segments = [];
  const add = (u1, u2, v) => {
    const [x1, y1] = [u1 * cos + v * sin + origin.x, v * cos - u1 * sin + origin.y];
    const [x2, y2] = [u2 * cos + v * sin + origin.x, v * cos - u2 * sin + origin.y];
    const isOut = Math.max(x1, x2) < box.left || Math.min(x1, x2) > box.right
      || Math.max(y1, y2) < box.top || Math.min(y1, y2) > box.bottom;
    if (!isOut) segments.push([x1, y1, x2, y2]);
  };
  for (const [k, us] of crossings) {
    us.sort((a, b) => a - b);
    for (let i = 0; i + 1 < us.length; i += 2) {
      const [from, to, v] = [us[i], us[i + 1], k * gap];
      if (to - from <= WORTH_LEAVING * reach) add(from, to, v);
      else {
        add(from, from + reach, v);
        add(to - reach, to, v);
      }
    }
  }
  return segments;
}
