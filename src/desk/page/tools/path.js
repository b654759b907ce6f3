// Areas, holes and lines: vertex after vertex. A ring is closed by its first vertex, by C or by Enter
// twice in one place; a line ends the same way; Enter where no cross hairs are in use ends either. What is
// set already is dragged elsewhere. Two vertices of a neighbour touched one after the other: the path
// follows the neighbour's edge from the one to the other, and the edge is shared.
import { BegunPath } from '../begun-path.js';
import { OWN } from '../own.js';
import { TAP } from '../pen.js';
import { phrase } from '../phrases.js';
import { apart, clampInto, findCrossing, formatPoints } from '../points.js';
import { handWords, worstHand } from '../steady.js';
import { drawHandles } from './handles.js';

const LEAST = { area: 3, hole: 3, line: 2, surface: 3, neutral: 3 };
const TWICE = 0.4; // of the pen's reach: a second touch this near ends the path

export class PathTool {
  constructor(bench, kind) {
    this.bench = bench;
    this.kind = kind;
    this.path = new BegunPath(bench.book, kind, () => this.show());
    this.pointer = null; // where the next vertex would stand
    this.snap = null; // the neighbour's vertex it would share
    this.vertex = null; // the one that k has chosen: Enter takes it up
    this.press = null; // {i, screen, now} while the pen is down; `now`: the path with vertex i dragged along
    this.fault = null; // {at, says}: where the path cannot stand
    this.tooFew = null; // so many points were to be the whole of it
  }

  get isRing() { return this.path.isRing; }
  get points() { return this.path.points; }

  enter() {
    if (this.kind === 'hole' && !this.host()) {
      this.bench.book.setTool('hand');
      this.bench.notice(phrase('choose-area'));
      return;
    }
    this.show();
  }

  leave() {
    Object.assign(this, { pointer: null, press: null, vertex: null, fault: null, tooFew: null });
    this.path.forget();
  }

  /** The area that a hole is drawn in. */
  host() {
    const mark = this.bench.book.peekMark();
    return mark?.words.outline ? mark : null;
  }

  /** A hole is not drawn to its own area's edge. */
  #hostShape() { return this.kind === 'hole' && this.host() ? this.bench.shapeOf(this.host()) : null; }

  // ---- Strokes ----

  #snapped(at) { return this.bench.snap(at, (shape) => shape === this.#hostShape()); }

