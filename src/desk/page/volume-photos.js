// A field of a leaf that holds photographs: chosen by their pictures from those of the
// volume, marks by their number, where the field has room for them pieces and parts too. What is chosen
// stands in the field with its picture and name; the pictures to choose from open below it, over nothing.

import { book } from './book.js';
import { Combo } from './combo.js';
import { button, fill, freshId, make } from './make.js';
import { partWord, phrase } from './phrases.js';
import { swatch } from './swatch.js';
import { capital, nameOfMark, nameOfPhoto, stageName, viewName } from './tell.js';
import { findParts } from './terms.js';
import { halvesOf, leadsTo, nameOfReference, peekMarks, readMarks } from './volume-refs.js';

const STAGES = ['before', 'during', 'after', null];

function picture({ id, width, height }, w = 240) {
  const image = make('img', { src: `/photo/${id}/sight?w=${w}`, alt: '', loading: 'lazy', draggable: false });
  image.style.setProperty('--shape', width / height || 1); // its place is kept before it comes
  return image;
}

export class PhotoField {
  /** `most`: how many it holds; `stage`: of which alone; `marks`, `pieces`, `parts`: what it holds beside photographs. */
  constructor({ label, ask, set, most = Infinity, stage = null, marks = false, pieces = false, parts = false }) {
    Object.assign(this, { label, set, asks: ask, most, stage, marks, pieces });
    this.values = [];
    this.owner = null;
    this.at = null; // id of the photograph whose marks lie open
    this.images = new Map();
    const id = freshId('photos');
    this.said = make('ul', { class: 'refs' });
    this.ask = button({ 'aria-expanded': 'false', 'aria-controls': id, onclick: () => (this.isOpen ? this.close() : this.open()) }, ask);
    this.part = parts ? this.partField() : null;
    this.prints = make('div', {});
    this.chooser = make('div', { id, class: 'chooser', role: 'group', 'aria-label': phrase('photos-choose', { label }), hidden: true }, this.prints,
      this.part?.node, make('div', { class: 'acts' }, button({ class: 'strong', onclick: () => this.close() }, phrase('done'))));
    this.chooser.addEventListener('keydown', (event) => this.key(event));
    this.node = make('div', { class: 'field photos', role: 'group', 'aria-label': label },
      make('span', { class: 'label', 'aria-hidden': 'true' }, label), make('div', {}, this.said, this.ask), this.chooser);
  }

  /** A part, or other words: each goes to what is chosen already. */
  partField() {
    const offer = (letters) => findParts(letters).filter((part) => !this.values.includes(part)).map((part) => ({ value: part, words: partWord(part) }));
    const take = (value) => {
      if (value) this.toggle(value);
      field.show(null, this.owner);
    };
    const field = new Combo({ label: phrase('photos-part'), wordsOf: partWord, offer, free: true, set: take });
    field.rest = () => field.input.focus(); // ready for the next
    return field;
  }

  get isOpen() { return !this.chooser.hidden; }

  open() {
    this.chooser.hidden = false;
    this.ask.setAttribute('aria-expanded', 'true');
    this.showPrints();
    (this.chooser.querySelector('[aria-pressed="true"], [aria-expanded="true"]') ?? this.chooser.querySelector('button')).focus();
  }

  close() {
    const had = this.chooser.contains(document.activeElement);
    this.chooser.hidden = true;
    this.ask.setAttribute('aria-expanded', 'false');
    if (had) this.ask.focus();
  }

  key(event) {
    if (event.key !== 'Escape' || event.defaultPrevented) return;
    event.preventDefault();
    event.stopPropagation();
    this.close();
  }

  toggle(text) {
    const without = this.values.filter((one) => one !== text);
    const isNew = without.length === this.values.length;
    this.values = isNew ? [...without, text].slice(-this.most) : without;
    const value = this.most === 1 ? this.values[0] : this.values;
    this.set(this.values.length === 0 ? null : value, this.owner);
    this.showAll();
    book.say(phrase(isNew ? 'photos-chosen' : 'photos-taken-out', { name: nameOfReference(text).name }));
    if (isNew && this.most === 1) this.close();
  }

  // ---- What is chosen ----

  reference(text) {
    const { photo, mark } = leadsTo(text);
    const { name, more } = nameOfReference(text);
    if (photo && mark !== null) this.look(photo);
    const away = () => {
      this.toggle(text);
      if (!this.said.contains(document.activeElement)) this.ask.focus();
    };
    return make('li', {}, photo ? picture(photo) : null,
      make('span', { class: 'name' }, name, more ? make('span', { class: 'soft' }, more) : null),
      button({ class: 'quiet', 'aria-label': phrase('photos-take-out-named', { name }), onclick: away }, phrase('photos-take-out')));
  }

