// A field in which a few letters find a word: the combobox of the ARIA Authoring Practices, with its
// list standing open under the field, so that it lies over nothing.

import { fill, freshId, make } from './make.js';

const SHOWN_AT_MOST = 40;

/**
 * `offer(letters)` gives [{value, words, more, mark}] in the order they are shown; `free`: any words may
 * be written; `about(option)`: a node that tells of the option the eye is on. As in fields.js: `show`,
 * `set(value, owner)`.
 */
export class Combo {
  constructor({ label, offer, set, free = false, about = () => null }) {
    Object.assign(this, { offer, set, free, about, value: null, owner: null, at: -1, options: [] });
    const id = freshId('combo');
    this.list = make('ul', { id: `${id}-list`, role: 'listbox', 'aria-label': label, hidden: true });
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
      'aria-describedby': this.told.id,
    });
    this.node = make(
      'div',
      { class: 'field combo' },
      make('div', { class: 'combo-line' }, make('label', { class: 'label', for: id }, label), this.input),
      this.list,
      this.told,
    );
    this.listen();
  }

  listen() {
    const { input } = this;
    input.addEventListener('focus', () => input.select());
    // Not sooner than the click: a list that opens under a finger would be touched by it.
    input.addEventListener('click', () => this.open(''));
    input.addEventListener('input', () => this.open(input.value));
    input.addEventListener('keydown', (event) => this.key(event));
    input.addEventListener('blur', () => this.leave());
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

  open(letters) {
    this.options = this.offer(letters.trim().toLowerCase()).slice(0, SHOWN_AT_MOST);
    this.list.hidden = this.options.length === 0;
    this.input.setAttribute('aria-expanded', String(this.isOpen));
    fill(
      this.list,
      this.options.map((option, i) => this.item(option, i)),
    );
    this.move(letters.trim() && !this.free ? 0 : -1);
    (this.told.hidden ? this.list : this.told).scrollIntoView({ block: 'nearest' });
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
    this.move(-1);
  }

  pick(at) {
    const option = this.options[at];
    this.close();
    this.take(option.value);
  }

  take(value) {
    this.input.value = value ?? '';
    if (value === this.value) return;
    this.value = value;
    this.set(value, this.owner);
  }

  key(event) {
    const { key } = event;
    const n = this.options.length;
    if (key === 'ArrowDown' || key === 'ArrowUp') {
      event.preventDefault();
      if (!this.isOpen) this.open('');
      else this.move((this.at + (key === 'ArrowDown' ? 1 : this.at < 0 ? 0 : -1) + n) % n);
    } else if (key === 'Enter') {
      event.preventDefault();
      if (this.isOpen && this.at >= 0) this.pick(this.at);
      else this.leave();
    } else if (key === 'Escape' && (this.isOpen || this.input.value !== (this.value ?? ''))) {
      event.stopPropagation();
      event.preventDefault();
      this.close();
      this.input.value = this.value ?? '';
    }
  }

  /** What stands in the field when the hand goes: a word of the list, free words, or as it was. */
  leave() {
    const written = this.input.value.trim();
    this.close();
    if (written === (this.value ?? '')) return;
    const exact = this.offer(written.toLowerCase()).find(
      ({ value }) => value.toLowerCase() === written.toLowerCase(),
    );
    if (exact) this.take(exact.value);
    else if (this.free) this.take(written || null);
    else this.input.value = this.value ?? '';
  }

  show(value, owner) {
    if (
      owner === this.owner &&
      document.activeElement === this.input &&
      this.input.value !== (this.value ?? '')
    )
      return;
    if (owner !== this.owner) this.leave();
    this.value = value ?? null;
    this.owner = owner;
    if (this.input.value !== (value ?? '')) this.input.value = value ?? '';
  }

  focus() {
    this.input.focus();
    this.open('');
  }
}
