// The words of the chosen mark: what it is, where, how much, how it is known. Each is saved by itself,
// the moment it is said.

import { book } from './book.js';
import { Combo } from './combo.js';
import { DeleteWords } from './deleting.js';
import { choiceField, textField } from './fields.js';
import { hands } from './hands.js';
import { Picker, SameWords } from './link.js';
import { complaintWords, deleteMark, unlink } from './linking.js';
import { button, fill, icon, make, prose } from './make.js';
import { MoreWords, cardsOf } from './more.js';
import { figure, partWord, phrase, termWord } from './phrases.js';
import { swatch } from './swatch.js';
import { BASES, NAMES, SEVERITIES, capital, nameOfMark } from './tell.js';
import { findParts, findTerms, forgetUndone, nearestTerms, pairsFor, remember, termOf } from './terms.js';
import { TreatmentWords } from './treatment.js';

const PAIRS = 3; // of the last terms and parts, one touch each
const NEAREST = 3; // terms offered for words that fit none

/** Whose words a field shows: marks of two photographs may have one number. */
const ownerOf = (mark) => `${book.photo.id}#${mark.id}`;

/** Changes words of a mark: `words`: [[key, value], ...]. */
function editMark(owner, words, says) {
  const at = owner.indexOf('#');
  const [photo, mark] = [owner.slice(0, at), owner.slice(at + 1)];
  // a field that is left by deleting its mark
  if (photo === book.photo.id && !book.photo.marks.some(({ id }) => id === mark)) return undefined;
  return book.edit(words.map(([key, value]) => ({ mark, key, value })), { photo, says });
}

/** Changes its term or part, which are then at hand for the next mark. */
async function nameMark(owner, words, says) {
  await editMark(owner, words, says);
  const mark = book.photo.marks.find((one) => ownerOf(one) === owner);
  if (mark) remember(book.photo.id, mark);
}

function cautionOf(text) {
  return text ? make('p', { class: 'caution' }, make('strong', {}, `${phrase('caution')} `), `${text} ${phrase('caution-defers')}`) : null;
}

export function aboutTerm({ term }) {
  return term ? make('div', {}, make('p', {}, term.meaning), cautionOf(term.caution)) : null;
}

/** Names what is folded away, and what of it is set. */
function summaryOf({ words }) {
  const inside = [
    NAMES.private,
    NAMES['plane-offset'],
    cardsOf(book.photo).length > 1 && NAMES.card,
    NAMES['same-as'],
  ].filter(Boolean);
  const set = [
    words.private && NAMES.private,
    words['plane-offset'] && phrase('level-is', { mm: figure(words['plane-offset']) }),
    words.card && phrase('card-is', { name: words.card }),
    words['same-as'] && NAMES['same-as'],
  ].filter(Boolean);
  return `${capital(inside.join(', '))}${set.length > 0 ? `: ${set.join(', ')}` : ''}`;
}

export function optionOf(term, by = null) {
  return { value: term.name, words: termWord(term.name), more: by ? phrase('term-also', { words: by }) : null, mark: swatch(term.group), term };
}

function offerTerms(letters) {
  return findTerms(letters, book.peekMark()?.kind).map(({ term, by }) => optionOf(term, by));
}

/** Words that no term has are not lost: the mark stays undecided and they go into its note. */
function lackingTerm(written) {
  const near = nearestTerms(written, book.peekMark()?.kind, NEAREST);
  const note = (owner) => {
    const words = [book.peekMark()?.words.note, written].filter(Boolean).join('; ');
    nameMark(owner, [['term', 'undecided'], ['note', words]], phrase('undecided-with-note'));
  };
  return {
    says: phrase(near.length > 0 ? 'term-nearest' : 'term-none'),
    options: [
      ...near.map((term) => optionOf(term)),
      { value: written, words: phrase('undecided-noted'), run: note },
    ],
  };
}

function offerParts(letters) {
  return findParts(letters, book.peekMark()?.words.term).map((part) => ({ value: part, words: partWord(part) }));
}

export class MarkWords {
  constructor() {
    const edit = (key, says) => (value, owner) => editMark(owner, [[key, value]], says);
    this.title = make('h3', { class: 'unseen' });
    this.number = make('span', { class: 'number figures', 'aria-hidden': 'true' });
    this.look = make('span', { class: 'swatch' });
    this.size = make('div');
    this.pairs = make('div', { class: 'field pairs' });
    this.caution = make('div');
    this.wrong = make('ul', { class: 'owes' });
    this.term = new Combo({
      label: NAMES.term,
      wordsOf: termWord,
      offer: offerTerms,
      about: aboutTerm,
      lacking: lackingTerm,
      set: (value, owner) => nameMark(owner, [['term', value]], phrase('term-is', { words: termWord(value) })),
    });
    this.part = new Combo({
      label: NAMES.part,
      wordsOf: partWord,
      offer: offerParts,
      free: true,
      lacking: () => ({ says: phrase('part-none') }),
      set: (value, owner) => nameMark(owner, [['part', value]], phrase('part-is', { words: value ? partWord(value) : phrase('none') })),
    });
    this.severity = choiceField({
      label: NAMES.severity,
      choices: SEVERITIES,
      set: edit('severity', NAMES.severity),
    });
    this.basis = choiceField({
      label: NAMES.basis,
      choices: BASES,
      loose: false,
      set: (value, owner) =>
        editMark(owner, [['basis', value === 'observed' ? null : value]], phrase('how-known')),
    });
    this.count = textField({ label: NAMES.count, mode: 'numeric', set: edit('count', NAMES.count) });
    this.count.input.placeholder = '1';
    this.note = textField({ label: NAMES.note, long: true, set: edit('note', NAMES.note) });
    this.summary = make('summary');
    this.more = new MoreWords(edit);
    this.treatment = new TreatmentWords();
    this.same = new SameWords();
    this.picker = new Picker((key) => (key === 'same-as' ? this.same.node : this.treatment.node));
    this.deleting = new DeleteWords();
    this.fold = make('details', { class: 'more', ontoggle: () => this.showFold() }, this.summary, this.more.node, this.same.node);
    book.addEventListener('history', forgetUndone);
    this.part.node.classList.add('part');
    this.name = make('div', { class: 'mark-name' }, this.number, this.look, this.term.node, this.part.node);
    this.node = make(
      'div',
      { class: 'mark-words', hidden: true }, // as long as none is chosen
      this.title,
      this.deleting.node,
      this.name,
      this.size,
      this.pairs,
      this.wrong,
      this.caution,
      make('div', { class: 'side-by-side' }, this.severity.node, this.count.node),
      this.note.node,
      this.basis.node,
      this.treatment.node,
      this.picker.node,
      this.fold,
      this.acts(),
    );
  }

