// The hand: chooses a mark, moves its vertices, makes new ones from the middle of an edge, and moves
// a whole mark when asked to. Everything else pushes the picture about.
import { Begun } from '../begun.js';
import { apart, boundsOf, clampInto, findCrossing, formatPoints, nearestVertex } from '../points.js';
import { ownOutline } from '../own.js';
import { phrase } from '../phrases.js';
import { handEdits } from '../steady.js';
import { drawHandles, middlesOf } from './handles.js';

const KEY_OF = { area: 'outline', line: 'line', point: 'point' };
const LEAST = { area: 3, line: 2, point: 1 };
/** Which ring's which vertex: {ring, i}. */
function sameVertex(a, b) { return a !== null && b !== null && a.ring === b.ring && a.i === b.i; }

export class HandTool {
  /** `own`: which of the photograph's own outlines it moves the points of; else those of the chosen mark. */
  constructor(bench, own = null) {
    Object.assign(this, { bench, own });
    this.held = null; // {rings, vertex, isNew, start} while something is dragged
    this.vertex = null; // the vertex that was touched last, for keys and buttons
    this.isMoving = false; // the whole mark goes with the pen
    this.pointer = null;
    this.laidBack = new Begun(bench.book, 'refused', () => bench.touch()); // [{mark, rings}]
  }

  get mark() { return this.own ? ownOutline(this.bench.book.photo, this.own) : this.bench.book.peekMark(); }
  get shape() { return this.mark ? this.bench.shapeOf(this.mark) : null; }
  get rings() { return this.held?.rings ?? this.mending ?? this.shape?.rings ?? []; }
  get isRing() { return this.shape?.kind === 'area'; }
  get mayHole() { return this.isRing && !this.own; }

  enter() {
    if (this.own) this.bench.book.select(null); // one thing at a time has points to be moved
    this.bench.showActions();
  }

  leave() {
    this.drop();
    this.isMoving = false;
    this.vertex = null;
  }

  /** Another mark was chosen, or this one has changed. */
  markChanged() {
    const isDone = this.own && (!this.mark || this.bench.book.mark !== null); // gone, or a mark was chosen
    if (isDone && this.bench.tool() === this) return void this.bench.book.setTool('hand');
    if (this.own || this.markId === this.bench.book.mark) {
      if (this.vertex && !this.rings[this.vertex.ring]?.[this.vertex.i]) this.vertex = null;
      return;
    }
    this.markId = this.bench.book.mark;
    this.drop();
    this.vertex = null;
    this.isMoving = false;
  }

  // ---- Strokes ----

  take(at) {
    if (at.sheet !== this.bench.large || this.bench.book.picking || !this.shape) return false;
    if (this.isMoving) this.held = { rings: this.rings, start: at, whole: true };
    else this.held = this.#takeVertex(at) ?? this.#takeMiddle(at);
    if (!this.held) return false;
    this.held.was = this.#text();
    this.vertex = this.held.vertex ?? null;
    this.bench.touchSketch();
    return 'drag';
  }

  /** The chosen mark's places as the record has them. */
  #text() { return JSON.stringify([this.mark?.words[KEY_OF[this.shape?.kind]], this.mark?.words.holes]); }

