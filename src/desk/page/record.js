// volume.yaml on the page: a state of the same shape as a photograph's, so that edits, the queue, the
// way back and two versions are what they are there. An entry of a list stands where a mark does,
// called "LIST ENTRY". Pieces and cards have names of their own; other entries are called by their
// place, which changes when one before them goes: what still speaks of the old places is renamed.
// Pure, but for `readState`.

import { apply, sameValue } from './edits.js';
import { get } from './wire.js';

export const VOLUME = 'volume';
const BY_NAME = ['pieces', 'cards', 'cameras'];

/** Where a state is asked for, and edits of it are sent. */
export const pathOf = (id) => (id === VOLUME ? '/record' : `/photo/${id}`);

export const listOf = (name) => name.slice(0, name.indexOf(' '));
export const entryOf = (name) => name.slice(name.indexOf(' ') + 1);
const isByPlace = (name) => !BY_NAME.includes(listOf(name));

let last = 0;
/** A name for an entry that is to be added, or that went and may come back. */
export function newName(list) {
  last += 1;
  return `${list} +${Date.now()}-${last}`;
}

/** The server's answer as a state; a photograph is one already. */
export function asState(id, answer) {
  if (id !== VOLUME) return answer;
  const marks = answer.entries.map(({ list, entry, words }) => ({ id: `${list} ${entry}`, kind: null, words }));
  return { ...answer, id, marks, taken_in: answer.tag !== null };
}

export async function readState(id) {
  return asState(id, await get(pathOf(id)));
}

/** Edits as the server takes them. */
export function asSent(id, edits) {
  if (id !== VOLUME) return edits;
  return edits.map(({ mark, key, value }) =>
    (mark === undefined ? { key, value } : { list: listOf(mark), entry: entryOf(mark), key, value }));
}

/** What entries are called after edits of a state were written: Map of old name -> new. One that went
 * has a name by which it is new when it comes back. */
export function renaming(base, edits) {
  const names = new Map();
  const counts = {};
  for (const { id } of apply(base, edits).marks.filter((mark) => isByPlace(mark.id))) {
    const list = listOf(id);
    counts[list] = (counts[list] ?? -1) + 1;
    names.set(id, `${list} ${counts[list]}`);
  }
  const gone = [...base.marks.map(({ id }) => id), ...edits.map(({ mark }) => mark ?? '')]
    .filter((id) => id && isByPlace(id) && !names.has(id));
  for (const id of gone) names.set(id, entryOf(id).startsWith('+') ? id : newName(listOf(id)));
  return names;
}

export function renamed(edits, names) {
  return edits.map((edit) => (names.has(edit.mark) ? { ...edit, mark: names.get(edit.mark) } : edit));
}

const shared = (a, b) => Object.keys(a.words).filter((key) => sameValue(a.words[key], b.words[key])).length;

/** Their entries of one list under the names of ours that they are: the same words, else those that share the
 * most, and more than half. */
function alignList(ours, theirs, list) {
  const left = new Set(ours);
  const names = new Map();
  const match = (mark, fellow) => {
    if (!fellow) return;
    left.delete(fellow);
    names.set(mark.id, fellow.id);
  };
  for (const mark of theirs) match(mark, [...left].find((one) => sameValue(one.words, mark.words)));
  for (const mark of theirs.filter(({ id }) => !names.has(id))) {
    const alike = [...left].filter((one) => 2 * shared(one, mark) > Object.keys(mark.words).length);
    match(mark, alike.sort((a, b) => shared(b, mark) - shared(a, mark))[0]);
  }
  for (const { id } of theirs) if (!names.has(id)) names.set(id, newName(list));
  return names;
}

/** Another version under our names: {state, places: our name -> theirs}. */
export function aligned(base, theirs) {
  const lists = new Set([...base.marks, ...theirs.marks].filter(({ id }) => isByPlace(id)).map(({ id }) => listOf(id)));
  const names = new Map([...lists].flatMap((list) => {
    const of = (state) => state.marks.filter(({ id }) => listOf(id) === list);
    return [...alignList(of(base), of(theirs), list)];
  }));
  const marks = theirs.marks.map((mark) => ({ ...mark, id: names.get(mark.id) ?? mark.id }));
  return { state: { ...theirs, marks }, places: new Map([...names].map(([theirName, ours]) => [ours, theirName])) };
}
