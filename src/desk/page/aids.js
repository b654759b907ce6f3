// What stands under the photograph while one works on it: what is to be done next, the size as it
// comes, buttons for what can be done at this moment, and for looking closer. Whatever a key or two
// fingers do on the photograph has a button here.
import { book } from './book.js';
import { fill, find, make } from './make.js';

const NOTICE_MS = 6000;

/** For the help sheet: what keys do while a photograph has the focus. */
export const sheetKeys = [
  { keys: ['arrows'], does: 'move the cross hairs; with Shift in long steps, with Ctrl the photograph itself' },
  { keys: ['Enter', 'Space'], does: 'set a point; take one up and put it down; choose a mark. Without cross hairs: end what is begun, keep the outline proposed' },
  { keys: ['c'], says: 'c, or Enter twice', does: 'close an area, end a line' },
  { keys: ['Backspace'], does: 'take the last point back' },
  { keys: ['Escape'], does: 'put away what is being drawn, undo brings it back; choose nothing' },
  { keys: ['k'], says: 'k, Shift+k', does: 'next and previous point of what is drawn or chosen' },
  { keys: ['Delete'], does: 'delete the point taken, else the chosen mark' },
  { keys: ['m'], does: 'move the chosen mark' },
  { keys: ['o'], does: 'a hole in the chosen area' },
  { keys: ['b'], does: 'freehand, or corner by corner' },
  { keys: ['+', '-'], does: 'nearer, further; while following an edge: more likeness, less likeness' },
  { keys: ['0', '1'], does: 'the whole photograph; full size' },
  { keys: ['Shift'], does: 'held down while dragging: push the photograph about, whatever tool is in hand' },
  { keys: ['Alt'], does: 'held down: no snapping to points that are there' },
];

function button({ name, label, key, on, run }) {
  return make('button', { type: 'button', class: 'quiet', 'data-aid': name, onclick: run,
    title: key ? `${label} (${key})` : label, 'aria-pressed': on === undefined ? null : String(on) }, label);
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
    { name: 'whole', label: 'Whole', key: '0', run: () => bench.fit() },
  ];
  const switches = [
    { name: 'snap', label: 'Snap', on: () => bench.isSnapping, run: () => { bench.isSnapping = !bench.isSnapping; } },
    { name: 'lens', label: 'Lens', on: () => bench.lens.isOn, run: () => bench.magnifier() },
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
    node.querySelector('[data-aid="nearer"]').setAttribute('aria-label', 'nearer');
    node.querySelector('[data-aid="further"]').setAttribute('aria-label', 'further');
    if (focused) (node.querySelector(`[data-aid="${focused}"]`) ?? bench.large.element).focus();
  };
  book.addEventListener('actions', show);
  show();
}

export function joinAids(bench) {
  new Says(find('#tool-says'));
  joinActions(find('#tool-more'), bench);
}
