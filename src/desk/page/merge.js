// Two versions of one photograph's record: what was written here and what somebody else wrote
// meanwhile, mark by mark and word by word. What only one side touched is chosen already. Until the
// choice is saved, what was written here waits in the browser's storage: nothing is lost by closing.

import { book } from './book.js';
import { choices, editsOf } from './choices.js';
import { closeLeaf, leafIsOpen, openLeaf } from './leaf.js';
import { button, fill, find, freshId, make } from './make.js';
import { outlinePicture } from './outline.js';
import { OWN } from './own.js';
import { VOLUME, listOf } from './record.js';
import { partWord, phrase, termWord, viewWord } from './phrases.js';
import { BASES, NAMES, SEVERITIES, capital, nameOfMark, nameOfPhoto, stageWord } from './tell.js';
import { openVolume } from './volume.js';
import { labelOf, nameOfEntry } from './volume-forms.js';
import { spokenOf } from './volume-refs.js';

const DRAWN = ['outline', 'line', 'point'];

/** The two states as they are now; more may have been written since the quarrel began. */
function statesOf(id) {
  const { base, stale } = book.queue.waiting.get(id);
  return { base, mine: book.queue.shown(base), theirs: stale };
}

function placeNode(values, photo) {
  const key = DRAWN.find((name) => values[name]);
  if (!key) return make('span', { class: 'soft' }, phrase('merge-nothing'));
  return outlinePicture([values[key], ...(values.holes ?? [])], key, photo);
}

/** What two versions are of. */
const nameOf = (state) => (state.id === VOLUME ? phrase('merge-volume') : nameOfPhoto(state));

/** All that an entry says. */
function entryNode(list, words) {
  if (words === null) return make('span', {}, phrase('merge-taken-out'));
  const rows = Object.entries(words).map(([key, value]) =>
    make('div', {}, make('dt', {}, labelOf(list, key)), make('dd', {}, spokenOf(list, key, value))));
  return make('dl', { class: 'facts' }, rows);
}

function volumeNode(list, values) {
  const text = Object.entries(values).map(([key, value]) => spokenOf(list, key, value)).join(', ');
  return text ? make('span', {}, text) : make('span', { class: 'soft' }, phrase('merge-nothing'));
}

/** The numbers of a scale, in a line. */
function scaleWords(values) {
  const words = Object.entries(values).map(([key, value]) => {
    const [, method, name] = key.split('/');
    return name ? `${method} ${name} ${value}` : `${method}: ${[value].flat().join(', ')}`;
  });
  return words.join('; ');
}

/** A value in the words that the slip has for it. */
function spoken(key, value) {
  const wordOf = { term: termWord, part: partWord, view: viewWord, stage: stageWord }[key];
  if (wordOf) return wordOf(value);
  const words = { severity: SEVERITIES, basis: BASES }[key] ?? [];
  return words.find(([known]) => known === value)?.[1] ?? value;
}

function valueNode(photo, { what, mark }, values) {
  if (photo.id === VOLUME && what === 'mark') return entryNode(listOf(mark), values);
  if (photo.id === VOLUME) return volumeNode(mark && listOf(mark), values);
  if (what === 'mark') {
    if (values === null) return make('span', {}, phrase('merge-deleted'));
    return make(
      'div',
      { class: 'whole' },
      make('span', {}, nameOfMark({ words: values })),
      placeNode(values, photo),
    );
  }
  if (what === 'drawn') return placeNode(values, photo);
  if (OWN[what]) return placeNode({ outline: values[what] }, photo);
  const text =
    what === 'scale'
      ? scaleWords(values)
      : Object.values(values)
          .flat()
          .map((value) => spoken(what, value))
          .join(', ');
  return text ? make('span', {}, text) : make('span', { class: 'soft' }, phrase('merge-nothing'));
}

class Merge {
  constructor(id) {
    this.id = id;
    this.picked = new Map(); // a choice's name -> side
    this.body = make('div', { class: 'merge-body' });
    this.save = button({ class: 'strong', onclick: () => this.finish() }, phrase('merge-save'));
    this.open = make('p', { role: 'status' });
  }

  pickOf(choice) {
    return this.picked.get(choice.name) ?? choice.chosen;
  }

