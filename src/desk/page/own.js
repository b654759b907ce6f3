// Outlines that are the photograph's own, beside its marks: the whole face, of which shares are taken,
// and something truly grey. Drawn quietly, for they are no damage: dots from corner to corner and a
// bracket at each, beneath all marks.
import { shapeOf } from './ink.js';
import { apart, boundsOf } from './points.js';
import { phrase } from './phrases.js';
import { NAMES } from './tell.js';

/** By their keys of the sidecar, which are the names of the tools that draw them. */
export const OWN = {
  surface: {
    name: NAMES.surface,
    label: phrase('own-surface'),
    asks: phrase('own-surface-asks'),
    help: phrase('own-surface-help'),
  },
  neutral: {
    name: NAMES.neutral,
    label: phrase('own-neutral'),
    asks: phrase('own-neutral-asks'),
    help: phrase('own-neutral-help'),
  },
};

const POINTS = '-points';

/** The tool that moves the points of one. */
export function pointsTool(key) { return key + POINTS; }

/** Which of them a tool is for; null for any other tool. */
export function ownOf(tool) {
  const key = tool.replace(POINTS, '');
  return key in OWN ? key : null;
}

const made = new WeakMap(); // a photograph, in one state of it -> {KEY: outline}

/** One of a photograph's as if it were an area, for the hand that moves points; null where it is not drawn. */
export function ownOutline(photo, key) {
  const outline = photo?.words[key];
  if (!outline) return null;
  if (!made.has(photo)) made.set(photo, {});
  return (made.get(photo)[key] ??= { id: key, kind: 'area', words: { outline } });
}

const LEG = 16; // of a bracket, in pixels of the screen, and no more than a third of the edge
const TURN = 0.8; // a corner turns by at least this, as a cosine: what turns less is a curve
const DOT = 1.2;
const GAP = 9;
const ROOM = 40; // of the screen: what is smaller has its brackets alone

function toward(p, q, far) {
  const t = Math.min(1 / 3, far / (apart(p, q) || 1));
  return { x: p.x + t * (q.x - p.x), y: p.y + t * (q.y - p.y) };
}

function isCorner(a, p, b) {
  const along = (p.x - a.x) * (b.x - p.x) + (p.y - a.y) * (b.y - p.y);
  return along < TURN * apart(a, p) * apart(p, b);
}

/** Brackets at the corners of a ring of the screen. */
function brackets(ring, leg) {
  return ring.map((p, i) => [ring.at(i - 1), p, ring[(i + 1) % ring.length]])
    .filter(([a, p, b]) => isCorner(a, p, b))
    .map(([a, p, b]) => [toward(p, a, leg), p, toward(p, b, leg)]);
}

/** From where to where an edge runs through a box, in parts of its length; null where it stays outside. */
function within({ left, top, right, bottom }, a, b) {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  let [from, to] = [0, 1];
  for (const [speed, room] of [[-dx, a.x - left], [dx, right - a.x], [-dy, a.y - top], [dy, bottom - a.y]]) {
    if (speed === 0 && room < 0) return null;
    if (speed < 0) from = Math.max(from, room / speed);
    if (speed > 0) to = Math.min(to, room / speed);
  }
  return from < to ? [from, to] : null;
}

/**
 * What of a ring is in a box, as paths: a browser takes seconds over dots that run far beyond the screen. Each
 * begins a whole number of `step` along the ring, so that the dots lie still while it is pushed about.
 */
export function partsIn(box, ring, step) {
  const parts = [];
  let gone = 0; // along the ring, to the edge's beginning
  let goesOn = false; // the last part ends there
  ring.forEach((a, i) => {
    const b = ring[(i + 1) % ring.length];
    const far = apart(a, b);
    const seen = within(box, a, b);
    const at = (along) => ({ x: a.x + (along / far) * (b.x - a.x), y: a.y + (along / far) * (b.y - a.y) });
    if (seen) {
      const [from, to] = seen.map((part) => part * far);
      if (goesOn) parts.at(-1).push(at(to));
      else parts.push([at(Math.floor((gone + from) / step) * step - gone), at(to)]);
    }
    goesOn = seen?.[1] === 1;
    gone += far;
  });
  return parts;
}

const line = (path) => path.map(({ x, y }, i) => `${i > 0 ? 'L' : 'M'}${x.toFixed(1)} ${y.toFixed(1)}`).join('');

/** Draws those that a photograph has with an ink, on one of its glasses. */
export function drawOwn(ink, glass, photo) {
  const { larger } = ink.look;
  const [dark, light] = [ink.look.ink('ink'), ink.look.ink('casing')];
  for (const key of Object.keys(OWN)) {
    const outline = ownOutline(photo, key);
    if (!outline) continue;
    const ring = shapeOf(outline).rings[0].map((p) => ink.toScreen(p));
    const corners = brackets(ring, LEG * larger).map(line).join('');
    const box = boundsOf(ring);
    const isSmall = Math.max(box.right - box.left, box.bottom - box.top) < ROOM * larger;
    const dots = isSmall ? '' : partsIn(ink.reach, ring, (DOT + GAP) * larger).map(line).join('');
    ink.stroke(glass, dots, light, 2.6 * larger, [(DOT + 1.4) * larger, (GAP - 1.4) * larger]);
    ink.stroke(glass, dots, dark, 1.2 * larger, [DOT * larger, GAP * larger]);
    ink.stroke(glass, corners, light, 3.4 * larger);
    ink.stroke(glass, corners, dark, 1.3 * larger);
  }
}
