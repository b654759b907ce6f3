// The leaf "The volume": all of volume.yaml to be read and filled in, part by part, open pieces first.
// It shows what the server tells of it and holds no rule of its own.

import { book } from './book.js';
import { closeLeaf, leafIsOpen, openLeaf } from './leaf.js';
import { button, fill, find, make } from './make.js';
import { phrase } from './phrases.js';
import { VOLUME, entryOf, listOf } from './record.js';
import { Fields, write } from './volume-entry.js';
import { LISTS, ORDER, SINGLES, issuedWords, labelOf, lacksWords, nameOfEntry, summaryOf } from './volume-forms.js';
import { EntryList } from './volume-list.js';
import { Unkept } from './unkept.js';

const idOf = (name) => `part-${name.replace('/', '-')}`;

class Sheet {
  constructor() {
    this.parts = new Map(ORDER.map((name) => [name, SINGLES[name]
      ? new Fields(SINGLES[name].fields, (key, value) => write([{ key, value }], labelOf(undefined, key)))
      : new EntryList(name)]));
    this.alarm = make('div', { class: 'open-pieces', role: 'status' });
    this.shut = make('p', { class: 'caution', role: 'alert', hidden: true });
    this.issued = make('ul', { class: 'issued' });
    this.links = make('ul', {});
    this.toLinks = button({ class: 'quiet narrow-only', onclick: () => this.goToLinks() }, phrase('volume-to-parts'));
    this.undo = button({ class: 'quiet', onclick: () => book.undo(VOLUME) }, phrase('undo'));
    this.unkept = new Unkept({
      state: () => book.record,
      isOurs: (id) => id === VOLUME,
      isWord: ({ mark }) => !mark || !entryOf(mark).startsWith('+'),
      nameOf: ({ mark, key }) => `${labelOf(mark && listOf(mark), key)}${mark ? `, ${nameOfEntry(mark, { mine: book.record, theirs: book.record })}` : ''}`,
      event: 'record',
    });
    this.body = make('div', { class: 'parts' }, this.shut, this.unkept.node, this.alarm,
      ORDER.map((name) => this.section(name)), this.issuedSection());
    this.node = make('div', { class: 'volume' }, make('nav', { 'aria-label': phrase('volume-parts') }, this.links), this.body);
    book.addEventListener('record', ({ detail }) => this.take(detail.names));
    book.addEventListener('volume', () => leafIsOpen(VOLUME) && this.show()); // photographs have other names by now
    for (const name of ['history', 'saved']) book.addEventListener(name, () => this.showUndo());
    this.unkept.lookUp(); // the record was read before there was a leaf to hear of it
  }

  section(name) {
    const title = SINGLES[name]?.title ?? LISTS[name].title;
    const head = make('h3', { id: idOf(name), tabIndex: -1 }, title);
    this.parts.get(name).head = head;
    return make('section', { 'aria-labelledby': head.id }, head, this.parts.get(name).node);
  }

  issuedSection() {
    this.issuedNode = make('section', { 'aria-labelledby': 'part-issued', hidden: true },
      make('h3', { id: 'part-issued' }, phrase('title-issued')), this.issued);
    return this.issuedNode;
  }

  take(names) {
    if (names) for (const part of this.parts.values()) part.rename?.(names);
    if (names) this.unkept.rename(VOLUME, names);
    this.show();
  }

  show() {
    const { record } = book;
    this.shut.hidden = record.tag !== null;
    this.shut.textContent = record.tag === null ? phrase('volume-shut') : '';
    for (const part of this.parts.values()) part.show(part instanceof EntryList ? record : record.words, 'record');
    this.showAlarm(record);
    this.showLinks();
    this.showIssued(record);
    this.showUndo();
  }

  showAlarm({ marks, ledger }) {
    const open = ledger.filter((piece) => piece.open);
    this.alarm.hidden = open.length === 0;
    const row = ({ id, lacks }) => {
      const words = marks.find((mark) => mark.id === `pieces ${id}`)?.words ?? {};
      return make('li', {}, button({ onclick: () => this.parts.get('pieces').open(`pieces ${id}`, 'outcome') },
        make('strong', {}, `${id} ${summaryOf('pieces', words)}`), make('span', {}, lacksWords(lacks))));
    };
    const text = JSON.stringify(open);
    if (text === this.alarmed) return;
    this.alarmed = text;
    fill(this.alarm, make('p', {}, make('strong', {}, phrase('volume-open', { n: open.length }))), make('ul', {}, open.map(row)));
  }

