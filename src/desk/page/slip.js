// The paper slip: its three faces (marks, the photograph, what is still to do), and how it slides up on
// a narrow screen.

import { book } from './book.js';
import { chosen } from './chosen.js';
import { button, fill, find, icon, make } from './make.js';
import { MarkWords, sizeWords } from './mark.js';
import { OWN, ownOf } from './own.js';
import { keyName, phrase } from './phrases.js';
import { PhotoWords } from './words.js';
import { swatch } from './swatch.js';
import { NAMES, nameOfMark } from './tell.js';
import { OwedList } from './owed.js';
import { Unkept } from './unkept.js';

/** All marks of the photograph, for those who look by list or by ear. */
class MarkList {
  constructor() {
    this.list = make('ol', { class: 'marks' });
    this.none = make(
      'p',
      { class: 'soft' },
      phrase('marks-none'),
    );
    this.node = make('div', {}, this.none, this.list);
  }

  show() {
    const marks = book.photo?.marks ?? [];
    this.none.hidden = marks.length > 0;
    this.node.hidden = book.mark !== null;
    fill(
      this.list,
      marks.map((mark) =>
        make(
          'li',
          {},
          button(
            { 'data-mark': mark.id, onclick: () => book.select(mark.id) },
            make('span', { class: 'number figures' }, mark.number ?? mark.id),
            swatch(mark.group),
            make('span', { class: 'name' }, nameOfMark(mark)),
            sizeWords(mark, { shown: mark.shown, why: mark.why }),
          ),
        ),
      ),
    );
  }

  first() {
    return this.list.querySelector('button');
  }
}

class Slip {
  constructor(node) {
    this.node = node;
    this.words = new MarkWords();
    this.list = new MarkList();
    this.photo = new PhotoWords();
    this.owed = new OwedList();
    this.unkept = new Unkept();
    this.draft = make('div', { class: 'drafted', hidden: true });
    this.faces = {
      marks: { title: phrase('face-marks'), node: make('div', {}, this.draft, this.words.node, this.list.node) },
      photo: { title: phrase('face-photo'), node: this.photo.node },
      owed: { title: phrase('face-owed'), node: this.owed.node },
    };
    this.build();
  }

  build() {
    this.handle = button({
      class: 'slip-handle narrow-only',
      'aria-expanded': 'false',
      onclick: () => this.slide(),
    });
    this.tabs = make('div', { role: 'tablist', 'aria-label': phrase('faces'), class: 'faces' });
    for (const [name, face] of Object.entries(this.faces)) {
      face.tab = button(
        { role: 'tab', id: `tab-${name}`, 'data-title': face.title, 'aria-controls': `face-${name}`, onclick: () => this.touch(name) },
        face.title,
      );
      Object.assign(face.node, { id: `face-${name}`, className: 'face' });
      face.node.setAttribute('role', 'tabpanel');
      face.node.tabIndex = -1;
      face.node.setAttribute('aria-labelledby', `tab-${name}`);
      this.tabs.append(face.tab);
    }
    this.tabs.addEventListener('keydown', (event) => this.key(event));
    this.body = make(
      'div',
      { class: 'slip-body' },
      this.unkept.node,
      Object.values(this.faces).map((face) => face.node),
    );
    const turn = (by, name, words) =>
      button(
        {
          class: 'quiet',
          'aria-label': words,
          title: `${words} (${keyName(by > 0 ? 'n' : 'Shift+n')})`,
          onclick: () => book.nextMark(by),
        },
        icon(name),
      );
    this.turns = make(
      'div',
      { class: 'mark-turn' },
      turn(-1, 'before', phrase('mark-before')),
      turn(1, 'next', phrase('mark-next')),
    );
    fill(
      this.node,
      make('h2', { class: 'unseen' }, phrase('slip')),
      this.handle,
      make('div', { class: 'slip-top' }, this.tabs, this.turns),
      this.body,
    );
    this.turn('marks');
  }

  turn(name) {
    this.name = name;
    for (const [other, face] of Object.entries(this.faces)) {
      face.node.hidden = other !== name;
      face.tab.setAttribute('aria-selected', String(other === name));
      face.tab.tabIndex = other === name ? 0 : -1;
    }
    this.body.scrollTop = 0;
    this.showTurns();
  }

