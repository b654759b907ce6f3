// Finding terms and parts: by a few letters among names, synonyms, and those used last.

import { book } from './book.js';

const REMEMBERED = 12;

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

/** [{term, part}], the last used first; where none is remembered, those of this photograph's last marks. */
export function lastUsed() {
  const here = (book.photo?.marks ?? []).map(({ words }) => ({ term: words.term, part: words.part ?? null }));
  const named = here.filter(({ term }) => term && term !== 'undecided').reverse();
  const all = [...remembered(), ...named];
  return all.filter((one, i) => all.findIndex(({ term, part }) => term === one.term && part === one.part) === i);
}

export function remember(term, part) {
  if (!term || term === 'undecided') return;
  const rest = remembered().filter((last) => last.term !== term || last.part !== part);
  try {
    localStorage.setItem(key(), JSON.stringify([{ term, part: part ?? null }, ...rest].slice(0, REMEMBERED)));
  } catch {
    /* a browser that keeps nothing still works */
  }
}

export function termOf(name) {
  return book.terms.find((term) => term.name === name) ?? null;
}

/** How well letters fit words: 0 best, Infinity not at all. */
function fit(letters, words, offset = 0) {
  const text = words.toLowerCase();
  if (text.startsWith(letters)) return offset;
  if (text.split(/[\s,-]+/).some((word) => word.startsWith(letters))) return offset + 1;
  return text.includes(letters) ? offset + 4 : Infinity;
}

function bestOf(letters, term) {
  const synonym = [...term.synonyms]
    .map((words) => ({ words, rank: fit(letters, words, 2) }))
    .sort((a, b) => a.rank - b.rank)[0];
  const own = fit(letters, term.name);
  return synonym && synonym.rank < own ? { rank: synonym.rank, by: synonym.words } : { rank: own, by: null };
}

const UNDECIDED = {
  name: 'undecided',
  synonyms: ['not sure', 'later', 'unknown'],
  parts: [],
  as: ['area', 'line', 'point'],
  group: 'other',
  meaning: 'What it is has not been decided. It is listed as such until somebody decides.',
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

/** Parts of a term, then those used last and in this volume, then all that any term names. */
export function findParts(letters, termName) {
  const own = termOf(termName)?.parts ?? [];
  const last = lastUsed().map((used) => used.part);
  const all = [...own, ...last, ...(book.volume.parts ?? []), ...book.terms.flatMap((term) => term.parts)];
  const parts = [...new Set(all.filter((part) => part && part !== 'any'))];
  if (!letters) return parts;
  return parts
    .map((part) => ({ part, rank: fit(letters, part) }))
    .filter(({ rank }) => rank < Infinity)
    .sort((a, b) => a.rank - b.rank)
    .map(({ part }) => part);
}
