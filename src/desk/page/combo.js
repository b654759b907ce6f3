// A field in which a few letters find a word: the combobox of the ARIA Authoring Practices, with its
// list standing open under the field, so that it lies over nothing. The first word found is lit and Enter
// takes it; words that are not in the list come into the record by a row of their own, never by leaving.

import { book } from './book.js';
import { fill, freshId, icon, make } from './make.js';
import { phrase } from './phrases.js';
import { afterTouch } from './press.js';

const SHOWN_AT_MOST = 40;

const same = (a, b) => a.toLowerCase() === b.toLowerCase();
const exactIn = (options, written) =>
  options.find(({ words }) => same(words, written)) ?? options.find(({ value }) => same(value, written));

/**
 * `offer(letters)` gives [{value, words, more, mark}] in the order they are shown; `wordsOf(value)`: what the
 * field shows of a value; `free`: other words may be written, by the last row of the list; `about(option)`: a
 * node that tells of the option the eye is on; `lacking(written)`: {says, options} for words that fit nothing,
 * an option that does more than name a value having `run(owner)`; `loose`: an empty field takes the word away.
 * As in fields.js: `show`, `set(value, owner)`.
 */
export class Combo {
  constructor({ label, offer, set, wordsOf = (value) => value, free = false, loose = free, about = () => null, lacking = () => ({}) }) {
    Object.assign(this, { label, offer, set, wordsOf, free, loose, about, lacking, value: null, owner: null, at: -1, options: [] });
    this.pending = new Map(); // owner -> what was written, and is neither known nor chosen
    const id = freshId('combo');
    // No stop of its own, which a list that scrolls would be: it closes when the field is left.
    this.list = make('ul', { id: `${id}-list`, role: 'listbox', 'aria-label': label, hidden: true, tabIndex: -1 });
    this.says = make('p', { class: 'combo-says', id: `${id}-says`, hidden: true });
    this.told = make('div', { class: 'about', id: `${id}-about`, hidden: true });
    this.input = make('input', {
      id,
      type: 'text',
      role: 'combobox',
      autocomplete: 'off',
      spellcheck: false,
      'aria-autocomplete': 'list',
      'aria-expanded': 'false',
      'aria-controls': this.list.id,
      'aria-describedby': `${this.says.id} ${this.told.id}`,
    });
    // Behind the field, so that Tab goes on from it to the next one; no field, so that letters are keys there.
    this.done = make('span', { class: 'combo-done', role: 'group', tabIndex: -1 }, icon('tick'));
    this.node = make(
      'div',
      { class: 'field combo' },
      make('div', { class: 'combo-line' }, make('label', { class: 'label', for: id }, label),
        make('div', { class: 'combo-place' }, this.input, this.done)),
      make('div', { class: 'offered' }, this.says, this.list),
      this.told,
    );
    this.listen();
  }

  listen() {
    const { input } = this;
    // The hand is still at this word: it is the word that goes, not the mark.
    this.done.addEventListener('keydown', (event) => {
      if (event.key !== 'Delete' && event.key !== 'Backspace') return;
      event.preventDefault();
      event.stopPropagation();
      input.focus();
    });
    input.addEventListener('focus', () => input.select());
    // Not sooner than the click: a list that opens under a finger would be touched by it.
    input.addEventListener('click', () => this.open(this.isWritten ? input.value : ''));
    input.addEventListener('input', () => this.open(input.value));
    input.addEventListener('keydown', (event) => this.key(event));
    // A list that closes sooner moves what is being touched away from under the finger.
    input.addEventListener('blur', () => afterTouch(() => document.activeElement !== input && this.leave()));
    // The list must not take the focus from the field, or leaving it would close the list first.
    this.list.addEventListener('mousedown', (event) => event.preventDefault());
    this.list.addEventListener('click', (event) => {
      const item = event.target.closest('[role="option"]');
      if (item) this.pick(Number(item.dataset.at));
    });
  }

  get isOpen() {
    return !this.list.hidden;
  }

  get written() {
    return this.input.value.trim();
  }

  /** What the field shows of the record. */
  get shown() {
    return this.value === null ? '' : this.wordsOf(this.value);
  }

  /** The field holds other words than the record. */
  get isWritten() {
    return this.written !== this.shown;
  }

  /** What is written is one of the options, by its own words or the record's. */
  exact(written) {
    return exactIn(this.offer(written.toLowerCase()), written);
  }

  open(text) {
    const written = text.trim();
    const found = this.offer(written.toLowerCase()).slice(0, SHOWN_AT_MOST);
    const { says, options } = written && found.length === 0 ? this.lacking(written) : {};
    const isNew = this.free && written && !exactIn(found, written);
    const own = isNew ? [{ value: written, words: phrase('as-written', { words: written }) }] : [];
    this.options = [...found, ...(options ?? []), ...own];
    this.list.hidden = this.options.length === 0;
    this.input.setAttribute('aria-expanded', String(this.isOpen));
    fill(
      this.list,
      this.options.map((option, i) => this.item(option, i)),
    );
    this.say(says ?? '');
    this.move(written && found.length > 0 ? 0 : -1); // what is written stays the hand's own choice
    (this.told.hidden ? this.list : this.told).scrollIntoView({ block: 'nearest' });
    this.input.scrollIntoView({ block: 'nearest' });
  }

