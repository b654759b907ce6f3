// A scale set by hand: the four corners of a rectangle of known size, or the two ends of a length or
// of a line along a ruler's graduations. The server seeks the edge under what the hand has set; both
// are shown and the person chooses. Sizes are typed on the slip.
import { Newest } from '../live.js';
import { clampInto, formatPoint, formatPoints, nearestVertex, parsePoints, signedDouble } from '../points.js';
import { post } from '../wire.js';

const REACH = 5; // pixels of the screen that a careful hand is off by
const CORNERS = { rectangle: 4, span: 2, ticks: 2 };
const PLACES = { rectangle: ['corners'], span: ['from', 'to'], ticks: ['from', 'to'] };
const ASKED = { rectangle: ['width', 'height'], span: ['length'], ticks: ['pitch'] };
const OTHERS = /^scale\/(tags$|rectangle\/|span\/|ticks\/)/; // keys of every method
const NUMBERS = ['width', 'height', 'length', 'pitch', 'count', 'tolerance'];

/** Clockwise as seen; the edge that was drawn first stays the first, it is the width. */
function inOrder([a, b, c, d]) {
  return signedDouble([a, b, c, d]) >= 0 ? [a, b, c, d] : [b, a, d, c];
}

export class ScaleTool {
  #newest = new Newest();
  #sizing = new Newest();

  constructor(bench) {
    this.bench = bench;
    this.reset('rectangle');
  }

  reset(method) {
    Object.assign(this, { method, hand: [], edge: null, use: 'edge', doubt: null, sizes: {}, held: null, answer: {}, why: null });
  }

  enter() {
    if (this.photoId !== this.bench.book.photo.id) this.#begin();
    this.show();
  }

  leave() { this.bench.book.setScaleDraft(null); }

