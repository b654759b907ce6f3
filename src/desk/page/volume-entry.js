// One entry of a list on the leaf "The volume": a line that opens to its fields. Each word is saved by
// itself the moment it is said; an entry that is new is kept here until it is put in as a whole, so
// that the record can say what it still lacks.

import { book } from './book.js';
import { button, fill, freshId, make } from './make.js';
import { VOLUME, listOf } from './record.js';
import { fieldOf } from './volume-fields.js';
import { LISTS, summaryOf } from './volume-forms.js';
import { capital } from './tell.js';

/** One change of volume.yaml. */
export function write(edits, says) {
  return book.edit(edits, { photo: VOLUME, says });
}

/** Fields of a table, over words. */
export class Fields {
  constructor(table, set) {
    this.all = table.map((row) => ({ key: row.key, field: fieldOf(row, (value, owner) => set(row.key, value, owner)) }));
    this.node = make('div', { class: 'form' }, this.all.map(({ field }) => field.node));
  }

  show(words, owner) {
    for (const { key, field } of this.all) field.show(words[key], owner);
  }

  focus(key) {
    (this.all.find((one) => one.key === key) ?? this.all[0]).field.focus();
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
    const set = (key, value) => write([{ mark: this.name, key, value }], `${this.form.one}: ${key}`);
    this.fields = new Fields(this.form.fields, set);
    const away = () => {
      write([{ mark: this.name, key: null, value: null }], `${this.form.one} taken out`);
      book.say(`${capital(this.form.one)} taken out. Undo brings it back.`);
    };
    fill(this.body, this.warn, this.fields.node,
      make('div', { class: 'acts' }, button({ class: 'quiet', onclick: away }, `Take this ${this.form.one} out`)));
    this.fields.show(this.words, this.list);
  }

  /** `aside`: figures at the end of its line; `warning`: what is lacking. */
  show(mark, { number, aside = '', warning = '' }) {
    this.words = mark.words;
    this.number.textContent = number;
    this.text.textContent = summaryOf(this.list, mark.words);
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

/** A new entry, filled in before it is put into the record. */
export class NewEntry {
  constructor(list, { nameFor, onput = () => {} }) {
    this.form = LISTS[list];
    this.words = {};
    const id = freshId('new');
    const keep = (key, value) => {
      if (value === null) delete this.words[key];
      else this.words[key] = value;
    };
    this.fields = new Fields(this.form.fields, keep);
    const put = () => {
      document.activeElement?.blur?.(); // what is being written counts
      const mark = nameFor();
      const edits = Object.entries(this.words).map(([key, value]) => ({ mark, key, value }));
      if (edits.length === 0) return;
      this.name = mark;
      this.node.hidden = true;
      write(edits, `${this.form.one} put in`);
      onput();
    };
    this.says = make('p', { class: 'caution', role: 'alert', hidden: true });
    this.node = make('div', { class: 'new-entry', role: 'group', 'aria-labelledby': id, hidden: true },
      make('h4', { id }, `New ${this.form.one}`), this.says, this.fields.node,
      make('div', { class: 'acts' },
        button({ class: 'strong', onclick: put }, 'Put it in'),
        button({ class: 'quiet', onclick: () => this.away() }, 'Leave it')));
  }

  begin(words = {}) {
    this.words = { ...words };
    this.node.hidden = false;
    this.refuse('');
    this.fields.show(this.words, freshId('owner'));
    this.fields.focus();
  }

  /** The record did not take it: it is here again, with the reason. */
  refuse(says) {
    this.says.textContent = says;
    this.says.hidden = says === '';
    if (says) this.node.hidden = false;
  }

  isIts(edits) { return edits.some(({ mark }) => mark && mark === this.name); }

  away() {
    this.node.hidden = true;
    this.words = {};
  }
}