  side(choice, name, field) {
    const pick = () => {
      this.picked.set(choice.name, name);
      this.count();
    };
    const input = make('input', {
      type: 'radio',
      name: field,
      value: name,
      checked: this.pickOf(choice) === name,
      onchange: pick,
    });
    const value = name === 'both' ? null : valueNode(this.states.theirs, choice, choice[name]);
    return make('label', { class: 'version' }, make('span', { class: 'whose' }, input, phrase(`merge-${name}`)), value);
  }

  row(choice) {
    const field = freshId('merge');
    const sides = choice.canBoth ? ['mine', 'theirs', 'both'] : ['mine', 'theirs'];
    const asks = choice.chosen ? null : make('em', {}, ` ${phrase('merge-choose')}`);
    return make(
      'fieldset',
      { class: 'merge-row' },
      make('legend', {}, this.legend(choice), asks),
      make(
        'div',
        { class: 'versions' },
        sides.map((side) => this.side(choice, side, field)),
      ),
    );
  }

  build() {
    this.states = statesOf(this.id);
    this.choices = choices(this.states.base, this.states.mine, this.states.theirs);
    const marks = [...new Set(this.choices.map((choice) => choice.mark))];
    fill(
      this.body,
      marks.map((mark) =>
        make(
          'section',
          {},
          make('h3', {}, this.title(mark)),
          this.choices.filter((choice) => choice.mark === mark).map((choice) => this.row(choice)),
        ),
      ),
    );
    this.count();
  }

  legend({ what, mark }) {
    if (this.id !== VOLUME) return NAMES[what] ?? what;
    return what === 'mark' ? phrase('merge-all') : labelOf(mark && listOf(mark), what);
  }

  title(id) {
    if (this.id === VOLUME) return id === undefined ? phrase('merge-of-volume') : nameOfEntry(id, this.states);
    if (id === undefined) return phrase('merge-of-photo');
    const mark = [this.states.mine, this.states.theirs]
      .flatMap((photo) => photo.marks)
      .find((one) => one.id === id);
    return mark ? phrase('mark-title', { number: id, name: nameOfMark(mark) }) : phrase('merge-of-mark', { number: id });
  }

  count() {
    const n = this.choices.filter((choice) => !this.pickOf(choice)).length;
    this.save.disabled = n > 0;
    this.open.textContent = n > 0 ? phrase('merge-to-choose', { n }) : phrase('merge-chosen');
  }

  async finish() {
    const { base, mine, theirs } = statesOf(this.id);
    const taken = [...mine.marks, ...theirs.marks].map((mark) => mark.id);
    const edits = editsOf(
      choices(base, mine, theirs),
      (choice) => this.pickOf(choice) ?? 'mine',
      theirs,
      taken,
    );
    dropAlert(this.id);
    this.save.disabled = true;
    if (this.id !== VOLUME) closeLeaf();
    await book.resolve(this.id, edits);
    if (this.id === VOLUME) await openVolume();
    book.say(phrase('merge-saved'));
  }

  show() {
    this.build();
    openLeaf({
      name: 'merge',
      ...(this.id === VOLUME && { to: [phrase('back-to-volume'), () => openVolume()] }),
      title: phrase('merge-title', { what: nameOf(this.states.theirs) }),
      acts: [this.open, this.save],
      content: [
        make('p', { class: 'soft' }, phrase('merge-lead')),
        this.body,
      ],
    });
  }
}

const alerts = new Map(); // a photograph's ID -> its band

function dropAlert(id) {
  alerts.get(id)?.remove();
  alerts.delete(id);
}

function alertOf({ id, theirs }) {
  const look = button({ onclick: () => new Merge(id).show() }, phrase('merge-look'));
  return make(
    'div',
    { class: 'refused', role: 'alert' },
    make('strong', {}, phrase('alarm-not-saved')),
    make(
      'span',
      {},
      phrase('merge-elsewhere', { what: capital(nameOf(theirs)) }),
    ),
    look,
  );
}

export function joinMerge() {
  book.addEventListener('conflict', ({ detail }) => {
    dropAlert(detail.id);
    const alert = alertOf(detail);
    alerts.set(detail.id, alert);
    find('#alarms').append(alert);
    if (leafIsOpen('merge')) new Merge(detail.id).show();
  });
}
