// Ties: a place on one photograph and the same place on the other. They are written with the after
// photograph, and count from four; fewer are kept by this page until there are enough.
import { Begun } from '../begun.js';
import { phrase } from '../phrases.js';
import { clampInto, formatPoint, nearestVertex, parsePoints } from '../points.js';

const LEAST = 4;
const TAP = 4; // pixels of the screen: a touch that chooses moves no further

export class TiesTool {
  constructor(bench) {
    this.bench = bench;
    this.few = new Begun(bench.book, 'ties', () => this.show()); // of the after photograph, while fewer than four
    this.open = {}; // photograph's ID -> its end of a tie that has no fellow yet
    this.held = null; // {photo, i} an end that is being moved; i null: the open one
    this.chosen = null; // number of the tie touched last
    this.stepping = Promise.resolve(); // undo pressed twice at once takes two steps
  }

  /** The photograph the ties are written with, and its fellow. */
  get pair() {
    const { photo, other } = this.bench.book;
    if (!photo || !other) return null;
    const isAfter = photo.stage === 'after' || (photo.stage === 'during' && other.stage === 'before');
    return isAfter || other.stage === photo.stage ? { after: photo, before: other } : { after: other, before: photo };
  }

  /** [{here, there}] points; here on the after photograph. */
  get ties() {
    if (!this.pair) return [];
    const { after } = this.pair;
    const saved = (after.ties ?? []).map(({ here, there }) => ({ here: parsePoints(here)[0], there: parsePoints(there)[0] }));
    return saved.length > 0 ? saved : this.few.get(after.id);
  }

  get n() { return this.ties.length; }

  /** [{from, to}], from points of one photograph of the pair to those of the other */
  fromTo(photo) {
    const isAfter = this.pair?.after.id === photo.id;
    return this.ties.map(({ here, there }) => (isAfter ? { from: here, to: there } : { from: there, to: here }));
  }

  enter() { this.show(); }

  says() {
    if (!this.pair) return phrase('ties-need');
    if (this.#isOpen()) return phrase('ties-other');
    const owed = LEAST - this.n;
    return owed > 0 ? phrase(this.n === 0 ? 'ties-first' : 'ties-next', { n: owed }) : phrase('ties-n', { n: this.n });
  }

  leave() {
    this.held = null;
    this.open = {};
    this.chosen = null;
  }

  #ends(photo) {
    const key = photo.id === this.pair.after.id ? 'here' : 'there';
    return this.ties.map((tie) => tie[key]);
  }

  // ---- Strokes ----

  take(at) {
    const { photo } = at.sheet;
    if (!this.pair || !photo) return false;
    const near = nearestVertex(this.#ends(photo), at, at.reach);
    this.held = near ? { photo, i: near.i, start: at.screen } : { photo, i: null };
    this.chosen = near?.i ?? null;
    this.move(at);
    return near && at.by === 'keys' ? 'drag' : 'click';
  }

  move(at) {
    if (!this.held || at.sheet.photo !== this.held.photo) return;
    this.held.p = clampInto(at, this.held.photo);
    this.show();
  }

  up(at) {
    this.move(at);
    const { photo, i, p, start } = this.held;
    this.held = null;
    const isTap = start && at.by !== 'keys' && Math.hypot(at.screen.x - start.x, at.screen.y - start.y) <= TAP;
    if (isTap) this.show();
    else if (i !== null) this.#put(this.ties.map((tie, k) => (k === i ? { ...tie, [this.#side(photo)]: p } : tie)), phrase('tie-moved'));
    else this.#addEnd(photo, p);
  }

  drop() {
    this.held = null;
    this.show();
  }

  aim() { return this.held?.p ?? null; }

  #side(photo) { return photo.id === this.pair.after.id ? 'here' : 'there'; }

  #addEnd(photo, p) {
    this.open[photo.id] = p;
    const { after, before } = this.pair;
    const [here, there] = [this.open[after.id], this.open[before.id]];
    if (!here || !there) {
      this.bench.book.say(phrase('ties-other-said'));
      return this.show();
    }
    this.open = {};
    this.chosen = this.n;
    return this.#put([...this.ties, { here, there }], phrase('tie-set'));
  }

