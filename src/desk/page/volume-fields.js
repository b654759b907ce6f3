// A field of the leaf "The volume", by its kind in volume-forms.js.

import { book } from './book.js';
import { Combo } from './combo.js';
import { choiceField, selectField, textField } from './fields.js';
import { levelPicture, levelWords } from './level.js';
import { button, freshId, make } from './make.js';
import { aboutTerm, optionOf } from './mark.js';
import { dayOf, figure, partWord, phrase, termWord } from './phrases.js';
import { findParts, findTerms, nearestTerms } from './terms.js';
import { PhotoField } from './volume-photos.js';

const NEAREST = 3; // terms offered for words that fit none
const IS_DATE = /^\d{4}-\d{2}-\d{2}$/;

/** A day, and beside it the same in words, for every browser has an order of its own for day and month. What
 * the record says that is none is shown as it stands, to be mended. */
function dateField({ label, set }) {
  const id = freshId('date');
  let shown = { value: null, owner: null };
  const input = make('input', { id, type: 'date', 'aria-describedby': `${id}-said` });
  const said = make('span', { id: `${id}-said`, class: 'soft' });
  const say = () => { said.textContent = IS_DATE.test(input.value) ? dayOf(input.value) : ''; };
  input.addEventListener('input', say);
  const commit = () => {
    const value = input.value.trim() || null;
    if (value === shown.value) return;
    shown = { ...shown, value };
    set(value, shown.owner);
  };
  input.addEventListener('change', () => {
    if (document.activeElement !== input) commit(); // by keys a day comes number by number
  });
  input.addEventListener('blur', commit);
  input.addEventListener('keydown', (event) => { if (event.key === 'Enter') commit(); });
  return {
    node: make('div', { class: 'field' }, make('label', { class: 'label', for: id }, label), make('div', { class: 'with-unit' }, input, said)),
    show(value, owner) {
      if (owner === shown.owner && document.activeElement === input && input.value !== (shown.value ?? '')) return;
      input.type = !value || IS_DATE.test(value) ? 'date' : 'text';
      if (input.value !== (value ?? '')) input.value = value ?? '';
      say();
      shown = { value: value ?? null, owner };
    },
    focus: () => input.focus(),
  };
}

/** Several texts, one a line; `asText`: of a line as it was written. */
function textsField({ label, set, help, figures = false }, asText = (line) => line.trim()) {
  const lines = (text) => text.split('\n').map(asText).filter(Boolean);
  const field = textField({
    label,
    long: true,
    help,
    figures,
    set: (text, owner) => set(text === null ? null : lines(text), owner),
  });
  field.input.classList.add('several');
  return { ...field, show: (value, owner) => field.show([value ?? []].flat().join('\n') || null, owner) };
}

/** How much nearer than the card a surface lies, with what that means. */
function levelField({ label, set, help }) {
  const field = textField({ label, unit: phrase('level-unit'), figures: true, set, help });
  const picture = levelPicture();
  const says = make('p', { class: 'help' });
  let shown = null;
  const thick = button({ class: 'pair', onclick: () => set('thickness', shown) }, phrase('scale-thick'));
  return {
    ...field,
    node: make('div', {}, field.node, make('div', { class: 'level' }, picture.node, make('div', {}, says, thick))),
    show(value, owner) {
      shown = owner;
      field.show(value, owner);
      picture.show(value);
      picture.node.toggleAttribute('hidden', !value);
      says.textContent = value ? levelWords(value) : '';
    },
  };
}

/** A number for which something is taken where it is not said. */
function figureField({ label, set, unit, input }) {
  const field = textField({ label, unit: unit ?? null, figures: true, set });
  const usual = book.record.inputs[input];
  if (input) field.input.placeholder = usual === null ? phrase('as-found') : phrase('usual', { value: figure(usual) });
  return field;
}

function comboField({ label, set, ...rest }) {
  const combo = new Combo({ label, set, free: true, ...rest });
  combo.node.classList.add('wide');
  return combo;
}

const holding = (letters) => ({ value, words, more = '' }) => `${value} ${words} ${more}`.toLowerCase().includes(letters);

/** Words of which one is usual; `offer`: gives [{value, words, more}]. */
function offeredField({ label, set, offer, help }) {
  const field = comboField({ label, set, offer: (letters) => offer().filter(holding(letters)),
    wordsOf: (value) => offer().find((one) => one.value === value)?.words ?? value });
  if (help) field.node.append(make('p', { class: 'help' }, help));
  return field;
}

/** The trade's word; other words go into another field, `row.else`, where the person says so. */
function termField({ label, set, else: other }, form) {
  const into = (written) => (owner) => form.put(other, [form.words[other], written].filter(Boolean).join('; '), owner);
  return comboField({ label, set, wordsOf: termWord, free: false, loose: true, about: aboutTerm,
    offer: (letters) => findTerms(letters).filter(({ term }) => term.name !== 'undecided').map(({ term, by }) => optionOf(term, by)),
    lacking: (written) => ({ says: phrase('term-not-listed'), options: [...nearestTerms(written, null, NEAREST).map((term) => optionOf(term)),
      { value: written, words: phrase('term-in-words', { words: written }), run: into(written) }] }) });
}

const KINDS = {
  text: textField,
  long: (row) => textField({ ...row, long: true }),
  number: (row) => textField({ ...row, mode: 'decimal' }),
  figures: (row) => textField({ ...row, figures: true }),
  figure: figureField,
  level: levelField,
  date: dateField,
  texts: (row) => textsField(row),
  colours: (row) => textsField({ ...row, figures: true }, (line) => line.trim().split(/[\s,;]+/).join(' ')),
  select: ({ choices, ...row }) => selectField({ ...row, choices: [[null, ''], ...choices] }),
  offered: (row) => offeredField({ ...row, offer: () => row.offer }),
  camera: (row) => offeredField({ ...row, offer: () => book.record.seen_cameras.map((name) => ({ value: name, words: name })) }),
  part: (row, form) => comboField({ ...row, wordsOf: partWord,
    offer: (letters) => findParts(letters, form.words.term).map((part) => ({ value: part, words: partWord(part) })) }),
  term: termField,
  photos: (row) => new PhotoField(row),
};

/** `set(value, owner)`: as of every field. `form`: {words, put(key, value, owner)} of the fields that stand together. */
export function fieldOf({ kind, ...row }, set, form) {
  if (Array.isArray(kind)) return choiceField({ label: row.label, choices: kind, set });
  return KINDS[kind]({ ...row, set }, form);
}
