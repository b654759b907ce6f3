// The row is the volume: a column for each view, its stages side by side, what was taken on the way
// behind them step by step. A dashed place is a photograph that is owed. On a narrow screen it folds
// to the column of the photograph on the bench.

import { book } from './book.js';
import { chosen } from './chosen.js';
import { brokenOn } from './linking.js';
import { button, fill, find, icon, make } from './make.js';
import { dayOf, phrase, viewWord } from './phrases.js';
import { afterTouch } from './press.js';
import { capital, isNew, nameOfPhoto, stageWord, whyShut } from './tell.js';

const NEW = phrase('not-taken-in');
const OWED_SHOWN = 2; // lines under a column; the rest stands on the slip

function faultWords(id, n) {
  const broken = brokenOn(id).length;
  return broken === n ? phrase('broken-links', { n }) : phrase('short-fault');
}

/** What is owed, as short as the row wants it; the slip has it in full. */
function owedWords({ what, n, stage, photo }, tellsStage) {
  const words = what === 'fault' ? faultWords(photo, n) : phrase(`short-${what.replaceAll(' ', '-')}`, { n });
  return tellsStage && stage ? `${stageWord(stage)}: ${words}` : words;
}

function columnName(item) {
  if (isNew(item)) return NEW;
  if (item.stage === 'during') return phrase('row-during', { step: item.step ?? (item.view ? viewWord(item.view) : phrase('row-no-step')) });
  return [item.view ? viewWord(item.view) : phrase('view-none'), item.place].filter(Boolean).join(', ');
}

/** Columns in the row's order: [{name, photos, places: owed photographs, owed}] */
export function columnsOf({ photos, owed, views }) {
  const columns = new Map();
  const columnOf = (item) => {
    const name = columnName(item);
    const isStep = item.stage === 'during';
    if (!columns.has(name)) columns.set(name, { name, isStep, photos: [], places: [], owed: [] });
    return columns.get(name);
  };
  for (const view of views ?? []) columnOf({ view });
  for (const photo of photos) columnOf(photo).photos.push(photo);
  const column = new Map([...columns.values()].flatMap((one) => one.photos.map((photo) => [photo.id, one])));
  for (const owe of owed.filter(({ piece }) => !piece)) {
    const at = column.get(owe.photo) ?? columnOf(owe);
    if (at.name === NEW) continue; // its heading says so
    if (owe.photo) at.owed.push(owedWords(owe, at.photos.length > 1));
    else {
      at.places.push(owe);
      at.owed.push(owedWords(owe, true));
    }
  }
  return [...columns.values()].sort((a, b) => a.isStep - b.isStep);
}

/** How many marks it has, to the eye and in words. */
function countOf(photo) {
  if (!whyShut(photo)) return [photo.n_marks, phrase('marks', { n: photo.n_marks })];
  return isNew(photo) ? ['', phrase('row-nothing-written')] : ['?', phrase('row-unreadable')];
}

const ORDER = ['before', 'during', 'after'];

class Row {
  constructor(node) {
    this.node = node;
    this.isOpen = false;
    this.images = new Map();
    this.columns = make('div', { class: 'columns' });
    this.unfold = button(
      {
        class: 'quiet narrow-only',
        'aria-label': phrase('row-all'),
        'aria-expanded': 'false',
        onclick: () => this.fold(),
      },
      icon('up'),
    );
    this.many = button(
      { class: 'quiet', 'aria-pressed': 'false', onclick: () => chosen.turn(!chosen.isOn) },
      icon('tick'),
      make('span', {}, phrase('row-several')),
    );
    this.how = make('div', { class: 'choosing' });
    const step = (by, name, words) =>
      button(
        { class: 'quiet', 'data-do': by > 0 ? 'next' : 'previous', onclick: () => book.next(by) },
        icon(name),
        make('span', { class: 'unseen' }, words),
      );
    this.acts = make(
      'div',
      { class: 'row-acts' },
      step(-1, 'before', phrase('row-previous')),
      step(1, 'next', phrase('row-next')),
      this.many,
      this.how,
      this.unfold,
    );
    fill(node, this.columns, this.acts);
  }

  fold() {
    this.isOpen = !this.isOpen;
    this.node.classList.toggle('open', this.isOpen);
    this.unfold.setAttribute('aria-expanded', String(this.isOpen));
  }

  /** The pictures are kept: a row that is laid anew asks for none of them again. */
  image({ id, width, height }) {
    if (this.images.has(id)) return this.images.get(id);
    const image = make('img', { src: `/photo/${id}/sight?w=240`, alt: '', loading: 'lazy', draggable: false });
    image.style.setProperty('--shape', width / height || 1); // its place is kept before it comes
    this.images.set(id, image);
    return image;
  }

