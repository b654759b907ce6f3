// The line on top: which volume, view and stage; that all is saved, and when. What is not saved is
// said at once in a band across the page, in words that tell where the strokes are meanwhile.

import { book } from './book.js';
import { button, fill, find, make } from './make.js';
import { owedWords } from './owed.js';
import { clockOf, many, nameOfPhoto, plainly } from './tell.js';

const SLOW_MS = 1_500; // a save that takes longer is no longer silent

function showWhat() {
  const title = book.volume.title || book.volume.id;
  Object.assign(find('#volume-title'), { textContent: title, title });
  document.title = `${book.photo ? `${nameOfPhoto(book.photo)} · ` : ''}${title}`;
  find('#volume-what').textContent = book.photo ? nameOfPhoto(book.photo) : 'no photograph yet';
}

function marksWords() {
  if (!book.photo) return '';
  const undecided = book.photo.marks.filter((mark) => mark.words.term === 'undecided').length;
  return [many(book.photo.marks.length, 'mark'), undecided ? `${undecided} undecided` : '']
    .filter(Boolean)
    .join(', ');
}

/** Two versions are told of in a band of their own (merge.js). */
function waitsForChoice() {
  return [...book.queue.waiting.values()].every(({ stale }) => stale !== null);
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
    if (this.n > 0 && (this.gone || waitsForChoice())) return ['not saved', ''];
    if (this.n > 0) return ['saving', `${many(this.n, 'change')}`];
    return book.savedAt ? ['saved', clockOf(book.savedAt)] : ['saved', ''];
  }

  show() {
    const [state, more] = this.stateWords();
    fill(
      find('#kept'),
      make('span', { class: `state${this.n > 0 ? ' waiting' : ''}` }, state),
      ` ${more}`,
      make(
        'span',
        { class: 'wide-only' },
        [marksWords(), owedWords(), book.volume.lan ? 'open to the local network' : '']
          .filter(Boolean)
          .map((words) => ` \u00b7 ${words}`)
          .join(''),
      ),
    );
    this.showAlarm();
  }

  alarmWords() {
    const waiting = `${many(this.n, 'change')} ${this.n === 1 ? 'waits' : 'wait'} in this browser. `;
    if (this.gone)
      return [this.n > 0 ? 'Not saved.' : 'Out of reach.', `${this.n > 0 ? waiting : ''}${this.gone}`];
    if (this.n > 0 && !book.keep.lasting)
      return ['Not saved yet.', `${waiting}This browser keeps nothing: do not close the page.`];
    if (this.n > 0 && this.isSlow && !waitsForChoice())
      return ['Not saved yet.', `${waiting}Saving takes longer than it should.`];
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
function showRefused({ says, complaints = [] }) {
  const put = button({ onclick: () => note.remove() }, 'I have read it');
  const why = complaints.map((complaint) => complaint.says).filter(Boolean);
  const note = make(
    'div',
    { class: 'refused', role: 'alert' },
    make('strong', {}, 'Not taken: '),
    make('span', {}, [...new Set([says, ...why].map(plainly))].join(' ')),
    put,
  );
  find('#alarms').append(note);
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
  book.addEventListener('conflict', () => kept.show());
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
