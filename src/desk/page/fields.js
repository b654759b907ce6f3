// The fields of a slip. Each has `node`, `show(value, owner)` and `focus()`: what it shows belongs to
// an owner (a mark's id, a photograph's), and `set(value, owner)` is told the owner that was shown
// when the hand wrote, even where another has been laid on top since. An empty field gives null.

import { freshId, make } from './make.js';
import { figure, typed } from './phrases.js';

const PAUSE_MS = 1_000; // of a hand that writes: then it is saved without leaving the field

/** A field's frame: its label on the left, what is filled in on the right. */
function row(label, id, ...inside) {
  return make('div', { class: 'field' }, make('label', { class: 'label', for: id }, label), ...inside);
}

const asItIs = (text) => text;

/** Text, a number (`unit` beside it) or longer prose (`long`). `figures`: numbers in it stand in the language's manner. */
export function textField({ label, set, long = false, unit = null, mode = 'text', figures = mode === 'decimal', help = null }) {
  const [inWords, ofHand] = figures ? [figure, typed] : [asItIs, asItIs];
  const id = freshId('field');
  const helpNode = help ? make('p', { class: 'help', id: `${id}-help` }, help) : null;
  const input = make(long ? 'textarea' : 'input', {
    id,
    autocomplete: 'off',
    inputMode: mode,
    'aria-describedby': helpNode?.id ?? null,
    ...(long ? { rows: 1 } : { type: 'text' }),
  });
  const unitNode = unit ? make('span', { class: 'figures soft' }, unit) : null;
  const inside = unit ? make('div', { class: 'with-unit' }, input, unitNode) : input;
  let shown = { value: null, owner: null };
  let timer = 0;
  let said; // last, of the same owner; undefined: nothing
  const commit = () => {
    clearTimeout(timer);
    const value = ofHand(input.value.trim()) || null;
    if (value === shown.value) return;
    shown = { ...shown, value };
    said = value;
    set(value, shown.owner);
  };
  /** What stands is written again where something else was said and did not come to stand: so it is meant. */
  const confirm = () => {
    if (said === undefined || said === shown.value || !shown.value || ofHand(input.value.trim()) !== shown.value) return;
    said = shown.value;
    set(said, shown.owner);
  };
  // Where the browser does not know `field-sizing`.
  const grow = () => {
    if (!long || CSS.supports('field-sizing', 'content')) return;
    input.style.height = 'auto';
    input.style.height = `${input.scrollHeight + input.offsetHeight - input.clientHeight}px`;
  };
  input.addEventListener('focus', grow);
  input.addEventListener('focus', () => input.scrollIntoView({ block: 'nearest' })); // a browser shows its caret alone
  input.addEventListener('change', commit);
  input.addEventListener('input', () => {
    grow();
    confirm();
    clearTimeout(timer);
    timer = setTimeout(commit, PAUSE_MS);
  });
  return {
    node: row(label, id, inside, helpNode),
    input,
    show(value, owner) {
      const isWriting = owner === shown.owner && document.activeElement === input;
      if (isWriting && ofHand(input.value.trim()) !== (shown.value ?? '')) return;
      if (owner !== shown.owner) {
        commit();
        said = undefined;
      }
      clearTimeout(timer);
      const text = inWords(value ?? '');
      const isThere = input.value.trim() === text || (isWriting && ofHand(input.value.trim()) === value);
      if (!isThere) input.value = text;
      if (unitNode) unitNode.hidden = Boolean(value) && Number.isNaN(Number(value)); // words have no unit
      shown = { value: value ?? null, owner };
      requestAnimationFrame(grow); // when it is laid out
    },
    focus: () => input.focus(),
  };
}

/** One of a few words, with a ring round it; touched again it is taken back (`loose`). */
export function choiceField({ label, choices, set, loose = true }) {
  const name = freshId('choice');
  let owner = null;
  let chosen = null;
  const pick = (value) => {
    chosen = value;
    set(value, owner);
  };
  const inputs = choices.map(([value]) =>
    make('input', { type: 'radio', name, value, onchange: () => pick(value) }),
  );
  const unpick = (input) => {
    input.checked = false;
    pick(null);
  };
  for (const input of inputs) {
    // A click on the word that is chosen comes without `change`: that is how it is taken back.
    input.addEventListener('click', () => {
      if (loose && input.value === chosen && input.dataset.was === chosen) unpick(input);
    });
    input.addEventListener('pointerdown', () => {
      input.dataset.was = chosen ?? '';
    });
    input.addEventListener('keydown', (event) => {
      delete input.dataset.was;
      if (loose && (event.key === 'Delete' || event.key === 'Backspace')) unpick(input);
    });
  }
  const node = make(
    'div',
    { class: 'field', role: 'radiogroup', 'aria-label': label },
    make('span', { class: 'label', 'aria-hidden': 'true' }, label),
    make(
      'div',
      { class: 'words' },
      choices.map(([, words], i) => make('label', { class: 'word' }, inputs[i], make('span', {}, words))),
    ),
  );
  return {
    node,
    show(value, now) {
      owner = now;
      chosen = value ?? null;
      for (const input of inputs) input.checked = input.value === chosen;
    },
    focus: () => (inputs.find((input) => input.checked) ?? inputs[0]).focus(),
  };
}

/** Yes or no. `why`: told beside it where it cannot be ticked. */
export function tickField({ label, set }) {
  const why = make('span', { class: 'help', id: freshId('why') });
  const input = make('input', {
    type: 'checkbox',
    'aria-describedby': why.id,
    onchange: () => set(input.checked ? 'yes' : null, owner),
  });
  let owner = null;
  return {
    node: make(
      'div',
      { class: 'ticked' },
      make('label', { class: 'tick' }, input, make('span', {}, label)),
      why,
    ),
    show(value, now, refused = '') {
      owner = now;
      input.checked = value === 'yes' || value === 'true';
      input.disabled = refused !== '' && !input.checked;
      why.textContent = refused;
    },
  };
}

/** One of a list that is too long to stand open. */
export function selectField({ label, choices, set, help = null }) {
  const id = freshId('select');
  const helpNode = help ? make('p', { class: 'help', id: `${id}-help` }, help) : null;
  const select = make('select', { id, 'aria-describedby': helpNode?.id ?? null, onchange: () => set(select.value || null, owner) });
  let owner = null;
  const offer = (list) =>
    select.replaceChildren(...list.map(([value, words]) => make('option', { value: value ?? '' }, words)));
  offer(choices);
  return {
    node: row(label, id, select, helpNode),
    offer,
    show(value, now) {
      owner = now;
      if (value && ![...select.options].some((option) => option.value === value))
        select.append(make('option', { value }, value));
      select.value = value ?? '';
    },
    focus: () => select.focus(),
  };
}