  /** Said over the list: why it is not what was looked for. */
  say(words) {
    if (words && words !== this.says.textContent)
      book.say([words, ...this.options.map((option) => option.words)].join('; '));
    this.says.textContent = words;
    this.says.hidden = !words;
  }

  item({ words, more, mark }, i) {
    return make(
      'li',
      { role: 'option', id: `${this.list.id}-${i}`, 'data-at': i, 'aria-selected': 'false' },
      mark ?? null,
      make('span', { class: 'option-words' }, words),
      more ? make('span', { class: 'option-more' }, more) : null,
    );
  }

  /** The option the eye is on; -1: none. */
  move(at) {
    this.at = at;
    [...this.list.children].forEach((item, i) => item.setAttribute('aria-selected', String(i === at)));
    const item = this.list.children[at];
    if (item) this.input.setAttribute('aria-activedescendant', item.id);
    else this.input.removeAttribute('aria-activedescendant');
    item?.scrollIntoView({ block: 'nearest' });
    this.tell(this.options[at] ?? null);
  }

  tell(option) {
    const node = option && this.isOpen ? this.about(option) : null;
    fill(this.told, node);
    this.told.hidden = node === null;
  }

  close() {
    this.list.hidden = true;
    this.input.setAttribute('aria-expanded', 'false');
    this.say('');
    this.move(-1);
  }

  pick(at) {
    const option = this.options[at];
    this.pending.delete(this.owner);
    this.close();
    if (option.run) option.run(this.owner);
    this.take(option.run ? this.value : option.value);
    this.rest();
  }

  take(value) {
    const isSame = value === this.value;
    this.value = value;
    this.input.value = this.shown;
    if (!isSame) this.set(value, this.owner);
  }

  /** Out of the field, where letters are keys again. */
  rest() {
    this.done.setAttribute('aria-label', phrase('field-named', { field: this.label, words: this.shown || phrase('none') }));
    this.done.focus();
  }

  key(event) {
    const { key } = event;
    if (!['ArrowDown', 'ArrowUp', 'Enter', 'Escape'].includes(key)) return;
    event.preventDefault();
    event.stopPropagation();
    if (key === 'Escape') this.escape();
    else if (key === 'Enter') this.enter();
    else if (!this.isOpen) this.open('');
    else {
      const n = this.options.length;
      this.move((this.at + (key === 'ArrowDown' ? 1 : this.at < 0 ? 0 : -1) + n) % n);
    }
  }

  enter() {
    if (this.isOpen && this.at >= 0) this.pick(this.at);
    else if (this.settle()) this.rest();
  }

  /** First the list goes, then the hand leaves with the old word standing. */
  escape() {
    if (this.isOpen) return this.close();
    this.pending.delete(this.owner);
    this.input.value = this.shown;
    return this.rest();
  }

  /** A word of the list is taken, an empty field too; TRUE: nothing is left to be asked. */
  resolve() {
    const { written } = this;
    const exact = this.isWritten && written ? this.exact(written) : null;
    if (this.isWritten && !written) this.take(this.loose ? null : this.value);
    else if (exact) this.take(exact.value);
    return !this.isWritten;
  }

  settle() {
    if (!this.resolve()) this.ask();
    else {
      this.pending.delete(this.owner);
      this.close();
    }
    return !this.isWritten;
  }

  /** Words that are not in the list stand in the field until a row is chosen. */
  ask() {
    this.pending.set(this.owner, this.written);
    this.open(this.written);
    this.move(-1);
    this.say(phrase('choose-row', { words: this.written }));
  }

  /** The hand goes: see settle. What it went to stays in sight. */
  leave() {
    if ((this.isWritten || this.isOpen) && !this.settle() && document.activeElement.closest('#slip'))
      document.activeElement.scrollIntoView({ block: 'nearest' });
  }

  show(value, owner) {
    if (owner === this.owner && this.isWritten && (document.activeElement === this.input || this.pending.has(owner)))
      return;
    if (owner !== this.owner) this.change(owner);
    this.value = value ?? null;
    const words = this.pending.get(owner) ?? this.shown;
    if (this.input.value !== words) this.input.value = words;
    if (this.pending.has(owner) && !this.isOpen) this.ask();
  }

  /** Another mark is laid on top: what was written and not chosen waits for the return of its own. */
  change(owner) {
    if (this.isWritten && !this.resolve()) {
      this.pending.set(this.owner, this.written);
      const says = phrase('field-not-saved', { field: this.label, words: this.written });
      book.tell('notice', { text: `${says}.` });
      book.say(says);
    }
    this.close();
    this.owner = owner;
  }

  focus() {
    this.input.focus();
    this.open(this.isWritten ? this.input.value : '');
  }
}
