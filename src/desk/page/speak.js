// For those who listen: what is chosen, what was saved, what is wrong. Polite words wait for a pause,
// urgent ones do not. A size that changes under the pen is told once it rests.

import { book } from './book.js';
import { find } from './make.js';
import { OWN, ownOf } from './own.js';
import { phrase } from './phrases.js';
import { nameOfMark, nameOfPhoto } from './tell.js';

const REST_MS = 900;

function put(place, text) {
  // The same words twice are only heard when the place was empty between.
  place.textContent = '';
  setTimeout(() => {
    place.textContent = text;
  }, 60);
}

function markWords() {
  const mark = book.peekMark();
  if (!mark) return '';
  return [phrase('mark-number', { number: mark.number ?? mark.id }), nameOfMark(mark), mark.shown ?? mark.why ?? ''].join(', ');
}

function toolName() {
  const own = ownOf(book.tool);
  if (own) return phrase(book.tool === own ? 'own-outline' : 'own-points', { what: OWN[own].name });
  return find(`#tools [data-tool="${book.tool}"] span`)?.textContent ?? book.tool;
}

/** Words that come often: only the last is said, after a rest. */
function resting(say) {
  let timer = 0;
  return (text) => {
    clearTimeout(timer);
    if (text) timer = setTimeout(() => say(text), REST_MS);
  };
}

export function joinVoice() {
  const polite = (text) => put(find('#polite'), text);
  const [restSaved, restSize] = [resting(polite), resting(polite)]; // a stroke that ends silences its size alone
  let chosen = null;
  book.addEventListener('say', ({ detail }) => put(find(detail.urgent ? '#urgent' : '#polite'), detail.text));
  book.addEventListener('saved', ({ detail }) => restSaved(phrase('saved-what', { what: detail.says.at(-1) ?? phrase('saved-all') })));
  book.addEventListener('draft', () => restSize(book.draft?.shown ?? book.draft?.why ?? ''));
  book.addEventListener('tool', () => polite(phrase('in-hand', { tool: toolName() })));
  book.addEventListener('mark', () => {
    const now = `${book.photo?.id}#${book.mark}`;
    if (now !== chosen && book.mark !== null) polite(markWords());
    chosen = now;
  });
  let shown = null;
  book.addEventListener('photo', () => {
    if (book.photo.id !== shown) polite(nameOfPhoto(book.photo));
    shown = book.photo.id;
  });
}
