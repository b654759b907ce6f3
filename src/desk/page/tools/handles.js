// The vertices of the chosen mark as the hand may take them: rings where there is room for them, dots
// elsewhere, and small full ones in the middle of edges, where a new vertex comes from.
import { apart, middle, nearestVertex } from '../points.js';

const ROOMY = 44; // an edge this long on the screen offers its middle
const CROWDED = 30; // handles nearer than this on the screen are left out
const CROWDED_NEAR = 16; // and near the pen, those nearer than this
const NEAR = 90; // the pen is near a vertex
const DOT = 4; // from dot to dot

/** Whether a place is at least so far from another, or there is no other. */
function isFree(s, other, least) { return !other || Math.hypot(s.x - other.x, s.y - other.y) >= least; }

/** Middles of edges that have room for one: [{i, p}]; `scale`: pixels of the screen for one of the photograph. */
export function middlesOf(path, isClosed, scale) {
  const last = isClosed ? path.length : path.length - 1;
  return path.slice(0, last).map((a, i) => ({ i, a, b: path[(i + 1) % path.length] }))
    .filter(({ a, b }) => apart(a, b) * scale >= ROOMY).map(({ i, a, b }) => ({ i, p: middle(a, b) }));
}

/**
 * Handles where there is room for them, and always the one nearest the pen; dots for the rest. `pen`:
 * {screen} or null; `taken`: the vertex that is in hand. Tells whether some are left out.
 */
export function drawHandles(brush, path, { pen, taken, ink, scale }) {
  const nearest = pen ? nearestVertex(path, pen, NEAR / scale)?.i ?? -1 : -1;
  const lead = nearest >= 0 ? brush.toScreen(path[nearest]) : null;
  const dots = [];
  let [last, isCrowded] = [null, false];
  path.forEach((p, i) => {
    const s = brush.toScreen(p);
    const room = pen && !isFree(s, pen.screen, NEAR) ? CROWDED_NEAR : CROWDED;
    const hasRoom = isFree(s, last, room) && isFree(s, lead, room);
    if (hasRoom || i === nearest || i === taken) brush.handle(p, i === taken ? 'taken' : 'vertex', { ink });
    else if (isFree(s, dots.at(-1), DOT)) dots.push(s);
    if (hasRoom) last = s;
    else isCrowded = true;
  });
  brush.dots(dots, ink);
  return isCrowded;
}
