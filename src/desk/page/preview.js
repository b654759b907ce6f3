// The plate, as it will be printed: the very drawing that makes the PDF, page by page.

import { book } from './book.js';
import { closeLeaf, leafIsOpen, openLeaf } from './leaf.js';
import { Pages } from './pages.js';
import { phrase } from './phrases.js';
import { nameOfPhoto } from './tell.js';

const LOST = phrase('plate-lost');

async function ask(photo, page, signal) {
  const response = await fetch(`/photo/${photo.id}/plate?page=${page}`, { cache: 'no-store', signal });
  if (!response.ok)
    throw new Error((await response.json().catch(() => ({}))).says ?? phrase('plate-failed'));
  return { page, blob: await response.blob(), pages: Number(response.headers.get('Pages') ?? 1) };
}

export function togglePlate() {
  if (leafIsOpen('plate')) return closeLeaf();
  if (!book.photo) return undefined;
  const { photo } = book;
  const plate = new Pages({
    ask: (page, signal) => ask(photo, page, signal),
    nameOf: (page, pages) => phrase('plate-named', { photo: nameOfPhoto(photo), n: page, m: pages }),
    why: (error) => (error instanceof TypeError ? LOST : error.message),
  });
  openLeaf({
    name: 'plate',
    title: phrase('plate-title'),
    content: [plate.picture],
    acts: plate.acts,
    onclose: () => plate.free(),
  });
  return plate.load();
}