  showTurns() {
    const isWanted = this.name === 'marks' && book.photo?.marks.length > 0;
    this.turns.style.visibility = isWanted ? '' : 'hidden'; // its place stays
  }

  /** The face that lies on top already, touched again: back to the list of marks. */
  touch(name) {
    if (name === 'marks' && this.name === name) book.select(null);
    this.turn(name);
  }

  key(event) {
    const names = Object.keys(this.faces);
    const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!by) return;
    const name = names[(names.indexOf(this.name) + by + names.length) % names.length];
    this.turn(name);
    this.faces[name].tab.focus();
    event.preventDefault();
  }

  get isUp() {
    return document.documentElement.dataset.slip === 'open';
  }

  slide(up = !this.isUp) {
    document.documentElement.dataset.slip = up ? 'open' : 'shut';
    this.showHandle();
  }

  /** What the slip is about, while it lies below: [words, size] */
  handleWords() {
    const { draft, scaleDraft, photo } = book;
    const mark = book.peekMark();
    if (draft) return [phrase('drawing'), draft.shown ?? ''];
    if (scaleDraft) return [NAMES.scale, scaleDraft.scale_shown ?? ''];
    if (chosen.ids.size > 1) return [phrase('words-of', { n: chosen.ids.size }), ''];
    if (mark) return [`${mark.number ?? mark.id} ${nameOfMark(mark)}`, mark.shown ?? ''];
    return [photo ? phrase('marks', { n: photo.marks.length }) : phrase('slip'), ''];
  }

  showHandle() {
    this.handle.setAttribute('aria-expanded', String(this.isUp));
    const words = this.handleWords();
    fill(
      this.handle,
      icon(this.isUp ? 'down' : 'up'),
      make('span', { class: 'name' }, words[0]),
      make('strong', { class: 'figures' }, words[1]),
    );
  }

  showDraft() {
    const { draft } = book;
    this.draft.hidden = !draft || Boolean(draft.mark);
    this.list.none.hidden = !this.draft.hidden || book.photo.marks.length > 0;
    if (this.draft.hidden) return;
    fill(
      this.draft,
      make('h3', {}, OWN[draft.kind]?.name ?? phrase(`new-${draft.kind}`)),
      OWN[draft.kind] ? null : sizeWords({ words: {}, kind: draft.kind }, draft),
    );
  }

  showScale() {
    this.turn('photo');
    this.photo.scale.draft.scrollIntoView({ block: 'nearest' });
  }

  /** What changes under the pen, and no more: this comes with every movement. */
  follow() {
    if (!book.photo) return;
    this.words.showSize();
    this.showDraft();
    this.showHandle();
  }

  show() {
    if (!book.photo) return;
    const wasIn = this.body.contains(document.activeElement);
    this.showTurns();
    this.words.show();
    this.list.show();
    this.photo.show();
    this.showDraft();
    this.showHandle();
    if (wasIn) this.keepFocus();
  }

  /** What had the focus may be gone, with its mark or behind another face: then the face has it. */
  keepFocus() {
    const { activeElement } = document;
    if (this.body.contains(activeElement) && activeElement.offsetParent !== null) return;
    const next = this.name === 'marks' && book.mark === null ? this.list.first() : this.faces[this.name].node;
    next?.focus({ preventScroll: true });
  }
}

export function joinSlip() {
  const slip = new Slip(find('#slip'));
  const show = () => slip.show();
  for (const name of ['photo', 'volume', 'other']) book.addEventListener(name, show);
  book.addEventListener('draft', () => slip.follow());
  book.addEventListener('volume', () => slip.owed.show());
  chosen.addEventListener('change', () => slip.showHandle());
  let shown = null;
  book.addEventListener('mark', () => {
    if (book.mark !== null && book.mark !== shown) slip.turn('marks');
    shown = book.mark;
    slip.show();
  });
  book.addEventListener('asking', ({ detail }) => {
    slip.turn('marks');
    slip.slide(true);
    slip.words.deleting.ask(detail);
  });
  book.addEventListener('tool', () => {
    if (ownOf(book.tool)) slip.slide(false); // begun on the slip, drawn on the photograph
  });
  let isScaling = false;
  book.addEventListener('scale-draft', () => {
    if (book.scaleDraft && !isScaling) slip.showScale();
    isScaling = book.scaleDraft !== null;
    slip.showHandle();
  });
  return slip;
}
