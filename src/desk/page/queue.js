// Strokes on their way to the disk: in order, photograph by photograph, kept by the browser until
// the server has them. A text that somebody else has changed meanwhile is never written over: its
// strokes wait until a person has chosen (`conflict`), the other photographs go on.

import { apply, diff } from './edits.js';
import { VOLUME, aligned, asSent, asState, pathOf, readState, renamed, renaming } from './record.js';
import { Gone, post, Refusal } from './wire.js';

const TRY_AGAIN_MS = 2_000;
const EDITS_AT_ONCE = 200; // a morning's strokes go in several letters; the record takes no more than 2000

/** Sends edits; the state that they have led to. */
async function send(id, edits, tag) {
  return asState(id, await post(`${pathOf(id)}/edit`, { edits: asSent(id, edits) }, { tag }));
}

/** What somebody else has written meanwhile, out of a refusal. */
const theirsIn = (id, { photo, record }) => asState(id, photo ?? record);

/** The strokes that go first: as many as fit, at least one. */
function firstOf(strokes) {
  let n = 0;
  const end = strokes.findIndex(({ edits }) => (n += edits.length) > EDITS_AT_ONCE);
  return end < 0 ? [...strokes] : strokes.slice(0, Math.max(1, end));
}

/**
 * @typedef {{photo: string, edits: object[], says: string, act: object|null}} Stroke
 * @typedef {{base: object, strokes: Stroke[], stale: object|null}} Waiting of one photograph: the
 *   state they were drawn on, and what the server has now where that is another
 */

export class Queue extends EventTarget {
  /** `place`: of this volume and window. */
  constructor(keep, place) {
    super();
    this.keep = keep;
    this.key = `waiting/${place}`;
    /** @type {Map<string, Waiting>} */
    this.waiting = new Map();
    this.running = null;
    this.why = null; // why nothing is being saved; null while all is well
  }

  tell(name, detail) { this.dispatchEvent(new CustomEvent(name, { detail })); }

  get n() {
    return [...this.waiting.values()].reduce((sum, { strokes }) => sum + strokes.length, 0);
  }

  /** What a photograph looks like with its waiting strokes on it. */
  shown(photo) {
    const strokes = this.waiting.get(photo.id)?.strokes ?? [];
    return strokes.reduce((state, stroke) => apply(state, stroke.edits), photo);
  }

  holds(id) { return this.waiting.has(id); }

  /** Takes a stroke drawn on `base`; resolves when the browser keeps it, and `back`, its way back: what is saved can be
   * undone, also after a reload. */
  async add(base, stroke, back = null) {
    const here = this.waiting.get(base.id) ?? { base, strokes: [], stale: null };
    here.strokes.push(stroke);
    this.waiting.set(base.id, here);
    this.tell('unsaved', { n: this.n, why: this.why });
    await Promise.all([this.write(), back]);
    this.run();
  }

  async write() {
    if (this.waiting.size > 0) await this.keep.put(this.key, [...this.waiting]);
    else await this.keep.remove(this.key);
  }

  /** What an earlier life of this window, or a window that is no more, left unsaved. */
  async adopt(key) {
    for (const [id, left] of await this.keep.get(key) ?? []) {
      const here = this.waiting.get(id) ?? { base: left.base, strokes: [], stale: null };
      this.waiting.set(id, { ...here, strokes: [...left.strokes, ...here.strokes] });
    }
    await this.write();
    if (key !== this.key) await this.keep.remove(key);
  }

  /** Saves what waits; one run at a time. */
  run() {
    this.running ??= this.runAll().finally(() => { this.running = null; });
    return this.running;
  }

  next() {
    return [...this.waiting].find(([, { stale }]) => stale === null)?.[0];
  }

  async runAll() {
    for (let id = this.next(); id !== undefined; id = this.next()) {
      try {
        await this.save(id);
      } catch (error) {
        if (!(error instanceof Gone)) throw error;
        this.why = error.message;
        this.tell('gone', { says: error.message, n: this.n });
        setTimeout(() => this.run(), TRY_AGAIN_MS);
        return;
      }
    }
  }

  async save(id) {
    const here = this.waiting.get(id);
    const sent = firstOf(here.strokes);
    try {
      const photo = await send(id, sent.flatMap(({ edits }) => edits), here.base.tag);
      await this.done(id, sent.length, photo);
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      if (error.status === 412) await this.meet(id, theirsIn(id, error.body));
      else await this.refuse(id, sent, error);
    }
  }

  /** `n` strokes are on disk, and the server's photograph is the new base: told before the browser has
   * forgotten them, for the next stroke is drawn on it. */
  async done(id, n, photo) {
    const here = this.waiting.get(id);
    const sent = here.strokes.splice(0, n);
    const says = sent.map((stroke) => stroke.says);
    const names = id === VOLUME ? renaming(here.base, sent.flatMap(({ edits }) => edits)) : null;
    if (names) for (const stroke of here.strokes) stroke.edits = renamed(stroke.edits, names);
    here.base = photo;
    if (here.strokes.length === 0) this.waiting.delete(id);
    this.why = null;
    this.tell('saved', { photo, n: this.n, at: new Date(), says, names });
    await this.write();
  }

  /** Somebody else has written. Where that is just what we wanted (an answer was lost on its way),
   * there is nothing to choose. */
  async meet(id, now) {
    const here = this.waiting.get(id);
    const mine = this.shown(here.base);
    const { state: theirs, places = null } = id === VOLUME ? aligned(here.base, now) : { state: now };
    if (diff(theirs, apply(theirs, diff(here.base, mine))).length === 0) {
      await this.done(id, here.strokes.length, now);
      return;
    }
    Object.assign(here, { stale: theirs, now, places });
    this.tell('conflict', { id, base: here.base, mine, theirs });
  }

  /** What was chosen, as edits of their version. */
  async resolve(id, chosen, says) {
    const { stale, now, places } = this.waiting.get(id);
    const edits = places ? renamed(chosen, places) : chosen;
    const strokes = edits.length > 0 ? [{ photo: id, edits, says, act: null }] : [];
    const base = now ?? stale;
    this.waiting.set(id, { base, strokes, stale: null });
    if (strokes.length === 0) await this.done(id, 0, base);
    else await this.write();
    this.run();
  }

  /** A stroke that cannot stand takes none of the others with it: they are sent one by one. */
  async refuse(id, sent, error) {
    if (sent.length > 1) return this.saveOneByOne(id, sent);
    const here = this.waiting.get(id);
    here.strokes.shift();
    if (here.strokes.length === 0) this.waiting.delete(id);
    await this.write();
    this.tell('refused', { photo: here.base, stroke: sent[0], says: error.message,
      complaints: error.body.complaints ?? [], n: this.n });
    return undefined;
  }

  async saveOneByOne(id, sent) {
    for (const stroke of sent) {
      const here = this.waiting.get(id);
      if (here === undefined || here.stale !== null) return;
      try {
        const photo = await send(id, stroke.edits, here.base.tag);
        await this.done(id, 1, photo);
      } catch (error) {
        if (!(error instanceof Refusal)) throw error;
        if (error.status === 412) await this.meet(id, theirsIn(id, error.body));
        else await this.refuse(id, [stroke], error);
      }
    }
  }

  /** Before anything that was kept is sent: what the server has now. */
  async compare(id) {
    const here = this.waiting.get(id);
    const now = await readState(id);
    if (here !== undefined && here.stale === null && now.tag !== here.base.tag) await this.meet(id, now);
  }
}
