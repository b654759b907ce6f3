// Following a colour edge: a touch inside a loss or stain, and the server proposes its outline. Away
// from the touch more colours belong to it. The proposal is dashed until it is taken.
import { Newest } from '../live.js';
import { TAP } from '../pen.js';
import { boundsOf, clampInto, formatPoint, formatPoints, isInside, parsePoints, signedDouble } from '../points.js';
import { figure, phrase } from '../phrases.js';
import { post } from '../wire.js';

const FIRST_LIKENESS = 8; // how unlike a colour may be and still belong: CIEDE2000
const [LEAST_LIKENESS, MOST_LIKENESS] = [2, 60];
const PIXELS_A_STEP = 10; // of drag for one step of likeness
const MUCH = 1 / 4; // of the photograph
const MOST_POINTS = 2000; // more can be neither moved by hand nor read in the sidecar
const DASH = [9, 6];

/** What looks as if more was taken in than the damage; null where nothing does. `off`: px that the outline was thinned by. */
export function doubtOf(ring, off, { width, height }) {
  const { left, top, right, bottom } = boundsOf(ring);
  const least = 1 + off;
  if (left <= least || top <= least || right >= width - least || bottom >= height - least)
    return phrase('edge-touches-rim');
  return Math.abs(signedDouble(ring)) / 2 > MUCH * width * height ? phrase('edge-much') : null;
}

export class EdgeTool {
  #newest = new Newest();

  constructor(bench) {
    this.bench = bench;
    this.seed = null; // where it was touched
    this.press = null; // {screen, from, isFirst, hasMoved} while the pen is down
    this.likeness = FIRST_LIKENESS;
    this.doubt = null; // whether that is the damage, where it does not look so
    this.rings = null; // the outline proposed, then its holes
  }

  // ---- Strokes ----

  take(at) {
    if (at.sheet !== this.bench.large) return false;
    const isFirst = this.seed === null || (this.isAsking && !this.rings); // a refusal is dragged from as well
    if (isFirst) this.#begin(at);
    this.press = { screen: at.screen, from: this.likeness, isFirst, hasMoved: false };
    return at.by === 'keys' && !isFirst ? 'click' : 'drag';
  }

