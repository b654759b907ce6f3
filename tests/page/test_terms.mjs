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
const { findParts, findTerms, remember } = await import('../../src/desk/page/terms.js');
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

test('without letters the last used come first; what is undecided is always there, and never remembered', () => {
  remember('stain', 'leaf');
  remember('loss', 'joint');
  remember('undecided', 'leaf');
  assert.deepEqual(names('').slice(0, 3), ['loss', 'stain', 'undecided']);
  assert.ok(names('und').includes('undecided'));
});

test('parts: the term\u2019s own, then the last used, then those of the volume', () => {
  remember('stain', 'board edge');
  assert.deepEqual(findParts('', 'tear').slice(0, 4), ['leaf', 'covering', 'board edge', 'joint']);
  assert.deepEqual(findParts('jo', 'tear'), ['joint']);
  assert.equal(findParts('', 'loss').includes('any'), false);
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
