// The line on top: which volume, view and stage; that all is saved, and when. What is not saved is
// said at once in a band across the page, in words that tell where the strokes are meanwhile.

import { book } from './book.js';
import { button, fill, find, make } from './make.js';
import { owedWords } from './owed.js';
import { phrase } from './phrases.js';
import { VOLUME } from './record.js';
import { notWrittenAnew } from './unkept.js';
import { clockOf, nameOfPhoto, plainly } from './tell.js';

const SLOW_MS = 1_500; // a save that takes longer is no longer silent

function showWhat() {
  const title = book.volume.title || book.volume.id;
  Object.assign(find('#volume-title'), { textContent: title, title });
  document.title = `${book.photo ? `${nameOfPhoto(book.photo)} · ` : ''}${title}`;
  find('#volume-what').textContent = book.photo ? nameOfPhoto(book.photo) : phrase('photo-none');
}

function marksWords() {
  if (!book.photo) return '';
  const undecided = book.photo.marks.filter((mark) => mark.words.term === 'undecided').length;
  return [phrase('marks', { n: book.photo.marks.length }), undecided ? phrase('short-undecided', { n: undecided }) : '']
    .filter(Boolean)
    .join(', ');
}

/** Two versions are told of in a band of their own (merge.js). */
function waitsForChoice() {
  return [...book.queue.waiting.values()].every(({ stale }) => stale !== null);
}

/** Where words stand that were not taken. */
function unkeptWords() {
  const nameOf = (id) => (id === VOLUME ? phrase('volume-title') : nameOfPhoto(book.volume.photos.find((photo) => photo.id === id)));
  return book.unkept.map(nameOf).join('; ');
}

class Kept {
  constructor() {
    this.slow = 0;
    this.isSlow = false;
    this.gone = null; // why nothing is saved
  }

  /** Changes that are not on disk. */
  get n() {
    return book.queue?.n ?? 0;
  }

  stateWords() {
    if (this.n > 0 && (this.gone || waitsForChoice())) return [phrase('not-saved'), ''];
    if (this.n > 0) return [phrase('saving'), phrase('changes', { n: this.n })];
    if (book.unkept.length > 0) return [phrase('not-saved'), ''];
    return [phrase('saved'), book.savedAt ? clockOf(book.savedAt) : ''];
  }

  show() {
    if (!book.volume) return void this.showAlarm(); // it does not come
    const [state, more] = this.stateWords();
    fill(
      find('#kept'),
      make('span', { class: `state${this.n > 0 || book.unkept.length > 0 ? ' waiting' : ''}` }, state),
      ` ${more}`,
      make(
        'span',
        { class: 'wide-only' },
        [unkeptWords(), marksWords(), owedWords(), book.volume.lan ? phrase('on-lan') : '']
          .filter(Boolean)
          .map((words) => ` \u00b7 ${words}`)
          .join(''),
      ),
    );
    this.showAlarm();
  }

  alarmWords() {
    const waiting = phrase('alarm-waits', { n: this.n });
    if (this.gone)
      return this.n > 0 ? [phrase('alarm-not-saved'), `${waiting} ${this.gone}`] : [phrase('alarm-out-of-reach'), this.gone];
    if (this.n > 0 && !book.keep.lasting)
      return [phrase('alarm-not-yet'), `${waiting} ${phrase('alarm-keeps-nothing')}`];
    if (this.n > 0 && this.isSlow && !waitsForChoice())
      return [phrase('alarm-not-yet'), `${waiting} ${phrase('alarm-slow')}`];
    return null;
  }

  showAlarm() {
    const words = this.alarmWords();
    const text = words ? words.join(' ') : '';
    if (find('#alarm').textContent.trim() === text) return; // what was heard is not said again
    if (words) fill(find('#alarm'), make('strong', {}, words[0]), make('span', {}, ` ${words[1]}`));
    else fill(find('#alarm'));
  }

  wait() {
    if (this.n > 0 && !this.slow)
      this.slow = setTimeout(() => {
        this.isSlow = true;
        this.show();
      }, SLOW_MS);
    this.show();
  }

  save() {
    clearTimeout(this.slow);
    Object.assign(this, { slow: 0, isSlow: false, gone: null });
    this.show();
  }
}

/** A change that the record cannot take is told in the band, once, with a way to put it away. */
function showRefused({ stroke, says, complaints = [] }) {
  const put = button({ onclick: () => note.remove() }, phrase('refused-read'));
  const why = complaints.map((complaint) => complaint.says).filter(Boolean);
  const note = make(
    'div',
    { class: 'refused', role: 'alert' },
    make('strong', {}, `${phrase('refused-title')} `),
    make('span', {}, [...new Set([says, ...why].map(plainly))].join(' ')),
    put,
  );
  find('#alarms').append(note);
  const isAnew = (edits) => notWrittenAnew(stroke.edits, edits).length === 0;
  const settle = ({ detail }) => {
    if (detail.photo !== stroke.photo || !isAnew(detail.edits)) return;
    note.remove();
    book.removeEventListener('written', settle);
  };
  book.addEventListener('written', settle);
}

export function joinLine() {
  const kept = new Kept();
  const show = () => {
    showWhat();
    kept.show();
  };
  book.addEventListener('volume', show);
  book.addEventListener('photo', show);
  book.addEventListener('unsaved', () => kept.wait());
  for (const name of ['conflict', 'unkept']) book.addEventListener(name, () => kept.show());
  book.addEventListener('saved', () => kept.save());
  book.addEventListener('gone', ({ detail }) => {
    kept.gone = detail.says;
    kept.show();
  });
  book.addEventListener('back', () => {
    kept.gone = null;
    kept.show();
  });
  book.addEventListener('refused', ({ detail }) => {
    if (kept.n === 0) kept.save();
    showRefused(detail);
  });
  addEventListener('beforeunload', (event) => {
    if (kept.n > 0 && !book.keep?.lasting) event.preventDefault();
  });
}