  /** A touch looks for an outline of its own. */
  #begin(at) {
    this.giveUp();
    this.seed = clampInto(at, this.bench.book.photo);
    this.#ask(FIRST_LIKENESS);
  }

  /** Away from the touch more colours belong to it, back fewer, wherever the drag begins. */
  move(at) {
    const { press } = this;
    if (!press) return;
    const seed = this.bench.large.toScreen(this.seed);
    const far = (s) => Math.hypot(s.x - seed.x, s.y - seed.y);
    press.hasMoved ||= at.by === 'keys' || Math.hypot(at.screen.x - press.screen.x, at.screen.y - press.screen.y) > TAP;
    if (press.hasMoved) this.#ask(press.from + Math.trunc((far(at.screen) - far(press.screen)) / PIXELS_A_STEP));
  }

  up(at) {
    const { press } = this;
    this.press = null;
    if (!press || press.isFirst || press.hasMoved) return;
    if (this.rings && isInside(this.rings, at)) this.accept();
    else this.#begin(at);
  }

  drop() {
    const { press } = this;
    this.press = null;
    if (press?.isFirst) this.giveUp();
    else if (press?.hasMoved) this.#ask(press.from);
  }

  aim() { return this.seed; }
  get wantsLens() { return !this.rings; } // nothing is laid over what is proposed

  // ---- Asking ----

  #ask(wanted) {
    const likeness = Math.max(LEAST_LIKENESS, Math.min(MOST_LIKENESS, wanted));
    if (likeness === this.likeness && (this.rings || this.isAsking)) return;
    this.likeness = likeness;
    this.isAsking = true;
    const { id } = this.bench.book.photo;
    const at = formatPoint(this.seed);
    this.#newest.run((signal) => post(`/photo/${id}/trace`, { at, tolerance: likeness }, { signal }),
      (answer) => this.#propose(id, answer), (error) => this.#fail(error));
    this.show();
  }

  #propose(id, { outline, holes, simplified_px: off }) {
    if (this.bench.book.photo.id !== id || !this.seed) return;
    this.isAsking = false;
    this.rings = [outline, ...(holes ?? [])].map(parsePoints);
    this.why = null;
    this.isTwice = false; // a doubt was met by a touch or by Enter
    this.n = this.rings.reduce((sum, ring) => sum + ring.length, 0);
    this.doubt = this.isRagged ? phrase('edge-ragged', { n: this.n })
      : doubtOf(this.rings[0], off, this.bench.book.photo);
    this.show();
    const points = phrase('points', { n: this.rings[0].length });
    this.bench.book.say(phrase('edge-proposed', { points, within: figure(off.toFixed(1)) }));
  }

  #fail(error) {
    this.isAsking = false;
    Object.assign(this, { rings: null, doubt: null });
    this.why = error.body?.says ?? error.message;
    this.show();
    this.bench.book.say(this.why);
  }

  get isRagged() { return this.rings !== null && this.n > MOST_POINTS; }

  says() {
    if (!this.seed) return phrase('edge-touch');
    const at = phrase('edge-likeness', { n: this.likeness });
    if (this.isAsking) return `${at}: ${phrase('edge-looking')}`;
    return this.rings ? `${at}; ${this.doubt ?? phrase('edge-drag')}` : `${at}: ${this.why}`;
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
    this.#ask(this.likeness + by);
    this.bench.book.say(phrase('edge-likeness', { n: this.likeness }));
  }

  actions() {
    if (!this.seed) return [];
    const keeping = this.rings && !this.isRagged ? [{ name: 'accept', label: phrase('keep-it'), key: 'Enter', run: () => this.#keep() }] : [];
    return [...keeping,
      { name: 'narrower', label: phrase('less-like'), key: '-', run: () => this.widen(-1) },
      { name: 'wider', label: phrase('more-like'), key: '+', run: () => this.widen(1) },
      { name: 'give-up', label: phrase('give-up'), key: 'Esc', run: () => this.giveUp() }];
  }

  giveUp() {
    this.#newest.forget();
    Object.assign(this, { seed: null, press: null, rings: null, why: null, doubt: null, isAsking: false, likeness: FIRST_LIKENESS });
    this.bench.live.clear();
    this.show();
  }

  leave() { this.giveUp(); }

  /** TRUE when there was an outline to take. */
  accept() {
    if (!this.rings) return false;
    if (this.isRagged || (this.doubt && !this.isTwice)) this.#doubted();
    else this.#keep();
    return true;
  }

  /** What is in doubt is kept by its button, or by a second touch or Enter. */
  #doubted() {
    this.isTwice = true;
    const says = phrase('edge-doubted', { why: this.doubt });
    this.bench.notice(this.isRagged ? says : `${says} ${phrase('edge-once-more')}`);
  }

  #keep() {
    const [outline, ...holes] = this.rings.map(formatPoints);
    const n = this.rings[0].length;
    this.giveUp();
    this.bench.book.setTool('hand');
    this.bench.addMark('area', { outline, ...(holes.length > 0 ? { holes } : {}) }, n);
  }

  // ---- What is seen ----

  show() {
    const { bench } = this;
    if (bench.tool() !== this) return;
    bench.touchSketch();
    bench.showActions();
    if (!this.rings) return void bench.live.clear();
    const [outline, ...holes] = this.rings.map(formatPoints);
    bench.live.show({ kind: 'area', points: outline, holes, n: this.rings[0].length, isDoubted: this.doubt !== null },
      { outline, ...(holes.length > 0 ? { holes } : {}) });
  }

  draw(brush, sheet) {
    if (!this.seed || sheet !== this.bench.large) return;
    for (const ring of this.rings ?? []) brush.path(ring, { closed: true, dash: DASH });
    brush.cross(this.seed, 'aim');
  }
}
