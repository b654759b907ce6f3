// A photograph's own words; or those of many at once, when several are chosen in the row. What is
// not the same on all of them stands empty, and what is not touched stays as it is.

import { book } from './book.js';
import { chosen } from './chosen.js';
import { Combo } from './combo.js';
import { choiceField, textField } from './fields.js';
import { intakeButton } from './intake.js';
import { complaintWords } from './linking.js';
import { button, fill, make, prose } from './make.js';
import { saysOf } from './owed.js';
import { OwnWords } from './own-words.js';
import { ScaleWords } from './scale.js';
import { dayOf, phrase, viewWord } from './phrases.js';
import { NAMES, STAGES_OF, isNew, nameOfPhoto, today, whyShut } from './tell.js';
import { putIntoTreatment } from './volume.js';

const VIEWS = ['front board', 'back board', 'spine', 'head', 'tail', 'fore edge', 'opening', 'title page', 'detail', 'endleaf',
  'leaf', 'pieces'];
const LIGHTS = ['normal', 'raking', 'transmitted', 'specular', 'ultraviolet fluorescence', 'reflected ultraviolet'];
const SIDES = ['left', 'right', 'top', 'bottom', 'top left', 'top right', 'bottom left', 'bottom right', 'head', 'tail', 'spine',
  'fore edge'];
const RAKING = 'raking from ';

const keyOf = (word) => word.replaceAll(' ', '-');

const SOURCES = new Map(['studio', 'owner'].map((source) => [source, phrase(`source-${source}`)]));
const sourceWord = (source) => SOURCES.get(source) ?? source;

/** Words of a list that begin with the letters first, then those that hold them. */
function finder(wordsOf, list) {
  const begins = (option, letters) => Object.values(option).some((words) => words.toLowerCase().startsWith(letters));
  return (letters) =>
    [...new Set(list())]
      .map((value) => ({ value, words: wordsOf(value) }))
      .filter((option) => Object.values(option).some((words) => words.toLowerCase().includes(letters)))
      .sort((a, b) => begins(b, letters) - begins(a, letters));
}

function idsNow() {
  return chosen.ids.size > 0 ? [...chosen.ids] : [book.photo.id];
}

/** A change to one photograph or to many; `owner`: their ids. */
function edit(owner, edits, says) {
  const ids = owner.split(' ');
  if (ids.length > 1) {
    book.editMany(ids, edits, says);
    book.say(phrase('on-photographs', { what: says, photos: phrase('photographs', { n: ids.length }) }));
  } else book.edit(edits, { photo: ids[0], says });
}

/** What all of them say; undefined where they differ. */
function common(photos, key) {
  const values = photos.map((photo) => (photo.words ? photo.words[key] : photo[key]) ?? undefined);
  return values.every((value) => value === values[0]) ? values[0] : undefined;
}

export class PhotoWords {
  constructor() {
    const set = (key, says) => (value, owner) => edit(owner, [{ key, value }], says);
    this.head = make('div', { class: 'photo-head' });
    this.stage = choiceField({ label: NAMES.stage, choices: STAGES_OF, set: set('stage', NAMES.stage) });
    this.step = textField({ label: NAMES.step, set: set('step', NAMES.step), help: phrase('step-help') });
    this.view = new Combo({
      label: NAMES.view,
      free: true,
      wordsOf: viewWord,
      set: set('view', NAMES.view),
      offer: finder(viewWord, () => [
        ...(book.volume.views ?? []),
        ...VIEWS,
        ...book.volume.photos.map((photo) => photo.view).filter(Boolean),
      ]),
    });
    this.place = textField({ label: NAMES.place, set: set('place', NAMES.place) });
    this.light = choiceField({
      label: NAMES.light,
      choices: LIGHTS.map((light) => [light, phrase(`light-${keyOf(light)}`)]),
      set: (value, owner) => this.setLight(value, owner),
    });
    this.side = choiceField({
      label: phrase('side-from'),
      choices: SIDES.map((side) => [side, phrase(`side-${keyOf(side)}`)]),
      loose: false,
      set: (value, owner) => edit(owner, [{ key: 'light', value: RAKING + value }], NAMES.light),
    });
    this.caption = textField({ label: NAMES.caption, long: true, set: set('caption', NAMES.caption) });
    this.source = new Combo({
      label: NAMES['photo/source'],
      free: true,
      wordsOf: sourceWord,
      set: set('photo/source', phrase('who-took-it')),
      offer: finder(sourceWord, () => [...SOURCES.keys()]),
    });
    this.intoTreatment = make('div', { class: 'acts' },
      button({ class: 'pair', onclick: () => putIntoTreatment(book.photo) }, phrase('into-treatment')));
    this.looked = make('div', { class: 'field' });
    this.fault = make('p', { class: 'caution', hidden: true });
    this.said = make('div', { role: 'status' });
    this.intake = make('div', { class: 'acts', hidden: true }, intakeButton(this.said));
    this.scale = new ScaleWords(edit);
    this.own = new OwnWords();
    this.owes = make('ul', { class: 'owes' });
    this.fields = make(
      'div',
      { hidden: true }, // as long as no photograph lies on the bench there is nothing to say of it
      this.stage.node,
      this.step.node,
      this.view.node,
      this.place.node,
      this.light.node,
      this.side.node,
      this.caption.node,
      this.intoTreatment,
      this.source.node,
      this.looked,
      this.scale.node,
      this.own.node,
    );
    this.node = make(
      'div',
      {},
      this.head,
      this.owes,
      this.fault,
      this.intake,
      this.said,
      this.fields,
    );
    chosen.addEventListener('change', () => this.show());
  }

