// The store between drawing and words: which photograph lies on the bench, which mark is chosen,
// which tool is in hand, and every change on its way to the disk. Everybody listens to its events
// and nobody keeps a copy.
//
// Events: volume, photo, other, mark, tool, draft, scale-draft, picking; saved {at, says}, unsaved {n, why},
// history, gone {says, n}, back, conflict {id, base, mine, theirs}, refused {says, complaints, stroke},
// say {text, urgent}.

import { apply, diff, freeId } from './edits.js';
import { forgetOld, History } from './history.js';
import { openKeep } from './keep.js';
import { Queue } from './queue.js';
import { whyShut } from './tell.js';
import { meetWindows } from './windows.js';
import { get, keepPulse } from './wire.js';

class Book extends EventTarget {
  volume = null; // GET /volume
  terms = []; // GET /terms
  photo = null; // on the bench, with its waiting strokes on it
  other = null; // beside it, or null
  mark = null; // the chosen mark's id, or null
  tool = 'hand';
  draft = null; // what is being drawn: {kind, points, holes, measure, shown, shown_more, shown_share, why}
  scaleDraft = null; // a scale being dragged: {method, corners | from, to, improved, ...}
  picking = null; // 'same-as' or 'earlier': the next mark touched is that
  isGone = false;
  savedAt = null;

  #saved = new Map(); // photograph's ID -> as the server has it
  #histories = new Map();

  tell(name, detail = {}) { this.dispatchEvent(new CustomEvent(name, { detail })); }
  say(text, urgent = false) { this.tell('say', { text, urgent }); }

  // ---- Beginning ----

  /** Reads the volume and takes up what was left unsaved. */
  async begin() {
    const [keep, windows] = await Promise.all([openKeep(), meetWindows()]);
    this.keep = keep;
    this.window = windows.name;
    [this.volume, this.terms] = await Promise.all([get('/volume'), get('/terms')]);
    this.queue = new Queue(keep, `${this.volume.id}/${this.window}`);
    this.#listenToQueue();
    await this.#takeUp(windows.others);
    await forgetOld(keep);
    this.tell('volume');
    keepPulse((pulse) => this.#beat(pulse), (says) => this.#lose(says));
  }

  async #takeUp(others) {
    const prefix = `waiting/${this.volume.id}/`;
    for (const key of await this.keep.keys(prefix))
      if (!others.has(key.slice(prefix.length))) await this.queue.adopt(key);
    for (const id of [...this.queue.waiting.keys()]) await this.queue.compare(id);
    this.queue.run();
  }

