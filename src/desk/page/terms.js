// Finding terms and parts: by a few letters among names, synonyms, and those used last.

import { book } from './book.js';
import { partWord, phrase, termWord } from './phrases.js';

const REMEMBERED = 12;
const MISSPELT = 0.3; // of a word's letters may be wrong

function key() {
  return `desk-last-${book.volume.id}`;
}

function remembered() {
  try {
    return JSON.parse(localStorage.getItem(key()) ?? '[]');
  } catch {
    return [];
  }
}

/** The mark says so still, as far as one can see: what was undone or named otherwise is not offered again. */
function stands({ term, part, photo, mark }) {
  const seen = [book.photo, book.other].find((one) => one && one.id === photo);
  const words = seen?.marks.find(({ id }) => id === mark)?.words;
  return !seen || (words?.term === term && (words.part ?? null) === part);
}

/** [{term, part}], the last used first; where none is remembered, those of this photograph's last marks. */
export function lastUsed() {
  const here = (book.photo?.marks ?? []).map(({ words }) => ({ term: words.term, part: words.part ?? null }));
  const named = here.filter(({ term }) => term && term !== 'undecided').reverse();
  const all = [...remembered().filter(stands), ...named];
  return all.filter((one, i) => all.findIndex(({ term, part }) => term === one.term && part === one.part) === i);
}

function keep(list) {
  try {
    localStorage.setItem(key(), JSON.stringify(list.slice(0, REMEMBERED)));
  } catch {
    /* a browser that keeps nothing still works */
  }
}

/** What a mark has just been named: `mark` of the photograph `photo`, with its words. */
export function remember(photo, mark) {
  const { term, part = null } = mark.words;
  if (!term || term === 'undecided') return;
  const rest = remembered().filter((last) => last.term !== term || last.part !== part);
  keep([{ term, part, photo, mark: mark.id }, ...rest]);
}

/** While the photograph is still in sight: afterwards nobody can tell. */
export function forgetUndone() {
  const all = remembered();
  const left = all.filter(stands);
  if (left.length < all.length) keep(left);
}

/** What an unnamed mark of a kind may be called: terms that are for it, with whole parts. */
export function pairsFor(kind, n) {
  return lastUsed()
    .filter(({ term, part }) => termOf(term)?.as.includes(kind) && !isFragment(part))
    .slice(0, n);
}

export function termOf(name) {
  return book.terms.find((term) => term.name === name) ?? null;
}

/** How well letters fit words: 0 best, Infinity not at all. */
function fit(letters, words, offset = 0) {
  const text = words.toLowerCase();
  if (text === letters) return offset - 0.75;
  if (text.startsWith(letters)) return offset;
  if (text.split(/[\s,-]+/).some((word) => word.startsWith(letters))) return offset + 1;
  return text.includes(letters) ? offset + 4 : Infinity;
}

function bestOf(letters, term) {
  const synonym = [...term.synonyms]
    .map((words) => ({ words, rank: fit(letters, words, 2) }))
    .sort((a, b) => a.rank - b.rank)[0];
  const [own, english] = [fit(letters, termWord(term.name)), fit(letters, term.name)];
  if (synonym && synonym.rank < Math.min(own, english)) return { rank: synonym.rank, by: synonym.words };
  return english < own ? { rank: english, by: term.name } : { rank: own, by: null };
}

const UNDECIDED = {
  name: 'undecided',
  synonyms: phrase('undecided-also').split('; '),
  parts: [],
  as: ['area', 'line', 'point'],
  group: 'other',
  meaning: phrase('undecided-meaning'),
  caution: null,
};

/** Terms for a kind of mark, found by letters; without letters the last used, then undecided, then all. */
export function findTerms(letters, kind) {
  const known = [UNDECIDED, ...book.terms.filter((term) => term.name !== 'undecided')];
  const last = [...new Set(lastUsed().map((used) => used.term))];
  const rank = (term) => {
    if (letters) return bestOf(letters, term).rank + (term.as.includes(kind) ? 0 : 0.5);
    const at = last.indexOf(term.name);
    return (at >= 0 ? at : 100) + (term.as.includes(kind) || kind === 'gone' ? 0 : 1000);
  };
  return known
    .map((term) => ({ term, rank: rank(term) }))
    .filter(({ rank: r }) => r < Infinity)
    .sort((a, b) => a.rank - b.rank)
    .map(({ term }) => ({ term, by: letters ? bestOf(letters, term).by : null }));
}

/** Letters to write anew, leave out, put in or swap with a neighbour until one word is the other (Damerau 1964). */
function distance(a, b) {
  const rows = [Array.from({ length: b.length + 1 }, (_, j) => j)];
  for (let i = 1; i <= a.length; i++) {
    rows[i] = [i];
    for (let j = 1; j <= b.length; j++) {
      const isSwap = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      const least = Math.min(rows[i - 1][j] + 1, rows[i][j - 1] + 1, rows[i - 1][j - 1] + (a[i - 1] !== b[j - 1]));
      rows[i][j] = isSwap ? Math.min(least, rows[i - 2][j - 2] + 1) : least;
    }
  }
  return rows[a.length][b.length];
}

/** Terms that have a word spelt like one of those written, where no term has all of them; the likest first. */
export function nearestTerms(written, kind, n) {
  const split = (words) => words.toLowerCase().split(/[\s,-]+/).filter((word) => word.length > 2);
  const off = (word, other) => distance(word, other) / Math.max(word.length, other.length);
  const rank = (term) => {
    const own = [termWord(term.name), term.name, ...term.synonyms].flatMap(split);
    return Math.min(...split(written).flatMap((word) => own.map((other) => off(word, other))));
  };
  return book.terms
    .map((term) => ({ term, rank: rank(term) }))
    .filter(({ rank: r }) => r <= MISSPELT)
    .sort((a, b) => a.rank - b.rank || b.term.as.includes(kind) - a.term.as.includes(kind))
    .slice(0, n)
    .map(({ term }) => term);
}

/** Parts that are known: of any term, used last, or in the volume. */
function allParts() {
  const last = lastUsed().map((used) => used.part);
  return [...last, ...(book.volume.parts ?? []), ...book.terms.flatMap((term) => term.parts)];
}

/** A part cut off within a word: no term has it, and another goes on where it ends. */
export function isFragment(part) {
  if (!part || book.terms.some((term) => term.parts.includes(part))) return false;
  const goesOn = (other) => other?.startsWith(part) && /\p{L}/u.test(other[part.length] ?? ' ');
  return allParts().some(goesOn);
}

/** Parts of a term, then those used last and in this volume, then all that any term names; fragments last. */
export function findParts(letters, termName) {
  const own = termOf(termName)?.parts ?? [];
  const parts = [...new Set([...own, ...allParts()].filter((part) => part && part !== 'any'))];
  return parts
    .map((part) => ({ part, rank: (letters ? Math.min(fit(letters, partWord(part)), fit(letters, part)) : 0) + (isFragment(part) ? 10 : 0) }))
    .filter(({ rank }) => rank < Infinity)
    .sort((a, b) => a.rank - b.rank)
    .map(({ part }) => part);
}