  /** Raking light is not saved before its side is told. */
  setLight(value, owner) {
    this.side.node.hidden = value !== 'raking';
    if (value === 'raking') this.side.focus();
    else edit(owner, [{ key: 'light', value }], NAMES.light);
  }

  showLooked(photos, owner) {
    const dates = photos.map(
      (photo) => photo.words?.['privacy-checked'] ?? (photo.looked_through ? 'yes' : null),
    );
    const look = () => edit(owner, [{ key: 'privacy-checked', value: today() }], phrase('name-privacy-checked'));
    const back = () => edit(owner, [{ key: 'privacy-checked', value: null }], phrase('not-looked-through'));
    const done = dates.every(Boolean);
    fill(
      this.looked,
      make('span', { class: 'label' }, phrase('privacy')),
      make(
        'div',
        { class: 'linked' },
        make(
          'span',
          {},
          !done ? phrase('looked-not') : photos.length === 1 ? phrase('looked-on', { date: dayOf(dates[0]) }) : phrase('looked-all'),
        ),
        done
          ? button({ class: 'quiet', onclick: back }, phrase('looked-back'))
          : button({ class: 'pair', onclick: look }, phrase('looked-today')),
      ),
    );
  }

  showHead(photos) {
    const [photo] = photos;
    if (photos.length > 1) {
      fill(
        this.head,
        make('h3', {}, phrase('photographs', { n: photos.length })),
        make(
          'p',
          { class: 'soft' },
          phrase('fill-in-all'),
        ),
      );
      return;
    }
    fill(
      this.head,
      make('h3', {}, nameOfPhoto(photo)),
      make('p', { class: 'figures soft' }, [dayOf(photo.taken), isNew(photo) ? '' : photo.file].filter(Boolean).join(' · ')),
    );
  }

  showOwed(photos) {
    const isOne = photos.length === 1;
    const isNews = ({ photo, what }) => photo === photos[0].id && what !== 'not taken in'; // said below
    const owed = isOne ? book.volume.owed.filter(isNews) : [];
    const wrong = isOne ? (photos[0].complaints ?? []) : [];
    fill(
      this.owes,
      owed.map((owe) => make('li', {}, make('b', {}, `${phrase('owed')} `), saysOf(owe))),
      wrong.map((complaint) => {
        const { says, link } = complaintWords(complaint, photos[0].id);
        const { severity, line, mark } = complaint;
        return make(
          'li',
          {},
          make('b', {}, `${phrase(severity === 'error' ? 'wrong' : 'look')} `),
          link ? `${phrase('mark-n', { number: link.number })} ` : line ? `${phrase('line-n', { n: line })} ` : '',
          ...prose(says),
          link ? button({ class: 'quiet', onclick: () => book.select(mark) }, phrase('show-it')) : null,
        );
      }),
    );
    this.owes.hidden = owed.length + wrong.length === 0;
  }

  /** Where there is no text, or none that can be read, there are no words to change; why, and what helps. */
  showFault(photos, owner) {
    const shut = photos.filter(whyShut);
    const wayOut = ({ file, taken_in: isTakenIn }) =>
      isTakenIn ? ` ${phrase('mend-file', { file })}` : '';
    this.fields.hidden = shut.length > 0;
    this.fault.hidden = shut.length === 0;
    this.fault.textContent = shut.map((photo) => whyShut(photo) + wayOut(photo)).join(' ');
    this.intake.hidden = shut.every((photo) => photo.taken_in);
    if (owner !== this.owner) fill(this.said);
  }

  show() {
    if (!book.photo) return;
    const ids = idsNow();
    const photos = ids
      .map((id) => (id === book.photo.id ? book.photo : book.volume.photos.find((photo) => photo.id === id)))
      .filter(Boolean);
    const owner = ids.join(' ');
    const value = (key) => common(photos, key);
    this.showHead(photos);
    for (const { input } of [this.step, this.view, this.place, this.caption, this.source])
      input.placeholder = photos.length > 1 ? phrase('as-it-is') : '';
    this.showOwed(photos);
    this.showFault(photos, owner);
    this.stage.show(value('stage'), owner);
    this.step.node.hidden = value('stage') !== 'during';
    this.intoTreatment.hidden = value('stage') !== 'during' || photos.length !== 1;
    this.step.show(value('step'), owner);
    this.view.show(value('view'), owner);
    this.place.show(value('place'), owner);
    const light = value('light');
    const isRaking = light?.startsWith(RAKING) ?? false;
    this.light.show(isRaking ? 'raking' : light, owner);
    this.side.show(isRaking ? light.slice(RAKING.length) : null, owner);
    if (light !== undefined || owner !== this.owner) this.side.node.hidden = !isRaking;
    this.caption.show(value('caption'), owner);
    this.source.show(value('photo/source'), owner);
    this.showLooked(photos, owner);
    this.scale.show(photos, owner, value);
    this.own.show(photos);
    this.owner = owner;
  }
}
