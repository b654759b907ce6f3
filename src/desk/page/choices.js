// What two versions of a record differ in, and the edits that a choice comes to. Pure: no page, no store.
//
// A choice is {name, mark, what, keys, mine, theirs, chosen, canBoth}. `mark` undefined: the
// photograph's own words. `what`: a key of the sidecar; or 'drawn' and 'scale', keys that only make
// sense together; or 'mark', the whole of it. `mine` and `theirs` hold the values by key, null for a
// mark that is not there. `chosen` is the side that alone touched it, null where both did.

import { freeId, sameValue } from './edits.js';

const TOGETHER = [
  ['drawn', /^(outline|line|point|holes)$/],
  ['scale', /^scale\/(tags$|rectangle\/|span\/|ticks\/)/],
];

const whatOf = (key) => TOGETHER.find(([, keys]) => keys.test(key))?.[0] ?? key;
const markOf = (photo, id) => photo.marks.find((mark) => mark.id === id) ?? null;
const some = (words, keys) =>
  Object.fromEntries(keys.filter((key) => words[key] !== undefined).map((key) => [key, words[key]]));
const same = (a, b, keys) => keys.every((key) => sameValue(a?.[key], b?.[key]));

function sideOf(was, here, there, keys) {
  const [mine, theirs] = [!same(was, here, keys), !same(was, there, keys)];
  return mine && theirs ? null : mine ? 'mine' : 'theirs';
}

function choice(mark, what, rest) {
  return { name: JSON.stringify([mark ?? null, what]), mark, what, canBoth: false, ...rest };
}

/** Word by word where both sides have it; words that hang together as one. */
function byWord(mark, was, here, there) {
  const all = [...new Set([was, here, there].flatMap((words) => Object.keys(words)))].filter(
    (key) => key !== 'id',
  );
  return [...new Set(all.map(whatOf))].flatMap((what) => {
    const keys = all.filter((key) => whatOf(key) === what);
    if (same(here, there, keys)) return [];
    return [
      choice(mark, what, {
        keys,
        mine: some(here, keys),
        theirs: some(there, keys),
        chosen: sideOf(was, here, there, keys),
      }),
    ];
  });
}

/** A mark that one side has not: deleted, or made anew. */
function whole(id, was, here, there) {
  const keys = [...new Set([was, here, there].flatMap((words) => Object.keys(words ?? {})))].filter(
    (key) => key !== 'id',
  );
  if (Boolean(here) === Boolean(there) && same(here, there, keys)) return [];
  const isMadeTwice = !was && here && there;
  const chosen = isMadeTwice ? 'both' : sideOf(was, here, there, keys);
  return [choice(id, 'mark', { keys, mine: here, theirs: there, chosen, canBoth: Boolean(isMadeTwice) })];
}

export function choices(base, mine, theirs) {
  const ids = [...new Set([base, mine, theirs].flatMap((photo) => photo.marks.map((mark) => mark.id)))];
  const ofMark = (id) => {
    const states = [base, mine, theirs].map((photo) => markOf(photo, id)?.words ?? null);
    return states.every(Boolean) ? byWord(id, ...states) : whole(id, ...states);
  };
  return [...byWord(undefined, base.words, mine.words, theirs.words), ...ids.flatMap(ofMark)];
}

function editsOfMine({ mark, what, keys, mine }) {
  const place = mark === undefined ? {} : { mark };
  if (what === 'mark' && mine === null) return [{ mark, key: null, value: null }];
  return keys.map((key) => ({ ...place, key, value: mine[key] ?? null }));
}

/** Edits of their version, by `pick(choice)`: 'mine', 'theirs' or 'both'. `taken`: numbers not to be given again. */
export function editsOf(list, pick, theirs, taken = []) {
  const used = [...taken];
  return list.flatMap((one) => {
    const side = pick(one);
    if (side === 'theirs') return [];
    if (side === 'mine') return editsOfMine(one);
    const id = freeId(theirs, used);
    used.push(id);
    return editsOfMine({ ...one, mark: id }).filter(({ value }) => value !== null);
  });
}
