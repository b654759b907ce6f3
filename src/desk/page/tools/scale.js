// A scale set by hand: the four corners of a rectangle of known size, or the two ends of a length or
// of a line along a ruler's graduations. The server seeks the edge under what the hand has set; both
// are shown and the person chooses. Sizes are typed on the slip.
import { Newest } from '../live.js';
import { figure, phrase } from '../phrases.js';
import { apart, clampInto, formatPoint, formatPoints, nearestVertex, parsePoints, signedDouble } from '../points.js';
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

/** What a record has of a scale of any method, as one text. */
function scaleIn(words) {
  return JSON.stringify(Object.entries(words).filter(([key]) => OTHERS.test(key)));
}

function isLength(text) { return Number(text) > 0 && Number.isFinite(Number(text)); }

export class ScaleTool {
  #newest = new Newest();
  #sizing = new Newest();

  constructor(bench) {
    this.bench = bench;
    this.reset('rectangle');
  }

  reset(method) {
    this.#forget();
    Object.assign(this, { method, hand: [], edge: null, use: 'edge', doubt: null, sizes: {}, held: null, answer: {}, why: null,
      isRecord: false });
  }

  /** What was asked is answered no longer. */
  #forget() {
    this.#newest.forget();
    this.#sizing.forget();
  }

  enter() {
    if (this.photoId !== this.bench.book.photo.id) this.#begin();
    this.show();
  }

  leave() {
    this.#forget();
    this.bench.book.setScaleDraft(null);
  }

  /** The record may have another scale now: undone, or written elsewhere. */
  photoChanged() {
    const isUntouched = this.isRecord || this.hand.length === 0;
    if (isUntouched && this.recorded !== scaleIn(this.bench.book.photo.words)) this.#begin();
    this.show();
  }

  /** What the record has already lies ready to be moved. */
  #begin() {
    const { id, words } = this.bench.book.photo;
    this.photoId = id;
    this.recorded = scaleIn(words);
    const method = Object.keys(PLACES).find((name) => PLACES[name].every((key) => words[`scale/${name}/${key}`]));
    this.reset(method ?? 'rectangle');
    if (!method) return;
    this.isRecord = true;
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
    this.isRecord = false;
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
      this.bench.book.say(phrase('n-of', { i: this.hand.length, n: this.n }));
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
    this.#newest.run((signal) => post(`/photo/${id}/corners`, body, { signal }), (answer) => {
      this.edge = parsePoints(answer.corners);
      this.doubt = answer.doubt_px ?? null;
      this.bench.book.say(phrase('edge-found-choose'));
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

  get isTold() { return this.isPlaced && ASKED[this.method].every((key) => this.sizes[key]); }
  get isReady() { return this.isTold && ASKED[this.method].every((key) => isLength(this.sizes[key])); }

  /** The scale becomes the photograph's, in place of any other. */
  async save() {
    if (!this.isReady) return;
    const { book } = this.bench;
    const words = this.#words();
    const gone = Object.keys(book.photo.words).filter((key) => OTHERS.test(key) && words[key] === undefined);
    const kept = book.edit([...gone.map((key) => ({ key, value: null })),
      ...Object.entries(words).map(([key, value]) => ({ key, value }))], { says: phrase('scale-set') });
    this.photoId = null;
    book.setTool('hand'); // at once: the next tool may be taken before the browser has kept this
    await kept;
    this.bench.notice(phrase('scale-set'));
  }

  #words() {
    const { method, points, sizes } = this;
    const places = method === 'rectangle' ? { corners: formatPoints(points) }
      : { from: formatPoint(points[0]), to: formatPoint(points[1]) };
    return Object.fromEntries(Object.entries({ ...places, ...sizes }).map(([key, text]) => [`scale/${method}/${key}`, text]));
  }

  #askSize() {
    if (!this.isTold) {
      this.#sizing.forget();
      this.answer = {};
    }
    this.show();
    if (!this.isTold) return;
    const { photo } = this.bench.book;
    const level = photo.words['scale/plane-offset'];
    const words = { ...(level ? { 'scale/plane-offset': level } : {}), ...this.#words() };
    this.#sizing.run(() => post(`/photo/${photo.id}/size`, { scale: { words } }),
      (answer) => { this.answer = answer; this.show(); },
      (error) => { this.answer = { why_shown: error.body?.says ?? error.message }; this.show(); });
  }

  giveUp() {
    const { sizes } = this;
    this.reset(this.method);
    this.sizes = sizes;
    this.show();
  }

  get canTakeBack() { return this.hand.length > 0 && !this.isRecord; }

  takeBack() {
    if (!this.canTakeBack) return false;
    this.#forget();
    Object.assign(this, { hand: this.points.slice(0, -1), edge: null, why: null, answer: {} });
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
        { name: 'use-edge', label: phrase('edge-found'), on: use === 'edge', run: () => this.choose('edge') },
        { name: 'use-hand', label: phrase('as-set'), on: use === 'hand', run: () => this.choose('hand') }] : []),
      ...(this.hand.length > 0 ? [{ name: 'give-up', label: phrase('give-up'), key: 'Esc', run: () => this.giveUp() }] : [])];
  }

  // ---- What is seen ----

  says() {
    if (this.why) return this.why;
    if (this.edge) return this.#edgeSays();
    const left = this.n - this.hand.length;
    return left > 0 ? phrase(this.method === 'rectangle' ? 'corners-to-set' : 'ends-to-set', { n: left }) : null;
  }

  #edgeSays() {
    const moved = Math.max(...this.edge.map((p, i) => apart(p, this.hand[i])));
    return phrase(this.doubt ? 'edge-moved-within' : 'edge-moved',
      { within: figure(Math.max(0.1, this.doubt ?? 0).toFixed(1)), moved: figure(moved.toFixed(moved < 10 ? 1 : 0)) });
  }

  show() {
    const { bench, method, points, edge, use, sizes, answer } = this;
    if (bench.tool() !== this) return;
    const places = !this.isPlaced ? {} : method === 'rectangle' ? { corners: formatPoints(points) }
      : { from: formatPoint(points[0]), to: formatPoint(points[1]) };
    bench.book.setScaleDraft({ method, ...places, n: this.hand.length, sizes, ready: this.isReady, improved: edge !== null, use, doubt_px: this.doubt,
      scale: answer.scale ?? null, scale_shown: answer.scale_shown ?? null, why: answer.why_shown ?? null });
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
      brush.label(this.points[0], this.points[1], phrase('scale-w'));
      brush.label(this.points[1], this.points[2], phrase('scale-h'));
    }
  }
}
