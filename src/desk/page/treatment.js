// One row of a mark's slip: what has become of a mark of before treatment, or what a mark of after
// treatment was. Whatever is said here is written with the after photograph.

import { book } from './book.js';
import { afterPhoto, linkName, makeGood, unlink } from './linking.js';
import { fittingPhotos, pointingAt, referenceTo } from './links.js';
import { button, fill, make } from './make.js';
import { phrase } from './phrases.js';
import { nameOfMark, stageName } from './tell.js';

/** "mark 5, −38.4 ± 1.2 mm²": what a mark has become on a photograph of after treatment. */
function becameWords(link, mark) {
  const change = book.volume.changes[referenceTo(book.photo, mark.id)];
  if (link.gone) return phrase('made-good');
  const name = link.photo === book.other?.id ? phrase('mark-number', { number: link.number }) : linkName(link);
  return change ? `${name}, ${change}` : name;
}

export class TreatmentWords {
  constructor() {
    this.label = make('span', { class: 'label' });
    this.said = make('div', { class: 'linked' });
    this.node = make('div', { class: 'field treatment', role: 'group' }, this.label, this.said);
    book.addEventListener('picking', () => {
      if (!book.picking && !this.node.hidden) this.node.scrollIntoView({ block: 'nearest' }); // what has come of it
    });
  }

  /** Links of a mark of before, each with what it has become. */
  showBefore(mark) {
    const became = pointingAt(book.links, book.photo.id, mark.id).filter(({ key, stands }) => key === 'earlier' && stands);
    this.node.hidden = became.length === 0 && !afterPhoto();
    fill(
      this.said,
      became.length > 0
        ? became.map((link) => this.link(becameWords(link, mark), link))
        : [
            button({ class: 'pair', onclick: () => makeGood(mark) }, phrase('made-good')),
            button({ class: 'pair', onclick: () => book.pick('later') }, phrase('still-there')),
          ],
    );
  }

  /** A link that does not stand is told where what is wrong is told. */
  showAfter(mark) {
    const link = book.links.find((one) => one.photo === book.photo.id && one.mark === mark.id && one.key === 'earlier');
    this.node.hidden = !link && fittingPhotos('earlier', book.photo, book.volume.photos).length === 0;
    const { to } = link ?? {};
    fill(
      this.said,
      link?.stands
        ? this.link(to.photo === book.other?.id ? phrase('mark-named', { number: to.number, name: nameOfMark({ words: to }) }) : linkName(to), link)
        : button({ class: 'pair', onclick: () => book.pick('earlier') }, phrase('it-was')),
    );
  }

  link(words, link) {
    return make('div', { class: 'linked' }, make('span', { class: 'figures' }, words),
      button({ class: 'quiet', onclick: () => unlink(link) }, phrase('unlink')));
  }

  show(mark) {
    const isAfter = book.photo.stage === 'after';
    this.label.textContent = stageName(isAfter ? 'before' : 'after');
    this.node.setAttribute('aria-label', this.label.textContent);
    if (isAfter) this.showAfter(mark);
    else this.showBefore(mark);
  }
}
