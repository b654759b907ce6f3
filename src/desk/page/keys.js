// One table of keys: from it keys act, buttons say which key is theirs, and the help sheet is made.
// What keys do while a photograph has the focus is the drawing hand's own table (aids.js).

import { sheetKeys } from './aids.js';
import { book } from './book.js';
import { hands } from './hands.js';
import { deleteMark } from './linking.js';
import { find, make } from './make.js';
import { settings } from './settings.js';

const tool = (key, name, does) => ({
  keys: [key],
  does,
  button: `#tools [data-tool="${name}"]`,
  run: () => book.setTool(name),
});
const act = (keys, name, does) => ({
  keys,
  does,
  button: `[data-do="${name}"]`,
  run: () => find(`[data-do="${name}"]`)?.click(),
});
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
    title: 'Tools',
    rows: [
      tool('h', 'hand', 'look about: move the photograph, choose a mark'),
      tool('a', 'area', 'draw an area'),
      tool('l', 'line', 'draw a line'),
      tool('p', 'point', 'set a point'),
      tool('e', 'edge', 'follow a colour edge'),
      tool('s', 'scale', 'set the scale'),
      tool('t', 'ties', 'tie before and after'),
      act(['u', 'Ctrl+z'], 'undo', 'undo'),
      act(['r', 'Ctrl+y', 'Ctrl+Z'], 'redo', 'do it again'),
    ],
  },
  {
    title: 'Going about',
    rows: [
      { keys: ['n'], does: 'next mark', run: () => book.nextMark(1) },
      { keys: ['N'], says: 'Shift+n', does: 'the mark before', run: () => book.nextMark(-1) },
      act(['PageDown', ']'], 'next', 'next photograph'),
      act(['PageUp', '['], 'previous', 'the photograph before'),
      act(['x'], 'swap', 'large and small change places'),
      { keys: ['F6'], does: 'on to the next part of the page', run: () => walk(1) },
      { keys: ['Shift+F6'], does: 'back to the part before', run: () => walk(-1) },
    ],
  },
  {
    title: 'Words',
    rows: [
      { keys: ['w'], does: 'words of the chosen mark', run: () => ways.mark() },
      { keys: ['g'], does: 'words of the photograph', run: () => ways.photo() },
      { keys: ['d'], does: 'what is still to do', run: () => ways.owed() },
      { keys: ['c'], does: 'copy the chosen mark', run: withMark(() => hands.bench.copyMark()) },
      { keys: ['Delete'], does: 'delete the chosen mark', run: withMark(deleteMark) },
    ],
  },
  {
    title: 'Leaves',
    rows: [
      act(['f'], 'framing', 'how the before picture was framed'),
      act(['v'], 'plate', 'the plate'),
      act(['b'], 'volume', 'the volume: all that no photograph says'),
      act(['?', 'F1'], 'help', 'this help'),
      { keys: ['Escape'], does: 'put the leaf away' },
    ],
  },
  { title: 'On the photograph', rows: sheetKeys },
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

function press(event) {
  if (event.defaultPrevented || event.altKey) return;
  const key = written(event);
  const row = rowOf(key);
  if (!row || isBusy(event.target, key) || (isLetter(key) && settings.letters === 'off')) return;
  event.preventDefault();
  row.run();
}

export const keyWords = (row) =>
  row.says ?? row.keys.map((key) => key.replace('Ctrl+Z', 'Ctrl+Shift+z')).join(' or ');

function labelButton(button, row) {
  button.title = `${row.does} (${keyWords(row)})`;
  const keys = row.keys.map((key) => key.replace('Ctrl', 'Control'));
  button.setAttribute('aria-keyshortcuts', keys.join(' '));
  if (!find('kbd', button)) button.append(make('kbd', { 'aria-hidden': 'true' }, row.keys[0]));
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