  /** The parts scroll; on a narrow screen the leaf does. */
  get scrollers() { return [this.body, this.node.parentElement].filter(Boolean); }

  /** One comes back to where one was. */
  scrollBack() {
    for (const node of this.scrollers) node.scrollTop = this.top ?? 0;
  }

  /** On a narrow screen the list of parts lies above them. */
  goToLinks() {
    this.links.querySelector('button').focus();
    this.links.scrollIntoView({ block: 'start' });
  }

  showLinks() {
    const go = (name) => {
      const { head } = this.parts.get(name);
      head.focus();
      head.scrollIntoView({ block: 'start' });
    };
    const names = ORDER.map((name) => [name, this.parts.get(name).count]);
    if (JSON.stringify(names) === this.linked) return;
    this.linked = JSON.stringify(names);
    fill(this.links, names.map(([name, count]) => make('li', {}, button({ class: 'quiet', onclick: () => go(name) },
      make('span', {}, SINGLES[name]?.title ?? LISTS[name].title),
      count === undefined ? null : make('span', { class: 'figures soft' }, String(count))))));
  }

  /** Documents that have left the studio are told, and written by no hand. */
  showIssued({ marks }) {
    const all = marks.filter(({ id }) => id.startsWith('issued '));
    this.issuedNode.hidden = all.length === 0;
    fill(this.issued, all.map(({ words }) => make('li', {}, issuedWords(words), make('code', { class: 'soft' }, words.sha256))));
  }

  showUndo() { this.undo.disabled = !book.canUndoOf(VOLUME); }
}

let sheet = null;

/** Lays the leaf; `then(sheet)`: once it lies. */
export async function openVolume(then = () => {}) {
  await book.openRecord();
  sheet ??= new Sheet();
  sheet.show();
  openLeaf({ name: VOLUME, title: phrase('volume-title'), acts: [sheet.toLinks, sheet.undo], content: [sheet.node] });
  sheet.scrollBack();
  then(sheet);
}

/** Lays the leaf with a piece opened, where its outcome is asked for. */
export function openPiece(id) {
  return openVolume(({ parts }) => parts.get('pieces').open(`pieces ${id}`, 'outcome'));
}

export function toggleVolume() {
  return leafIsOpen(VOLUME) ? closeLeaf() : openVolume();
}

/** What was photographed during treatment becomes a step of it; only the hours are asked for. */
export async function putIntoTreatment(photo) {
  await book.openRecord();
  const day = photo.taken?.slice(0, 10);
  const by = book.record.words['studio/by'];
  const words = { ...(day ? { on: day } : {}), ...(by ? { by } : {}), did: photo.step ?? photo.words.caption, photos: [photo.file] };
  await openVolume(async ({ parts }) => {
    const list = parts.get('treatment');
    if (!words.did) return list.begin({ ...words, did: undefined });
    const mark = list.nameFor();
    await write(Object.entries(words).map(([key, value]) => ({ mark, key, value })), phrase('step-put-in'));
    return list.open(list.last(), 'hours');
  });
}

/** Undo on the leaf is of what is written on the leaf. */
export function joinVolume() {
  find('#leaf').addEventListener('scroll', ({ target }) => {
    if (leafIsOpen(VOLUME) && sheet?.scrollers.includes(target)) sheet.top = target.scrollTop;
  }, { capture: true });
  find('#leaf').addEventListener('keydown', (event) => {
    if (!leafIsOpen(VOLUME)) return;
    const isText = event.target.closest('input, textarea, select') !== null;
    const isUndo = (event.key === 'z' && (event.ctrlKey || event.metaKey)) || (event.key === 'u' && !event.ctrlKey);
    if (isText || !isUndo) return;
    event.preventDefault();
    book.undo(VOLUME);
  });
}