  #takeVertex(at) {
    let best = null;
    this.rings.forEach((path, ring) => {
      const near = nearestVertex(path, at, best?.distance ?? at.reach);
      if (near) best = { ...near, ring };
    });
    return best && { rings: this.rings, start: at, vertex: { ring: best.ring, i: best.i } };
  }

  #takeMiddle(at) {
    for (const [ring, path] of this.rings.entries())
      for (const { i, p } of this.#middles(path))
        if (apart(p, at) <= at.reach) {
          const rings = this.rings.map((r, k) => (k === ring ? [...r.slice(0, i + 1), p, ...r.slice(i + 1)] : r));
          return { rings, start: at, vertex: { ring, i: i + 1 }, isNew: true };
        }
    return null;
  }

  #middles(path) {
    return this.shape.kind === 'point' ? [] : middlesOf(path, this.isRing, this.bench.large.view.scale);
  }

  move(at) {
    const { held } = this;
    if (!held) return;
    held.hasMoved ||= at.by === 'keys' || Math.hypot(at.screen.x - held.start.screen.x, at.screen.y - held.start.screen.y) > 2;
    if (!held.hasMoved) return;
    held.now = held.whole ? this.#shifted(at) : this.#withVertexAt(at);
    held.hand = held.whole || this.snapped ? 0 : at.hand;
    this.bench.touchChosen();
    this.#showSize();
  }

  #shifted(at) {
    const { start, rings } = this.held;
    const box = boundsOf(rings[0]);
    const { width, height } = this.bench.book.photo;
    const dx = Math.max(-box.left, Math.min(width - box.right, at.x - start.x));
    const dy = Math.max(-box.top, Math.min(height - box.bottom, at.y - start.y));
    return rings.map((ring) => ring.map(({ x, y }) => ({ x: x + dx, y: y + dy })));
  }

  #withVertexAt(at) {
    const { rings, vertex } = this.held;
    const snap = this.bench.snap(at, (shape, ring, i) => shape === this.shape && sameVertex(vertex, { ring, i }));
    this.snapped = snap;
    const { x, y } = snap ?? clampInto(at, this.bench.book.photo);
    return rings.map((path, ring) => (ring === vertex.ring ? path.map((q, i) => (i === vertex.i ? { x, y } : q)) : path));
  }

  up() {
    const { held, snapped } = this;
    this.#release();
    if (!held?.now) return void this.bench.showActions();
    if (this.isMoving) this.isMoving = false;
    if (held.was !== this.#text()) return void this.bench.notice(phrase('changed-elsewhere'));
    if (held.whole) return void this.#write(held.now, phrase('moved'));
    return void this.#write(held.now, phrase(held.isNew ? 'point-added' : 'point-moved'), held.vertex, held.hand, snapped);
  }

  drop() { this.#release(); }

  #release() {
    this.held = null;
    this.snapped = null;
    this.bench.live.clear();
    this.bench.touchChosen();
  }

  aim() {
    const { held } = this;
    return held?.vertex && held.now ? held.now[held.vertex.ring][held.vertex.i] : null;
  }

  hover(at) {
    this.pointer = at?.sheet === this.bench.large ? at : null;
    if (this.isCrowded) this.bench.touchSketch(); // handles come up near the pen
  }

  tap(at) {
    if (this.own) this.bench.book.setTool('hand');
    this.bench.chooseAt(at);
  }

  // ---- What the record would not take ----

  /** Places of the chosen mark that were refused and wait to be mended, or null. */
  get mending() {
    const { photo, mark } = this.bench.book;
    if (this.own) return null; // it is drawn on with its own tool
    return this.laidBack.get(photo.id).find((laid) => laid.mark === mark)?.rings ?? null;
  }

  /** The record itself has the mark as it cannot stand. */
  get isWrong() { return (this.bench.book.photo.complaints ?? []).some(({ mark, severity }) => mark === this.mark?.id && severity === 'error'); }

  /** `rings` null: they wait no longer. */
  layBack(photo, mark, rings) {
    const others = this.laidBack.get(photo).filter((laid) => laid.mark !== mark);
    this.laidBack.set(photo, rings ? [...others, { mark, rings }] : others);
    this.bench.touch();
    this.bench.showActions();
  }

  /** TRUE when there was something that could not stand. */
  takeBack() {
    if (!this.mending) return false;
    this.layBack(this.bench.book.photo.id, this.bench.book.mark, null);
    this.vertex = null;
    this.bench.notice(phrase('given-up'));
    return true;
  }

  // ---- Changes ----

  #crosses(rings, vertex) {
    const isOne = vertex && !this.mending;
    return this.isRing && rings.some((ring, r) => {
      const near = isOne ? [vertex.i - 1, vertex.i] : null; // its own edges alone have moved
      return (!isOne || vertex.ring === r) && findCrossing(ring, true, near) !== null;
    });
  }

  async #write(rings, says, vertex = null, hand = 0, snapped = null) {
    const { id } = this.mark;
    const isMending = this.mending !== null;
    if (this.#crosses(rings, vertex)) {
      if (isMending) this.layBack(this.bench.book.photo.id, id, rings);
      return void this.bench.notice(phrase(isMending ? 'crosses-here' : 'would-cross'));
    }
    if (isMending) this.layBack(this.bench.book.photo.id, id, null);
    const { kind } = this.shape;
    const [first, ...holes] = rings.map(formatPoints);
    const edits = [this.own ? { key: this.own, value: first } : { mark: id, key: KEY_OF[kind], value: first }];
    if (kind === 'area' && (holes.length > 0 || this.mark.words.holes))
      edits.push({ mark: id, key: 'holes', value: holes.length > 0 ? holes : null });
    if (!this.own) edits.push(...handEdits(id, hand, this.bench.book.photo, this.mark.words));
    await this.bench.book.edit(edits, { says });
    if (snapped) this.bench.notice(phrase('done-shares-corner', { done: says, number: snapped.number }));
    else this.bench.book.say(says);
    this.bench.showActions();
    return undefined;
  }

  deletePoint() {
    const { vertex, rings } = this;
    if (!vertex || this.shape.kind === 'point') return;
    const ring = rings[vertex.ring];
    if (ring.length <= LEAST[this.shape.kind]) {
      if (vertex.ring > 0) return void this.#write(rings.filter((_, i) => i !== vertex.ring), phrase('hole-deleted'));
      return void this.bench.notice(`${phrase(this.isRing ? 'three-points' : 'two-points')}.`);
    }
    const left = rings.map((path, r) => (r === vertex.ring ? path.filter((_, i) => i !== vertex.i) : path));
    this.vertex = { ...vertex, i: Math.max(0, vertex.i - 1) };
    return void this.#write(left, phrase('point-deleted'));
  }

  toggleMoving() {
    this.isMoving = !this.isMoving;
    this.bench.book.say(phrase(this.isMoving ? 'mark-moves' : 'mark-stays'));
    this.bench.showActions();
    this.bench.touchSketch();
  }

  /** From vertex to vertex of the chosen mark, the cross hairs along. */
  nextVertex(by) {
    const all = this.rings.flatMap((path, ring) => path.map((_, i) => ({ ring, i })));
    if (all.length === 0) return;
    const from = all.findIndex((v) => sameVertex(v, this.vertex));
    const at = from < 0 ? (by > 0 ? 0 : all.length - 1) : (from + by + all.length) % all.length;
    this.vertex = all[at];
    this.bench.aimAt(this.rings[this.vertex.ring][this.vertex.i]);
    this.bench.book.say(phrase('point-of', { i: at + 1, n: all.length }));
    this.bench.showActions();
    this.bench.touchSketch();
  }

  /** Deleting and copying the mark itself are the slip's. */
  key(event) {
    if (event.ctrlKey || event.metaKey) return false;
    if (event.key === 'Escape') return this.#escape();
    if (!this.shape) return false;
    const isDelete = event.key === 'Delete' || event.key === 'Backspace';
    if (event.key.toLowerCase() === 'k') this.nextVertex(event.key === 'k' ? 1 : -1);
    else if (isDelete && this.vertex && this.shape.kind !== 'point') this.deletePoint();
    else if (event.key === 'm') this.toggleMoving();
    else if (event.key === 'o' && this.mayHole) this.bench.book.setTool('hole');
    else return false;
    return true;
  }

  #escape() {
    if (this.bench.book.picking) this.bench.book.pick(null);
    else if (this.isMoving) this.toggleMoving();
    else if (this.vertex) this.vertex = null;
    else if (this.takeBack()) return true;
    else if (this.own) this.bench.book.setTool('hand');
    else if (this.bench.book.mark !== null) this.bench.book.select(null);
    else return false;
    this.bench.showActions();
    this.bench.touchSketch();
    return true;
  }

  actions() {
    const { book } = this.bench;
    if (!this.shape || book.picking) return [];
    const isPath = this.shape.kind !== 'point';
    return [
      ...(this.vertex && isPath ? [{ name: 'delete-point', label: phrase('delete-point'), key: 'Delete', run: () => this.deletePoint() }] : []),
      ...(this.mayHole ? [{ name: 'hole', label: phrase('hole'), key: 'O', run: () => book.setTool('hole') }] : []),
      { name: 'move', label: phrase('move'), key: 'M', on: this.isMoving, run: () => this.toggleMoving() },
      ...(this.own ? [{ name: 'done', label: phrase('done'), key: 'Esc', run: () => book.setTool('hand') }] : []),
      ...(this.mending ? [{ name: 'give-up', label: phrase('give-up'), key: 'Esc', run: () => this.takeBack() }] : []),
    ];
  }

  says() {
    if (this.bench.book.picking) return phrase('touch-beside');
    if (this.isMoving) return phrase(`drag-${this.own ?? 'mark'}`);
    if (this.own) return phrase(`drag-points-${this.own}`);
    return this.mending ? phrase('mend-mark') : null;
  }

  // ---- What is seen ----

  /** The chosen mark as it is being dragged or mended, for the ink. */
  dragged() {
    const rings = this.mark && (this.held?.now ?? this.mending);
    return rings ? { ...this.mark, words: this.#wordsOf(rings) } : null;
  }

  #wordsOf(rings) {
    const [first, ...holes] = rings.map(formatPoints);
    const words = { ...this.mark.words, [KEY_OF[this.shape.kind]]: first };
    return holes.length > 0 ? { ...words, holes } : words;
  }

  #showSize() {
    const { now } = this.held;
    const { kind } = this.shape;
    if (kind === 'point' || this.own) return;
    this.bench.live.show({ kind, points: formatPoints(now[0]), holes: now.slice(1).map(formatPoints),
      mark: this.mark.id, n: now[0].length }, this.#wordsOf(now));
  }

  draw(brush, sheet) {
    if (sheet !== this.bench.large || !this.shape) return;
    const rings = this.held?.now ?? this.rings;
    if (this.own) brush.path(rings[0], { closed: true });
    if (this.mending) for (const ring of rings) brush.path(ring, { closed: this.isRing, dash: [9, 6] });
    if (this.mending || this.isWrong) this.#drawFaults(brush, rings);
    if (this.isMoving) brush.path(rings[0], { closed: this.isRing, dash: [2, 5] });
    else this.#drawHandles(brush, rings);
    if (this.snapped) brush.ring(this.snapped);
  }

  #drawFaults(brush, rings) {
    for (const ring of rings) {
      const crossing = this.isRing ? findCrossing(ring, true) : null;
      if (crossing) brush.ring(crossing.at, 'fault');
    }
  }

  #drawHandles(brush, rings) {
    const ink = this.own ? brush.look.ink('ink') : brush.look.group(this.mark.group ?? 'other').ink;
    const pen = this.bench.penAt() ?? this.pointer;
    this.isCrowded = false;
    rings.forEach((path, ring) => {
      const taken = this.vertex?.ring === ring ? this.vertex.i : -1;
      this.isCrowded = drawHandles(brush, path, { pen, taken, ink, scale: brush.sheet.view.scale }) || this.isCrowded;
      for (const { p } of this.#middles(path)) brush.handle(p, 'between', { ink });
    });
  }
}
