// Pages that the server draws, as they will be printed, one at a time as they are turned to.

import { Newest } from './live.js';
import { button, fill, icon, make } from './make.js';
import { phrase } from './phrases.js';

export class Pages {
  #newest = new Newest();

  /**
   * `ask(page, signal)`: gives {page, pages, blob}; `nameOf(page, pages)`: what those who listen hear of it;
   * `why(error)`: nodes or words for where the page would lie; `onshow(drawn)`: what was asked for is shown.
   */
  constructor({ ask, nameOf, why, onshow = () => {} }) {
    Object.assign(this, { ask, nameOf, why, onshow, page: 1, pages: 1 });
    this.picture = make('div', { class: 'plate-paper' });
    this.where = make('span', { class: 'figures', role: 'status' });
    const turn = (by, name, words) =>
      button({ class: 'quiet', 'aria-label': words, onclick: () => this.turn(by) }, icon(name));
    this.larger = button({ class: 'quiet', onclick: () => this.enlarge() }, phrase('plate-larger'));
    this.acts = [turn(-1, 'before', phrase('plate-before')), this.where, turn(1, 'next', phrase('plate-next')), this.larger];
  }

  /** The whole page, as wide as the leaf, twice as wide, and round again. */
  enlarge() {
    this.size = ((this.size ?? 0) + 1) % 3;
    this.picture.dataset.size = this.size;
    this.larger.textContent = phrase(this.size < 2 ? 'plate-larger' : 'plate-whole');
  }

  turn(by) {
    const page = Math.min(this.pages, Math.max(1, this.page + by));
    if (page === this.page) return;
    this.page = page;
    this.load();
  }

  /** The first page of something else. */
  begin() {
    this.page = 1;
    this.load();
  }

  /** The page that is turned to; pages turned over are not waited for. */
  load() {
    const { page } = this;
    this.where.textContent = phrase('plate-drawing');
    this.picture.dataset.old = '';
    this.#newest.run((signal) => this.ask(page, signal), (drawn) => this.show(drawn), (error) => this.fail(error));
  }

  fail(error) {
    this.where.textContent = '';
    delete this.picture.dataset.old;
    fill(this.picture, make('div', { class: 'plate-none', role: 'alert' }, this.why(error)));
  }

  show(drawn) {
    const { page, pages } = Object.assign(this, { page: drawn.page, pages: drawn.pages });
    if (this.url) URL.revokeObjectURL(this.url);
    this.url = URL.createObjectURL(drawn.blob);
    delete this.picture.dataset.old;
    fill(this.picture, make('img', { src: this.url, alt: this.nameOf(page, pages) }));
    this.where.textContent = pages > 1 ? phrase('plate-page', { n: page, m: pages }) : '';
    this.onshow(drawn);
  }

  free() {
    this.#newest.forget();
    if (this.url) URL.revokeObjectURL(this.url);
  }
}