  #listenToQueue() {
    const { queue } = this;
    queue.addEventListener('saved', ({ detail }) => this.#takeSaved(detail));
    queue.addEventListener('unsaved', ({ detail }) => this.tell('unsaved', detail));
    queue.addEventListener('gone', ({ detail }) => this.#lose(detail.says));
    queue.addEventListener('conflict', ({ detail }) => this.tell('conflict', detail));
    queue.addEventListener('refused', ({ detail }) => this.#takeRefused(detail));
  }

  // ---- What lies on the bench ----

  async #read(id) {
    this.#saved.set(id, await get(`/photo/${id}`));
    return this.queue.shown(this.#saved.get(id));
  }

  /** Lays a photograph on the bench, and its fellow of the other stage beside it. */
  async open(id, markId = null) {
    const photo = await this.#read(id);
    const other = photo.pair ? await this.#read(photo.pair) : null;
    await this.#historyOf(id);
    Object.assign(this, { photo, other, mark: null, draft: null, scaleDraft: null, picking: null });
    this.tell('photo');
    this.tell('other');
    this.tell('history');
    this.select(markId);
  }

  /** Any photograph beside the one on the bench. */
  async lay(id) {
    this.other = id ? await this.#read(id) : null;
    this.tell('other');
  }

  async swap() {
    if (!this.other) return;
    const [id, beside] = [this.other.id, this.photo.id];
    await this.open(id);
    if (this.other?.id !== beside) await this.lay(beside);
  }

  /** The photograph `by` places further in the row. */
  async next(by) {
    const ids = this.volume.photos.map((photo) => photo.id);
    const at = ids.indexOf(this.photo?.id) + by;
    if (at >= 0 && at < ids.length) await this.open(ids[at]);
  }

  select(markId) {
    this.mark = markId;
    this.tell('mark');
  }

  peekMark() { return this.photo?.marks.find((mark) => mark.id === this.mark) ?? null; }

  nextMark(by) {
    const ids = this.photo.marks.map((mark) => mark.id);
    if (ids.length === 0) return;
    const at = this.mark === null ? (by > 0 ? 0 : ids.length - 1)
      : (ids.indexOf(this.mark) + by + ids.length) % ids.length;
    this.select(ids[at]);
  }

  setTool(name) {
    this.tool = name;
    this.setDraft(null);
    this.tell('tool');
  }

  setDraft(draft) {
    this.draft = draft;
    this.tell('draft');
  }

  setScaleDraft(draft) {
    this.scaleDraft = draft;
    this.tell('scale-draft');
  }

  /** The next mark touched, on the photograph beside, becomes the chosen one's `key`. */
  pick(key) {
    this.picking = key;
    this.tell('picking');
  }

  /** Can a mark of that photograph be what the chosen one is linked to? `earlier`: one of an earlier
   * stage; `same-as`: one of the same. */
  fits(key, { id, stage }) {
    return id !== this.photo.id && (key === 'earlier' ? stage !== 'after' : stage === this.photo.stage);
  }

  async picked(photo, mark) {
    const key = this.picking;
    this.pick(null);
    if (key && this.mark)
      await this.edit([{ mark: this.mark, key, value: `${photo.file}#${mark.id}` }], { says: 'linked' });
  }

  newMarkId() { return freeId(this.photo, this.#histories.get(this.photo.id)?.marks()); }

  // ---- Changes ----

  async #historyOf(id) {
    if (!this.#histories.has(id))
      this.#histories.set(id, await new History(this.keep, `${this.volume.id}/${this.window}/${id}`).load());
    return this.#histories.get(id);
  }

  #stateOf(id) {
    if (this.photo?.id === id) return this.photo;
    if (this.other?.id === id) return this.other;
    return this.queue.shown(this.#saved.get(id));
  }

  #show(photo) {
    if (this.photo?.id === photo.id) {
      this.photo = photo;
      if (this.mark !== null && !this.peekMark()) this.mark = null;
      this.tell('photo');
      this.tell('mark');
    }
    if (this.other?.id === photo.id) {
      this.other = photo;
      this.tell('other');
    }
  }

  /** Shows, keeps and sends edits; resolves when the browser keeps them. */
  async #send(id, edits, says, act) {
    const state = apply(this.#stateOf(id), edits);
    const base = this.queue.waiting.get(id)?.base ?? this.#saved.get(id);
    this.#show(state);
    await this.queue.add(base, { photo: id, edits, says, act });
  }

  /** Changes a photograph's record, with a way back. `says`: in a few words, for the history. */
  async edit(edits, { photo = this.photo.id, says = 'changed' } = {}) {
    if (!this.#saved.has(photo)) await this.#read(photo);
    const before = this.#stateOf(photo);
    if (whyShut(before)) return this.#refuseShut(before, edits, says);
    const after = apply(before, edits);
    const act = { edits, inverse: diff(after, before), says };
    if (act.inverse.length === 0) return;
    const history = await this.#historyOf(photo);
    await Promise.all([history.add(act), this.#send(photo, edits, says, act)]);
    this.tell('history');
  }

  /** Writes over what an act has just written: part of that act, and undone with it. `was`: the value it wrote. */
  async amend(edit, was) {
    const { id } = this.photo;
    const before = this.#stateOf(id);
    const inverse = diff(apply(before, [edit]), before);
    const history = await this.#historyOf(id);
    const isIt = (act) => act.edits.some(({ mark, key, value }) => mark === edit.mark && key === edit.key && value === was);
    await Promise.all([history.amend(isIt, [edit], inverse), this.#send(id, [edit], 'thinned', null)]);
  }

  /** Nothing is written over a text that nobody can read. */
  #refuseShut(photo, edits, act) {
    const says = whyShut(photo);
    this.#show({ ...photo }); // a field goes back to what it showed
    this.tell('refused', { photo, stroke: { photo: photo.id, edits, says: act, act: null }, says, complaints: [] });
    this.say(says, true);
  }

  /** The same words for many photographs. */
  async editMany(ids, edits, says) {
    for (const id of ids) await this.edit(edits, { photo: id, says });
  }

  async #step(direction, verb, id = this.photo.id) {
    const step = await (await this.#historyOf(id))[direction]();
    if (!step) return this.say(`Nothing to ${verb}`);
    await this.#send(id, step.edits, step.says, null);
    this.say(`${verb}: ${step.says}`);
    return this.tell('history');
  }

  /** The last change of the photograph on the bench, or of another. */
  undo(id) { return this.#step('back', 'undo', id); }
  redo(id) { return this.#step('forth', 'redo', id); }
  /** What undo would take back of a photograph's record, or null. */
  async lastAct(id) { return (await this.#historyOf(id)).peek(); }
  get canUndo() { return (this.#histories.get(this.photo?.id)?.at ?? 0) > 0; }
  get canRedo() {
    const history = this.#histories.get(this.photo?.id);
    return history !== undefined && history.at < history.acts.length;
  }

  /** Ends a conflict: `edits` are made to their version. */
  async resolve(id, edits) {
    this.#saved.set(id, this.queue.waiting.get(id).stale);
    await this.queue.resolve(id, edits, 'two versions merged');
    this.#show(this.queue.shown(this.#saved.get(id)));
  }

  // ---- What comes back ----

  #takeSaved({ photo, n, at, says }) {
    this.#saved.set(photo.id, photo);
    this.savedAt = at;
    this.#show(this.queue.shown(photo));
    if (n === 0) this.tell('saved', { at, says });
    this.#refreshVolume();
  }

  async #takeRefused(detail) {
    const { stroke } = detail;
    if (stroke.act) await (await this.#historyOf(stroke.photo)).drop(stroke.act);
    this.#show(this.queue.shown(detail.photo));
    this.tell('refused', detail);
    this.say(detail.says, true);
  }

  #lose(says) {
    if (this.isGone && says === this.goneSays) return;
    this.isGone = true;
    this.goneSays = says;
    this.tell('gone', { says, n: this.queue.n });
    this.say(says, true);
  }

  async #beat(pulse) {
    if (this.isGone) {
      this.isGone = false;
      this.tell('back');
      this.say('The record is back in reach');
      this.queue.run();
    }
    for (const photo of [this.photo, this.other])
      if (photo && pulse.photos[photo.id] !== this.#saved.get(photo.id)?.tag && !this.queue.holds(photo.id))
        await this.#reread(photo.id);
    if (pulse.volume !== this.volume.tag) await this.#refreshVolume();
  }

  async #reread(id) {
    const photo = await this.#read(id);
    if (this.queue.holds(id)) return; // drawn on meanwhile: the server will tell
    this.#show(photo);
  }

  /** Reads again what lies on the bench and in the row: the pulse would tell of it a little later. */
  async refresh() {
    for (const photo of [this.photo, this.other])
      if (photo && !this.queue.holds(photo.id)) await this.#reread(photo.id);
    await this.#refreshVolume();
  }

  async #refreshVolume() {
    try {
      this.volume = await get('/volume');
      this.tell('volume');
    } catch {
      // the pulse tells when the server is gone, and comes again
    }
  }
}

export const book = new Book();
