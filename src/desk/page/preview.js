// The plate, as it will be printed: the very drawing that makes the PDF, page by page.

import { book } from './book.js';
import { closeLeaf, leafIsOpen, openLeaf } from './leaf.js';
import { button, fill, icon, make } from './make.js';
import { nameOfPhoto } from './tell.js';

class Plate {
  constructor(photo) {
    this.photo = photo;
    this.page = 1;
    this.pages = 1;
    this.picture = make('div', { class: 'plate-paper' });
    this.where = make('span', { class: 'figures', role: 'status' });
    const turn = (by, name, words) =>
      button({ class: 'quiet', 'aria-label': words, onclick: () => this.turn(by) }, icon(name));
    this.larger = button(
      { class: 'quiet', 'aria-pressed': 'false', onclick: () => this.enlarge() },
      'Twice as large',
    );
    this.acts = [turn(-1, 'before', 'Page before'), this.where, turn(1, 'next', 'Next page'), this.larger];
  }

  enlarge() {
    const isLarge = this.picture.classList.toggle('large');
    this.larger.setAttribute('aria-pressed', String(isLarge));
  }

  turn(by) {
    this.page = Math.min(this.pages, Math.max(1, this.page + by));
    this.load();
  }

  async load() {
    this.where.textContent = 'being drawn \u2026';
    try {
      const response = await fetch(`/photo/${this.photo.id}/plate?page=${this.page}`, { cache: 'no-store' });
      if (!response.ok)
        throw new Error((await response.json().catch(() => ({}))).says ?? 'The plate could not be drawn.');
      this.pages = Number(response.headers.get('Pages') ?? 1);
      this.show(await response.blob());
    } catch (error) {
      this.where.textContent = '';
      fill(
        this.picture,
        make(
          'p',
          {},
          error instanceof TypeError
            ? 'The record is out of reach; the plate can be drawn when it is back.'
            : error.message,
        ),
      );
    }
  }

  show(blob) {
    this.free();
    this.url = URL.createObjectURL(blob);
    fill(
      this.picture,
      make('img', {
        src: this.url,
        alt: `Plate: ${nameOfPhoto(this.photo)}, page ${this.page} of ${this.pages}`,
      }),
    );
    this.where.textContent = this.pages > 1 ? `page ${this.page} of ${this.pages}` : '';
  }

  free() {
    if (this.url) URL.revokeObjectURL(this.url);
  }
}

export function togglePlate() {
  if (leafIsOpen('plate')) return closeLeaf();
  if (!book.photo) return undefined;
  const plate = new Plate(book.photo);
  openLeaf({
    name: 'plate',
    title: 'The plate, as it will be printed',
    content: [plate.picture],
    acts: plate.acts,
    onclose: () => plate.free(),
  });
  return plate.load();
}
