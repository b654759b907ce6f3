// A button that has the server do something, one run at a time, and says beside it what came of it or
// why nothing did; and the one by which new photographs are taken in.

import { book } from './book.js';
import { button, fill, make } from './make.js';
import { phrase } from './phrases.js';
import { Gone, post } from './wire.js';

/** `said`: where the outcome is told; `work`: gives nodes or words for it. */
export function actButton(words, said, work) {
  const node = button({}, words);
  let isBusy = false; // not `disabled`: that would take the focus away
  node.addEventListener('click', async () => {
    if (isBusy) return;
    isBusy = true;
    fill(said, make('p', {}, phrase('moment')));
    try {
      fill(said, await work());
    } catch (error) {
      fill(said, make('p', {}, error instanceof Gone ? error.message : phrase('did-not-work', { why: error.message })));
    }
    isBusy = false;
  });
  return node;
}

async function takeIn() {
  const { new: n, says } = await post('/intake', {});
  await book.refresh();
  return [
    make('p', {}, n > 0 ? phrase('taken-in', { n }) : phrase('taken-in-none')),
    ...(says ?? []).map((line) => make('p', { class: 'soft' }, line)),
  ];
}

export function intakeButton(said) {
  return actButton(phrase('intake'), said, takeIn);
}
