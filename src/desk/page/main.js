// Lays the page out and joins its parts. Every part listens to the store and changes nothing but
// through it.

import { book } from './book.js';
import { find } from './make.js';

/** A tool is in hand while its tab is open. */
function joinTools() {
  const tabs = [...document.querySelectorAll('#tools [data-tool]')];
  const show = () => tabs.forEach((tab) => tab.setAttribute('aria-pressed', tab.dataset.tool === book.tool));
  for (const tab of tabs) tab.addEventListener('click', () => book.setTool(tab.dataset.tool));
  book.addEventListener('tool', show);
  show();
}

function joinBeside() {
  const show = () => find('#bench').classList.toggle('alone', book.other === null);
  book.addEventListener('other', show);
  show();
}

joinTools();
joinBeside();
await book.begin();
if (book.volume.photos.length > 0) await book.open(book.volume.photos[0].id);
