// The words of the chosen mark: what it is, where, how much, how it is known. Each is saved by itself,
// the moment it is said.

import { book } from './book.js';
import { Combo } from './combo.js';
import { choiceField, textField } from './fields.js';
import { hands } from './hands.js';
import { LinkWords } from './link.js';
import { button, fill, icon, make } from './make.js';
import { MoreWords } from './more.js';
import { swatch } from './swatch.js';
import { BASES, SEVERITIES, nameOfMark } from './tell.js';
import { findParts, findTerms, lastUsed, remember, termOf } from './terms.js';

const PAIRS = 3; // of the last terms and parts, one touch each
const DEFER = 'Local rules and the advice of a specialist come first.';

/** Changes one of a mark's words. */
function editMark(id, key, value, says) {
  return book.edit([{ mark: id, key, value }], { says });
}

const CAUTION_SHORT = 120; // characters; of a longer one the first sentence, the rest at a touch

function cautionOf(text) {
  if (!text) return null;
  const head = make('strong', {}, 'Caution: ');
  const first = /^.*?\.(?= )/s.exec(text)?.[0];
  if (!first || text.length <= CAUTION_SHORT)
    return make('p', { class: 'caution' }, head, `${text} `, make('span', {}, DEFER));
  const more = make('span', { class: 'caution-more' }, 'more');
  return make(
    'details',
    { class: 'caution' },
    make('summary', {}, head, `${first} `, more),
    make('p', {}, `${text.slice(first.length).trim()} ${DEFER}`),
  );
}

function aboutTerm({ term }) {
  return make('div', {}, make('p', {}, term.meaning), cautionOf(term.caution));
}

/** What is folded away is told where it is set. */
function summaryOf(words) {
  const set = [
    words.private && 'private',
    words['plane-offset'] && `level ${words['plane-offset']}`,
    words.card && `card ${words.card}`,
    words['same-as'] && 'same as another mark',
    words.earlier && 'was there before',
    words.gone && 'made good',
  ].filter(Boolean);
  return `Private, level, card, the same damage elsewhere${set.length > 0 ? `: ${set.join(', ')}` : ''}`;
}

function offerTerms(letters) {
  return findTerms(letters, book.peekMark()?.kind).map(({ term, by }) => ({
    value: term.name,
    words: term.name,
    more: by ? `also: ${by}` : null,
    mark: swatch(term.group),
    term,
  }));
}

function offerParts(letters) {
  return findParts(letters, book.peekMark()?.words.term).map((part) => ({ value: part, words: part }));
}

export function deleteMark(mark) {
  book.edit([{ mark: mark.id, key: null, value: null }], { says: `mark ${mark.number ?? mark.id} deleted` });
  book.say('Mark deleted; undo brings it back.');
}

export class MarkWords {
  constructor() {
    const edit = (key, says) => (value, id) => editMark(id, key, value, says);
    this.title = make('h3', { class: 'unseen' });
    this.number = make('span', { class: 'number figures', 'aria-hidden': 'true' });
    this.look = make('span', { class: 'swatch' });
    this.size = make('div');
    this.pairs = make('div', { class: 'field pairs' });
    this.caution = make('div');
    this.wrong = make('ul', { class: 'owes' });
    this.term = new Combo({
      label: 'term',
      offer: offerTerms,
      about: aboutTerm,
      set: (value, id) => this.setTerm(id, value),
    });
    this.part = new Combo({
      label: 'part',
      offer: offerParts,
      free: true,
      set: (value, id) => this.setPart(id, value),
    });
    this.severity = choiceField({
      label: 'how much',
      choices: SEVERITIES,
      set: edit('severity', 'how much'),
    });
    this.basis = choiceField({
      label: 'known by',
      choices: BASES,
      loose: false,
      set: (value, id) => editMark(id, 'basis', value === 'observed' ? null : value, 'how it is known'),
    });
    this.count = textField({ label: 'count', mode: 'numeric', unit: 'places', set: edit('count', 'count') });
    this.note = textField({ label: 'note', long: true, set: edit('note', 'note') });
    this.summary = make('summary');
    this.more = new MoreWords(edit);
    this.links = new LinkWords();
    this.part.node.classList.add('part');
    this.name = make('div', { class: 'mark-name' }, this.number, this.look, this.term.node, this.part.node);
    this.node = make(
      'div',
      { class: 'mark-words' },
      this.title,
      this.name,
      this.size,
      this.pairs,
      this.wrong,
      this.caution,
      this.severity.node,
      this.basis.node,
      this.count.node,
      this.note.node,
      make('details', { class: 'more' }, this.summary, this.more.node, this.links.node),
      this.acts(),
    );
  }