  #aim(at) {
    this.atStart = this.#isAtStart(at);
    this.snap = this.atStart ? this.path.snaps[0] : this.#snapped(at);
    const { x, y } = this.atStart ? this.points[0] : this.snap ?? clampInto(at, this.bench.book.photo);
    this.pointer = { x, y, hand: this.atStart || this.snap ? 0 : at.hand };
  }

  #isAtStart(at) {
    const reach = at.alone ? TWICE * at.reach : at.reach;
    return this.isRing && this.points.length >= LEAST[this.kind] && apart(at, this.points[0]) <= reach;
  }

  /** The vertex that a press there may drag, or null. */
  #vertexAt(at) {
    if (at.by === 'keys') return this.vertex;
    const near = this.points.map((p, i) => ({ i, far: p.isBetween ? Infinity : apart(p, at) })).filter(({ far }) => far <= at.reach);
    return near.length > 0 ? near.reduce((a, b) => (b.far < a.far ? b : a)).i : null;
  }

  take(at) {
    if (at.sheet !== this.bench.large) return false;
    this.press = { i: this.#vertexAt(at), screen: at.screen, now: null };
    this.move(at);
    return this.press.now ? 'drag' : 'click';
  }

  move(at) {
    const { press } = this;
    const far = press ? Math.hypot(at.screen.x - press.screen.x, at.screen.y - press.screen.y) : 0;
    if (press && press.i !== null && (press.now || at.by === 'keys' || far > TAP)) this.#drag(at);
    else this.#aim(at);
    this.show();
  }

  #drag(at) {
    const { i } = this.press;
    Object.assign(this, { pointer: null, atStart: false, snap: this.#snapped(at) });
    const { x, y } = this.snap ?? clampInto(at, this.bench.book.photo);
    this.press.now = this.points.map((p, k) => (k === i ? { x, y, hand: this.snap ? 0 : at.hand } : p));
  }

  hover(at) {
    if (at?.sheet === this.bench.large) this.#aim(at);
    else this.pointer = null;
    this.vertex = null;
    this.show();
  }

  up(at) {
    this.move(at);
    const { press, snap } = this;
    this.press = null;
    if (press?.now) return void this.#letGo(press);
    const last = this.points.at(-1);
    const twice = last && apart(last, this.pointer) <= TWICE * at.reach;
    if (this.atStart || (twice && this.points.length >= LEAST[this.kind])) return void this.finish();
    if (twice) return undefined;
    const free = clampInto(at, this.bench.book.photo);
    this.path.add(this.pointer, snap, { x: free.x, y: free.y, hand: at.hand });
    this.bench.book.say([phrase('point-n', { n: this.points.length }), this.path.hint].filter(Boolean).join('. '));
    return undefined;
  }

  #letGo({ i, now }) {
    const { snap } = this;
    this.snap = null;
    this.path.move(now, i, snap);
    this.bench.book.say([phrase('point-n-moved', { n: i + 1 }), this.path.hint].filter(Boolean).join('. '));
  }

  drop() {
    Object.assign(this, { pointer: null, press: null });
    this.show();
  }

  /** What the lens should not lie over. */
  drawn() { return this.press?.now ?? this.points; }

  aim() { return this.press?.now?.[this.press.i] ?? this.pointer; }

  // ---- Keys and buttons ----

  key(event) {
    const key = event.key.toLowerCase();
    const isCommand = event.ctrlKey || event.metaKey;
    if (key === 'backspace' || (key === 'z' && isCommand)) return this.takeBack();
    if (this.points.length === 0) return this.firstKey(event);
    if (key === 'escape') this.giveUp();
    else if (key === 'c' && !isCommand) this.finish();
    else if (key === 'k' && !isCommand) this.#nextVertex(event.key === 'k' ? 1 : -1);
    else return false;
    return true;
  }

  /** A key while nothing is begun. */
  firstKey(event) {
    if (OWN[this.kind]) return event.key === 'Escape' && this.#leaveIt();
    if (this.kind === 'hole') return false;
    if (event.key !== 'o' || this.#holeIn().length === 0) return this.bench.freehandKey(event);
    this.bench.book.setTool('hole');
    return true;
  }

  /** From vertex to vertex, the cross hairs along; Enter takes one up and puts it down. */
  #nextVertex(by) {
    const n = this.points.length;
    this.vertex = this.vertex === null ? (by > 0 ? 0 : n - 1) : (this.vertex + by + n) % n;
    this.pointer = null;
    this.bench.aimAt(this.points[this.vertex]);
    this.bench.book.say(phrase('point-of-take', { i: this.vertex + 1, n }));
    this.show();
  }

  /** Enter where no cross hairs are in use; TRUE when a path was begun. */
  accept() {
    if (this.points.length === 0) return false;
    this.finish();
    return true;
  }

  get canTakeBack() { return this.path.hasBack || this.points.length > 0; }

  /** TRUE when there was something to take back. */
  takeBack() {
    this.vertex = null;
    if (!this.canTakeBack) return false;
    if (this.path.hasBack) this.bench.book.say(this.path.bringBack());
    else {
      this.path.shorten();
      this.bench.book.say(phrase('points-left', { n: this.points.length }));
    }
    return true;
  }

  giveUp() {
    Object.assign(this, { press: null, vertex: null });
    this.path.putAway();
    this.bench.notice(phrase('put-away'));
    this.#takeUpRefused();
  }

  #takeUpRefused() {
    if (this.path.takeUpRefused()) this.bench.notice(phrase('not-taken-mend'));
    this.show();
  }

  /** TRUE: a tool that is in hand for one outline alone is put away. */
  #leaveIt() {
    this.bench.book.setTool('hand');
    return true;
  }

  actions() {
    const n = this.points.length;
    const back = (label, key) => ({ name: 'take-back', label, key, run: () => this.takeBack() });
    if (n === 0) return [...(this.path.hasBack ? [back(phrase('bring-back'), 'U')] : []), ...this.beginnings()];
    return [
      ...(n >= LEAST[this.kind] ? [{ name: 'finish', label: phrase(this.isRing ? 'close-area' : 'end-line'), key: 'C', run: () => this.finish() }] : []),
      back(phrase('take-back'), 'Backspace'),
      { name: 'give-up', label: phrase('give-up'), key: 'Esc', run: () => this.giveUp() },
    ];
  }

  /** While nothing is begun. */
  beginnings() {
    if (OWN[this.kind]) return [{ name: 'give-up', label: phrase('give-up'), key: 'Esc', run: () => this.#leaveIt() }];
    return this.kind === 'hole' ? [] : [this.bench.freehandSwitch(), ...this.#holeIn()];
  }

  /** An area that was just closed may want a hole: no other tool need be taken up before. */
  #holeIn() {
    if (this.kind !== 'area' || !this.host()) return [];
    return [{ name: 'hole', label: phrase('hole'), key: 'O', run: () => this.bench.book.setTool('hole') }];
  }

  says() {
    if (this.fault) return this.fault.says;
    if (this.tooFew === this.points.length) return phrase(this.isRing ? 'three-points' : 'two-points');
    if (this.points.length > 0) return this.path.hint;
    return OWN[this.kind]?.asks ?? phrase(`touch-${this.kind}`);
  }

  // ---- What comes of it ----

  async finish() {
    const path = this.path.closed();
    if (path.length < LEAST[this.kind]) return void this.#tellTooFew();
    this.path.isTried = true;
    this.show();
    if (this.fault) return undefined;
    Object.assign(this, { pointer: null, vertex: null });
    this.path.set([], [null, null]);
    if (this.kind === 'hole') await this.bench.addHole(this.host(), path);
    else if (OWN[this.kind]) await this.bench.setOwn(this.kind, path);
    else await this.bench.addMark(this.kind, { [this.isRing ? 'outline' : 'line']: formatPoints(path) }, path.length, worstHand(path));
    return void this.#takeUpRefused();
  }

  #tellTooFew() {
    this.tooFew = this.points.length;
    this.bench.book.say(this.says());
    this.show();
  }

  // ---- What is seen ----

  #words(path) {
    if (path.length < LEAST[this.kind] || OWN[this.kind]) return null;
    const text = formatPoints(path);
    const { photo } = this.bench.book;
    const words = this.kind === 'hole' ? this.host().words : {};
    const hand = handWords(worstHand(path), photo, words);
    if (this.kind === 'line') return { line: text, ...hand };
    if (this.kind === 'area') return { outline: text, ...hand };
    return { ...words, holes: [...(words.holes ?? []), text], ...hand };
  }

  /** The path with the vertex that is being placed, and with the edge that closing it would share. */
  #now() {
    const { path, pointer, points, atStart, snap, press } = this;
    if (press?.now) return press.now;
    const isPlacing = pointer && points.length > 0 && !atStart;
    const way = isPlacing ? [...path.sharedWay(path.snaps[1], snap), pointer] : [];
    return [...points, ...way, ...path.closingWay(isPlacing ? snap : path.snaps[1])];
  }

  #look() {
    const had = this.fault;
    this.fault = this.path.look(this.press?.now, this.#hostShape()?.rings[0]);
    if (this.fault && this.fault.says !== had?.says) this.bench.book.say(this.fault.says);
  }

  show() {
    const { bench } = this;
    if (bench.tool() !== this) return;
    this.#look();
    bench.touchSketch();
    bench.showActions();
    if (this.points.length === 0) return void bench.live.clear();
    const now = this.#now();
    const hasNoSize = this.fault !== null || (this.isRing && findCrossing(now, true) !== null); // a corner that is being placed comes across others
    bench.live.show({ kind: this.kind === 'hole' ? 'area' : this.kind, points: formatPoints(now), holes: [], hasNoSize,
      ...(this.kind === 'hole' ? { mark: bench.book.mark } : {}), n: this.points.length }, hasNoSize ? null : this.#words(now));
    return undefined;
  }

  draw(brush, sheet) {
    if (sheet !== this.bench.large) return;
    const now = this.#now();
    brush.path(now, { closed: this.isRing && now.length > 2 });
    const closing = this.path.closingWay(this.path.snaps[1]); // what C would make of it
    if (closing.length > 0) brush.path([this.points.at(-1), ...closing, this.points[0]], { dash: [2, 5] });
    this.#drawVertices(brush);
    const at = this.aim();
    if (at && (this.snap || this.atStart)) brush.ring(at);
    if (this.fault) brush.ring(this.fault.at, 'fault');
  }

  #drawVertices(brush) {
    const all = this.press?.now ?? this.points;
    const taken = all[this.press?.now ? this.press.i : this.vertex ?? (this.isRing ? 0 : -1)];
    const set = all.filter((p) => !p.isBetween || p === taken);
    const pen = this.pointer && { ...this.pointer, screen: brush.toScreen(this.pointer) };
    drawHandles(brush, set, { pen, taken: set.indexOf(taken), ink: brush.look.ink('ink'), scale: brush.sheet.view.scale });
  }
}
