// Areas, holes and lines: vertex after vertex. A ring is closed by its first vertex, by C or by
// Enter twice in one place; a line ends the same way. Two vertices of a neighbour touched one after
// the other: the path follows the neighbour's edge from the one to the other, and the edge is shared.
import { Begun } from '../begun.js';
import { OWN } from '../own.js';
import { apart, between, clampInto, findCrossing, formatPoints, isInside } from '../points.js';

const LEAST = { area: 3, hole: 3, line: 2, surface: 3, neutral: 3 };
const CROSSES = 'The outline would cross itself where the ring is; take points back to there.';
const TWICE = 0.4; // of the pen's reach: a second touch this near ends the path

export class PathTool {
  constructor(bench, kind) {
    this.bench = bench;
    this.kind = kind;
    this.begun = new Begun(bench.book, kind, () => this.show());
    this.refused = new Begun(bench.book, `refused-${kind}`, () => this.show()); // paths that wait to be mended
    this.pointer = null; // where the next vertex would stand
    this.snap = null; // the neighbour's vertex it would share
    this.fault = null; // where the path crosses itself
  }

  #firstSnap = null; // what the first and the last vertex share with a neighbour
  #lastSnap = null;

  #forgetSnaps() {
    this.#firstSnap = null;
    this.#lastSnap = null;
  }

  get isRing() { return this.kind !== 'line'; }
  get points() { return this.begun.get(this.bench.book.photo.id); }
  set points(path) { this.begun.set(this.bench.book.photo.id, path); }

  enter() {
    if (this.kind === 'hole' && !this.host()) {
      this.bench.book.setTool('hand');
      this.bench.notice('Choose the area first; then draw the hole in it.');
      return;
    }
    this.show();
  }

  leave() {
    this.pointer = null;
    this.#forgetSnaps();
  }

  /** A path that was refused; FALSE when another is being drawn: it comes up when that one is done. */
  layBack(photo, path) {
    const isFree = this.begun.get(photo).length === 0;
    if (isFree) this.begun.set(photo, path);
    else this.refused.set(photo, [...this.refused.get(photo), path]);
    return isFree;
  }

  #takeUpRefused() {
    const { id } = this.bench.book.photo;
    const [path, ...rest] = this.refused.get(id);
    if (!path) return;
    this.points = path;
    this.refused.set(id, rest);
    this.bench.notice('This one was not taken by the record; mend it, or give it up.');
  }

  /** The area that a hole is drawn in. */
  host() {
    const mark = this.bench.book.peekMark();
    return mark?.words.outline ? mark : null;
  }

  /** A hole is not drawn to its own area's edge. */
  #hostShape() { return this.kind === 'hole' && this.host() ? this.bench.shapeOf(this.host()) : null; }

  // ---- Strokes ----

  #aim(at) {
    this.atStart = this.#isAtStart(at);
    this.snap = this.atStart ? this.#firstSnap : this.bench.snap(at, (shape) => shape === this.#hostShape());
    const { x, y } = this.atStart ? this.points[0] : this.snap ?? clampInto(at, this.bench.book.photo);
    this.pointer = { x, y };
  }

  /** The vertices of a neighbour's edge between two that are shared with it; none that is there already. */
  #sharedWay(from, to) {
    if (!from || !to || from.mark !== to.mark || from.ring !== to.ring) return [];
    const way = between(to.shape.rings[to.ring], to.shape.kind === 'area', from.i, to.i);
    const isThere = (p) => this.points.some((q) => q.x === p.x && q.y === p.y);
    return way.some(isThere) ? [] : way.map((p) => ({ ...p, isBetween: true }));
  }

  #isAtStart(at) {
    const reach = at.alone ? TWICE * at.reach : at.reach;
    return this.isRing && this.points.length >= LEAST[this.kind] && apart(at, this.points[0]) <= reach;
  }

  take(at) {
    if (at.sheet !== this.bench.large) return false;
    this.move(at);
    return 'click';
  }

  move(at) {
    this.#aim(at);
    this.fault = null;
    this.show();
  }

  hover(at) {
    if (at?.sheet === this.bench.large) this.#aim(at);
    else this.pointer = null;
    this.show();
  }

  up(at) {
    this.#aim(at);
    const last = this.points.at(-1);
    const twice = last && apart(last, this.pointer) <= TWICE * at.reach;
    if (this.atStart || (twice && this.points.length >= LEAST[this.kind])) return void this.finish();
    if (!twice) this.#add(this.pointer, this.snap);
    return undefined;
  }

  drop() {
    this.pointer = null;
    this.show();
  }

  aim() { return this.pointer; }

  #add(p, snap) {
    if (this.points.length === 0) this.#firstSnap = snap;
    this.points = [...this.points, ...this.#sharedWay(this.#lastSnap, snap), p];
    this.#lastSnap = snap;
    this.bench.book.say(`point ${this.points.length}`);
    this.show();
  }

  // ---- Keys and buttons ----

  key(event) {
    const isBack = event.key === 'Backspace' || (event.key === 'z' && (event.ctrlKey || event.metaKey));
    if (this.points.length === 0) return this.kind !== 'hole' && this.#firstKey(event);
    if (isBack) this.takeBack();
    else if (event.key === 'Escape') this.giveUp();
    else if (event.key.toLowerCase() === 'c' && !event.ctrlKey && !event.metaKey) this.finish();
    else return false;
    return true;
  }

  #firstKey(event) {
    if (OWN[this.kind]) return event.key === 'Escape' && this.#leaveIt();
    if (event.key !== 'o' || this.#holeIn().length === 0) return this.bench.freehandKey(event);
    this.bench.book.setTool('hole');
    return true;
  }

  /** TRUE when there was something to take back. */
  takeBack() {
    if (this.points.length === 0) return false;
    this.points = this.points.slice(0, this.points.slice(0, -1).findLastIndex((p) => !p.isBetween) + 1);
    this.#lastSnap = null;
    this.fault = null;
    this.bench.book.say(`${this.points.length} points left`);
    this.show();
    return true;
  }

  giveUp() {
    this.points = [];
    this.fault = null;
    this.bench.book.say('given up');
    this.#takeUpRefused();
    this.show();
  }

  /** TRUE: a tool that is in hand for one outline alone is put away. */
  #leaveIt() {
    this.bench.book.setTool('hand');
    return true;
  }

  actions() {
    const n = this.points.length;
    if (n === 0 && OWN[this.kind]) return [{ name: 'give-up', label: 'Give up', key: 'Esc', run: () => this.#leaveIt() }];
    if (n === 0) return this.kind === 'hole' ? [] : [this.bench.freehandSwitch(), ...this.#holeIn()];
    return [
      ...(n >= LEAST[this.kind] ? [{ name: 'finish', label: this.isRing ? 'Close' : 'End the line', key: 'C', run: () => this.finish() }] : []),
      { name: 'take-back', label: 'Take back', key: 'Backspace', run: () => this.takeBack() },
      { name: 'give-up', label: 'Give up', key: 'Esc', run: () => this.giveUp() },
    ];
  }

  /** An area that was just closed may want a hole: no other tool need be taken up before. */
  #holeIn() {
    if (this.kind !== 'area' || !this.host()) return [];
    return [{ name: 'hole', label: 'Hole', key: 'O', run: () => this.bench.book.setTool('hole') }];
  }

  says() {
    if (this.fault) return CROSSES;
    if (this.points.length > 0) return null;
    return { area: 'Touch its corners in turn', hole: 'Touch the corners of the hole in turn', line: 'Touch along it' }[this.kind] ?? OWN[this.kind].asks;
  }

  // ---- What comes of it ----

  #isSound(path) {
    const crossing = this.isRing ? findCrossing(path, true) : null;
    if (crossing) {
      this.fault = crossing.at;
      this.bench.book.say(CROSSES);
      this.show();
      return false;
    }
    const isOut = this.kind === 'hole' && !path.every((p) => isInside([this.bench.ringsOf(this.host())[0]], p));
    if (isOut) this.bench.notice('A hole lies inside its area; take back the points that do not.');
    return !isOut;
  }

  async finish() {
    const path = this.isRing ? [...this.points, ...this.#sharedWay(this.#lastSnap, this.#firstSnap)] : this.points;
    if (path.length < LEAST[this.kind] || !this.#isSound(path)) return;
    this.points = [];
    this.pointer = null;
    this.#forgetSnaps();
    this.bench.live.clear();
    if (this.kind === 'hole') await this.bench.addHole(this.host(), path);
    else if (OWN[this.kind]) await this.bench.setOwn(this.kind, path);
    else await this.bench.addMark(this.kind, { [this.isRing ? 'outline' : 'line']: formatPoints(path) }, path.length);
    this.#takeUpRefused();
    this.show();
  }

  // ---- What is seen ----

  #words(path) {
    if (path.length < LEAST[this.kind] || OWN[this.kind]) return null;
    const text = formatPoints(path);
    if (this.kind === 'line') return { line: text };
    if (this.kind === 'area') return { outline: text };
    const { words } = this.host();
    return { ...words, holes: [...(words.holes ?? []), text] };
  }

  /** The path with the vertex that is being placed, and with the edge that closing it would share. */
  #now() {
    const { pointer, points, atStart, snap } = this;
    const isPlacing = pointer && points.length > 0 && !atStart;
    const way = isPlacing ? [...this.#sharedWay(this.#lastSnap, snap), pointer] : [];
    return [...points, ...way, ...this.#closingWay(isPlacing ? snap : this.#lastSnap)];
  }

  /** What of a neighbour's edge lies between a vertex shared with it and the first one. */
  #closingWay(from) {
    return this.isRing && this.points.length > 1 ? this.#sharedWay(from, this.#firstSnap) : [];
  }

  show() {
    const { bench, points } = this;
    if (bench.tool() !== this) return;
    bench.touchSketch();
    bench.showActions();
    if (points.length === 0) return void bench.live.clear();
    const now = this.#now();
    const words = this.#words(now);
    bench.live.show({ kind: this.kind === 'hole' ? 'area' : this.kind, points: formatPoints(now), holes: [],
      ...(this.kind === 'hole' ? { mark: bench.book.mark } : {}), n: points.length, proposed: false }, words);
    return undefined;
  }

  draw(brush, sheet) {
    if (sheet !== this.bench.large) return;
    const now = this.#now();
    brush.path(now, { closed: this.isRing && now.length > 2 });
    const closing = this.#closingWay(this.#lastSnap); // what C would make of it
    if (closing.length > 0) brush.path([this.points.at(-1), ...closing, this.points[0]], { dash: [2, 5] });
    this.points.forEach((p, i) => { if (!p.isBetween) brush.handle(p, i === 0 && this.isRing ? 'taken' : 'vertex'); });
    if (this.pointer && (this.snap || this.atStart)) brush.ring(this.pointer);
    if (this.fault) brush.ring(this.fault, 'fault');
  }
}
