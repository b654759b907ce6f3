// One entry of a list on the leaf "The volume": a line that opens to its fields. Each word is saved by
// itself the moment it is said; an entry that is new is kept here until it is put in as a whole, so
// that the record can say what it still lacks.

import { book } from './book.js';
import { button, fill, freshId, make } from './make.js';
import { phrase } from './phrases.js';
import { VOLUME, entryOf, listOf } from './record.js';
import { fieldOf } from './volume-fields.js';
import { LISTS, labelOf, summaryOf } from './volume-forms.js';
import { capital } from './tell.js';

/** One change of volume.yaml. */
export function write(edits, says) {
  return book.edit(edits, { photo: VOLUME, says });
}

/** Fields of a table, over words; those that are rarely wanted are folded away. */
export class Fields {
  constructor(table, set) {
    this.words = {};
    this.owner = null;
    this.all = table.map((row) => ({ ...row, field: fieldOf(row, (value, owner) => set(row.key, value, owner), this) }));
    this.put = (key, value, owner) => {
      set(key, value, owner);
      this.show({ ...this.words, [key]: value }, this.owner);
    };
    this.folds = new Map();
    this.node = make('div', { class: 'form' }, this.all.filter(({ fold }) => !fold).map(({ field }) => field.node));
    for (const { fold, field } of this.all.filter((row) => row.fold)) this.foldOf(fold).append(field.node);
  }

  foldOf(name) {
    if (!this.folds.has(name)) {
      this.folds.set(name, make('details', { class: 'more' }, make('summary', {}, name)));
      this.node.append(this.folds.get(name));
    }
    return this.folds.get(name);
  }

  /** What an entry cannot do without is not folded away. */
  unfold() { for (const { fold, must } of this.all) if (must) this.folds.get(fold).open = true; }

  /** What is folded away says whether anything is written there. */
  showFolds() {
    for (const [name, fold] of this.folds) {
      const n = this.all.filter((row) => row.fold === name && this.words[row.key] !== undefined).length;
      fold.firstChild.textContent = n > 0 ? phrase('fold-filled', { name, n }) : name;
    }
  }

  show(words, owner) {
    Object.assign(this, { words, owner });
    for (const { key, field } of this.all) field.show(words[key], owner);
    this.showFolds();
  }

  focus(key) {
    const { field, fold } = this.all.find((one) => one.key === key) ?? this.all[0];
    if (fold) this.folds.get(fold).open = true;
    field.focus();
  }

  /** Words that were written and not chosen from a list are asked about; FALSE: there are such. */
  settle() {
    const open = this.all.find(({ field }) => field.settle?.() === false);
    open?.field.input.focus();
    return !open;
  }
}

export class Entry {
  /** `name`: "LIST ENTRY". */
  constructor(name) {
    this.name = name;
    this.list = listOf(name);
    this.form = LISTS[this.list];
    this.number = make('span', { class: 'number figures' });
    this.text = make('span', { class: 'name' });
    this.more = make('span', { class: 'figures soft' });
    this.warn = make('p', { class: 'owes', hidden: true });
    this.body = make('div', { class: 'entry-body' });
    this.node = make('details', { class: 'entry' },
      make('summary', {}, this.number, this.text, this.more), this.body);
    this.node.addEventListener('toggle', () => this.build());
  }

  /** The fields are made when they are wanted. */
  build() {
    if (!this.node.open || this.fields) return;
    const set = (key, value) => write([{ mark: this.name, key, value }], phrase('entry-changed', { one: this.form.one, label: labelOf(this.list, key) }));
    this.fields = new Fields(this.form.fields, set);
    const away = () => {
      write([{ mark: this.name, key: null, value: null }], phrase('entry-taken-out', { one: this.form.one }));
      book.say(phrase('entry-is-taken-out', { one: capital(this.form.one) }));
    };
    fill(this.body, this.warn, this.fields.node,
      make('div', { class: 'acts' }, button({ class: 'quiet', onclick: away }, phrase('entry-take-out', { one: this.form.one }))));
    this.fields.show(this.words, this.list);
  }

  /** `aside`: figures at the end of its line; `warning`: what is lacking. */
  show(mark, { number, aside = '', warning = '' }) {
    this.words = mark.words;
    this.number.textContent = number;
    this.number.hidden = number === '';
    this.text.textContent = summaryOf(this.list, mark.words, entryOf(this.name));
    this.more.textContent = aside;
    this.warn.textContent = warning;
    this.warn.hidden = warning === '';
    this.node.classList.toggle('open-piece', warning !== '');
    this.fields?.show(mark.words, this.list);
  }

