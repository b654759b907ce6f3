// Marks drawn over a sheet, with the look of the plates: each dark line on a wider light one, thin
// hatch, a number beside. Drawn in pixels of the screen, so that lines keep their width at any zoom;
// while the picture is only pushed about, what is drawn is pushed along and drawn anew at rest. Where so
// much is drawn that each step of a zoom would be felt, it is stretched along as well.
import { hatch } from './hatch.js';
import { boundsOf, parsePoints } from './points.js';
import { toScreen } from './view.js';

const NS = 'http://www.w3.org/2000/svg';
const HATCH_REACH = 21; // 4 mm of the style's paper
const FINEST = 0.4; // points nearer than this on the screen are one
const SMALLEST = 7; // what is smaller is ringed, so that it is found
const MUCH = 4000; // points: more than this are stretched while zooming
const MOST_STRETCH = 1.6;
const REST_MS = 120; // after the last step of a zoom
const MARGIN = 256; // drawn this far beyond the sheet, so that pushing about shows no gap

function make(name, attributes, parent) {
  const node = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) if (value !== null) node.setAttribute(key, value);
  return parent ? parent.appendChild(node) : node;
}

/** A mark's paths, read once for each state of it. */
const paths = new WeakMap();

/** @returns {{kind: string, rings: object[][], box: object} | null} in upright pixels */
export function shapeOf(mark) {
  if (!paths.has(mark)) paths.set(mark, readShape(mark));
  return paths.get(mark);
}

function readShape({ words }) {
  const [kind, text] = words.outline ? ['area', words.outline]
    : words.line ? ['line', words.line] : ['point', words.point];
  if (!text) return null;
  const rings = [text, ...(kind === 'area' ? words.holes ?? [] : [])].map(parsePoints);
  return { kind, rings, box: boundsOf(rings[0]) };
}

function round(v) { return Math.round(v * 100) / 100; }

/** The points of a ring or line that a screen can tell apart. */
function thinned(path) {
  let last = null;
  return path.filter((p, i) => {
    const isNear = last && Math.abs(p.x - last.x) + Math.abs(p.y - last.y) < FINEST;
    if (isNear && i < path.length - 1) return false;
    last = p;
    return true;
  });
}

function dataOf(path, closed) {
  return path.map((p, i) => `${i > 0 ? 'L' : 'M'}${round(p.x)} ${round(p.y)}`).join('') + (closed ? 'Z' : '');
}

/** A sheet of glass over the photograph and MARGIN beyond it: pushed about without being drawn anew. */
class Glass {
  constructor(element) {
    this.svg = make('svg', { class: 'ink', 'aria-hidden': 'true' }, element);
    this.node = make('g', { transform: `translate(${MARGIN} ${MARGIN})` }, this.svg);
  }

  clear() {
    this.node.replaceChildren();
    this.push(0, 0);
  }

  /** What was drawn at (0, 0) of the sheet comes to (x, y), and is `by` as large. */
  push(x, y, by = 1) {
    this.svg.style.transform = `translate(${x - by * MARGIN}px, ${y - by * MARGIN}px) scale(${by})`;
  }
}

export class Ink {
  /** @param {import('./sheet.js').Sheet} sheet */
  constructor(sheet) {
    this.sheet = sheet;
    // three glasses, so that a stroke that changes makes the browser paint itself alone
    this.marksGlass = new Glass(sheet.element);
    this.chosenGlass = new Glass(sheet.element);
    this.sketchGlass = new Glass(sheet.element);
    this.sketchLayer = this.sketchGlass.node;
    /** @type {() => {marks: object[], chosen: object|null}} */
    this.tellMarks = () => ({ marks: [], chosen: null });
    /** What the tool in hand draws: (brush) => void */
    this.tellSketch = () => {};
    /** What lies beneath all marks: (ink, glass) => void */
    this.tellUnder = () => {};
    this.n = 0; // points of all marks
    this.stale = new Set(); // of marks, chosen, sketch
    sheet.addEventListener('view', () => this.follow());
  }

  // ---- When ----

