// Following a colour edge: a touch inside a loss or stain, and the server proposes its outline. Away
// from the touch more colours belong to it. The proposal is dashed until it is taken.
import { Newest } from '../live.js';
import { clampInto, formatPoint, formatPoints, isInside, parsePoints } from '../points.js';
import { post } from '../wire.js';

const FIRST_TOLERANCE = 8; // CIEDE2000
const [LEAST_TOLERANCE, MOST_TOLERANCE] = [2, 60];
const PIXELS_A_STEP = 10; // of drag for one step of tolerance
const DASH = [9, 6];

export class EdgeTool {
  #newest = new Newest();

  constructor(bench) {
    this.bench = bench;
    this.seed = null; // where it was touched
    this.start = null; // of the drag, on the screen
    this.tolerance = FIRST_TOLERANCE;
    this.rings = null; // the outline proposed, then its holes
  }

  // ---- Strokes ----

  take(at) {
    if (at.sheet !== this.bench.large) return false;
    if (this.rings && isInside(this.rings, at)) {
      this.isTaking = true;
      return 'click';
    }
    this.seed = clampInto(at, this.bench.book.photo);
    this.start = at.screen;
    this.rings = null;
    this.#newest.forget(); // of another place
    this.#ask(FIRST_TOLERANCE);
    return 'drag';
  }

  move(at) {
    if (this.isTaking) return;
    const far = Math.hypot(at.screen.x - this.start.x, at.screen.y - this.start.y);
    this.#ask(Math.min(MOST_TOLERANCE, FIRST_TOLERANCE + Math.floor(far / PIXELS_A_STEP)));
  }

  up(at) {
    if (!this.isTaking) return;
    this.isTaking = false;
    if (this.rings && isInside(this.rings, at)) this.accept();
  }

  drop() {
    this.isTaking = false;
    this.giveUp();
  }

  aim() { return this.seed; }

  // ---- Asking ----

  #ask(tolerance) {
    if (tolerance === this.tolerance && this.rings) return;
    this.tolerance = tolerance;
    this.isAsking = true;
    const { id } = this.bench.book.photo;
    const at = formatPoint(this.seed);
    this.#newest.run((signal) => post(`/photo/${id}/trace`, { at, tolerance }, { signal }),
      (answer) => this.#propose(id, answer), (error) => this.#fail(error));
    this.show();
  }

  #propose(id, { outline, holes, says }) {
    if (this.bench.book.photo.id !== id || !this.seed) return;
    this.isAsking = false;
    this.rings = [outline, ...(holes ?? [])].map(parsePoints);
    this.why = null;
    this.show();
    this.bench.book.say(`outline proposed: ${says}`);
  }

  #fail(error) {
    this.isAsking = false;
    this.rings = null;
    this.why = error.body?.says ?? error.message;
    this.show();
    this.bench.book.say(this.why);
  }

  says() {
    if (!this.seed) return 'Touch inside the damage; drag away from there for more of it';
    const at = `tolerance ${this.tolerance}`;
    if (this.isAsking) return `${at}: looking`;
    return this.rings ? `${at}; touch inside to take it` : `${at}: ${this.why}`;
  }

  // ---- Keys and buttons ----

  key(event) {
    if (!this.seed) return false;
    const isBack = event.key === 'z' && (event.ctrlKey || event.metaKey);
    if (event.key === '+' || event.key === '=') this.widen(1);
    else if (event.key === '-') this.widen(-1);
    else if (event.key === 'Escape' || event.key === 'Backspace' || isBack) this.giveUp();
    else return false;
    return true;
  }

  get canTakeBack() { return this.seed !== null; }

  takeBack() {
    const had = this.canTakeBack;
    if (had) this.giveUp();
    return had;
  }

  widen(by) {
    this.#ask(Math.max(LEAST_TOLERANCE, Math.min(MOST_TOLERANCE, this.tolerance + by)));
    this.bench.book.say(`tolerance ${this.tolerance}`);
  }

  actions() {
    if (!this.seed) return [];
    const taking = this.rings ? [{ name: 'accept', label: 'Take this outline', key: 'Enter', run: () => this.accept() }] : [];
    return [...taking,
      { name: 'narrower', label: 'Less', key: '-', run: () => this.widen(-1) },
      { name: 'wider', label: 'More', key: '+', run: () => this.widen(1) },
      { name: 'give-up', label: 'Give up', key: 'Esc', run: () => this.giveUp() }];
  }

  giveUp() {
    this.#newest.forget();
    Object.assign(this, { seed: null, rings: null, why: null, isAsking: false, tolerance: FIRST_TOLERANCE });
    this.bench.live.clear();
    this.show();
  }

  leave() { this.giveUp(); }

  /** TRUE when there was an outline to take. */
  accept() {
    if (!this.rings) return false;
    const [outline, ...holes] = this.rings.map(formatPoints);
    const n = this.rings[0].length;
    this.giveUp();
    this.bench.book.setTool('hand');
    this.bench.addMark('area', { outline, ...(holes.length > 0 ? { holes } : {}) }, n);
    return true;
  }

  // ---- What is seen ----

  show() {
    const { bench } = this;
    if (bench.tool() !== this) return;
    bench.touchSketch();
    bench.showActions();
    if (!this.rings) return void bench.live.clear();
    const [outline, ...holes] = this.rings.map(formatPoints);
    bench.live.show({ kind: 'area', points: outline, holes, n: this.rings[0].length },
      { outline, ...(holes.length > 0 ? { holes } : {}) });
  }

  draw(brush, sheet) {
    if (!this.seed || sheet !== this.bench.large) return;
    for (const ring of this.rings ?? []) brush.path(ring, { closed: true, dash: DASH });
    brush.cross(this.seed, 'aim');
  }
}
