// The language of the page, told where something is to be told: words that it lacks and shows in English,
// and that the volume has another one by now.

import { book } from './book.js';
import { button, find, make } from './make.js';
import { language, missing, phrase, why } from './phrases.js';

function tell(words, act, run) {
  const note = make('div', { class: 'told', role: 'status' }, make('span', {}, words),
    button({ onclick: () => run(note) }, act));
  find('#alarms').append(note);
}

function tellLacking(words) {
  tell(words, phrase('refused-read'), (note) => note.remove());
}

export function joinLanguage() {
  if (why) tellLacking(phrase('language-none', { why }));
  if (missing.length > 0) tellLacking(phrase('language-missing', { n: missing.length, language, keys: missing.join(', ') }));
  let isTold = false;
  book.addEventListener('volume', () => {
    if (isTold || book.volume.language === language) return;
    isTold = true;
    tell(phrase('language-changed'), phrase('language-load'), () => location.reload());
  });
}