  /** Marks may have changed. */
  touch() { this.#soon('marks', 'chosen', 'sketch'); }

  /** The chosen mark is being dragged: the others stay as they are. */
  touchChosen() { this.#soon('chosen', 'sketch'); }

  /** What is being drawn has changed. */
  touchSketch() { this.#soon('sketch'); }

  follow() {
    const { drawn, sheet: { view, size } } = this;
    if (!drawn) return this.touch();
    const by = view.scale / drawn.scale;
    const [x, y] = [by * drawn.left - view.left, by * drawn.top - view.top];
    const covers = (at, room) => at - by * MARGIN <= 0 && at + by * (room + MARGIN) >= room;
    const mayStay = by === 1 || (this.n > MUCH && by < MOST_STRETCH);
    if (!mayStay || !covers(x, size.width) || !covers(y, size.height)) return this.touch();
    for (const glass of [this.marksGlass, this.chosenGlass]) glass.push(x, y, by);
    if (by !== 1) this.#crispAtRest();
    return this.touchSketch();
  }

  #crispAtRest() {
    clearTimeout(this.resting);
    this.resting = setTimeout(() => this.touch(), REST_MS);
  }

  #soon(...what) {
    for (const name of what) this.stale.add(name);
    this.frame ??= requestAnimationFrame(() => {
      this.frame = null;
      this.#draw();
    });
  }

  #draw() {
    const { stale, sheet } = this;
    const hasMoved = this.drawn && ['left', 'top', 'scale'].some((key) => this.drawn[key] !== sheet.view[key]);
    if (stale.has('chosen') && hasMoved) stale.add('marks'); // both glasses lie on one view
    if (stale.has('marks')) this.#drawMarks();
    if (stale.has('chosen')) this.#drawChosen();
    this.sketchGlass.clear();
    if (sheet.photo) this.tellSketch(this);
    stale.clear();
  }

  // ---- Marks ----

