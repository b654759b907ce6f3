// Edits of a photograph's record: what the server is sent, what is shown meanwhile, and the way
// back. An edit is {mark, key, value}: without `mark` a key of the photograph's own, without `key`
// the whole mark goes, a value of null takes the key away. Keys and texts are those of the sidecar.
// Everything here is pure: photographs go in and come out, none is changed.

const KIND_OF_KEY = { outline: 'area', line: 'line', point: 'point' };

/** area, line or point, by the key that its place stands under; null while it has none. */
export function kindOf(words) {
  for (const [key, kind] of Object.entries(KIND_OF_KEY)) if (words[key] !== undefined) return kind;
  return words.gone ? 'gone' : null;
}

const GEOMETRY = new Set(['outline', 'line', 'point', 'holes', 'plane-offset', 'card', 'gone', 'count', 'uncertainty/outline']);

function without(words, key) {
  const { [key]: _, ...rest } = words;
  return rest;
}

function withWord(words, key, value) {
  return value === null ? without(words, key) : { ...words, [key]: value };
}

/** What the server said of a size no longer holds once the place has changed. */
function changedMark(mark, key, value) {
  const words = withWord(mark.words, key, value);
  const sizes = GEOMETRY.has(key) ? { measure: null, shown: null, shown_more: null, shown_share: null, why: null } : {};
  return { ...mark, ...sizes, kind: kindOf(words) ?? mark.kind, words };
}

function newMark(id, key, value) {
  return changedMark({ id, kind: null, words: {}, number: null, group: null, isNew: true }, key, value);
}

function applyToMarks(marks, { mark: id, key, value }) {
  if (key === undefined || key === null) return marks.filter((mark) => mark.id !== id);
  const known = marks.some((mark) => mark.id === id);
  if (!known) return [...marks, newMark(id, key, value)];
  return marks.map((mark) => (mark.id === id ? changedMark(mark, key, value) : mark));
}

/** Nor what it said of shares, once that has changed of which they are taken. */
function withoutShares(photo) {
  return { ...photo, surface_shown: null, marks: photo.marks.map((mark) => ({ ...mark, shown_share: null })) };
}

/** "hx,hy tx,ty" of a tie. */
function tieOf(text) {
  const [here, there] = text.split(' ');
  return { here, there };
}

function applyOne(photo, edit) {
  if (edit.mark !== undefined) return { ...photo, marks: applyToMarks(photo.marks, edit) };
  const words = withWord(photo.words, edit.key, edit.value);
  const ties = edit.key === 'ties' ? { ties: (edit.value ?? []).map(tieOf) } : {};
  return { ...(edit.key === 'surface' ? withoutShares(photo) : photo), words, ...ties };
}

/** The photograph as it will be when the server has taken the edits. */
export function apply(photo, edits) {
  return edits.reduce(applyOne, photo);
}

export function sameValue(a, b) {
  return JSON.stringify(a ?? null) === JSON.stringify(b ?? null);
}

function diffWords(from, to, mark) {
  const place = mark === undefined ? {} : { mark };
  const keys = new Set([...Object.keys(from), ...Object.keys(to)]);
  return [...keys].filter((key) => !sameValue(from[key], to[key]))
    .map((key) => ({ ...place, key, value: to[key] ?? null }));
}

function diffMark(id, from, to) {
  if (!to) return [{ mark: id, key: null, value: null }];
  return diffWords(from?.words ?? {}, to.words, id);
}

/** The edits that lead from one state of a photograph to another. */
export function diff(from, to) {
  const marks = new Set([...from.marks, ...to.marks].map((mark) => mark.id));
  const find = (photo, id) => photo.marks.find((mark) => mark.id === id);
  return [
    ...diffWords(from.words, to.words),
    ...[...marks].flatMap((id) => diffMark(id, find(from, id), find(to, id))),
  ];
}

/** The next free number for a mark of a photograph. Numbers that undo may bring back stay free. */
export function freeId(photo, taken = []) {
  const used = [...photo.marks.map((mark) => mark.id), ...taken].map(Number).filter(Number.isInteger);
  return String(Math.max(0, ...used) + 1);
}
