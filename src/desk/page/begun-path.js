// An outline or a line that is being drawn, vertex by vertex: its points (begun.js keeps them), what its
// ends share with a neighbour, where it cannot stand, and what one Undo right after the last act leads
// back to.
import { Begun } from './begun.js';
import { phrase } from './phrases.js';
import { between, findCrossing, findOutside } from './points.js';

export class BegunPath {
  #back = null; // {points, snaps, says, hint, isPutAway}

  /** `changed` is called whenever there is something else to see. */
  constructor(book, kind, changed) {
    Object.assign(this, { book, changed, isRing: kind !== 'line' });
    this.begun = new Begun(book, kind, changed);
    this.refused = new Begun(book, `refused-${kind}`, changed); // paths that wait to be mended
    this.snaps = [null, null]; // the neighbour's vertices that the first and the last one share
    this.isTried = false; // it was to be closed: the edge that closes it counts, too
    this.laid = null; // the points as they were laid back
    book.addEventListener('history', () => { this.#back = null; });
  }

  get points() { return this.begun.get(this.book.photo.id); }
  get n() { return this.points.length; }
  get hint() { return this.#back?.hint ?? null; }
  get hasBack() { return this.#back !== null; }

  /** `back`: {points, snaps, says}, this path as one Undo will have it. */
  set(points, snaps, back = null) {
    this.begun.set(this.book.photo.id, points);
    this.snaps = snaps;
    this.#back = back;
    this.changed();
  }

  /** Another tool or photograph: what is shared and the way back are not known any more. */
  forget() {
    this.snaps = [null, null];
    this.#back = null;
  }

  /** One more vertex; where it is a neighbour's, it can be freed: `free` is where the pen was. */
  add(p, snap, free) {
    const { points, snaps } = this;
    const first = points.length === 0 ? snap : snaps[0];
    const back = snap && { points: [...points, free], snaps: [points.length === 0 ? null : first, null],
      says: phrase('point-free'), hint: phrase('shares-corner', { number: snap.number }) };
    this.set([...points, ...this.sharedWay(snaps[1], snap), p], [first, snap], back);
  }

  /** Vertex `i` went where `points` have it. */
  move(points, i, snap) {
    const { points: was, snaps } = this;
    const hint = snap && phrase('shares-corner-moved', { number: snap.number });
    this.set(points, [i === 0 ? snap : snaps[0], i === was.length - 1 ? snap : snaps[1]],
      { points: was, snaps, says: phrase('point-back'), hint });
  }

  putAway() {
    this.isTried = false;
    this.set([], [null, null], { points: this.points, snaps: this.snaps, says: phrase('brought-back'), isPutAway: true });
  }

  /** Without the last vertex, and what of a neighbour's edge led to it. */
  shorten() {
    this.set(this.points.slice(0, this.points.slice(0, -1).findLastIndex((p) => !p.isBetween) + 1), [this.snaps[0], null]);
  }

  /** As it was before the last act; tells what that is called. */
  bringBack() {
    const { points, snaps, says, isPutAway } = this.#back;
    if (isPutAway && this.n > 0) this.#wait(this.book.photo.id, this.points, true); // one that waited had come up
    this.set(points, snaps);
    return says;
  }

  // ---- What could not stand ----

  /** FALSE when another is being drawn: it comes up when that one is done. */
  layBack(photo, points) {
    const isFree = this.begun.get(photo).length === 0;
    if (isFree) this.#lay(photo, points);
    else this.#wait(photo, points);
    return isFree;
  }

  #lay(photo, points) {
    Object.assign(this, { laid: points, isTried: true });
    this.begun.set(photo, points);
  }

  #wait(photo, points, isNext = false) {
    const others = this.refused.get(photo);
    this.refused.set(photo, isNext ? [points, ...others] : [...others, points]);
  }

  /** What was laid back, with fewer points, unless it was touched meanwhile. */
  layThinner(photo, points, thin) {
    if (this.begun.get(photo) !== points) return;
    this.#lay(photo, thin);
    this.changed();
  }

  /** TRUE when one that waited has come up. */
  takeUpRefused() {
    const { id } = this.book.photo;
    const [next, ...rest] = this.refused.get(id);
    if (!next) return false;
    this.#lay(id, next);
    this.refused.set(id, rest);
    return true;
  }

  /**
   * Where it cannot stand, {at, says}, or null. `dragged`: its points as they would be; `host`: the ring
   * that a hole lies in.
   */
  look(dragged, host) {
    const fault = this.isRing ? this.#fault(dragged ?? (this.isTried ? this.closed() : this.points), host) : null;
    if (!fault && !dragged) this.isTried = false;
    const isRefused = this.laid === this.points;
    return fault && { at: fault.at, says: phrase(isRefused ? `refused-${fault.what}` : `fault-${fault.what}`, { mend: phrase('mend') }) };
  }

  #fault(points, host) {
    const crossing = findCrossing(points, this.isTried);
    if (crossing) return { at: crossing.at, what: 'crosses' };
    const out = host && findOutside(points, this.isTried, host);
    return out ? { at: out, what: 'hole-outside' } : null;
  }

  // ---- A neighbour's edge ----

  /** The vertices of a neighbour's edge between two that are shared with it; none that is there already. */
  sharedWay(from, to) {
    if (!from || !to || from.mark !== to.mark || from.ring !== to.ring) return [];
    const way = between(to.shape.rings[to.ring], to.shape.kind === 'area', from.i, to.i);
    const isThere = (p) => this.points.some((q) => q.x === p.x && q.y === p.y);
    return way.some(isThere) ? [] : way.map((p) => ({ ...p, isBetween: true }));
  }

  /** What of it lies between a vertex shared with it and the first one. */
  closingWay(from) { return this.isRing && this.n > 1 ? this.sharedWay(from, this.snaps[0]) : []; }

  closed() { return [...this.points, ...this.closingWay(this.snaps[1])]; }
}