  acts() {
    const act = (name, words, run) =>
      button({ class: 'quiet', onclick: () => run(book.peekMark()) }, icon(name), words);
    return make(
      'div',
      { class: 'acts' },
      act('list', phrase('all-marks'), () => book.select(null)),
      act('copy', phrase('copy-mark'), () => hands.bench.copyMark()),
      act('delete', phrase('delete-mark'), deleteMark),
    );
  }

  /** It opens below what is in sight. */
  showFold() {
    const behavior = matchMedia('(prefers-reduced-motion: reduce)').matches ? 'auto' : 'smooth';
    if (this.fold.open) this.fold.scrollIntoView({ block: 'start', behavior });
  }

  showHead(mark) {
    const look = swatch(mark.group);
    this.look.replaceWith(look);
    this.look = look;
    this.title.textContent = phrase('mark-title', { number: mark.number ?? mark.id, name: nameOfMark(mark) });
    this.number.textContent = mark.number ?? mark.id;
    this.showSize();
  }

  /** As it is saved, or as it is being drawn. */
  showSize() {
    const mark = book.peekMark();
    if (!mark) return;
    const size = sizeWords(mark, book.draft?.mark === mark.id ? book.draft : mark);
    size.hidden = mark.kind === 'point' && !mark.words.gone; // the count tells it
    this.size.replaceWith(size);
    this.size = size;
  }

  /** The last terms and parts, for a mark that has not been named yet. */
  showPairs(mark) {
    const isNamed = (mark.words.term ?? 'undecided') !== 'undecided';
    const last = isNamed ? [] : pairsFor(mark.kind, PAIRS);
    const take = ({ term, part }) => nameMark(ownerOf(mark), [['term', term], ['part', part]], phrase('term-is', { words: termWord(term) }));
    this.pairs.hidden = last.length === 0;
    fill(
      this.pairs,
      make('span', { class: 'label' }, phrase('name-it')),
      make(
        'div',
        { class: 'words' },
        last.map((pair) =>
          button({ class: 'pair', onclick: () => take(pair) }, nameOfMark({ words: pair })),
        ),
      ),
    );
  }

  /** What the record's reader says of this mark. */
  showWrong(id) {
    const wrong = (book.photo.complaints ?? []).filter(({ mark }) => mark === id);
    fill(
      this.wrong,
      wrong.map((complaint) => {
        const { says, link } = complaintWords(complaint, book.photo.id);
        return make(
          'li',
          {},
          make('b', {}, `${phrase(complaint.severity === 'error' ? 'wrong' : 'look')} `),
          ...prose(says),
          link ? button({ class: 'quiet', onclick: () => unlink(link) }, phrase('unlink')) : null,
        );
      }),
    );
    this.wrong.hidden = wrong.length === 0;
  }

  show() {
    const mark = book.peekMark();
    this.node.hidden = mark === null;
    if (!mark) return;
    const { words } = mark;
    const owner = ownerOf(mark);
    this.showHead(mark);
    this.showPairs(mark);
    this.term.show(words.term ?? 'undecided', owner);
    this.part.show(words.part, owner);
    this.showWrong(mark.id);
    fill(this.caution, cautionOf(mark.caution ?? termOf(words.term)?.caution));
    this.severity.show(words.severity, owner);
    this.basis.show(words.basis ?? 'observed', owner);
    this.count.node.hidden = mark.kind !== 'point';
    this.count.show(words.count, owner);
    this.note.show(words.note, owner);
    this.summary.textContent = summaryOf(mark);
    this.more.show(mark, owner);
    this.treatment.show(mark);
    this.picker.show();
    this.same.show(mark);
    this.deleting.show();
  }
}

/** The size, what else is known of it, or why there is none: of a mark, or of a draft of it. */
export function sizeWords(mark, { shown, shown_more: more, shown_share: share, why, hasNoSize }) {
  if (mark.words.gone) return make('p', { class: 'size' }, make('strong', { class: 'figures' }, phrase('made-good')));
  if (shown)
    return make(
      'p',
      { class: 'size figures' },
      make('strong', {}, shown),
      [more, share].filter(Boolean).map((words) => make('span', { class: 'soft' }, words)),
    );
  if (mark.kind === 'point')
    return make(
      'p',
      { class: 'size figures' },
      make(
        'strong',
        {},
        phrase('places', { n: mark.words.count ?? 1 }),
      ),
    );
  const none = phrase(why ? 'no-size-why' : 'no-size-yet', { why });
  return make('p', { class: 'size soft' }, why || hasNoSize ? none : phrase('being-measured'));
}
