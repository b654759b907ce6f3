// A field of the leaf "The volume", by its kind in volume-forms.js.

import { choiceField, textField } from './fields.js';
import { freshId, make } from './make.js';

const IS_DATE = /^\d{4}-\d{2}-\d{2}$/;

/** A day. What the record says that is none is shown as it stands, to be mended. */
function dateField({ label, set }) {
  const id = freshId('date');
  let shown = { value: null, owner: null };
  const input = make('input', { id, type: 'date' });
  const commit = () => {
    const value = input.value.trim() || null;
    if (value === shown.value) return;
    shown = { ...shown, value };
    set(value, shown.owner);
  };
  input.addEventListener('change', () => {
    if (document.activeElement !== input) commit(); // by keys a day comes number by number
  });
  input.addEventListener('blur', commit);
  input.addEventListener('keydown', (event) => { if (event.key === 'Enter') commit(); });
  return {
    node: make('div', { class: 'field' }, make('label', { class: 'label', for: id }, label), input),
    show(value, owner) {
      if (owner === shown.owner && document.activeElement === input && input.value !== (shown.value ?? '')) return;
      input.type = !value || IS_DATE.test(value) ? 'date' : 'text';
      if (input.value !== (value ?? '')) input.value = value ?? '';
      shown = { value: value ?? null, owner };
    },
    focus: () => input.focus(),
  };
}

/** Several texts, one a line. */
function textsField({ label, set, help }) {
  const lines = (text) => text.split('\n').map((line) => line.trim()).filter(Boolean);
  const field = textField({
    label,
    long: true,
    help,
    set: (text, owner) => set(text === null ? null : lines(text), owner),
  });
  field.input.classList.add('several');
  return { ...field, show: (value, owner) => field.show([value ?? []].flat().join('\n') || null, owner) };
}

const PLAIN = { text: {}, photo: {}, long: { long: true }, number: { mode: 'decimal' } };

/** `set(value, owner)`: as of every field. */
export function fieldOf({ label, kind, unit, help }, set) {
  if (Array.isArray(kind)) return choiceField({ label, choices: kind, set });
  if (kind === 'date') return dateField({ label, set });
  if (kind === 'texts') return textsField({ label, set, help });
  return textField({ label, unit, help, set, ...PLAIN[kind] });
}
