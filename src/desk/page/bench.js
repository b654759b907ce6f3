// The bench: two photographs side by side, the marks on them, and the tool in hand. Joins sheets,
// ink, pens and tools with the book; the words beside are others' business.
import { book } from './book.js';
import { Along } from './along.js';
import { copyOf } from './copy.js';
import { Earlier, fellowOf } from './earlier.js';
import { marksAt } from './hits.js';
import { Ink, shapeOf } from './ink.js';
import { Lens } from './lens.js';
import { picked, whyNotPicked } from './linking.js';
import { isFit } from './links.js';
import { askSize, Live } from './live.js';
import { largeness, lookOf } from './look.js';
import { OWN, drawOwn, ownOf, pointsTool } from './own.js';
import { Pen } from './pen.js';
import { phrase, termWord, viewWord } from './phrases.js';
import { formatPoints } from './points.js';
import { drawnIn, isDrawnAnew } from './refused.js';
import { Sheet } from './sheet.js';
import { snapTo } from './snap.js';
import { handEdits, handWords, worstHand } from './steady.js';
import { EdgeTool } from './tools/edge.js';
import { FreehandTool } from './tools/freehand.js';
import { HandTool } from './tools/hand.js';
import { PathTool } from './tools/path.js';
import { PointTool } from './tools/point.js';
import { ScaleTool } from './tools/scale.js';
import { TiesTool } from './tools/ties.js';

const COPY_AWAY = 24; // pixels of the screen between a mark and its copy

function stageWords({ stage, view, place }) {
  return [view && viewWord(view), place, stage && phrase(`stage-${stage}-treatment`)].filter(Boolean).join(', ');
}

class Bench {
  constructor(largeElement, smallElement) {
    this.book = book;
    this.isSnapping = true; // the pen is drawn to points that are there
    this.freehand = new Set(); // tools that draw without lifting the pen
    this.earlier = new Earlier();
    this.lens = new Lens();
    this.live = new Live(book);
    this.large = new Sheet(largeElement, 'large');
    this.small = new Sheet(smallElement, 'small');
    this.inks = [this.large, this.small].map((sheet) => this.#inkFor(sheet));
    this.tools = this.#makeTools();
    this.pens = [this.large, this.small].map((sheet) => new Pen(sheet, () => this.tool(), this.lens));
    this.scale = this.tools.scale;
    this.ties = this.tools.ties;
    this.along = new Along(this.large, this.small, () => this.ties.fromTo(book.photo));
    this.#listen();
    this.#laid();
  }

  #makeTools() {
    return {
      hand: new HandTool(this), area: new PathTool(this, 'area'), hole: new PathTool(this, 'hole'),
      line: new PathTool(this, 'line'), point: new PointTool(this), freehand: new FreehandTool(this),
      edge: new EdgeTool(this), scale: new ScaleTool(this), ties: new TiesTool(this),
      ...Object.fromEntries(Object.keys(OWN).flatMap((key) => [[key, new PathTool(this, key)],
        [pointsTool(key), new HandTool(this, key)]])),
    };
  }

