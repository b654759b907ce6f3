// A mark that others point at is not deleted before a person has said what becomes of those: the
// question stands on the slip, with the mark's words, and nothing waits for the answer.

import { book } from './book.js';
import { linkName, removeMarks } from './linking.js';
import { hangingOn, pointingAt } from './links.js';
import { button, fill, make } from './make.js';
import { phrase } from './phrases.js';

const HOW = {
  earlier: ({ gone }) => (gone ? 'good' : 'earlier'),
  'same-as': () => 'same',
};

export class DeleteWords {
  constructor() {
    this.asked = null; // {photo, mark, number} that is to be deleted
    this.question = make('div', { role: 'alertdialog', 'aria-label': phrase('delete-asks') });
    this.node = make('div', { class: 'unkept', hidden: true }, this.question);
    this.node.addEventListener('keydown', (event) => {
      if (event.key === 'Escape') this.keep();
    });
  }

  ask(name) {
    this.asked = name;
    this.from = document.activeElement;
    this.show();
    this.node.scrollIntoView({ block: 'nearest' });
    this.node.querySelector('[data-keep]').focus();
    book.say(this.node.querySelector('p').textContent, true);
  }

  keep() {
    this.asked = null;
    this.show();
    this.from?.focus({ preventScroll: true });
  }

  remove(marks) {
    this.asked = null;
    removeMarks(marks);
  }

  /** The question holds while its mark lies here and something points at it. */
  isOpen() {
    const { asked } = this;
    return asked !== null && asked.photo === book.photo?.id && asked.mark === book.mark
      && pointingAt(book.links, asked.photo, asked.mark).length > 0;
  }

  show() {
    this.node.hidden = !this.isOpen();
    if (this.node.hidden) {
      this.asked = null;
      return;
    }
    const { asked } = this;
    const pointing = pointingAt(book.links, asked.photo, asked.mark);
    const all = hangingOn(book.links, asked.photo, asked.mark);
    const further = all.length - new Set(pointing.map(({ photo, mark }) => `${photo}#${mark}`)).size;
    const isGone = pointing.some(({ key, gone }) => key === 'earlier' && gone);
    const who = pointing.map((link) => phrase(`hangs-${HOW[link.key](link)}`, { mark: linkName(link) })).join('; ');
    fill(
      this.question,
      make('p', {}, make('strong', {}, `${phrase('not-deleted-yet')} `), phrase('linked-to-this', { who }),
        further > 0 ? ` ${phrase(pointing.length === 1 ? 'hang-on-it' : 'hang-on-them', { n: further })}` : null),
      make(
        'div',
        { class: 'acts' },
        button({ onclick: () => this.remove([asked, ...all]) }, all.length === 1 ? phrase('delete-both') : phrase('delete-all', { n: all.length + 1 })),
        isGone ? null : button({ onclick: () => this.remove([asked]) }, phrase('delete-and-unlink')),
        button({ class: 'strong', 'data-keep': '', onclick: () => this.keep() }, phrase('keep')),
      ),
    );
  }
}
