// A list of entries on the leaf "The volume": its lines, and the one that is new.

import { book } from './book.js';
import { button, fill, make } from './make.js';
import { dayWords, figure, phrase } from './phrases.js';
import { entryOf, listOf, newName } from './record.js';
import { Entry, Fields, NewEntry, write } from './volume-entry.js';
import { LISTS, asLabelled, labelOf, lacksWords, rowOf } from './volume-forms.js';
import { today } from './tell.js';

/** The next free number for a piece: P7 after P6. */
export function freePiece(names) {
  const used = names.map((name) => Number(/^P(\d+)$/.exec(name)?.[1] ?? 0));
  return `P${Math.max(0, ...used) + 1}`;
}

const outcomeWord = (outcome) => rowOf('pieces', 'outcome').kind.find(([known]) => known === outcome)?.[1] ?? outcome ?? phrase('no-outcome');

const HAS_DATE = (form) => form.fields.some(({ key }) => key === 'on');

export class EntryList {
  constructor(list) {
    this.list = list;
    this.form = LISTS[list];
    this.entries = new Map(); // name -> Entry
    this.lines = make('div', { class: 'entries' });
    this.none = make('p', { class: 'soft' }, this.form.none ?? phrase('entry-none'));
    this.fresh = new NewEntry(list, {
      nameFor: (name) => this.nameFor(name),
      isTaken: (name) => this.entries.has(`${list} ${name}`),
      onput: () => this.add.focus(),
    });
    this.add = button({ onclick: () => (this.fresh.isOpen ? this.fresh.focus() : this.begin()) }, this.form.add);
    this.fresh.restore();
    this.above = this.form.above ? new Fields(this.form.above, (key, value) => write([{ key, value }], labelOf(undefined, key))) : null;
    this.sum = make('div', { class: 'sum', role: 'status' });
    this.node = make('div', {}, this.above?.node, this.none, this.lines, this.sum, this.fresh.node, make('div', { class: 'acts' }, this.add));
    book.addEventListener('refused', ({ detail }) => {
      if (this.fresh.isIts(detail.stroke.edits)) this.fresh.refuse(asLabelled(list, detail.complaints?.[0]?.says ?? detail.says));
    });
  }

  nameFor(name) { return this.form.name ? `${this.list} ${name}` : newName(this.list); }

  begin(words = {}) {
    const by = this.list === 'treatment' ? book.record.words['studio/by'] : undefined;
    this.fresh.begin({ ...(HAS_DATE(this.form) && this.list !== 'pieces' ? { on: today() } : {}), ...(by ? { by } : {}), ...words },
      this.list === 'pieces' ? freePiece([...this.entries.keys()].map(entryOf)) : null);
  }

  rename(names) {
    this.entries = new Map([...this.entries].map(([name, entry]) => {
      entry.name = names.get(name) ?? name;
      return [entry.name, entry];
    }));
  }

  /** Its marks, open pieces first: in the order that the ledger has. */
  marksOf({ marks, ledger }) {
    const own = marks.filter(({ id }) => listOf(id) === this.list);
    if (this.list !== 'pieces') return own;
    const places = new Map(ledger.map(({ id }, i) => [`pieces ${id}`, i]));
    return own.sort((a, b) => (places.get(a.id) ?? own.length) - (places.get(b.id) ?? own.length));
  }

  /** What stands beside an entry's line, and what it lacks. */
  about(mark, i, { estimate, ledger }) {
    if (this.list === 'pieces') {
      const lacks = ledger.find(({ id }) => id === entryOf(mark.id)) ?? { open: false, lacks: [] };
      return { number: entryOf(mark.id), aside: outcomeWord(mark.words.outcome),
        warning: lacks.open ? phrase('lacks', { what: lacksWords(lacks.lacks) }) : '' };
    }
    if (this.list === 'estimate/lines') return { number: String(i + 1), aside: figure(estimate.sums[i] ?? '') };
    if (this.form.name) return { number: '' }; // its name is in its line
    return { number: String(i + 1), aside: dayWords(mark.words.on) };
  }

  showSum({ estimate }) {
    if (this.list !== 'estimate/lines') return;
    const rows = [['hours', estimate.hours], ['sum', estimate.subtotal], ['tax', estimate.tax],
      ['total', estimate.total && `${estimate.total} ${estimate.currency}`]].filter(([, value]) => value);
    fill(this.sum, rows.map(([name, value]) => make('p', { class: name }, make('span', {}, phrase(`sum-${name}`)), make('span', { class: 'figures' }, figure(value)))));
  }

  show(record) {
    const marks = this.marksOf(record);
    this.above?.show(record.words, 'record');
    this.none.hidden = marks.length > 0;
    for (const name of [...this.entries.keys()]) if (!marks.some(({ id }) => id === name)) this.drop(name);
    for (const [i, mark] of marks.entries()) {
      if (!this.entries.has(mark.id)) this.entries.set(mark.id, new Entry(mark.id));
      const { node } = this.entries.get(mark.id);
      this.entries.get(mark.id).show(mark, this.about(mark, i, record));
      if (this.lines.children[i] !== node) this.lines.insertBefore(node, this.lines.children[i] ?? null);
    }
    this.showSum(record);
    this.count = marks.length;
  }

  /** The hand that took one out finds itself at the button below. */
  drop(name) {
    const { node } = this.entries.get(name);
    const had = node.contains(document.activeElement);
    node.remove();
    this.entries.delete(name);
    if (had) this.add.focus();
  }

  /** The name of the entry that stands last. */
  last() { return [...this.entries.keys()].at(-1); }

  open(name, key) { this.entries.get(name)?.open(key); }
}
