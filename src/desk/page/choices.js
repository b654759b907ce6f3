// What two versions of a record differ in, and the edits that a choice comes to. Pure: no page, no store.
//
// A choice is {name, mark, key, mine, theirs, chosen, canBoth}: `key` null means the whole mark (values
// are marks then, or null where it was deleted), `mark` undefined the photograph's own words. `chosen`
// is the side that alone touched it, or null where both did.

import { diff, freeId, sameValue } from './edits.js';

const nameOf = ({ mark, key }) => JSON.stringify([mark ?? null, key ?? null]);
const markOf = (photo, id) => photo.marks.find((mark) => mark.id === id) ?? null;
const wordsOf = (mark) => mark?.words ?? {};

/** A mark that one side deleted, or that both made anew under one number, is chosen as a whole. */
function wholeMark(id, base, mine, theirs) {
  const [was, here, there] = [base, mine, theirs].map((photo) => markOf(photo, id));
  if (sameValue(here?.words, there?.words)) return [];
  const [touchedHere, touchedThere] = [here, there].map((mark) => !sameValue(was?.words, mark?.words));
  const isNewTwice = !was && here && there;
  const chosen = isNewTwice ? 'both' : touchedHere && !touchedThere ? 'mine' : touchedThere && !touchedHere ? 'theirs' : null;
  return [{ name: nameOf({ mark: id }), mark: id, key: null, mine: here, theirs: there, chosen, canBoth: Boolean(isNewTwice) }];
}

function wordByWord(mark, was, here, there) {
  const keys = new Set([was, here, there].flatMap(Object.keys));
  return [...keys].filter((key) => !sameValue(here[key], there[key])).map((key) => {
    const [touchedHere, touchedThere] = [here, there].map((words) => !sameValue(was[key], words[key]));
    const chosen = touchedHere && touchedThere ? null : touchedHere ? 'mine' : 'theirs';
    return { name: nameOf({ mark, key }), mark, key, mine: here[key] ?? null, theirs: there[key] ?? null, chosen, canBoth: false };
  });
}

export function choices(base, mine, theirs) {
  const ids = [...new Set([base, mine, theirs].flatMap((photo) => photo.marks.map((mark) => mark.id)))];
  const ofMark = (id) => {
    const states = [base, mine, theirs].map((photo) => markOf(photo, id));
    return states.every(Boolean) ? wordByWord(id, ...states.map(wordsOf)) : wholeMark(id, base, mine, theirs);
  };
  return [...wordByWord(undefined, base.words, mine.words, theirs.words), ...ids.flatMap(ofMark)];
}

/** The whole of a mark under a new number. */
function anew(mark, id) {
  return Object.entries(mark.words).filter(([key]) => key !== 'id').map(([key, value]) => ({ mark: id, key, value }));
}

function replace(id, mine, theirs) {
  if (!mine) return [{ mark: id, key: null, value: null }];
  return diff({ words: {}, marks: theirs ? [theirs] : [] }, { words: {}, marks: [mine] }).filter(({ key }) => key !== 'id');
}

/** Edits of their version, by `pick(choice)`: 'mine', 'theirs' or 'both'. */
export function editsOf(list, pick, mine, theirs) {
  const taken = [...mine.marks, ...theirs.marks].map((mark) => mark.id);
  const edits = [];
  for (const choice of list) {
    const side = pick(choice);
    if (side === 'theirs') continue;
    if (choice.key !== null) edits.push({ ...(choice.mark === undefined ? {} : { mark: choice.mark }), key: choice.key, value: choice.mine });
    else if (side === 'mine') edits.push(...replace(choice.mark, choice.mine, choice.theirs));
    else {
      const id = freeId(theirs, taken);
      taken.push(id);
      edits.push(...anew(choice.mine, id));
    }
  }
  return edits;
}
