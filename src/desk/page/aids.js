// What stands under the photograph while one works on it: what is to be done next, the size as it
// comes, buttons for what can be done at this moment, and for looking closer. Whatever a key or two
// fingers do on the photograph has a button here.
import { book } from './book.js';
import { fill, find, make } from './make.js';
import { keyName, phrase } from './phrases.js';

const NOTICE_MS = 6000;

/** For the help sheet: what keys do while a photograph has the focus. */
export const sheetKeys = [
  { keys: ['arrows'], does: phrase('does-arrows') },
  { keys: ['Enter', 'Space'], does: phrase('does-set') },
  { keys: ['c'], says: phrase('keys-close'), does: phrase('does-close') },
  { keys: ['Backspace'], does: phrase('does-take-back') },
  { keys: ['Escape'], does: phrase('does-escape') },
  { keys: ['k'], says: `k, ${keyName('Shift+k')}`, does: phrase('does-points') },
  { keys: ['Delete'], does: phrase('does-delete-point') },
  { keys: ['m'], does: phrase('does-move') },
  { keys: ['o'], does: phrase('does-hole') },
  { keys: ['b'], does: phrase('does-freehand') },
  { keys: ['+', '-'], does: phrase('does-nearer') },
  { keys: ['0', '1'], does: phrase('does-whole') },
  { keys: ['Shift'], does: phrase('does-shift') },
  { keys: ['Alt'], does: phrase('does-alt') },
];

function button({ name, label, key, on, run }) {
  return make('button', { type: 'button', class: 'quiet', 'data-aid': name, onclick: run,
    title: key ? `${label} (${keyName(key)})` : label, 'aria-pressed': on === undefined ? null : String(on) }, label);
}

/** The newest notice for a while; else the size of what is drawn, and what to do next. */
class Says {
  constructor(node) {
    this.node = node;
    this.text = null;
    book.addEventListener('notice', ({ detail }) => this.notice(detail.text));
    book.addEventListener('draft', () => { if (book.draft) this.text = null; });
    book.addEventListener('tool', () => { this.text = null; });
    for (const name of ['draft', 'actions', 'tool', 'photo']) book.addEventListener(name, () => this.show());
  }

  notice(text) {
    this.text = text;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => { this.text = null; this.show(); }, NOTICE_MS);
    this.show();
  }

  show() {
    const { draft } = book;
    const size = draft && !draft.isDoubted ? draft.shown ?? draft.why ?? '' : ''; // it stands on the slip as well
    const text = this.text ?? [size, book.toolSays].filter(Boolean).join('; ');
    if (this.node.textContent !== text) this.node.textContent = text;
  }
}

/** Buttons that stay where they are while what they say is the same: a press is never lost. */
function joinActions(node, bench) {
  const looks = [
    { name: 'nearer', label: '+', key: '+', run: () => bench.zoom(1) },
    { name: 'further', label: '\u2212', key: '-', run: () => bench.zoom(-1) },
    { name: 'whole', label: phrase('whole'), key: '0', run: () => bench.fit() },
  ];
  const switches = [
    { name: 'snap', label: phrase('snap'), on: () => bench.isSnapping, run: () => { bench.isSnapping = !bench.isSnapping; } },
    { name: 'lens', label: phrase('lens'), on: () => bench.lens.isOn, run: () => bench.magnifier() },
  ];
  const forFingers = () => (matchMedia('(any-pointer: coarse)').matches
    ? switches.map(({ name, label, on, run }) => ({ name, label, on: on(), run: () => { run(); show(); } })) : []);
  let shown = '';
  const show = () => {
    const all = [...book.actions ?? [], ...forFingers(), ...looks];
    const state = JSON.stringify(all.map(({ name, label, on }) => [name, label, on]));
    if (state === shown) return;
    shown = state;
    const focused = node.contains(document.activeElement) ? document.activeElement.dataset.aid : null;
    fill(node, all.map(button));
    node.querySelector('[data-aid="nearer"]').setAttribute('aria-label', phrase('nearer'));
    node.querySelector('[data-aid="further"]').setAttribute('aria-label', phrase('further'));
    if (focused) (node.querySelector(`[data-aid="${focused}"]`) ?? bench.large.element).focus();
  };
  book.addEventListener('actions', show);
  show();
}

export function joinAids(bench) {
  new Says(find('#tool-says'));
  joinActions(find('#tool-more'), bench);
}
