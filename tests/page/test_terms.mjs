// A few letters find a term: by its name before its synonyms, of the kind that is drawn before others;
// without letters the last used come first. And the columns of the row.
import assert from 'node:assert/strict';
import { beforeEach, test } from 'node:test';
import './stand_ins.mjs';

const kept = new Map();
globalThis.localStorage = {
  getItem: (key) => kept.get(key) ?? null,
  setItem: (key, value) => kept.set(key, value),
};
const { book } = await import('../../src/desk/page/book.js');
const { findParts, findTerms, forgetUndone, nearestTerms, pairsFor, remember } = await import('../../src/desk/page/terms.js');
const { columnsOf } = await import('../../src/desk/page/row.js');

const term = (name, as, synonyms = [], parts = ['any']) => ({
  name,
  as,
  synonyms,
  parts,
  group: 'other',
  meaning: '',
});

beforeEach(() => {
  kept.clear();
  book.photo = null;
  book.volume = { id: 'V', parts: ['leaf', 'joint'] };
  book.terms = [
    term('loss', ['area', 'point'], ['lacuna']),
    term('split joint', ['line'], ['broken hinge'], ['joint']),
    term('stain', ['area'], ['tide line', 'splash']),
    term('tear', ['line'], ['split', 'rent'], ['leaf', 'covering']),
  ];
});

const names = (letters, kind = 'area') => findTerms(letters, kind).map((found) => found.term.name);

test('letters find names, the beginnings of their words, and synonyms', () => {
  assert.equal(names('st')[0], 'stain');
  assert.equal(names('joi')[0], 'split joint');
  assert.deepEqual(names('lac'), ['loss']);
  assert.deepEqual(findTerms('lac', 'area')[0].by, 'lacuna');
  assert.deepEqual(names('qqq'), []);
});

test('a name comes before a synonym, and the kind that is drawn before another', () => {
  assert.deepEqual(names('split', 'line').slice(0, 2), ['split joint', 'tear']);
  assert.deepEqual(names('sp', 'area').slice(0, 2), ['split joint', 'stain']);
  assert.deepEqual(names('', 'line').slice(0, 3), ['undecided', 'split joint', 'tear']);
});

const mark = (id, term, part) => ({ id, words: { term, ...(part && { part }) } });

test('without letters the last used come first; what is undecided is always there, and never remembered', () => {
  remember('p', mark('1', 'stain', 'leaf'));
  remember('p', mark('2', 'loss', 'joint'));
  remember('p', mark('3', 'undecided', 'leaf'));
  assert.deepEqual(names('').slice(0, 3), ['loss', 'stain', 'undecided']);
  assert.ok(names('und').includes('undecided'));
});

test('words that fit no term have near ones, by their spelling; nonsense has none', () => {
  const near = (written) => nearestTerms(written, 'area', 3).map(({ name }) => name);
  assert.deepEqual(near('stian'), ['stain']);
  assert.deepEqual(near('a big loos'), ['loss']);
  assert.deepEqual(near('tyde lines'), ['stain']);
  assert.equal(near('splitt')[0], 'split joint');
  assert.deepEqual(near('zzz'), []);
});

test('what an unnamed mark may be called: terms for its kind, no part cut off, nothing undone', () => {
  const stain = mark('1', 'stain', 'leaf');
  book.volume.parts = ['cloth side', 'leaf'];
  remember('p', stain);
  remember('p', mark('2', 'tear', 'leaf')); // of a line
  remember('p', mark('3', 'loss', 'clo'));
  assert.deepEqual(pairsFor('area', 3).map(({ term, part }) => [term, part]), [['stain', 'leaf']]);
  assert.deepEqual(pairsFor('line', 3).map(({ term }) => term), ['tear']);
  book.photo = { id: 'p', marks: [mark('1', 'undecided', 'leaf')] };
  assert.deepEqual(pairsFor('area', 3), [], 'the photograph in sight says so no more');
  forgetUndone();
  book.photo = { id: 'q', marks: [] };
  assert.deepEqual(pairsFor('area', 3), [], 'nor does it come back');
});

test('parts: the term\u2019s own, then the last used, then those of the volume', () => {
  remember('p', mark('1', 'stain', 'board edge'));
  assert.deepEqual(findParts('', 'tear').slice(0, 4), ['leaf', 'covering', 'board edge', 'joint']);
  assert.deepEqual(findParts('jo', 'tear'), ['joint']);
  assert.equal(findParts('', 'loss').includes('any'), false);
});

test('a part cut off within a word never comes first; one that is a whole word does', () => {
  book.volume.parts = ['clo', 'cloth', 'cloth side'];
  remember('p', mark('1', 'stain', 'clo'));
  assert.deepEqual(findParts('clo', 'loss'), ['cloth', 'cloth side', 'clo']);
  assert.deepEqual(findParts('cloth', 'loss'), ['cloth', 'cloth side']);
  assert.equal(findParts('', 'loss').at(-1), 'clo');
});

test('the row: a column for each view wanted, the others after them, what was done on the way last; what is owed has its place and its words', () => {
  const photo = (id, view, stage, more = {}) => ({ id, view, stage, place: null, step: null, ...more });
  const columns = columnsOf({
    views: ['spine', 'head'],
    photos: [
      photo('a', 'spine', 'after'),
      photo('b', 'spine', 'before'),
      photo('c', 'spine', 'during', { step: 'lifted' }),
      photo('d', 'detail', 'before', { place: 'f. 2' }),
    ],
    owed: [
      { view: 'head', stage: 'before', photo: null, what: 'no photograph' },
      { view: 'spine', stage: 'after', photo: 'a', what: 'no scale' },
    ],
  });
  assert.deepEqual(
    columns.map(({ name }) => name),
    ['spine', 'head', 'detail, f. 2', 'during: lifted'],
  );
  assert.deepEqual(columns[0].owed, ['after: no scale']);
  assert.deepEqual([columns[1].places.length, columns[1].owed], [1, ['before: no photograph']]);
});