  /** The names of its marks come a little later. */
  async look(photo) {
    if (await readMarks(photo).catch(() => false)) this.showAll();
  }

  show(value, owner) {
    if (owner !== this.owner) this.close();
    this.owner = owner;
    this.values = [value ?? []].flat();
    this.part?.show(null, owner);
    this.showAll();
  }

  /** The pictures to choose from are kept: none is asked for twice. */
  image(photo) {
    if (!this.images.has(photo.id)) this.images.set(photo.id, picture(photo));
    return this.images.get(photo.id);
  }

  /** Nothing is laid anew that stands as it should: a hand may be at it. */
  showAll() {
    const told = JSON.stringify(this.values.map((text) => [text, nameOfReference(text)]));
    if (told !== this.told) fill(this.said, this.values.map((text) => this.reference(text)));
    this.told = told;
    this.ask.textContent = this.most === 1 && this.values.length > 0 ? phrase('ask-another') : this.asks;
    if (this.isOpen) this.showPrints();
  }

  // ---- What there is to choose ----

  /** Laid anew only where something has changed: a finger may be on its way to one of them. */
  showPrints() {
    const { photos } = book.volume;
    const at = photos.find(({ id }) => id === this.at);
    const laid = JSON.stringify([this.values, this.at, at && peekMarks(at), photos.map((photo) => [photo.id, nameOfPhoto(photo), photo.n_marks]),
      this.pieces && book.record.ledger.map(({ id }) => nameOfReference(id))]);
    if (laid !== this.laid) this.layPrints();
    this.laid = laid;
  }

  layPrints() {
    const pieces = this.pieces ? book.record.marks.filter(({ id }) => id.startsWith('pieces ')) : [];
    const stages = STAGES.filter((stage) => !this.stage || stage === this.stage);
    const photosOf = (stage) => book.volume.photos.filter((photo) => (photo.stage ?? null) === stage);
    const shelves = stages.filter((stage) => photosOf(stage).length > 0).map((stage) => this.shelf(capital(stageName(stage)),
      photosOf(stage).flatMap((photo) => [this.print(photo), this.at === photo.id ? this.marksOf(photo) : null])));
    const none = shelves.length > 0 ? null : make('p', { class: 'soft' }, phrase(this.stage ? `photos-none-${this.stage}` : 'photos-none'));
    fill(this.prints, none, shelves,
      pieces.length > 0 ? this.shelf(phrase('title-pieces'), pieces.map(({ id }) => this.choice(id.slice('pieces '.length)))) : null);
  }

  shelf(name, inside) {
    const id = freshId('shelf');
    return make('div', { class: 'shelf', role: 'group', 'aria-labelledby': id },
      make('p', { id, class: 'soft' }, name), make('div', { class: 'prints' }, inside));
  }

  /** Where marks may be chosen, a picture opens to them; else it is chosen itself. */
  print(photo) {
    const isIn = this.values.some((text) => halvesOf(text).file === photo.file);
    const state = this.marks ? { 'aria-expanded': String(this.at === photo.id) } : { 'aria-pressed': String(isIn) };
    const shown = photo.step ? `${viewName(photo)}: ${photo.step}` : viewName(photo);
    const heard = [shown, stageName(photo.stage), this.marks && phrase('marks', { n: photo.n_marks }), this.marks && isIn && phrase('photos-is-chosen')];
    return button({ class: `print-choice${isIn ? ' in' : ''}`, title: photo.file, 'data-photo': photo.id, ...state,
      'aria-label': heard.filter(Boolean).join(', '), onclick: () => (this.marks ? this.turn(photo) : this.toggle(photo.file)) },
    this.image(photo), make('span', {}, shown));
  }

  turn(photo) {
    this.at = this.at === photo.id ? null : photo.id;
    this.showPrints();
    this.prints.querySelector(`[data-photo="${photo.id}"]`).focus();
    if (this.at) this.look(photo);
  }

  marksOf(photo) {
    const marks = peekMarks(photo);
    const id = freshId('marks');
    return make('div', { class: 'marks-choice', role: 'group', 'aria-labelledby': id }, make('p', { id, class: 'soft' }, capital(nameOfPhoto(photo))),
      this.choice(photo.file, phrase('photos-whole')),
      marks === null ? make('p', { class: 'soft' }, phrase('photos-reading')) : marks.map((mark) =>
        this.choice(`${photo.file}#${mark.id}`, nameOfMark(mark), make('span', { class: 'number figures' }, mark.number ?? mark.id), swatch(mark.group))));
  }

  choice(text, name = nameOfReference(text).name, ...before) {
    return button({ class: 'choice', 'aria-pressed': String(this.values.includes(text)), onclick: () => this.toggle(text) },
      before, make('span', {}, name));
  }

  focus() { this.ask.focus(); }
}