  open(key) {
    this.node.open = true;
    this.build();
    this.fields.focus(key);
    this.node.scrollIntoView({ block: 'nearest' });
  }
}

/** A new entry, filled in before it is put into the record; until then the browser keeps it, one of each list and window. */
export class NewEntry {
  /** `nameFor(name)`: what it will be called; `name` is what was written, where the form asks for one. */
  constructor(list, { nameFor, isTaken = () => false, onput = () => {} }) {
    Object.assign(this, { form: LISTS[list], place: book.placeOfEntry(list), nameFor, isTaken, onput });
    this.words = {};
    const id = freshId('new');
    const keep = (key, value) => {
      if (value === null) delete this.words[key];
      else this.words[key] = value;
      this.keep();
    };
    const call = (value) => {
      this.calls = value;
      this.keep();
    };
    this.called = this.form.name ? fieldOf(this.form.name, call) : null;
    this.fields = new Fields(this.form.fields, keep);
    this.fields.unfold();
    this.says = make('p', { class: 'caution', role: 'alert', hidden: true });
    this.kept = make('p', { class: 'help' }, phrase('entry-kept'));
    this.node = make('div', { class: 'new-entry', role: 'group', 'aria-labelledby': id, hidden: true },
      make('h4', { id }, phrase('entry-new', { one: this.form.one })), this.kept, this.says, this.called && make('div', { class: 'form' }, this.called.node), this.fields.node,
      make('div', { class: 'acts' },
        button({ class: 'strong', onclick: () => this.put() }, phrase('entry-put')),
        button({ class: 'quiet', onclick: () => this.away() }, phrase('leave-it'))));
  }

  /** Its place stays, so that nothing moves under the hand. */
  showKept(isKept) { this.kept.style.visibility = isKept && book.keep.lasting ? '' : 'hidden'; }

  async keep() {
    const { words, calls = null } = this;
    await book.keep.put(this.place, { words, calls });
    this.showKept(this.isOpen);
  }

  /** No more is there to be kept. */
  forget() {
    this.showKept(false);
    book.keep.remove(this.place);
  }

  /** What an earlier life of the page was left with; the hand may have begun another meanwhile. */
  async restore() {
    const left = await book.keep.get(this.place);
    if (!left || !this.node.hidden) return;
    this.lay(left.words, left.calls);
    this.showKept(true);
  }

  put() {
    document.activeElement?.blur?.(); // what is being written counts
    if (this.called?.settle?.() === false || !this.fields.settle()) return;
    const why = this.called && this.whyNot();
    if (why) {
      this.refuse(why);
      this.called.focus();
      return;
    }
    const mark = this.nameFor(this.calls);
    const edits = Object.entries(this.words).map(([key, value]) => ({ mark, key, value }));
    if (edits.length === 0) return;
    this.name = mark;
    this.node.hidden = true;
    this.refuse('');
    this.forget();
    write(edits, phrase('entry-put-in', { one: this.form.one }));
    this.onput();
  }

  /** Why it cannot be called so; null: it can. */
  whyNot() {
    const { label } = this.form.name;
    if (!this.calls) return phrase('entry-unnamed', { label });
    return this.isTaken(this.calls) ? phrase('entry-taken', { one: this.form.one, label }) : null;
  }

  /** `name`: what it may be called, where the form asks for one. */
  begin(words = {}, name = null) {
    this.lay(words, name);
    this.focus();
  }

  lay(words, name) {
    const owner = freshId('owner');
    this.words = { ...words };
    this.calls = name;
    this.node.hidden = false;
    this.showKept(false);
    this.refuse('');
    this.called?.show(name, owner);
    this.fields.show(this.words, owner);
  }

  focus() { (this.calls === null && this.called ? this.called : this.fields).focus(); }

  get isOpen() { return !this.node.hidden; }

  /** The record did not take it: it is here again, with the reason. */
  refuse(says) {
    this.says.textContent = says;
    this.says.hidden = says === '';
    book.setUnkept(this.place, says ? VOLUME : null);
    if (!says) return;
    this.node.hidden = false;
    this.keep();
  }

  isIts(edits) { return edits.some(({ mark }) => mark && mark === this.name); }

  away() {
    this.node.hidden = true;
    this.words = {};
    this.refuse('');
    this.forget();
  }
}
