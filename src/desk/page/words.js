// A photograph's own words; or those of many at once, when several are chosen in the row. What is
// not the same on all of them stands empty, and what is not touched stays as it is.

import { book } from './book.js';
import { chosen } from './chosen.js';
import { Combo } from './combo.js';
import { choiceField, textField } from './fields.js';
import { intakeButton } from './intake.js';
import { complaintWords } from './linking.js';
import { button, fill, make, prose } from './make.js';
import { OwnWords } from './own-words.js';
import { ScaleWords } from './scale.js';
import { dayOf, isNew, many, nameOfPhoto, today, whyShut } from './tell.js';
import { putIntoTreatment } from './volume.js';

const STAGES = [
  ['before', 'before'],
  ['during', 'during'],
  ['after', 'after'],
];
const VIEWS = [
  'front board',
  'back board',
  'spine',
  'head',
  'tail',
  'fore edge',
  'opening',
  'title page',
  'detail',
  'endleaf',
  'leaf',
  'pieces',
];
const LIGHTS = [
  ['normal', 'normal'],
  ['raking', 'raking'],
  ['transmitted', 'transmitted'],
  ['specular', 'specular'],
  ['ultraviolet fluorescence', 'UV fluorescence'],
  ['reflected ultraviolet', 'reflected UV'],
];
const SIDES = [
  'left',
  'right',
  'top',
  'bottom',
  'top left',
  'top right',
  'bottom left',
  'bottom right',
  'head',
  'tail',
  'spine',
  'fore edge',
];
const RAKING = 'raking from ';

const pairs = (list) => list.map((words) => [words, words]);

/** Words of a list that begin with the letters first, then those that hold them. */
function finder(list) {
  return (letters) => {
    const words = [...new Set(list())];
    const fits = words.filter((word) => word.toLowerCase().includes(letters));
    return fits
      .sort((a, b) => b.toLowerCase().startsWith(letters) - a.toLowerCase().startsWith(letters))
      .map((word) => ({ value: word, words: word }));
  };
}

function idsNow() {
  return chosen.ids.size > 0 ? [...chosen.ids] : [book.photo.id];
}

/** A change to one photograph or to many; `owner`: their ids. */
function edit(owner, edits, says) {
  const ids = owner.split(' ');
  if (ids.length > 1) {
    book.editMany(ids, edits, says);
    book.say(`${says}, on ${many(ids.length, 'photograph')}`);
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
    this.stage = choiceField({ label: 'stage', choices: STAGES, set: set('stage', 'stage') });
    this.step = textField({ label: 'step', set: set('step', 'step'), help: 'What had just been done.' });
    this.view = new Combo({
      label: 'view',
      free: true,
      set: set('view', 'view'),
      offer: finder(() => [
        ...(book.volume.views ?? []),
        ...VIEWS,
        ...book.volume.photos.map((photo) => photo.view).filter(Boolean),
      ]),
    });
    this.place = textField({ label: 'place', set: set('place', 'place') });
    this.light = choiceField({
      label: 'light',
      choices: LIGHTS,
      set: (value, owner) => this.setLight(value, owner),
    });
    this.side = choiceField({
      label: 'from',
      choices: pairs(SIDES),
      loose: false,
      set: (value, owner) => edit(owner, [{ key: 'light', value: RAKING + value }], 'light'),
    });
    this.caption = textField({ label: 'caption', long: true, set: set('caption', 'caption') });
    this.source = new Combo({
      label: 'taken by',
      free: true,
      set: set('photo/source', 'who took it'),
      offer: finder(() => ['studio', 'owner']),
    });
    this.intoTreatment = make('div', { class: 'acts' },
      button({ class: 'pair', onclick: () => putIntoTreatment(book.photo) }, 'Put it into the treatment'));
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
    else edit(owner, [{ key: 'light', value }], 'light');
  }

  showLooked(photos, owner) {
    const dates = photos.map(
      (photo) => photo.words?.['privacy-checked'] ?? (photo.looked_through ? 'yes' : null),
    );
    const look = () => edit(owner, [{ key: 'privacy-checked', value: today() }], 'looked through');
    const back = () => edit(owner, [{ key: 'privacy-checked', value: null }], 'not looked through');
    const done = dates.every(Boolean);
    fill(
      this.looked,
      make('span', { class: 'label' }, 'privacy'),
      make(
        'div',
        { class: 'linked' },
        make(
          'span',
          {},
          done
            ? `Looked through for names and faces${photos.length === 1 ? ` on ${dayOf(dates[0])}` : ''}.`
            : 'Not looked through: no public output shows it.',
        ),
        done
          ? button({ class: 'quiet', onclick: back }, 'take back')
          : button({ class: 'pair', onclick: look }, 'I have looked through it today'),
      ),
    );
  }

  showHead(photos) {
    const [photo] = photos;
    if (photos.length > 1) {
      fill(
        this.head,
        make('h3', {}, many(photos.length, 'photograph')),
        make(
          'p',
          { class: 'soft' },
          'What you fill in is written to all of them; what you leave stays as it is.',
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
      owed.map((owe) => make('li', {}, make('b', {}, 'owed: '), owe.says)),
      wrong.map((complaint) => {
        const { says, link } = complaintWords(complaint, photos[0].id);
        const { severity, line, mark } = complaint;
        return make(
          'li',
          {},
          make('b', {}, severity === 'error' ? 'wrong: ' : 'look: '),
          link ? `mark ${link.number}: ` : line ? `line ${line}: ` : '',
          ...prose(says),
          link ? button({ class: 'quiet', onclick: () => book.select(mark) }, 'Show it') : null,
        );
      }),
    );
    this.owes.hidden = owed.length + wrong.length === 0;
  }

  /** Where there is no text, or none that can be read, there are no words to change; why, and what helps. */
  showFault(photos, owner) {
    const shut = photos.filter(whyShut);
    const wayOut = ({ file, taken_in: isTakenIn }) =>
      isTakenIn ? ` Mend ${file}.yaml in a text editor; nothing is written to it from here until then.` : '';
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
      input.placeholder = photos.length > 1 ? 'as it is' : '';
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
