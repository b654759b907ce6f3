// Two versions of one photograph's record: what was written here and what somebody else wrote
// meanwhile, mark by mark and word by word. What only one side touched is chosen already. Until the
// choice is saved, what was written here waits in the browser's storage: nothing is lost by closing.

import { book } from './book.js';
import { choices, editsOf } from './choices.js';
import { closeLeaf, leafIsOpen, openLeaf } from './leaf.js';
import { fill, find, freshId, make } from './make.js';
import { outlinePicture } from './outline.js';
import { nameOfMark, nameOfPhoto } from './tell.js';

const NAMES = { outline: 'outline', line: 'line', point: 'point', holes: 'holes', basis: 'known by', severity: 'how much',
  'privacy-checked': 'looked through', 'scale/plane-offset': 'level', 'photo/source': 'taken by' };
const DRAWN = new Set(['outline', 'line', 'point', 'holes']);
const SIDES = { mine: 'here', theirs: 'elsewhere', both: 'keep both, as two marks' };

/** The two states as they are now; more may have been drawn since the quarrel began. */
function statesOf(id) {
  const { base, stale } = book.queue.waiting.get(id);
  return { base, mine: book.queue.shown(base), theirs: stale };
}

function valueNode(photo, { mark, key }, value) {
  if (key === null) return make('span', {}, value ? nameOfMark(value) : 'deleted');
  if (value === null || value === undefined) return make('span', { class: 'soft' }, 'nothing');
  if (DRAWN.has(key)) return outlinePicture([value].flat(), key, photo);
  return make('span', {}, mark === undefined && key === 'ties' ? `${value.length} ties` : [value].flat().join(', '));
}

class Merge {
  constructor(id) {
    this.id = id;
    this.picked = new Map(); // a choice's name -> side
    this.body = make('div', { class: 'merge-body' });
    this.save = make('button', { type: 'button', class: 'strong', onclick: () => this.finish() }, 'Save this choice');
    this.open = make('p', { role: 'status' });
  }

  side(choice, name) {
    const input = make('input', { type: 'radio', name: choice.field, value: name, checked: this.pickOf(choice) === name,
      onchange: () => { this.picked.set(choice.name, name); this.count(); } });
    const value = name === 'both' ? null : valueNode(this.states.theirs, choice, choice[name]);
    return make('label', { class: 'version' }, make('span', { class: 'whose' }, input, SIDES[name]), value);
  }

  pickOf(choice) { return this.picked.get(choice.name) ?? choice.chosen; }

  row(choice) {
    choice.field = freshId('merge');
    const sides = choice.canBoth ? ['mine', 'theirs', 'both'] : ['mine', 'theirs'];
    const words = choice.key === null ? 'the mark' : NAMES[choice.key] ?? choice.key.replace('scale/', 'scale: ').replaceAll('/', ' ');
    return make('fieldset', { class: `merge-row${choice.chosen ? '' : ' asks'}` }, make('legend', {}, words, choice.chosen ? null : make('em', {}, ' both changed it: choose')),
      make('div', { class: 'versions' }, sides.map((side) => this.side(choice, side))));
  }

  build() {
    this.states = statesOf(this.id);
    this.choices = choices(this.states.base, this.states.mine, this.states.theirs);
    const groups = groupByMark(this.choices);
    fill(this.body, [...groups].map(([mark, list]) => make('section', {}, make('h3', {}, this.title(mark)), list.map((choice) => this.row(choice)))));
    this.count();
  }

  title(id) {
    if (id === null) return 'The photograph\u2019s own words';
    const mark = [this.states.mine, this.states.theirs].flatMap((photo) => photo.marks).find((one) => one.id === id);
    return `Mark ${id}${mark ? `: ${nameOfMark(mark)}` : ''}`;
  }

  count() {
    const n = this.choices.filter((choice) => !this.pickOf(choice)).length;
    this.save.disabled = n > 0;
    this.open.textContent = n > 0 ? `${n} still to choose` : 'All is chosen';
  }

  async finish() {
    const { base, mine, theirs } = statesOf(this.id);
    const edits = editsOf(choices(base, mine, theirs), (choice) => this.pickOf(choice) ?? 'mine', mine, theirs);
    await book.resolve(this.id, edits);
    dropAlert(this.id);
    closeLeaf();
    book.say('The choice is saved.');
  }

  show() {
    this.build();
    openLeaf({ name: 'merge', title: `Two versions: ${nameOfPhoto(this.states.theirs)}`, acts: [this.open, this.save], content: [
      make('p', { class: 'soft' }, 'Somebody else, or another window, has written to this record meanwhile. Both versions are safe; choose what is to stand. What only one of you touched is chosen already.'),
      this.body ] });
  }
}

function groupByMark(list) {
  const groups = new Map();
  for (const choice of list) groups.set(choice.mark ?? null, [...(groups.get(choice.mark ?? null) ?? []), choice]);
  return groups;
}

const alerts = new Map(); // a photograph's ID -> its band

function dropAlert(id) {
  alerts.get(id)?.remove();
  alerts.delete(id);
}

function alertOf({ id, theirs }) {
  const look = make('button', { type: 'button', onclick: () => new Merge(id).show() }, 'See both and choose');
  return make('div', { class: 'refused', role: 'alert' }, make('strong', {}, 'Not saved.'),
    make('span', {}, `${nameOfPhoto(theirs)} was changed elsewhere meanwhile. Your version waits in this browser.`), look);
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
