// The store between drawing and words: which photograph lies on the bench, which mark is chosen,
// which tool is in hand, and every change on its way to the disk. Everybody listens to its events
// and nobody keeps a copy.
//
// Events: volume, photo, other, record {names}, mark, tool, draft, scale-draft, picking; saved {at, says}, unsaved {n, why},
// history, unkept, written {photo, edits}, gone {says, n}, back, conflict {id, base, mine, theirs}, refused {says, complaints, stroke},
// say {text, urgent}, notice {text}, asking {photo, mark, number} that is to be deleted.

import { apply, diff, freeId } from './edits.js';
import { forgetOld, History } from './history.js';
import { openKeep } from './keep.js';
import { fittingPhotos, idsLedTo, isFit, linksAmong, pointingAt } from './links.js';
import { learnTerms, phrase } from './phrases.js';
import { Queue } from './queue.js';
import { VOLUME, readState, renamed } from './record.js';
import { fullName, nameOfPhoto, whyShut } from './tell.js';
import { meetWindows } from './windows.js';
import { Gone, get, keepPulse } from './wire.js';

const TRY_AGAIN_MS = 2_000;

/** The links from and to a photograph, to be compared: what is said of its marks may hang on them. */
function linksOf({ links }, { id, file }) {
  return JSON.stringify(links.filter(({ photo, reference }) => photo === id || reference.startsWith(`${file}#`)));
}

class Book extends EventTarget {
  volume = null; // GET /volume
  terms = []; // GET /terms
  photo = null; // on the bench, with its waiting strokes on it
  other = null; // beside it, or null
  record = null; // volume.yaml (record.js), once it was asked for
  mark = null; // the chosen mark's id, or null
  tool = 'hand';
  draft = null; // what is being drawn: {kind, points, holes, measure, shown, shown_more, shown_share, why}
  scaleDraft = null; // a scale being dragged: {method, corners | from, to, improved, ...}
  picking = null; // 'same-as', 'earlier' or 'later' ('earlier', the other way round): the next mark touched is that
  place = null; // what the browser keeps of this volume by: its first number here, whatever its number is now
  isGone = false;
  savedAt = null;

  #begins;
  #begun = new Promise((resolve) => { this.#begins = resolve; });
  #saved = new Map(); // photograph's ID -> as the server has it
  #unkept = new Map(); // where the keep has words that were refused -> ID of whose they are
  #histories = new Map();

  tell(name, detail = {}) { this.dispatchEvent(new CustomEvent(name, { detail })); }
  say(text, urgent = false) { this.tell('say', { text, urgent }); }

  // ---- Beginning ----

  /** Reads the volume and takes up what was left unsaved. */
  async begin() {
    addEventListener('unhandledrejection', (event) => { // what was asked for does not come
      if (!(event.reason instanceof Gone)) return;
      event.preventDefault();
      this.#lose(event.reason.message);
    });
    const [keep, windows] = await Promise.all([openKeep(), meetWindows()]);
    this.keep = keep;
    this.window = windows.name;
    [this.volume, this.terms] = await this.#untilReached(() => Promise.all([get('/volume'), get('/terms')]));
    learnTerms(this.terms);
    this.place = (await keep.get(`called/${this.volume.id}`)) ?? this.volume.id;
    this.queue = new Queue(keep, `${this.place}/${this.window}`);
    this.#listenToQueue();
    await this.#takeUp(windows.others);
    await this.#findUnkept();
    await forgetOld(keep);
    this.#begins();
    this.tell('volume');
    keepPulse((pulse) => this.#beat(pulse), (says) => this.#lose(says));
  }

  /** Asks until the server answers; that it does not is told meanwhile. */
  async #untilReached(ask) {
    for (;;) {
      try {
        const answer = await ask();
        this.#reach();
        return answer;
      } catch (error) {
        if (!(error instanceof Gone)) throw error;
        this.#lose(error.message);
      }
      await new Promise((resolve) => { setTimeout(resolve, TRY_AGAIN_MS); });
    }
  }