  /** What a print says under itself: its stage and how many marks it has; while several are chosen, whether it is. */
  print(photo) {
    const isBeside = photo.id === book.other?.id;
    const isChosen = chosen.ids.has(photo.id);
    const [count, counted] = countOf(photo);
    const name = [nameOfPhoto(photo), dayOf(photo.taken), counted, isBeside && phrase('row-beside')].filter(Boolean).join(', ');
    return button(
      {
        class: 'print',
        'data-photo': photo.id,
        title: capital(name),
        'aria-current': photo.id === book.photo?.id ? 'true' : null,
        'data-beside': isBeside ? '' : null,
        'aria-pressed': chosen.isOn ? String(isChosen) : null,
        onclick: () => (chosen.isOn ? chosen.toggle(photo.id) : book.open(photo.id)),
      },
      this.image(photo),
      make('span', { class: 'unseen' }, name),
      make(
        'span',
        { class: 'under', 'aria-hidden': 'true' },
        make('span', {}, photo.stage ? stageWord(photo.stage) : phrase(isNew(photo) ? 'row-new' : 'row-no-stage')),
        chosen.isOn
          ? make('span', { class: 'box' }, isChosen ? icon('tick') : null)
          : make('b', { class: 'figures' }, count),
      ),
    );
  }

  place(owe) {
    return make(
      'div',
      { class: 'print owed-print' },
      make('div', { class: 'gap' }),
      make('span', { class: 'under' }, owe.stage ? stageWord(owe.stage) : ''),
    );
  }

  column(column) {
    const prints = [
      ...column.photos.map((photo) => [photo.stage, this.print(photo)]),
      ...column.places.map((owe) => [owe.stage, this.place(owe)]),
    ];
    prints.sort(([a], [b]) => ORDER.indexOf(a) - ORDER.indexOf(b));
    const rest = column.owed.length - OWED_SHOWN;
    const isHere = column.photos.some((photo) => photo.id === book.photo?.id);
    return make(
      'section',
      { class: `column${isHere ? ' here' : ''}${column.isStep ? ' step' : ''}` },
      make('h2', { title: column.name }, column.name),
      make(
        'div',
        { class: 'prints' },
        prints.map(([, node]) => node),
      ),
      make(
        'p',
        { class: 'owed', title: column.owed.join('; ') },
        column.owed.slice(0, OWED_SHOWN).join('; ') + (rest > 0 ? `; ${phrase('row-more', { n: rest })}` : ''),
      ),
    );
  }

  showChoosing() {
    const { isOn, ids } = chosen;
    this.many.setAttribute('aria-pressed', String(isOn));
    fill(find('span', this.many), phrase(isOn ? 'done' : 'row-several'));
    const pick = (words, fits) =>
      button(
        {
          class: 'quiet',
          onclick: () => chosen.all(book.volume.photos.filter(fits).map((photo) => photo.id)),
        },
        words,
      );
    fill(
      this.how,
      isOn
        ? [
            make('span', { class: 'figures', role: 'status' }, phrase('row-chosen', { n: ids.size })),
            ...ORDER.map((stage) => pick(phrase(`row-all-${stage}`), (photo) => photo.stage === stage)),
            pick(phrase('not-looked-through'), (photo) => !photo.looked_through),
          ]
        : null,
    );
  }

  show() {
    if (!book.volume) return;
    const { scrollLeft } = this.columns;
    fill(
      this.columns,
      columnsOf(book.volume).map((column) => this.column(column)),
    );
    this.columns.scrollLeft = scrollLeft;
    this.showChoosing();
  }

  /** Only when another photograph is laid on the bench does the row move, so that it is seen. */
  follow() {
    if (book.photo?.id === this.followed) return;
    this.followed = book.photo?.id;
    const here = find('.column.here', this.columns);
    if (!here) return;
    const [left, right] = [
      here.offsetLeft - this.columns.offsetLeft,
      here.offsetLeft + here.offsetWidth - this.columns.offsetLeft,
    ];
    const { scrollLeft, clientWidth } = this.columns;
    // Not scrollIntoView: on a low screen that would move the page away from the photograph.
    if (left < scrollLeft) this.columns.scrollLeft = left;
    else if (right > scrollLeft + clientWidth) this.columns.scrollLeft = right - clientWidth;
  }
}

export function joinRow(slip) {
  const row = new Row(find('#row'));
  const show = () => {
    row.show();
    if (book.photo?.id !== row.followed) afterTouch(() => row.follow());
  };
  for (const name of ['volume', 'photo', 'other']) book.addEventListener(name, show);
  chosen.addEventListener('change', () => {
    show();
    if (chosen.isOn) slip.turn('photo');
  });
}
