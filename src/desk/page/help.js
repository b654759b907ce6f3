// The help sheet: what one does here in a few lines, and the keys, from the one table.

import { KEYS, keyWords } from './keys.js';
import { closeLeaf, leafIsOpen, openLeaf } from './leaf.js';
import { make } from './make.js';
import { set, settings } from './settings.js';

const FIRST = [
  [
    'Look',
    'Two fingers, the wheel, or + and \u2212 bring you nearer. One finger or the Look tool moves the photograph.',
  ],
  [
    'Draw',
    'Take Area and touch corner after corner round the damage; touch the first corner again to close it. Or take Freehand and draw round it in one stroke. Line and Point are as simple.',
  ],
  [
    'Follow an edge',
    'Take Edge and touch inside a stain or a loss: an outline is proposed. Drag anywhere to change the likeness, by which colours belong to it: away from the touch takes in more, back takes in less. Then keep it.',
  ],
  [
    'Name',
    'Type a few letters of the term. What you are not sure of may stay undecided; it is listed until somebody decides.',
  ],
  [
    'Scale',
    'Where a card lies in the picture there is nothing to do. Else take Scale and drag the corners of something whose size you know.',
  ],
  [
    'Saved',
    'Every stroke and word is saved at once, in the text beside the photograph. The line on top says so. Undo goes back without end, also tomorrow.',
  ],
];

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
  return make('label', { class: 'tick' }, input, make('span', {}, 'single letters are keys'));
}

export function toggleHelp() {
  if (leafIsOpen('help')) return closeLeaf();
  return openLeaf({
    name: 'help',
    title: 'How to mark a photograph',
    content: [
      make(
        'dl',
        { class: 'first' },
        FIRST.map(([name, says]) => make('div', {}, make('dt', {}, name), make('dd', {}, says))),
      ),
      lettersSwitch(),
      make('div', { class: 'key-sheet' }, KEYS.map(keysTable)),
    ],
  });
}
