// Points and paths, pure: upright pixels or screen pixels, x to the right, y down. A path is an
// array of {x, y}; a ring is a path that closes by itself.

/** @typedef {{x: number, y: number}} Point */

/** "x,y x,y" as the record has it. */
export function parsePoints(text) {
  return text.trim().split(/\s+/).filter(Boolean).map((pair) => {
    const [x, y] = pair.split(',').map(Number);
    return { x, y };
  });
}

/** Two decimals at most, and no -0. */
function coordinate(value) { return String(Math.round(value * 100) / 100 + 0); }

/** As the record is written. */
export function formatPoint({ x, y }) { return `${coordinate(x)},${coordinate(y)}`; }

export function formatPoints(path) {
  return path.map(formatPoint).join(' ');
}

export function apart(a, b) {
  return Math.hypot(a.x - b.x, a.y - b.y);
}

export function middle(a, b) {
  return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 };
}

/** @returns {{left: number, top: number, right: number, bottom: number}} */
export function boundsOf(path) {
  const box = { left: Infinity, top: Infinity, right: -Infinity, bottom: -Infinity };
  for (const { x, y } of path) {
    box.left = Math.min(box.left, x);
    box.top = Math.min(box.top, y);
    box.right = Math.max(box.right, x);
    box.bottom = Math.max(box.bottom, y);
  }
  return box;
}

/** Twice the area; positive when the ring runs clockwise as seen. */
export function signedDouble(ring) {
  return ring.reduce((sum, a, i) => {
    const b = ring[(i + 1) % ring.length];
    return sum + a.x * b.y - b.x * a.y;
  }, 0);
}

/** By the even-odd rule, so that a hole is one more ring. */
export function isInside(rings, p) {
  let inside = false;
  for (const ring of rings)
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i, i += 1) {
      const [a, b] = [ring[i], ring[j]];
      if ((a.y > p.y) !== (b.y > p.y) && p.x < a.x + ((p.y - a.y) / (b.y - a.y)) * (b.x - a.x))
        inside = !inside;
    }
  return inside;
}

/** The nearest vertex within `reach`: {i, distance} or null. */
export function nearestVertex(path, p, reach) {
  let best = null;
  path.forEach((vertex, i) => {
    const distance = apart(vertex, p);
    if (distance <= (best?.distance ?? reach)) best = { i, distance };
  });
  return best;
}

function nearestOnEdge(a, b, p) {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const square = dx * dx + dy * dy;
  const t = square > 0 ? Math.min(1, Math.max(0, ((p.x - a.x) * dx + (p.y - a.y) * dy) / square)) : 0;
  return { x: a.x + t * dx, y: a.y + t * dy };
}

/** The nearest place on the edges within `reach`: {i, at, distance}, edge i from vertex i; or null. */
export function nearestEdge(path, closed, p, reach) {
  let best = null;
  const n = closed ? path.length : path.length - 1;
  for (let i = 0; i < n; i += 1) {
    const at = nearestOnEdge(path[i], path[(i + 1) % path.length], p);
    const distance = apart(at, p);
    if (distance <= (best?.distance ?? reach)) best = { i, at, distance };
  }
  return best;
}

/** The vertices strictly between two of a path, by the shorter way round where it is a ring. */
export function between(path, closed, i, j) {
  const [low, high] = [Math.min(i, j), Math.max(i, j)];
  const forth = path.slice(low, high + 1);
  const back = closed ? [...path.slice(high), ...path.slice(0, low + 1)].reverse() : null;
  const way = back && lengthOf(back) < lengthOf(forth) ? back : forth;
  const inner = way.slice(1, -1);
  return i <= j ? inner : inner.reverse();
}

function side(a, b, p) {
  return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
}

function isApart(a, b, c, d) {
  return Math.max(a.x, b.x) < Math.min(c.x, d.x) || Math.max(c.x, d.x) < Math.min(a.x, b.x)
    || Math.max(a.y, b.y) < Math.min(c.y, d.y) || Math.max(c.y, d.y) < Math.min(a.y, b.y);
}

/** Where two edges cross or touch inside, or null. Parallel ones are taken not to. */
function meeting(a, b, c, d) {
  if (isApart(a, b, c, d)) return null;
  const [p, q] = [side(a, b, c), side(a, b, d)];
  const [r, s] = [side(c, d, a), side(c, d, b)];
  if (p === q || p * q > 0 || r * s > 0) return null;
  const t = p / (p - q);
  return { x: c.x + t * (d.x - c.x), y: c.y + t * (d.y - c.y) };
}

/**
 * The first two edges of a path that cross: {i, j, at}, or null. Neighbours share a point and do not.
 * `edges`: numbers of those that may have come to cross others; all when left out.
 */
export function findCrossing(path, closed, edges = null) {
  const n = closed ? path.length : path.length - 1;
  const meet = (i, j) => {
    if (j - i < 2 || (closed && i === 0 && j === n - 1)) return null;
    const at = meeting(path[i], path[i + 1], path[j], path[(j + 1) % path.length]);
    return at && { i, j, at };
  };
  const from = edges?.map((i) => (i + n) % n) ?? path.keys();
  for (const i of from)
    for (let j = edges ? 0 : i + 2; j < n; j += 1) {
      const found = meet(Math.min(i, j), Math.max(i, j));
      if (found) return found;
    }
  return null;
}

export function lengthOf(path) {
  let length = 0;
  for (let i = 1; i < path.length; i += 1) length += apart(path[i - 1], path[i]);
  return length;
}

const OVERSHOT = 1 / 8; // of the way round

/**
 * A hand that draws round something overshoots its beginning, and trembles: ends that hang over where
 * they meet are let go (no longer than `ends`, or an eighth of the way round), and loops no longer than
 * `loop`. Gives {path, isTrimmed}. A ring that crosses itself otherwise stays whole: {path, crossing}.
 */
export function trimmed(ring, { ends, loop }) {
  let path = ring;
  for (let found = findCrossing(path, true); found; found = findCrossing(path, true)) {
    const { i, j, at } = found;
    const [head, round, tail] = [[...path.slice(0, i + 1), at], [at, ...path.slice(i + 1, j + 1)], [at, ...path.slice(j + 1)]];
    const way = lengthOf([...round, at]);
    if (way <= loop) path = [...head, ...tail.slice(1)];
    else if (lengthOf(head) + lengthOf(tail) <= Math.max(ends, OVERSHOT * way)) path = round;
    else return { path: ring, isTrimmed: false, crossing: at };
  }
  return { path, isTrimmed: path !== ring, crossing: null };
}

/** The first place of a path, closed or not, that lies outside a ring; null when it lies inside. */
export function findOutside(path, closed, ring) {
  const out = path.find((p) => !isInside([ring], p));
  const n = closed ? path.length : path.length - 1;
  for (let i = 0; !out && i < n; i += 1)
    for (let j = 0; j < ring.length; j += 1) {
      const at = meeting(path[i], path[(i + 1) % path.length], ring[j], ring[(j + 1) % ring.length]);
      if (at) return at;
    }
  return out ?? null;
}

/** Without points nearer than `least` to the last one kept: a resting hand draws none, a slow one all the way. */
export function withoutCrowd(path, least) {
  let last = null;
  return path.filter((p) => {
    const isCrowd = last !== null && apart(p, last) < least;
    if (!isCrowd) last = p;
    return !isCrowd;
  });
}

/** Kept in the picture. */
export function clampInto(p, { width, height }) {
  return { x: Math.min(width, Math.max(0, p.x)), y: Math.min(height, Math.max(0, p.y)) };
}