  #inkFor(sheet) {
    const ink = new Ink(sheet);
    ink.look = lookOf(book.volume['page-style'], largeness());
    ink.tellMarks = () => this.#marksOn(sheet);
    if (sheet === this.large) ink.tellUnder = (brush, glass) => drawOwn(brush, glass, sheet.photo);
    ink.tellSketch = (brush) => {
      this.tool().draw?.(brush, sheet);
      const cross = this.#penOf(sheet)?.cross;
      if (cross) brush.cross(cross);
    };
    return ink;
  }

  /** What takes the pen: while a fellow is being picked, the hand. */
  tool() {
    if (book.picking) return this.tools.hand;
    return this.freehand.has(book.tool) ? this.tools.freehand : this.tools[book.tool] ?? this.tools.hand;
  }

  freehandSwitch() {
    const isOn = this.freehand.has(book.tool);
    return { name: 'freehand', label: phrase('freehand'), key: 'B', on: isOn, run: () => this.setFreehand(!isOn) };
  }

  freehandKey(event) {
    if (event.key !== 'b' || event.ctrlKey || event.metaKey) return false;
    this.setFreehand(!this.freehand.has(book.tool));
    return true;
  }

  setFreehand(isOn) {
    if (isOn) this.freehand.add(book.tool);
    else this.freehand.delete(book.tool);
    book.say(phrase(isOn ? 'freehand-on' : 'freehand-off'));
    this.#toolTaken();
  }

  #penOf(sheet) { return this.pens?.[sheet === this.large ? 0 : 1]; }

  // ---- What the book says ----

  #listen() {
    book.addEventListener('photo', () => this.#laid());
    book.addEventListener('other', () => this.#laid());
    book.addEventListener('mark', () => this.#chosen());
    book.addEventListener('tool', () => this.#toolTaken());
    book.addEventListener('refused', ({ detail }) => this.#giveBack(detail));
    book.addEventListener('picking', () => this.#toolTaken());
    const look = () => {
      for (const ink of this.inks) ink.look = lookOf(book.volume['page-style'], largeness());
      this.touch();
    };
    book.addEventListener('volume', look);
    this.large.addEventListener('size', look);
    for (const sheet of [this.large, this.small]) sheet.addEventListener('cross', () => this.touchSketch());
    document.addEventListener('keydown', (event) => this.pens[0].keyFromBeside(event), { capture: true });
  }

  #laid() {
    const isNew = this.large.photo?.id !== book.photo?.id;
    const { small } = this;
    const isSwap = isNew && small.photo?.id === book.photo?.id && this.large.photo?.id === book.other?.id;
    const seen = isSwap ? { at: small.centre, nearness: small.view.scale / small.fitScale } : null;
    this.large.show(book.photo);
    this.small.show(book.other);
    if (seen) this.large.look(seen.at, seen.nearness * this.large.fitScale, 'page');
    this.#name();
    if (isNew) this.#putAway();
    else this.#taken?.photoChanged?.();
    this.#toolTaken();
    this.#chosen();
    this.along.follow();
  }

  #name() {
    for (const { element, photo } of [this.large, this.small]) {
      element.setAttribute('role', 'application');
      element.setAttribute('aria-label', photo
        ? phrase('sheet-named', { what: stageWords(photo), marks: phrase('marks', { n: photo.marks.length }) }) : phrase('sheet-empty'));
    }
  }

  #taken = null; // the tool that was told it is in hand

  #putAway() {
    for (const pen of this.pens) pen.release();
    this.#taken?.leave?.();
    this.#taken = null;
  }

  #toolTaken() {
    const tool = this.tool();
    for (const { element } of [this.large, this.small]) element.dataset.tool = book.tool;
    if (this.#taken !== tool) {
      this.#putAway();
      this.#taken = tool;
      this.showActions();
      if (book.photo) tool.enter?.();
    }
    this.touch();
  }

  #chosen() {
    this.tools.hand.markChanged();
    const own = ownOf(book.tool);
    if (own) this.tools[pointsTool(own)].markChanged();
    this.touch();
    this.showActions();
  }

  // ---- Marks on the sheets ----

  #marksOn(sheet) {
    const { marks } = sheet.photo;
    const id = sheet === this.large ? book.mark : fellowOf(book.peekMark(), book.photo, sheet.photo);
    const dragged = sheet === this.large ? this.tools.hand.dragged() : null;
    return { marks: [...this.#earlierOn(sheet), ...marks], chosen: dragged ?? marks.find((mark) => mark.id === id) ?? null };
  }

  #earlierOn({ name, photo }) {
    const { pair } = this.ties;
    return pair?.after.id === photo.id ? this.earlier.on(name, photo, pair.before, this.ties.fromTo(pair.before)) : [];
  }

  shapeOf(mark) { return shapeOf(mark); }
  ringsOf(mark) { return shapeOf(mark).rings; }

  /** A vertex near the pen to be shared, {x, y, mark, number, shape, ring, i}, or null. */
  snap(at, skip) {
    if (!this.isSnapping) return null;
    const drawn = at.sheet.photo.marks.filter(shapeOf);
    const hit = snapTo(at, drawn.map(shapeOf), skip);
    if (!hit) return null;
    const { id, number } = drawn.find((mark) => shapeOf(mark) === hit.shape);
    return { ...hit, mark: id, number: number ?? id };
  }

  chooseAt(at) {
    const { photo } = at.sheet;
    const found = marksAt(at, photo.marks, shapeOf);
    if (book.picking) return this.#pick(photo, found);
    if (at.sheet !== this.large) return undefined;
    const next = (found.findIndex((mark) => mark.id === book.mark) + 1) % (found.length || 1);
    const mark = found[next] ?? null;
    book.select(mark?.id ?? null);
    if (mark) book.say(phrase(mark.shown ? 'mark-chosen-size' : 'mark-chosen',
      { number: mark.number ?? mark.id, name: termWord(mark.words.term), size: mark.shown }));
    return undefined;
  }

  /** Marks were touched, one of them to be linked to the chosen one: the first that can be. */
  #pick(photo, found) {
    if (!isFit(book.picking, book.photo, photo)) return this.notice(phrase('not-on-this'));
    const mark = found.find((one) => whyNotPicked(photo, one) === null) ?? found[0];
    return mark ? void picked(photo, mark) : undefined;
  }

  // ---- Changes ----

  /** A finished stroke is a mark at once. `geometry`: its key and text; `hand`: see steady.js; `n`: of points, 0 where
   * the tool itself says what came of it. Gives the mark's id. */
  async addMark(kind, geometry, n = 0, hand = 0) {
    const id = book.newMarkId();
    const photo = book.photo.id;
    const words = { ...geometry, ...handWords(hand, book.photo) };
    const edits = [['term', 'undecided'], ...Object.entries(words)].map(([key, value]) => ({ mark: id, key, value }));
    const kept = book.edit(edits, { says: phrase(`drawn-${kind}`) });
    book.select(id);
    await kept;
    if (n > 0) this.#tellSize(photo, id, kind, words, n);
    return id;
  }

  async #tellSize(photo, id, kind, words, n) {
    const size = await askSize(photo, kind, words).catch(() => ({}));
    if (book.photo.id === photo && !book.photo.marks.some((mark) => mark.id === id)) return; // undone, or refused
    const done = phrase(kind === 'area' ? 'closed-area' : `drawn-${kind}`);
    this.notice([done, n > 1 && phrase('points', { n }), size.shown].filter(Boolean).join(', '));
  }

  /** What the record would not take lies on its photograph again, to be mended. */
  #giveBack({ photo, stroke: { edits } }) {
    const drawn = drawnIn(edits, photo);
    if (!drawn || isDrawnAnew(edits, book.queue.waiting.get(photo.id)?.strokes ?? [])) return;
    const isHere = photo.id === book.photo.id;
    if (drawn.rings) {
      this.tools.hand.layBack(photo.id, drawn.mark, drawn.rings);
      if (!isHere) return;
      book.select(drawn.mark);
      this.notice(phrase('to-be-mended'));
      return;
    }
    const tool = this.tools[drawn.kind];
    if (!tool.path.layBack(photo.id, drawn.path) || !isHere) return;
    book.setTool(drawn.kind);
    tool.show();
  }

  async addHole(mark, path) {
    const value = [...(mark.words.holes ?? []), formatPoints(path)];
    const hand = handEdits(mark.id, worstHand(path), book.photo, mark.words);
    const kept = book.edit([{ mark: mark.id, key: 'holes', value }, ...hand], { says: phrase('hole-drawn') });
    book.setTool('hand'); // now: by the time it is kept another tool may be in hand
    await kept;
    this.notice(phrase('hole-closed', { points: phrase('points', { n: path.length }) }));
  }

  /** An outline of the photograph's own, in place of the one it had. */
  async setOwn(key, path) {
    const kept = book.edit([{ key, value: formatPoints(path) }], { says: phrase(`outlined-${key}`) });
    book.setTool('hand'); // now, as above
    await kept;
    this.notice(phrase(`is-outlined-${key}`, { points: phrase('points', { n: path.length }) }));
  }

  async copyMark() {
    const mark = book.peekMark();
    if (!mark) return;
    if (!shapeOf(mark)) return this.notice(phrase('nothing-to-copy'));
    const id = book.newMarkId();
    const words = copyOf(mark.words, COPY_AWAY / this.large.view.scale, book.photo);
    const kept = book.edit(Object.entries(words).map(([key, value]) => ({ mark: id, key, value })), { says: phrase('mark-copied') });
    book.select(id);
    await kept;
    this.notice(phrase('copied'));
  }

  // ---- For the tools and the page ----

  touch() { for (const ink of this.inks) ink.touch(); }
  touchChosen() { this.inks[0].touchChosen(); }
  touchSketch() { for (const ink of this.inks) ink.touchSketch(); }

  /** Said aloud, and shown where the page shows it. */
  notice(text) {
    book.tell('notice', { text });
    book.say(text);
  }

  /** What can be done at this moment, and what is to be done next: see aids.js. */
  showActions() {
    if (!book.photo) return;
    book.actions = this.tool().actions?.() ?? [];
    book.toolSays = this.tool().says?.() ?? null;
    book.tell('actions');
  }

  penAt() {
    const { cross } = this.pens[0];
    return cross ? { ...cross, screen: this.large.toScreen(cross) } : null;
  }

  aimAt(p) { this.pens[0].aimAt(p); }

  /** TRUE when the tool in hand has something to take back that the record's history does not know. */
  get canTakeBack() { return this.tool().canTakeBack ?? false; }

  /** Takes the last point of a path back; else the last change. */
  undo() { return this.tool().takeBack?.() ? undefined : book.undo(); }

  zoom(by) { this.large.zoomStep(by); }
  fit() { this.large.fit(); }
  fullSize() { this.large.fullSize(); }
  magnifier(isOn = !this.lens.isOn) { this.lens.isOn = isOn; }
  focus() { this.large.element.focus({ preventScroll: true }); }

  /** Brings a mark into sight; where it is already, nothing moves. */
  show(markId) {
    const mark = book.photo.marks.find(({ id }) => id === markId);
    const box = mark && shapeOf(mark)?.box;
    if (!box) return;
    const [a, b] = [this.large.toScreen({ x: box.left, y: box.top }), this.large.toScreen({ x: box.right, y: box.bottom })];
    const { width, height } = this.large.size;
    const isSeen = a.x >= 0 && a.y >= 0 && b.x <= width && b.y <= height;
    if (!isSeen) this.large.look({ x: (box.left + box.right) / 2, y: (box.top + box.bottom) / 2 },
      Math.min(this.large.view.scale, 0.8 * Math.min(width / (box.right - box.left + 1), height / (box.bottom - box.top + 1))));
  }
}

/** Fills two empty elements of the page; call it once, when the volume has been read. */
export function layBench(largeElement, smallElement) {
  return new Bench(largeElement, smallElement);
}