  async #takeUp(others) {
    const prefix = `waiting/${this.place}/`;
    for (const key of await this.keep.keys(prefix))
      if (!others.has(key.slice(prefix.length))) await this.queue.adopt(key);
    await this.#adoptEntries(others);
    for (const id of [...this.queue.waiting.keys()]) await this.#untilReached(() => this.queue.compare(id));
    this.queue.run();
  }

  /** Where the browser keeps this window's new entry of a list. */
  placeOfEntry(list) { return `entry/${this.place}/${this.window}/${list}`; }

  /** New entries that windows which are no more were left with; of a list of which this one has its own, it waits. */
  async #adoptEntries(others) {
    const prefix = `entry/${this.place}/`;
    for (const key of await this.keep.keys(prefix)) {
      const [window, ...list] = key.slice(prefix.length).split('/');
      const own = this.placeOfEntry(list.join('/'));
      if (others.has(window) || await this.keep.get(own)) continue;
      await this.keep.put(own, await this.keep.get(key));
      await this.keep.remove(key);
    }
  }

  /** Words that were refused in an earlier life of the page. */
  async #findUnkept() {
    const prefix = `unkept/${this.place}/`;
    for (const key of await this.keep.keys(prefix)) this.#unkept.set(key, key.slice(prefix.length));
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
    this.#saved.set(id, await readState(id));
    return this.queue.shown(this.#saved.get(id));
  }

  /** Whether one lies on the bench or is on its way there. */
  get isLaid() { return this.photo !== null || this.#wish !== null; }
  #wish = null; // the last that was asked for, while it is read; one that was asked for before it comes too late
  #wishBeside = null;

  /** Lays a photograph on the bench, and its fellow of the other stage beside it. */
  async open(id, markId = null) {
    const wish = this.#wish = {};
    try {
      const photo = await this.#read(id);
      const other = photo.pair ? await this.#read(photo.pair) : null;
      await this.#historyOf(id);
      if (this.#wish !== wish) return;
      this.#beside = this.#wishBeside = null;
      Object.assign(this, { photo, other, mark: null, draft: null, scaleDraft: null, picking: null });
    } finally {
      if (this.#wish === wish) this.#wish = null;
    }
    this.tell('photo');
    this.tell('other');
    this.tell('history');
    this.select(markId);
  }

  /** Any photograph beside the one on the bench. */
  async lay(id) {
    const wish = this.#wishBeside = {};
    const other = id ? await this.#read(id) : null;
    if (this.#wishBeside !== wish) return;
    this.other = other;
    this.tell('other');
  }

  /** Reads volume.yaml, and keeps it at hand from then on. */
  async openRecord() {
    await this.#begun; // a hand may be quicker than the server
    if (!this.record) await this.#historyOf(VOLUME);
    if (!this.record || !this.queue.holds(VOLUME)) this.#show(await this.#read(VOLUME));
    return this.record;
  }

  async swap() {
    if (!this.other) return;
    const [id, beside] = [this.other.id, this.photo.id];
    await this.open(id);
    if (this.photo.id === id && this.other?.id !== beside) await this.lay(beside);
  }

  /** The photograph `by` places further in the row. */
  async next(by) {
    const ids = this.volume.photos.map((photo) => photo.id);
    const at = ids.indexOf(this.photo?.id) + by;
    if (at >= 0 && at < ids.length) await this.open(ids[at]);
  }

  select(markId) {
    if (this.picking && markId !== this.mark) this.pick(null);
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

  /** The next mark touched, on the photograph beside, becomes the chosen one's `key`. Where it cannot
   * be on that one, the likeliest is laid there meanwhile. */
  async pick(key) {
    const beside = this.#beside ?? this.other?.id ?? null;
    this.#beside = key ? beside : null;
    this.picking = key;
    this.tell('picking');
    const [first, second] = key ? fittingPhotos(key, this.photo, this.volume.photos) : [];
    const isLaid = key && this.other && isFit(key, this.photo, this.other);
    if (key && !isLaid && first && (!second || first.id === this.photo.pair || first.view === this.photo.view)) await this.lay(first.id);
    if (!key && this.other?.id !== beside && beside !== null) await this.lay(beside);
  }

  #beside = null; // what lay beside before a mark was asked for
  get #shown() {
    const ids = [this.photo?.id, this.other?.id, ...(this.queue?.waiting.keys() ?? [])];
    return [...new Set(ids)].filter((id) => id && (id === this.photo?.id || id === this.other?.id || this.#saved.has(id)))
      .map((id) => this.#stateOf(id));
  }

  /** What all marks of the volume say of each other, as it stands now (links.js). */
  get links() { return linksAmong(this.volume, this.#shown); }

  newMarkId() { return this.#freeIdOn(this.photo, this.#histories.get(this.photo.id)); }

  async newMarkIdOn(id) {
    if (!this.#saved.has(id)) await this.#read(id);
    return this.#freeIdOn(this.#stateOf(id), await this.#historyOf(id));
  }

  /** A number that no mark has, that undo brings none back for, and that no link leads to. */
  #freeIdOn(photo, history) {
    return freeId(photo, [...history?.marks() ?? [], ...idsLedTo(this.links, photo.file)]);
  }

  // ---- Changes ----

  async #historyOf(id) {
    if (!this.#histories.has(id))
      this.#histories.set(id, await new History(this.keep, `${this.place}/${this.window}/${id}`).load());
    return this.#histories.get(id);
  }

  #stateOf(id) {
    if (this.photo?.id === id) return this.photo;
    if (this.other?.id === id) return this.other;
    return this.queue.shown(this.#saved.get(id));
  }

  #show(photo, names = null) {
    if (photo.id === VOLUME) {
      this.record = photo;
      this.tell('record', { names });
    }
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

  /** Shows, keeps and sends edits; resolves when the browser keeps them, and `back`, their way back. */
  async #send(id, edits, says, act, back = null) {
    const state = apply(this.#stateOf(id), edits);
    const base = this.queue.waiting.get(id)?.base ?? this.#saved.get(id);
    this.#show(state);
    await this.queue.add(base, { photo: id, edits, says, act }, back);
  }

  /** Whose words the record would not take, as long as they are neither mended nor given up. */
  get unkept() {
    const known = [VOLUME, ...this.volume.photos.map(({ id }) => id)];
    return known.filter((id) => [...this.#unkept.values()].includes(id));
  }

  /** `id`: whose words are kept there; null: none are any more. */
  setUnkept(place, id) {
    if (id === null) this.#unkept.delete(place);
    else this.#unkept.set(place, id);
    this.tell('unkept');
  }

  /** Changes a photograph's record, with a way back. `says`: in a few words, for the history. */
  async edit(edits, { photo = this.photo.id, says = phrase('changed') } = {}) {
    if (!this.#saved.has(photo)) await this.#read(photo);
    const before = this.#stateOf(photo);
    if (whyShut(before)) return this.#refuseShut(before, edits, says);
    this.tell('written', { photo, edits });
    await this.#act(photo, edits, { says });
    this.tell('history');
  }

  async #act(photo, edits, more) {
    const before = this.#stateOf(photo);
    const act = { edits, inverse: diff(apply(before, edits), before), ...more };
    if (act.inverse.length === 0 && !more.joint) return;
    const history = await this.#historyOf(photo);
    const back = history.add(act);
    await (edits.length > 0 ? this.#send(photo, edits, more.says, act, back) : back);
  }

  /** One act that is written with several photographs, or with another than the one on the bench:
   * `parts`: [{photo, edits}]. One step back, from any of them, takes all of it back. */
  async editAll(parts, says) {
    const here = this.photo.id;
    const all = parts.some(({ photo }) => photo === here) ? parts : [...parts, { photo: here, edits: [] }];
    if (all.length === 1) return this.edit(all[0].edits, { says });
    for (const { photo } of all) if (!this.#saved.has(photo)) await this.#read(photo);
    const states = all.map(({ photo }) => this.#stateOf(photo));
    const locked = states.findIndex((state, i) => whyShut(state) && all[i].edits.length > 0);
    if (locked >= 0) return this.#refuseShut(states[locked], all[locked].edits, says);
    const joint = `${Date.now()}-${Math.random()}`;
    const ids = all.map(({ photo }) => photo);
    await Promise.all(all.map(({ photo, edits }) =>
      this.#act(photo, edits, { says, joint, others: ids.filter((id) => id !== photo) })));
    this.tell('history');
  }

  /** Writes over what an act has just written: part of that act, and undone with it. `was`: the value it wrote. */
  async amend(edit, was) {
    const { id } = this.photo;
    const before = this.#stateOf(id);
    const inverse = diff(apply(before, [edit]), before);
    const history = await this.#historyOf(id);
    const isIt = (act) => act.edits.some(({ mark, key, value }) => mark === edit.mark && key === edit.key && value === was);
    await Promise.all([history.amend(isIt, [edit], inverse), this.#send(id, [edit], phrase('thinned'), null)]);
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
    const { others = [], joint, edits } = (await this.#historyOf(id)).next(direction) ?? {};
    for (const other of others) await this.#historyOf(other);
    const held = edits && this.#heldBy(id, edits, others);
    if (held) return this.say(phrase(`held-${verb}`, { mark: fullName(held, this.volume) }), true);
    const steps = await Promise.all([id, ...others].map((photo) => this.#histories.get(photo)[direction](joint)));
    if (!steps[0]) return this.say(phrase(`nothing-to-${verb}`));
    const stay = others.filter((_, i) => !steps[i + 1]);
    for (const [i, photo] of [id, ...others].entries()) await this.#sendStep(photo, steps[i]);
    const left = stay.map((one) => nameOfPhoto(this.volume.photos.find((photo) => photo.id === one) ?? {}));
    const isLeft = left.length > 0;
    this.say(phrase(isLeft ? `left-${verb}` : `done-${verb}`, { what: steps[0].says, photos: left.join(', ') }), isLeft);
    return this.tell('history');
  }

  async #sendStep(photo, step) {
    if (!step || step.edits.length === 0) return;
    if (!this.#saved.has(photo)) await this.#read(photo);
    await this.#send(photo, step.edits, step.says, null);
  }

  /** A mark elsewhere that points at one which these edits take away. */
  #heldBy(id, edits, others) {
    const away = edits.filter(({ mark, key }) => mark !== undefined && (key ?? null) === null);
    return away.flatMap(({ mark }) => pointingAt(this.links, id, mark))
      .find(({ photo, mark }) => !others.includes(photo) && !(photo === id && away.some((one) => one.mark === mark)));
  }

  /** The last change of the photograph on the bench, or of another. */
  undo(id) { return this.#step('back', 'undo', id); }
  redo(id) { return this.#step('forth', 'redo', id); }
  /** What undo would take back of a photograph's record, or null. */
  async lastAct(id) { return (await this.#historyOf(id)).peek(); }
  canUndoOf(id) { return (this.#histories.get(id)?.at ?? 0) > 0; }
  get canUndo() { return (this.#histories.get(this.photo?.id)?.at ?? 0) > 0; }
  get canRedo() {
    const history = this.#histories.get(this.photo?.id);
    return history !== undefined && history.at < history.acts.length;
  }

  /** Ends a conflict: `edits` are made to their version. */
  async resolve(id, edits) {
    const { stale, now } = this.queue.waiting.get(id);
    this.#saved.set(id, now ?? stale);
    await this.queue.resolve(id, edits, phrase('merged'));
    this.#show(this.queue.shown(this.#saved.get(id)));
  }

  // ---- What comes back ----

  #takeSaved({ photo, n, at, says, names }) {
    this.#saved.set(photo.id, photo);
    this.savedAt = at;
    if (names) this.#histories.get(photo.id)?.rename((edits) => renamed(edits, names));
    this.#show(this.queue.shown(photo), names);
    if (n === 0) this.tell('saved', { at, says });
    this.#refreshVolume();
  }

  async #takeRefused(detail) {
    const { stroke } = detail;
    for (const id of stroke.act ? [stroke.photo, ...stroke.act.others ?? []] : []) await (await this.#historyOf(id)).drop(stroke.act);
    this.#show(this.queue.shown(detail.photo));
    this.tell('refused', detail);
    this.say(detail.says, true);
  }

  #lose(says) {
    if (this.isGone && says === this.goneSays) return;
    this.isGone = true;
    this.goneSays = says;
    this.tell('gone', { says, n: this.queue?.n ?? 0 });
    this.say(says, true);
  }

  #reach() {
    if (!this.isGone) return;
    this.isGone = false;
    this.tell('back');
    this.say(phrase('back-in-reach'));
    this.queue?.run();
  }

  async #beat(pulse) {
    this.#reach();
    for (const photo of [this.photo, this.other])
      if (photo && pulse.photos[photo.id] !== this.#saved.get(photo.id)?.tag && !this.queue.holds(photo.id))
        await this.#reread(photo.id);
    if (this.record && pulse.record !== this.#saved.get(VOLUME)?.tag && !this.queue.holds(VOLUME)) await this.#reread(VOLUME);
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
      const was = this.volume;
      this.volume = await get('/volume');
      if (was.id !== this.volume.id) await this.keep.put(`called/${this.volume.id}`, this.place);
      this.tell('volume');
      for (const photo of [this.photo, this.other])
        if (photo && !this.queue.holds(photo.id) && linksOf(was, photo) !== linksOf(this.volume, photo)) await this.#reread(photo.id);
    } catch {
      // the pulse tells when the server is gone, and comes again
    }
  }
}

export const book = new Book();
