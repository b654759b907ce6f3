// The plate, as it will be printed: the very drawing that makes the PDF, page by page.

import { book } from './book.js';
import { closeLeaf, leafIsOpen, openLeaf } from './leaf.js';
import { Newest } from './live.js';
import { button, fill, icon, make } from './make.js';
import { phrase } from './phrases.js';
import { nameOfPhoto } from './tell.js';

const LOST = phrase('plate-lost');

class Plate {
  #newest = new Newest();

  constructor(photo) {
    this.photo = photo;
    this.page = 1;
    this.pages = 1;
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

  /** The page that is turned to; pages turned over are not waited for. */
  load() {
    this.where.textContent = phrase('plate-drawing');
    const path = `/photo/${this.photo.id}/plate?page=${this.page}`;
    this.#newest.run((signal) => this.ask(path, signal), (blob) => this.show(blob), (error) => this.fail(error));
  }

  async ask(path, signal) {
    const response = await fetch(path, { cache: 'no-store', signal });
    if (!response.ok)
      throw new Error((await response.json().catch(() => ({}))).says ?? phrase('plate-failed'));
    this.pages = Number(response.headers.get('Pages') ?? 1);
    return response.blob();
  }

  fail(error) {
    this.where.textContent = '';
    fill(this.picture, make('p', {}, error instanceof TypeError ? LOST : error.message));
  }

  show(blob) {
    if (this.url) URL.revokeObjectURL(this.url);
    this.url = URL.createObjectURL(blob);
    fill(
      this.picture,
      make('img', {
        src: this.url,
        alt: phrase('plate-named', { photo: nameOfPhoto(this.photo), n: this.page, m: this.pages }),
      }),
    );
    this.where.textContent = this.pages > 1 ? phrase('plate-page', { n: this.page, m: this.pages }) : '';
  }

  free() {
    this.#newest.forget();
    if (this.url) URL.revokeObjectURL(this.url);
  }
}

export function togglePlate() {
  if (leafIsOpen('plate')) return closeLeaf();
  if (!book.photo) return undefined;
  const plate = new Plate(book.photo);
  openLeaf({
    name: 'plate',
    title: phrase('plate-title'),
    content: [plate.picture],
    acts: plate.acts,
    onclose: () => plate.free(),
  });
  return plate.load();
}
