// A leaf laid on the bench in place of the photographs: help, framing, a plate, two versions to
// merge. It never covers what is being looked at and never shuts anything else off; Escape or its
// button puts it away and gives the focus back.

import { button, fill, find, make } from './make.js';
import { phrase } from './phrases.js';

let close = null;
let before = null;
let back = null;

export function closeLeaf() {
  const leaf = find('#leaf');
  if (leaf.hidden) return;
  leaf.hidden = true;
  fill(leaf);
  const after = close;
  close = null;
  before?.focus?.();
  before = null;
  after?.();
}

/** On a narrow screen the menu gives its room to the leaf. */
function shutMenu() {
  const more = find('[data-do="more"]');
  if (more.getAttribute('aria-expanded') !== 'true') return;
  if (find('#line-acts').contains(before)) before = more;
  more.click();
}

/** Shows a leaf. `name`: which one it is, for its looks; `content`: nodes; `onclose`: when it is put away;
 * `to`: [where one goes back to, and how] where that is not the bench. */
export function openLeaf({ name, title, content, acts = [], onclose = null, to = [phrase('back-to-bench'), closeLeaf] }) {
  const leaf = find('#leaf');
  if (leaf.hidden) before = document.activeElement;
  shutMenu();
  const away = button({ class: 'strong', onclick: () => back() }, phrase('back'), make('span', { class: 'beyond' }, ` ${to[0]}`));
  [, back] = to;
  leaf.dataset.leaf = name;
  leaf.setAttribute('aria-labelledby', 'leaf-title');
  fill(
    leaf,
    make(
      'header',
      { class: 'leaf-head' },
      make('h2', { id: 'leaf-title' }, title),
      acts.length > 0 ? make('div', { class: 'leaf-acts' }, acts) : null,
      away,
    ),
    make(
      'div',
      { class: 'leaf-body', tabIndex: 0, role: 'group', 'aria-labelledby': 'leaf-title' },
      ...content,
    ),
  );
  leaf.hidden = false;
  close = onclose;
  leaf.focus();
}

export const leafIsOpen = (name) => !find('#leaf').hidden && find('#leaf').dataset.leaf === name;

export function joinLeaf() {
  find('#leaf').addEventListener('keydown', (event) => {
    if (event.key !== 'Escape' || event.defaultPrevented) return;
    event.stopPropagation();
    back();
  });
}
