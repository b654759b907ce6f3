// What is still to do in the whole volume, and what `check` finds; each line leads to its photograph
// and mark. New photographs are taken in here.

import { book } from './book.js';
import { actButton, intakeButton } from './intake.js';
import { brokenOn, brokenWords, unlink } from './linking.js';
import { isOfLink } from './links.js';
import { button, fill, make, prose } from './make.js';
import { phrase, viewWord } from './phrases.js';
import { stageName, stageWord, viewName } from './tell.js';
import { lacksWords } from './volume-forms.js';
import { openPiece } from './volume.js';
import { post } from './wire.js';

/** "before/A.jpg.yaml" or "before/A.jpg" to the photograph. */
function photoOf(file) {
  const name = (file ?? '').replace(/\.yaml$/, '');
  return book.volume.photos.find((photo) => photo.file === name) ?? null;
}

const SUM_OF_PIECES = 'not complete'; // of all that are open

/** Kinds of findings that say again what is owed. */
const SAYS_AGAIN = {
  'no photograph': ['view missing'],
  'not taken in': ['no sidecar'],
  'no scale': ['no size'],
  'no size': ['no size'],
  'no stage': ['no stage'],
  'no view': ['no view'],
  undecided: ['undecided'],
  'not looked through': ['not looked through'],
  'piece open': ['piece open', SUM_OF_PIECES],
};

/** A finding says what is owed, or tells of it more closely: what is wrong with a text. */
function isOf({ file, kind, severity, says }, owe) {
  if ((photoOf(file)?.id ?? null) !== owe.photo) return false;
  if (owe.what === 'fault') return severity === 'error';
  return SAYS_AGAIN[owe.what]?.includes(kind) && (owe.photo !== null || kind === SUM_OF_PIECES || says === owe.says);
}

/** Findings that are no part of what is owed: {beyond}, and what they tell of a fault, thing by thing: {details}; links
 * that do not stand are told by themselves. Notes are left to the command: they want nothing done, and speak of keys of
 * the texts. */
export function sortFindings(findings, owed) {
  const ofFaults = owed.filter(({ what }) => what === 'fault');
  const rest = owed.filter(({ what }) => what !== 'fault');
  const fresh = findings.filter((finding) => finding.severity !== 'note' && !rest.some((owe) => isOf(finding, owe)));
  return {
    beyond: fresh.filter((finding) => !ofFaults.some((owe) => isOf(finding, owe))),
    details: new Map(
      ofFaults.map((owe) => [owe.photo, fresh.filter((finding) => isOf(finding, owe) && !isOfLink(finding)).map(({ says }) => says)]),
    ),
  };
}

/** What is owed, in words; why a mark has no size is the library's to say. */
export function saysOf({ what, n, why, view, stage, piece }) {
  if (piece) return phrase('lacks', { what: lacksWords(piece.lacks) });
  if (what === 'no photograph') return phrase(`owe-no-photograph-${stage}`, { view: viewWord(view) });
  return phrase(`owe-${what.replaceAll(' ', '-')}`, { n, why });
}

/** How much is still to do, the same words on the slip and in the line on top; '': nothing. */
export function owedWords() {
  const n = book.volume.owed.length;
  return n > 0 ? phrase('owed-things', { n }) : '';
}

/** Opens a photograph, with the first mark that still wants deciding where that is what is owed. */
async function goTo(id, mark = null, isUndecided = false) {
  await book.open(id, mark);
  if (isUndecided && book.photo.id === id) book.select(book.photo.marks.find((one) => one.words.term === 'undecided')?.id ?? null);
}

export class OwedList {
  constructor() {
    this.owed = make('ul', { class: 'owed-list' });
    this.said = make('div', { role: 'status' });
    this.found = make('ul', { class: 'owed-list' });
    this.checked = null; // {tag, details}: of which volume, and what was said of faults in texts
    this.foundTitle = make('h3', { hidden: true }, phrase('owed-found'));
    this.title = make('h3', {});
    this.wanted = make('p', {}, phrase('owed-lead'));
    this.node = make(
      'div',
      {},
      make(
        'div',
        { class: 'acts' },
        actButton(phrase('owed-check'), this.said, () => this.look()),
        intakeButton(this.said),
      ),
      this.said,
      this.title,
      this.wanted,
      this.owed,
      this.foundTitle,
      this.found,
    );
  }

  async look() {
    const { findings } = await post('/check', {});
    const { beyond, details } = sortFindings(findings, book.volume.owed);
    const none = phrase(owedWords() ? 'owed-no-more' : 'owed-all-right');
    this.checked = { tag: book.volume.tag, details };
    this.foundTitle.hidden = beyond.length === 0;
    fill(
      this.found,
      beyond.map((finding) => this.line(finding)),
    );
    this.show();
    return make('p', {}, beyond.length > 0 ? phrase('owed-more', { n: beyond.length }) : none);
  }

  line({ file, line, severity, says, mark }) {
    const photo = photoOf(file);
    const where = photo
      ? `${viewName(photo)}, ${stageName(photo.stage)}`
      : line ? phrase('owed-line', { file, n: line }) : file;
    const words = [
      make('span', { class: 'where' }, severity === 'error' ? phrase('owed-wrong', { where }) : where),
      make('span', {}, prose(says)),
    ];
    return make(
      'li',
      {},
      photo ? button({ onclick: () => goTo(photo.id, mark) }, words) : make('div', { class: 'plain' }, words),
    );
  }

  /** Links that do not stand are told one by one; of other errors how many there are, and what the check said. */
  owedLines(owe, details) {
    const broken = owe.what === 'fault' ? brokenOn(owe.photo) : [];
    const links = broken.map((link) => this.owedLine(owe, brokenWords(link), link));
    const rest = broken.length > 0 ? owe.n - broken.length : null;
    if (rest !== null && rest <= 0) return links;
    const says = rest === null ? saysOf(owe) : phrase('owed-other', { n: rest });
    const more = owe.what === 'fault' ? (details.get(owe.photo) ?? []) : [];
    return [...links, this.owedLine(owe, [says, ...more].join(': '))];
  }

  owedLine(owe, says, link = null) {
    const { piece } = owe;
    const where = piece
      ? phrase('owed-piece', { piece: [piece.id, piece.what].filter(Boolean).join(' ') })
      : [viewName(owe), owe.stage && stageWord(owe.stage)].filter(Boolean).join(', ');
    const words = [make('span', { class: 'where' }, where), make('span', {}, says)];
    const go = piece ? () => openPiece(piece.id) : () => goTo(owe.photo, link?.mark, owe.what === 'undecided');
    return make(
      'li',
      {},
      owe.photo || piece
        ? button({ onclick: go }, words)
        : make('div', { class: 'plain' }, words),
      link ? button({ class: 'quiet', onclick: () => unlink(link) }, phrase('unlink')) : null,
    );
  }

  show() {
    const { owed, tag } = book.volume;
    const details = this.checked?.tag === tag ? this.checked.details : new Map();
    const isEmpty = book.volume.photos.length === 0;
    this.title.textContent = owedWords() || phrase(isEmpty ? 'owed-wanted' : 'owed-nothing');
    this.wanted.hidden = !isEmpty;
    fill(
      this.owed,
      owed.flatMap((owe) => this.owedLines(owe, details)),
    );
  }
}