  /** What the record has already lies ready to be moved. */
  #begin() {
    const { id, words } = this.bench.book.photo;
    this.photoId = id;
    const method = Object.keys(PLACES).find((name) => PLACES[name].every((key) => words[`scale/${name}/${key}`]));
    this.reset(method ?? 'rectangle');
    if (!method) return;
    this.hand = PLACES[method].flatMap((key) => parsePoints(words[`scale/${method}/${key}`]));
    for (const key of NUMBERS) if (words[`scale/${method}/${key}`]) this.sizes[key] = words[`scale/${method}/${key}`];
    this.#askSize();
  }

  get n() { return CORNERS[this.method]; }
  get isPlaced() { return this.hand.length === this.n; }
  /** The points that count: the edge's where it was found and is wanted. */
  get points() { return this.edge && this.use === 'edge' ? this.edge : this.hand; }

  // ---- Strokes ----

  take(at) {
    if (at.sheet !== this.bench.large) return false;
    const near = this.isPlaced ? nearestVertex(this.points, at, at.reach * 1.5) : null;
    if (this.isPlaced && !near) return false;
    this.isNew = !near;
    this.hand = near ? this.points.map((p) => ({ ...p })) : [...this.hand, { ...at }];
    this.held = near ? near.i : this.hand.length - 1;
    this.edge = null;
    this.move(at);
    return near ? 'drag' : 'click';
  }

  move(at) {
    if (this.held === null) return;
    const p = clampInto(at, this.bench.book.photo);
    this.hand = this.hand.map((q, i) => (i === this.held ? p : q));
    this.show();
  }

  up(at) {
    this.move(at);
    this.held = null;
    if (!this.isPlaced) {
      this.bench.book.say(`${this.hand.length} of ${this.n}`);
      return void this.show();
    }
    if (this.method === 'rectangle') this.hand = inOrder(this.hand);
    this.#improve();
    return undefined;
  }

  drop() {
    if (this.held !== null && this.isNew) this.hand = this.hand.slice(0, -1);
    this.held = null;
    this.show();
  }

  aim() { return this.held === null ? null : this.hand[this.held]; }

  // ---- The edge under the hand ----

  #improve() {
    const { id } = this.bench.book.photo;
    this.use = 'edge';
    this.why = null;
    if (this.method === 'ticks') return this.#askSize();
    const [from, to] = this.hand.map(formatPoint);
    const reach = REACH / this.bench.large.view.scale;
    const body = { reach, ...(this.method === 'rectangle' ? { corners: formatPoints(this.hand) } : { from, to }) };
    this.#newest.run(() => post(`/photo/${id}/corners`, body), (answer) => {
      this.edge = parsePoints(answer.corners ?? `${answer.from} ${answer.to}`);
      this.doubt = answer.doubt_px ?? null;
      this.bench.book.say('The edge under it was found; keep it, or keep your own.');
      this.#askSize();
    }, (error) => {
      this.edge = null;
      this.why = error.body?.says ?? error.message;
      this.#askSize();
    });
    return this.show();
  }

  choose(use) {
    this.use = use;
    this.#askSize();
  }

  // ---- The slip's ----

  setMethod(method) {
    if (method === this.method) return;
    const hand = CORNERS[method] === this.n ? this.hand : []; // two ends are two ends
    this.reset(method);
    this.hand = hand;
    if (this.isPlaced) this.#improve();
    else this.show();
  }

  /** A number as it is typed; '' takes it away. */
  size(key, text) {
    const { [key]: _, ...sizes } = this.sizes;
    this.sizes = text.trim() ? { ...sizes, [key]: text.trim() } : sizes;
    this.#askSize();
  }

  get isReady() { return this.isPlaced && ASKED[this.method].every((key) => Number(this.sizes[key]) > 0); }

  /** The scale becomes the photograph's, in place of any other. */
  async save() {
    if (!this.isReady) return;
    const { book } = this.bench;
    const words = this.#words();
    const gone = Object.keys(book.photo.words).filter((key) => OTHERS.test(key) && words[key] === undefined);
    await book.edit([...gone.map((key) => ({ key, value: null })),
      ...Object.entries(words).map(([key, value]) => ({ key, value }))], { says: 'scale set' });
    this.photoId = null;
    book.setTool('hand');
    this.bench.notice('scale set');
  }

  #words() {
    const { method, points, sizes } = this;
    const places = method === 'rectangle' ? { corners: formatPoints(points) }
      : { from: formatPoint(points[0]), to: formatPoint(points[1]) };
    return Object.fromEntries(Object.entries({ ...places, ...sizes }).map(([key, text]) => [`scale/${method}/${key}`, text]));
  }

  #askSize() {
    this.show();
    if (!this.isReady) return;
    const { photo } = this.bench.book;
    const level = photo.words['scale/plane-offset'];
    const words = { ...(level ? { 'scale/plane-offset': level } : {}), ...this.#words() };
    this.#sizing.run(() => post(`/photo/${photo.id}/size`, { scale: { words } }),
      (answer) => { this.answer = answer; this.show(); },
      (error) => { this.answer = { why: error.body?.says ?? error.message }; this.show(); });
  }

  giveUp() {
    const { sizes } = this;
    this.reset(this.method);
    this.sizes = sizes;
    this.show();
  }

  takeBack() {
    if (this.hand.length === 0 || this.isPlaced) return false;
    this.hand = this.hand.slice(0, -1);
    this.show();
    return true;
  }

  key(event) {
    if (event.key === 'Escape' && this.hand.length > 0) this.giveUp();
    else if (event.key === 'Backspace') return this.takeBack();
    else return false;
    return true;
  }

  actions() {
    const { edge, use } = this;
    return [
      ...(edge ? [
        { name: 'use-edge', label: 'Edge found', on: use === 'edge', run: () => this.choose('edge') },
        { name: 'use-hand', label: 'As I set it', on: use === 'hand', run: () => this.choose('hand') }] : []),
      ...(this.hand.length > 0 ? [{ name: 'give-up', label: 'Give up', key: 'Esc', run: () => this.giveUp() }] : [])];
  }

  // ---- What is seen ----

  says() {
    if (this.why) return this.why;
    if (this.edge) return `Edge found${this.doubt ? ` within ${this.doubt.toFixed(1)} px` : ''}; the other is dotted`;
    const left = this.n - this.hand.length;
    const what = this.method === 'rectangle' ? 'corners' : 'ends';
    return left > 0 ? `${left} ${left === 1 ? what.slice(0, -1) : what} to set` : null;
  }

  show() {
    const { bench, method, points, edge, use, sizes, answer } = this;
    if (bench.tool() !== this) return;
    const places = !this.isPlaced ? {} : method === 'rectangle' ? { corners: formatPoints(points) }
      : { from: formatPoint(points[0]), to: formatPoint(points[1]) };
    bench.book.setScaleDraft({ method, ...places, n: this.hand.length, sizes, ready: this.isReady, improved: edge !== null, use, doubt_px: this.doubt,
      scale: answer.scale ?? null, scale_shown: answer.scale_shown ?? null, why: answer.why ?? null });
    bench.touchSketch();
    bench.showActions();
  }

  draw(brush, sheet) {
    if (sheet !== this.bench.large) return;
    const closed = this.method === 'rectangle' && this.hand.length > 2;
    if (this.edge) brush.path(this.use === 'edge' ? this.hand : this.edge, { closed, dash: [3, 5] });
    brush.path(this.points, { closed });
    this.points.forEach((p, i) => brush.handle(p, i === this.held ? 'taken' : 'vertex'));
    if (this.method === 'rectangle' && this.isPlaced) {
      brush.label(this.points[0], this.points[1], 'w');
      brush.label(this.points[1], this.points[2], 'h');
    }
  }
}
