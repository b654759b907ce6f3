// Where a mark's fellow on another photograph is picked: touched on the photograph beside, or chosen
// by name; and the row for one damage on two photographs of a stage, which is counted once.

import { book } from './book.js';
import { selectField } from './fields.js';
import { linkName, picked, unlink, whyNotPicked } from './linking.js';
import { fittingPhotos } from './links.js';
import { button, fill, find, make } from './make.js';
import { phrase } from './phrases.js';
import { NAMES, nameOfMark, nameOfPhoto } from './tell.js';

export class Picker {
  /** `home`: the row that a mark is picked for, by the key. */
  constructor(home) {
    this.home = home;
    this.asks = make('p', {});
    this.which = selectField({ label: phrase('beside-it'), choices: [], set: (id) => book.lay(id) });
    this.marks = make('div', {});
    this.node = make(
      'div',
      { class: 'picker', hidden: true, role: 'group', 'aria-label': phrase('which-mark') },
      this.asks,
      this.which.node,
      this.marks,
      button({ class: 'quiet', onclick: () => book.pick(null) }, phrase('leave-it')),
    );
    this.node.addEventListener('keydown', (event) => {
      if (event.key === 'Escape' && book.picking) book.pick(null);
    });
    book.addEventListener('picking', () => this.turn());
    book.addEventListener('other', () => this.show());
  }

  /** It has the focus while it is there, and gives it back to the row that it came from. */
  turn() {
    if (book.picking) this.key = book.picking;
    else if (this.node.contains(document.activeElement)) find('button', this.home(this.key))?.focus();
    this.show();
    if (!book.picking) return;
    this.which.focus();
    this.node.scrollIntoView({ block: 'nearest' });
  }

  mark(mark) {
    return make(
      'li',
      {},
      button(
        { onclick: () => picked(book.other, mark) },
        make('span', { class: 'number figures' }, mark.number ?? mark.id),
        make('span', {}, nameOfMark(mark)),
      ),
    );
  }

  show() {
    const key = book.picking;
    this.node.hidden = !key || !book.peekMark();
    if (this.node.hidden) return;
    const fitting = fittingPhotos(key, book.photo, book.volume.photos).map((photo) => [photo.id, nameOfPhoto(photo)]);
    const laid = fitting.some(([id]) => id === book.other?.id) ? book.other : null;
    const marks = (laid?.marks ?? []).map((mark) => ({ mark, why: whyNotPicked(laid, mark) }));
    const state = JSON.stringify([key, fitting, laid?.id, marks.map(({ mark, why }) => [mark.id, mark.number, nameOfMark(mark), why])]);
    if (state === this.shown) return; // what has the focus stays
    this.shown = state;
    this.which.offer(laid ? fitting : [[null, phrase('choose-photograph')], ...fitting]);
    this.which.show(laid?.id ?? null, null);
    this.asks.textContent = phrase(`asks-${key}`);
    this.showMarks(laid, marks);
    const { activeElement } = document;
    if (this.node.contains(activeElement)) activeElement.scrollIntoView({ block: 'nearest' }); // a longer list moves it
  }

  showMarks(laid, marks) {
    const fit = marks.filter(({ why }) => why === null).map(({ mark }) => mark);
    const reasons = [...new Set(marks.map(({ why }) => why).filter(Boolean))];
    const unfit = (reason) => marks.filter(({ why }) => why === reason).map(({ mark }) => mark.number ?? mark.id).join(', ');
    fill(
      this.marks,
      make('ul', { class: 'marks' }, fit.map((mark) => this.mark(mark))),
      laid && marks.length === 0 ? make('p', { class: 'soft' }, phrase('no-mark-on-it')) : null,
      reasons.map((why) => make('p', { class: 'soft' }, phrase('not-these', { numbers: unfit(why), why }))),
    );
  }
}

/** One damage on two photographs of a stage. */
export class SameWords {
  constructor() {
    this.said = make('div', { class: 'linked' });
    this.node = make('div', { class: 'field', role: 'group', 'aria-label': NAMES['same-as'] },
      make('span', { class: 'label' }, NAMES['same-as']), this.said);
  }

  show(mark) {
    const { links, photo, volume } = book;
    const link = links.find((one) => one.photo === photo.id && one.mark === mark.id && one.key === 'same-as');
    this.node.hidden = !link && fittingPhotos('same-as', photo, volume.photos).length === 0;
    fill(
      this.said,
      link?.stands
        ? [make('span', {}, phrase('same-as-counted', { name: linkName(link.to) })),
           button({ class: 'quiet', onclick: () => unlink(link) }, phrase('unlink'))]
        : button({ class: 'pair', onclick: () => book.pick('same-as') },
            phrase(`same-${photo.stage ?? 'none'}`)),
    );
  }
}
