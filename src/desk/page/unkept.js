// Words that the record would not take: they stay on the slip, with the reason, until they are mended
// or given up, also after a reload. What was drawn is laid back on the photograph (refused.js).

import { book } from './book.js';
import { button, fill, freshId, make } from './make.js';
import { OWN } from './own.js';
import { VOLUME } from './record.js';
import { phrase } from './phrases.js';
import { NAMES } from './tell.js';

const PLACES = ['outline', 'line', 'point', 'holes', 'ties', 'same-as', 'earlier', 'gone', ...Object.keys(OWN)];
const WRITTEN = ['scale/plane-offset', 'scale/camera-distance']; // the rest of a scale is drawn

/** The words among edits: {mark, key, value}, of what a hand has written. Pure. */
export function wordsIn(edits) {
  const isWritten = (key) => !PLACES.includes(key) && (!key.startsWith('scale/') || WRITTEN.includes(key));
  return edits.filter(({ key, value }) => key && typeof value === 'string' && isWritten(key));
}

const isSame = (a, b) => a.mark === b.mark && a.key === b.key;

/** `list` with what was refused now; a later word of the same place counts. Pure. */
export function withRefused(list, edits, why) {
  const fresh = wordsIn(edits).map(({ mark, key, value }) => ({ mark, key, value, why }));
  return [...list.filter((one) => !fresh.some((other) => isSame(one, other))), ...fresh];
}

/** `list` without what the record says by now. Pure. */
export function stillUnkept(list, photo) {
  const wordsOf = ({ mark }) =>
    mark === undefined ? photo.words : photo.marks.find(({ id }) => id === mark)?.words;
  return list.filter((one) => wordsOf(one)?.[one.key] !== one.value);
}

/** `list` without words whose place was written anew by `edits`: what counts is said there. Pure. */
export function notWrittenAnew(list, edits) {
  return list.filter((one) => !edits.some((edit) => isSame(one, edit)));
}

function nameOfWord({ mark, key }) {
  const name = NAMES[key] ?? key;
  return mark === undefined ? name : phrase('unkept-of-mark', { name, number: mark });
}

export class Unkept {
  /** `state()`: whose words they are, `isOurs(id)` tells, and `isWord(edit)` which
   * are kept here; `nameOf(edit)`: what a person calls it; `event`: when there is another. */
  constructor({ state = () => book.photo, isOurs = (id) => id !== VOLUME, isWord = () => true, nameOf = nameOfWord, event = 'photo' } = {}) {
    Object.assign(this, { state, isOurs, isWord, nameOf });
    this.lists = new Map(); // photograph's id -> [{mark, key, value, why}]
    this.node = make('div', { class: 'unkept', hidden: true });
    book.addEventListener('refused', ({ detail }) => this.take(detail));
    book.addEventListener('written', ({ detail }) => this.drop(detail.photo, (list) => notWrittenAnew(list, detail.edits)));
    book.addEventListener('saved', () => this.settle());
    book.addEventListener(event, () => this.lookUp());
  }

  place(id) {
    return `unkept/${book.place}/${id}`;
  }

  take({ stroke, says, complaints = [] }) {
    if (!this.isOurs(stroke.photo)) return;
    const why = complaints.find(({ severity }) => severity === 'error')?.says ?? says;
    this.set(stroke.photo, withRefused(this.lists.get(stroke.photo) ?? [], stroke.edits.filter(this.isWord), why));
    this.node.scrollIntoView({ block: 'nearest' }); // it came in above what was being looked at
  }

  set(id, list) {
    this.lists.set(id, list);
    if (list.length > 0) book.keep.put(this.place(id), list);
    else book.keep.remove(this.place(id));
    book.setUnkept(this.place(id), list.length > 0 ? id : null);
    this.show();
  }

  /** Marks have other names by now. */
  rename(id, names) {
    const list = this.lists.get(id) ?? [];
    if (list.some(({ mark }) => names.has(mark))) this.set(id, list.map((one) => ({ ...one, mark: names.get(one.mark) ?? one.mark })));
  }

  /** What an earlier life of the page was left with. */
  async lookUp() {
    const { id } = this.state();
    if (this.lists.has(id)) return this.shown === id ? undefined : this.show();
    this.lists.set(id, []);
    const left = (await book.keep.get(this.place(id))) ?? [];
    this.lists.set(id, [...left, ...this.lists.get(id)]);
    return this.show();
  }

  /** `left(list)`: what of it is still to be told. */
  drop(id, left) {
    const list = this.lists.get(id) ?? [];
    if (left(list).length < list.length) this.set(id, left(list));
  }

  /** Written another way meanwhile. */
  settle() {
    const photo = this.state();
    if (photo) this.drop(photo.id, (list) => stillUnkept(list, photo));
  }

  item(photo, one) {
    const id = freshId('unkept');
    const drop = () => this.set(photo, this.lists.get(photo).filter((other) => other !== one));
    const text = make('textarea', { id, rows: 1, value: one.value, 'aria-describedby': `${id}-why` });
    text.addEventListener('input', () => {
      one.value = text.value; // mended here, it is kept as mended
      book.keep.put(this.place(photo), this.lists.get(photo));
    });
    const again = () => {
      drop();
      book.edit([{ mark: one.mark, key: one.key, value: text.value.trim() || null }], { photo, says: one.key });
    };
    const isThere = one.mark === undefined || this.state().marks.some((mark) => mark.id === one.mark);
    const name = this.nameOf(one);
    return make(
      'div',
      { role: 'group', 'aria-label': phrase('unkept-named', { name }) },
      make('label', { for: id }, make('strong', {}, `${phrase('unkept')} `), name),
      text,
      make('p', { id: `${id}-why` }, isThere ? one.why : phrase('unkept-lost', { why: one.why })),
      make(
        'div',
        { class: 'acts' },
        isThere ? button({ class: 'strong', onclick: again }, phrase('save-so')) : null,
        button({ class: 'quiet', onclick: drop }, phrase('give-it-up')),
      ),
    );
  }

  show() {
    const { id } = this.state();
    const list = this.lists.get(id) ?? [];
    this.shown = id;
    this.node.hidden = list.length === 0;
    fill(
      this.node,
      list.map((one) => this.item(id, one)),
    );
  }
}
