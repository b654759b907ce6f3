// One table of keys: from it keys act, buttons say which key is theirs, and the help sheet is made.
// What keys do while a photograph has the focus is the drawing hand's own table (aids.js).

import { sheetKeys } from './aids.js';
import { book } from './book.js';
import { hands } from './hands.js';
import { deleteMark } from './linking.js';
import { find, make } from './make.js';
import { keyName, phrase } from './phrases.js';
import { settings } from './settings.js';

const tool = (key, name) => ({
  keys: [key],
  does: phrase(`does-${name}`),
  button: `#tools [data-tool="${name}"]`,
  run: () => book.setTool(name),
});
const act = (keys, name) => ({
  keys,
  does: phrase(`does-${name}`),
  button: `[data-do="${name}"]`,
  run: () => find(`[data-do="${name}"]`)?.click(),
});
const leaf = (keys, name) => ({ ...act(keys, name), isOfLeaf: true });
const withMark = (run) => () => {
  const mark = book.peekMark();
  if (mark && !book.draft) run(mark);
};

/** Places that F6 walks through, in turn. */
const PLACES = ['#tools button[aria-pressed="true"]', '#large', '#slip', '#row [aria-current="true"]'];

function walk(by) {
  const nodes = PLACES.map((place) => find(place)).filter((node) => node && node.offsetParent !== null);
  const at = nodes.findIndex(
    (node) =>
      node === document.activeElement ||
      node.contains(document.activeElement) ||
      node.closest('#tools, #row')?.contains(document.activeElement),
  );
  nodes[(at + by + nodes.length) % nodes.length]?.focus();
}

/** Filled in by main.js: ways to the slip's faces. */
export const ways = { mark: () => {}, photo: () => {}, owed: () => {} };

export const KEYS = [
  {
    title: phrase('keys-tools'),
    rows: [
      tool('h', 'hand'),
      tool('a', 'area'),
      tool('l', 'line'),
      tool('p', 'point'),
      tool('e', 'edge'),
      tool('s', 'scale'),
      tool('t', 'ties'),
      act(['u', 'Ctrl+z'], 'undo'),
      act(['r', 'Ctrl+y', 'Ctrl+Z'], 'redo'),
    ],
  },
  {
    title: phrase('keys-going'),
    rows: [
      { keys: ['n'], does: phrase('does-next-mark'), run: () => book.nextMark(1) },
      { keys: ['N'], says: keyName('Shift+n'), does: phrase('does-previous-mark'), run: () => book.nextMark(-1) },
      act(['PageDown', ']'], 'next'),
      act(['PageUp', '['], 'previous'),
      act(['x'], 'swap'),
      { keys: ['F6'], does: phrase('does-on'), run: () => walk(1) },
      { keys: ['Shift+F6'], does: phrase('does-back'), run: () => walk(-1) },
    ],
  },
  {
    title: phrase('keys-words'),
    rows: [
      { keys: ['w'], does: phrase('does-mark-words'), run: () => ways.mark() },
      { keys: ['g'], does: phrase('does-photo-words'), run: () => ways.photo() },
      { keys: ['d'], does: phrase('does-owed'), run: () => ways.owed() },
      { keys: ['c'], does: phrase('does-copy'), run: withMark(() => hands.bench.copyMark()) },
      { keys: ['Delete'], does: phrase('does-delete'), run: withMark(deleteMark) },
    ],
  },
  {
    title: phrase('keys-leaves'),
    rows: [
      leaf(['f'], 'framing'),
      leaf(['v'], 'plate'),
      leaf(['b'], 'volume'),
      leaf(['i'], 'documents'),
      leaf(['?', 'F1'], 'help'),
      { keys: ['Escape'], does: phrase('does-away') },
    ],
  },
  { title: phrase('keys-photograph'), rows: sheetKeys },
];

const isLetter = (key) => key.length === 1;

/** A key as the table writes it. */
function written(event) {
  const ctrl = event.ctrlKey || event.metaKey ? 'Ctrl+' : '';
  const shift = event.shiftKey && !isLetter(event.key) ? 'Shift+' : '';
  return ctrl + shift + event.key;
}

/** Where letters are letters, and Enter and Space belong to what has the focus; F6 leads out of everywhere. */
function isBusy(target, key) {
  if (/F\d+$/.test(key)) return false;
  if (target.closest('textarea, select, input:not([type="radio"], [type="checkbox"])')) return true;
  return (
    (key === 'Enter' || key === 'Delete') &&
    target.closest('button, a, summary, input, [role="listbox"]') !== null
  );
}

function rowOf(key) {
  return KEYS.flatMap(({ rows }) => rows).find((row) => row.run && row.keys.includes(key));
}

/** Behind a leaf lies the bench: no key does there what nobody sees. F6 only leads on. */
const isOutOfSight = (row, key) => !find('#leaf').hidden && !row.isOfLeaf && !/F\d+$/.test(key);

function press(event) {
  if (event.defaultPrevented || event.altKey) return;
  const key = written(event);
  const row = rowOf(key);
  if (!row || isBusy(event.target, key) || isOutOfSight(row, key) || (isLetter(key) && settings.letters === 'off')) return;
  event.preventDefault();
  row.run();
}

export const keyWords = (row) =>
  row.says ?? row.keys.map((key) => keyName(key.replace('Ctrl+Z', 'Ctrl+Shift+z'))).reduce((a, b) => phrase('key-or', { a, b }));

function labelButton(button, row) {
  button.title = `${row.does} (${keyWords(row)})`;
  const keys = row.keys.map((key) => key.replace('Ctrl', 'Control'));
  button.setAttribute('aria-keyshortcuts', keys.join(' '));
  if (!find('kbd', button)) button.append(make('kbd', { 'aria-hidden': 'true' }, keyName(row.keys[0])));
}

/** Every button that has a key says so: to the eye when it is pointed at, and to those who listen. */
export function labelButtons() {
  for (const row of KEYS.flatMap(({ rows }) => rows))
    for (const button of row.button ? document.querySelectorAll(row.button) : []) labelButton(button, row);
}

export function joinKeys() {
  document.addEventListener('keydown', press);
  labelButtons();
}