  #drawMarks() {
    this.drawn = { ...this.sheet.view };
    this.marksGlass.clear();
    if (!this.sheet.photo) return;
    this.tellUnder(this, this.marksGlass.node);
    const { marks, chosen } = this.tellMarks();
    this.n = marks.flatMap((mark) => shapeOf(mark)?.rings ?? []).reduce((sum, ring) => sum + ring.length, 0);
    for (const mark of marks) if (mark.id !== chosen?.id) this.#drawMark(this.marksGlass.node, mark, false);
  }

  #drawChosen() {
    this.chosenGlass.clear();
    const { chosen } = this.sheet.photo ? this.tellMarks() : { chosen: null };
    if (chosen) this.#drawMark(this.chosenGlass.node, chosen, true);
  }

  /** The sheet and what is drawn round it, in pixels of the screen. */
  get reach() {
    const { width, height } = this.sheet.size;
    return { left: -MARGIN, top: -MARGIN, right: width + MARGIN, bottom: height + MARGIN };
  }

  #isInView(box) {
    const [a, b] = [this.toScreen({ x: box.left, y: box.top }), this.toScreen({ x: box.right, y: box.bottom })];
    const { left, top, right, bottom } = this.reach;
    return b.x > left && a.x < right && b.y > top && a.y < bottom;
  }

  toScreen(p) { return toScreen(this.sheet.view, p); }

  #drawMark(layer, mark, isChosen) {
    const shape = shapeOf(mark);
    if (!shape || !this.#isInView(shape.box)) return;
    const group = make('g', { 'data-mark': mark.id, class: isChosen ? 'chosen' : null }, layer);
    const was = Boolean(mark.words.gone);
    const rings = shape.rings.map((ring) => thinned(ring.map((p) => this.toScreen(p))));
    const look = this.look.group(mark.group ?? 'other');
    const ink = was ? this.look.ink('earlier') : look.ink;
    if (shape.kind === 'point') this.#ring(group, rings[0][0], this.look.px('point'), ink, isChosen);
    else this.#drawPath(group, { mark, rings, look, ink, was, isChosen, isArea: shape.kind === 'area' });
    this.#number(group, mark, rings[0], shape.kind);
  }

  #drawPath(group, { mark, rings, look, ink, was, isChosen, isArea }) {
    const data = rings.map((ring) => dataOf(ring, isArea)).join('');
    if (mark.words.private) this.stroke(group, data, this.look.ink('private'), this.look.px('casing') + 8 * this.look.larger);
    if (isArea && !was) this.#hatch(group, rings, look);
    const more = isChosen ? 1.2 * this.look.larger : 0;
    this.stroke(group, data, this.look.ink('casing'), this.look.px(isArea ? 'casing' : 'line-casing') + 2 * more);
    const width = this.look.px(was ? 'earlier' : isArea ? 'outline' : 'line') + more;
    const dash = was ? [this.look.px('earlier-dash'), this.look.px('earlier-dash')] : look.lineDash;
    this.stroke(group, data, ink, width, dash);
    const box = boundsOf(rings[0]);
    if (Math.max(box.right - box.left, box.bottom - box.top) < SMALLEST)
      this.#ring(group, { x: (box.left + box.right) / 2, y: (box.top + box.bottom) / 2 }, 9 * this.look.larger, ink, isChosen);
  }

  #hatch(group, rings, look) {
    const origin = this.toScreen({ x: 0, y: 0 });
    const data = hatch(rings, { angle: look.angle, gap: look.gap, reach: HATCH_REACH * this.look.larger, box: this.reach, origin })
      .map(([x1, y1, x2, y2]) => `M${round(x1)} ${round(y1)}L${round(x2)} ${round(y2)}`).join('');
    if (!data) return;
    this.stroke(group, data, this.look.ink('casing'), this.look.px('hatch-casing'), look.dash);
    this.stroke(group, data, look.ink, this.look.px('hatch'), look.dash);
  }

  #ring(group, { x, y }, r, ink, isChosen) {
    const place = { cx: round(x), cy: round(y), r, fill: 'none' };
    const more = isChosen ? 1.2 * this.look.larger : 0;
    make('circle', { ...place, stroke: this.look.ink('casing'), 'stroke-width': this.look.px('casing') + 2 * more }, group);
    make('circle', { ...place, stroke: ink, 'stroke-width': this.look.px('outline') + more }, group);
  }

  /** Beside the point furthest to the upper right; a private one's with a patch of what will cover it. */
  #number(group, mark, path, kind) {
    const number = String(mark.number ?? mark.id);
    const top = path.reduce((best, p) => (p.x - p.y > best.x - best.y ? p : best));
    const away = (kind === 'point' ? 9 : 6) * this.look.larger;
    const text = make('text', { x: round(top.x + away), y: round(top.y - away), class: 'ink-number' }, group);
    text.textContent = number;
    if (mark.words.private)
      make('rect', { class: 'ink-patch', x: round(top.x + away + (9 * number.length + 3) * this.look.larger), y: round(top.y - away - 10 * this.look.larger),
        fill: this.look.ink('private'), stroke: this.look.ink('casing'), 'stroke-width': 1.5 }, group);
  }

  // ---- A brush for the tools ----

  stroke(parent, data, ink, width, dash = null) {
    return make('path', { d: data, fill: 'none', stroke: ink, 'stroke-width': round(width),
      'stroke-linejoin': 'round', 'stroke-linecap': 'butt', 'stroke-dasharray': dash?.map(round).join(' ') ?? null }, parent);
  }

  /** A path of the photograph's, as a line being drawn. */
  path(points, { closed = false, dash = null, ink = this.look.ink('ink') } = {}) {
    if (points.length < 2) return;
    const data = dataOf(thinned(points.map((p) => this.toScreen(p))), closed);
    this.stroke(this.sketchLayer, data, this.look.ink('casing'), this.look.px('line-casing'));
    this.stroke(this.sketchLayer, data, ink, this.look.px('line'), dash);
  }

  /**
   * A vertex that can be taken hold of: a ring, so that the very place is seen within it. `kind`:
   * vertex, taken, tie; between, the middle of an edge, is small and full.
   */
  handle(p, kind, { label = null, ink = this.look.ink('ink') } = {}) {
    const { x, y } = this.toScreen(p);
    const { width, height } = this.sheet.size;
    if (x < -20 || y < -20 || x > width + 20 || y > height + 20) return;
    const place = { cx: round(x), cy: round(y) };
    if (kind !== 'between') make('circle', { ...place, class: `handle handle-${kind} handle-casing` }, this.sketchLayer);
    make('circle', { ...place, stroke: ink, class: `handle handle-${kind}` }, this.sketchLayer);
    if (label !== null)
      make('text', { x: round(x + 12 * this.look.larger), y: round(y - 8 * this.look.larger), class: 'ink-number' }, this.sketchLayer).textContent = label;
  }

  /** Vertices that have no room for a ring; places of the screen. */
  dots(places, ink) {
    const data = places.map(({ x, y }) => `M${round(x)} ${round(y)}h0`).join('');
    if (!data) return;
    make('path', { d: data, stroke: '#ffffff', class: 'dots dots-casing' }, this.sketchLayer);
    make('path', { d: data, stroke: ink, class: 'dots' }, this.sketchLayer);
  }

  /** A letter beside the middle of an edge, on its left as one goes from a to b. */
  label(a, b, text) {
    const [p, q] = [this.toScreen(a), this.toScreen(b)];
    const length = Math.hypot(q.x - p.x, q.y - p.y) || 1;
    make('text', { x: round((p.x + q.x) / 2 + ((q.y - p.y) / length) * 14), y: round((p.y + q.y) / 2 - ((q.x - p.x) / length) * 14),
      class: 'ink-number', 'text-anchor': 'middle', 'dominant-baseline': 'middle' }, this.sketchLayer).textContent = text;
  }

  /** A ring round what the pen would snap to, or round a fault. */
  ring(p, kind = 'snap') {
    const { x, y } = this.toScreen(p);
    const place = { cx: round(x), cy: round(y) };
    make('circle', { ...place, class: `ring ring-${kind} ring-casing` }, this.sketchLayer);
    make('circle', { ...place, class: `ring ring-${kind}` }, this.sketchLayer);
  }

  /** Cross hairs with a free middle, so that what is aimed at is seen. */
  cross(p, kind = 'keys') {
    const { x, y } = this.toScreen(p);
    const [from, to] = (kind === 'keys' ? [5, 26] : [4, 12]).map((v) => v * this.look.larger);
    const data = `M${x - to} ${y}H${x - from}M${x + from} ${y}H${x + to}M${x} ${y - to}V${y - from}M${x} ${y + from}V${y + to}`;
    make('path', { d: data, class: 'cross cross-casing' }, this.sketchLayer);
    make('path', { d: data, class: 'cross' }, this.sketchLayer);
  }
}

