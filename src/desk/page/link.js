// The same damage on another photograph: `same-as` where both were taken at one stage, `earlier` for
// what a mark of before has become. The other mark is touched on the photograph beside, or chosen by name.

import { book } from './book.js';
import { selectField, tickField } from './fields.js';
import { button, fill, find, make } from './make.js';
import { nameOfMark, nameOfPhoto } from './tell.js';

const KINDS = {
  'same-as': { label: 'same as', ask: 'the same damage, on another photograph' },
  earlier: { label: 'before', ask: 'what it was before treatment' },
};

/** Where a reference leads, in words. */
function linkWords(reference) {
  const at = reference.lastIndexOf('#');
  const [file, id] = [reference.slice(0, at), reference.slice(at + 1)];
  const mark = book.other?.file === file ? book.other.marks.find((one) => one.id === id) : null;
  const photo = book.volume.photos.find((one) => one.file === file);
  const where = photo ? nameOfPhoto(photo) : file;
  return mark ? `${mark.number ?? mark.id} ${nameOfMark(mark)}, on ${where}` : `mark ${id}, on ${where}`;
}

export class LinkWords {
  constructor() {
    this.rows = Object.fromEntries(Object.keys(KINDS).map((key) => [key, make('div', { class: 'field' })]));
    this.asks = make('p', {});
    this.which = selectField({ label: 'beside it', choices: [], set: (id) => book.lay(id) });
    this.marks = make('div', {});
    this.picker = make(
      'div',
      { class: 'picker', hidden: true, role: 'group', 'aria-label': 'which mark it is' },
      this.asks,
      this.which.node,
      this.marks,
      button({ class: 'quiet', onclick: () => book.pick(null) }, 'Leave it'),
    );
    this.gone = tickField({
      label: 'made good: nothing of it is left',
      set: (value, id) => book.edit([{ mark: id, key: 'gone', value }], { says: 'made good' }),
    });
    this.node = make('div', {}, this.rows['same-as'], this.rows.earlier, this.gone.node, this.picker);
    this.node.addEventListener('keydown', (event) => {
      if (event.key === 'Escape' && book.picking) book.pick(null);
    });
    book.addEventListener('picking', () => this.turnPicker());
    book.addEventListener('other', () => this.showPicker());
  }

  /** The picker has the focus while it is there, and gives it back to the button that it came from. */
  turnPicker() {
    if (book.picking) this.key = book.picking;
    else if (this.picker.contains(document.activeElement)) find('button', this.rows[this.key]).focus();
    this.showPicker();
    if (!book.picking) return;
    this.which.focus();
    this.picker.scrollIntoView({ block: 'nearest' });
  }

  showRow(key, mark) {
    const hadFocus = this.rows[key].contains(document.activeElement);
    const { label, ask } = KINDS[key];
    const reference = mark.words[key];
    const drop = () => book.edit([{ mark: mark.id, key, value: null }], { says: 'link taken away' });
    fill(
      this.rows[key],
      make('span', { class: 'label' }, label),
      make(
        'div',
        { class: 'linked' },
        reference ? make('span', {}, linkWords(reference)) : null,
        button({ class: 'pair', onclick: () => book.pick(key) }, reference ? 'choose another' : ask),
        reference ? button({ class: 'quiet', onclick: drop }, 'take away') : null,
      ),
    );
    if (hadFocus) find('button', this.rows[key]).focus();
  }

  show(mark) {
    this.mark = mark;
    const isAfter = book.photo.stage !== 'before';
    this.showRow('same-as', mark);
    this.showRow('earlier', mark);
    this.rows.earlier.hidden = !isAfter && !mark.words.earlier;
    this.gone.show(
      mark.words.gone,
      mark.id,
      mark.words.earlier ? '' : 'First say what it was before treatment.',
    );
    this.gone.node.hidden = !isAfter && !mark.words.gone;
    this.showPicker();
  }

  fitting(key) {
    return book.volume.photos.filter((photo) => book.fits(key, photo));
  }

  showPicker() {
    const key = book.picking;
    this.picker.hidden = !key;
    if (!key) return;
    const fitting = this.fitting(key).map((photo) => [photo.id, nameOfPhoto(photo)]);
    const laid = fitting.some(([id]) => id === book.other?.id) ? book.other : null;
    const state = JSON.stringify([key, fitting, laid?.id, laid?.marks.map((mark) => [mark.id, mark.number, nameOfMark(mark)])]);
    if (state === this.shown) return; // what has the focus stays
    this.shown = state;
    this.which.offer(laid ? fitting : [[null, 'choose a photograph'], ...fitting]);
    this.which.show(laid?.id ?? null, null);
    this.asks.textContent = `Touch the mark on the photograph beside this one, or choose it here: ${KINDS[key].ask}.`;
    this.showMarks(laid);
    const { activeElement } = document;
    if (this.picker.contains(activeElement)) activeElement.scrollIntoView({ block: 'nearest' }); // a longer list moves it
  }

  showMarks(photo) {
    const marks = photo?.marks ?? [];
    const item = (mark) =>
      make(
        'li',
        {},
        button(
          { onclick: () => book.picked(book.other, mark) },
          make('span', { class: 'number figures' }, mark.number ?? mark.id),
          make('span', {}, nameOfMark(mark)),
        ),
      );
    fill(
      this.marks,
      make('ul', { class: 'marks' }, marks.map(item)),
      photo && marks.length === 0 ? make('p', { class: 'soft' }, 'There is no mark on it.') : null,
    );
  }
}