  acts() {
    const act = (name, words, run) =>
      button({ class: 'quiet', onclick: () => run(book.peekMark()) }, icon(name), words);
    return make(
      'div',
      { class: 'acts' },
      act('list', 'All marks', () => book.select(null)),
      act('copy', 'Copy mark', () => hands.bench.copyMark()),
      act('delete', 'Delete mark', deleteMark),
    );
  }

  setTerm(id, value) {
    const mark = book.photo.marks.find((one) => one.id === id);
    remember(value, mark?.words.part);
    editMark(id, 'term', value ?? 'undecided', `term: ${value}`);
  }

  setPart(id, value) {
    const mark = book.photo.marks.find((one) => one.id === id);
    remember(mark?.words.term, value);
    editMark(id, 'part', value, `part: ${value ?? 'none'}`);
  }

  showHead(mark) {
    const look = swatch(mark.group);
    this.look.replaceWith(look);
    this.look = look;
    this.title.textContent = `Mark ${mark.number ?? mark.id}: ${nameOfMark(mark)}`;
    this.number.textContent = mark.number ?? mark.id;
    this.showSize();
  }

  /** As it is saved, or as it is being drawn. */
  showSize() {
    const mark = book.peekMark();
    if (!mark) return;
    const size = sizeWords(mark, book.draft?.mark === mark.id ? book.draft : mark);
    this.size.replaceWith(size);
    this.size = size;
  }

  /** The last terms and parts, for a mark that has not been named yet. */
  showPairs(mark) {
    const isNamed = (mark.words.term ?? 'undecided') !== 'undecided';
    const last = isNamed
      ? []
      : lastUsed()
          .filter(({ term }) => termOf(term)?.as.includes(mark.kind))
          .slice(0, PAIRS);
    this.pairs.hidden = isNamed;
    const take =
      ({ term, part }) =>
      () =>
        book.edit(
          [
            { mark: mark.id, key: 'term', value: term },
            { mark: mark.id, key: 'part', value: part },
          ],
          { says: `term: ${term}` },
        );
    fill(
      this.pairs,
      make('span', { class: 'label' }, 'name it'),
      make(
        'div',
        { class: 'words' },
        last.map((pair) =>
          button({ class: 'pair', onclick: take(pair) }, [pair.term, pair.part].filter(Boolean).join(', ')),
        ),
        make('span', { class: 'soft' }, last.length > 0 ? 'or ' : '', make('kbd', {}, 'w'), ' and a few letters'),
      ),
    );
  }

  /** What the record's reader says of this mark. */
  showWrong(id) {
    const wrong = (book.photo.complaints ?? []).filter(({ mark }) => mark === id);
    fill(
      this.wrong,
      wrong.map(({ says, severity }) =>
        make('li', {}, make('b', {}, severity === 'error' ? 'wrong: ' : 'look: '), says),
      ),
    );
    this.wrong.hidden = wrong.length === 0;
  }

  show() {
    const mark = book.peekMark();
    this.node.hidden = mark === null;
    if (!mark) return;
    const { id, words } = mark;
    this.showHead(mark);
    this.showPairs(mark);
    this.term.show(words.term ?? 'undecided', id);
    this.part.show(words.part, id);
    this.showWrong(id);
    const caution = mark.caution ?? termOf(words.term)?.caution ?? null;
    if (caution !== this.cautioned) fill(this.caution, cautionOf(caution)); // one that stands open stays so
    this.cautioned = caution;
    this.severity.show(words.severity, id);
    this.basis.show(words.basis ?? 'observed', id);
    this.count.node.hidden = mark.kind !== 'point';
    this.count.show(words.count, id);
    this.note.show(words.note, id);
    this.summary.textContent = summaryOf(words);
    this.more.show(mark);
    this.links.show(mark);
  }
}

/** The size, what else is known of it, or why there is none: of a mark, or of a draft of it. */
export function sizeWords(mark, { shown, shown_more: more, shown_share: share, why }) {
  if (mark.words.gone) return make('p', { class: 'size' }, make('strong', { class: 'figures' }, 'made good'));
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
        `${mark.words.count ?? 1} ${Number(mark.words.count ?? 1) === 1 ? 'place' : 'places'}`,
      ),
    );
  return make('p', { class: 'size soft' }, why ? `no size: ${why}` : 'being measured');
}
