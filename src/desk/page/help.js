// The help sheet: what one does here in a few lines, and the keys, from the one table.

import { KEYS, keyWords } from './keys.js';
import { closeLeaf, leafIsOpen, openLeaf } from './leaf.js';
import { make } from './make.js';
import { phrase } from './phrases.js';
import { set, settings } from './settings.js';

const FIRST = ['look', 'draw', 'edge', 'name', 'scale', 'saved'];

function keysTable({ title, rows }) {
  return make(
    'section',
    {},
    make('h3', {}, title),
    make(
      'dl',
      { class: 'keys' },
      rows.map((row) => make('div', {}, make('dt', {}, keyWords(row)), make('dd', {}, row.does))),
    ),
  );
}

function lettersSwitch() {
  const input = make('input', {
    type: 'checkbox',
    checked: settings.letters === 'on',
    onchange: () => set('letters', input.checked ? 'on' : 'off'),
  });
  return make('label', { class: 'tick' }, input, make('span', {}, phrase('help-letters')));
}

export function toggleHelp() {
  if (leafIsOpen('help')) return closeLeaf();
  return openLeaf({
    name: 'help',
    title: phrase('help-title'),
    content: [
      make(
        'dl',
        { class: 'first' },
        FIRST.map((name) => make('div', {}, make('dt', {}, phrase(`help-${name}`)), make('dd', {}, phrase(`help-${name}-says`)))),
      ),
      lettersSwitch(),
      make('div', { class: 'key-sheet' }, KEYS.map(keysTable)),
    ],
  });
}