  // ---- What comes of it ----

  async #put(ties, says) {
    const { after } = this.pair;
    if (ties.length >= LEAST || this.#areSaved()) {
      this.few.set(after.id, []);
      const value = ties.length >= LEAST ? ties.map(({ here, there }) => `${formatPoint(here)} ${formatPoint(there)}`) : null;
      if (!value) this.few.set(after.id, ties);
      await this.bench.book.edit([{ key: 'ties', value }], { photo: after.id, says });
    } else this.few.set(after.id, ties);
    this.#tell(says);
  }

  #tell(says) {
    const owed = LEAST - this.n;
    this.bench.notice(owed > 0 ? phrase('ties-before-saved', { done: says, n: owed }) : phrase('ties-in-all', { done: says, n: this.n }));
    this.bench.along.forget();
    this.show();
  }

  remove(i) {
    if (i < 0 || i >= this.n) return;
    this.chosen = null;
    this.#put(this.ties.filter((_, k) => k !== i), phrase('tie-deleted'));
  }

  get canTakeBack() { return this.#isOpen() || this.n > 0; }

  /** The end without a fellow, else the last change: it is in the after photograph's history. */
  takeBack() {
    if (!this.canTakeBack) return false;
    if (this.#isOpen()) this.open = {};
    else this.stepping = this.stepping.then(() => this.#stepBack());
    this.show();
    return true;
  }

  /** Fewer than four are not in the record: those that its history does not know are kept here. */
  async #stepBack() {
    const { bench: { book }, ties } = this;
    const { id } = this.pair.after;
    const isSaved = this.#areSaved();
    const last = await book.lastAct(id);
    const wasDeleted = last?.edits.some(({ key, value }) => key === 'ties' && value === null);
    if (isSaved || wasDeleted) await book.undo(id);
    if (this.#areSaved()) this.few.set(id, []);
    else this.few.set(id, ties.slice(0, -1));
    this.#tell(phrase('tie-taken-back'));
  }

  #areSaved() { return (this.pair.after.ties ?? []).length > 0; }

  #isOpen() { return Object.keys(this.open).length > 0; }

  key(event) {
    const isBack = event.key === 'Backspace' || (event.key === 'z' && (event.ctrlKey || event.metaKey));
    if (isBack || (event.key === 'Escape' && this.#isOpen())) return this.takeBack();
    if (event.key !== 'Delete' || this.chosen === null) return false;
    this.remove(this.chosen);
    return true;
  }

  actions() {
    const open = this.#isOpen()
      ? [{ name: 'take-back', label: phrase('take-back'), key: 'Backspace', run: () => this.takeBack() }] : [];
    const { chosen } = this;
    return chosen === null ? open
      : [...open, { name: 'delete-tie', label: phrase('delete-tie', { n: chosen + 1 }), key: 'Del', run: () => this.remove(chosen) }];
  }

  // ---- What is seen ----

  show() {
    if (this.bench.tool() !== this) return;
    this.bench.touchSketch();
    this.bench.showActions();
  }

  draw(brush, sheet) {
    const { photo } = sheet;
    if (!this.pair || !photo) return;
    this.#ends(photo).forEach((p, i) => {
      const isHeld = this.held?.photo === photo && this.held.i === i;
      brush.handle(isHeld ? this.held.p : p, i === this.chosen ? 'taken' : 'tie', { label: String(i + 1) });
    });
    const open = this.open[photo.id];
    const isNew = this.held?.photo === photo && this.held.i === null;
    if (isNew || open) brush.handle(isNew ? this.held.p : open, 'taken', { label: String(this.n + 1) });
  }
}
