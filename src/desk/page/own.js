// Outlines that are the photograph's own, beside its marks: the whole face, of which shares are taken,
// and something truly grey. Drawn quietly, for they are no damage: dots from corner to corner and a
// bracket at each, beneath all marks.
import { shapeOf } from './ink.js';
import { apart, boundsOf } from './points.js';
import { NAMES } from './tell.js';

/** By their keys of the sidecar, which are the names of the tools that draw them. */
export const OWN = {
  surface: {
    name: NAMES.surface,
    label: 'whole face',
    asks: 'Touch the corners of the whole face in turn',
    help: 'With its outline every area tells how much of the face it takes, in percent.',
  },
  neutral: {
    name: NAMES.neutral,
    label: 'true grey',
    asks: 'Touch the corners of the grey in turn',
    help: 'A grey card, say: whoever looks later can judge the colours by it.',
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
    const dots = Math.max(box.right - box.left, box.bottom - box.top) < ROOM * larger ? '' : `${line(ring)}Z`;
    ink.stroke(glass, dots, light, 2.6 * larger, [(DOT + 1.4) * larger, (GAP - 1.4) * larger]);
    ink.stroke(glass, dots, dark, 1.2 * larger, [DOT * larger, GAP * larger]);
    ink.stroke(glass, corners, light, 3.4 * larger);
    ink.stroke(glass, corners, dark, 1.3 * larger);
  }
}
