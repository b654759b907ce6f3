// Two versions of a record: what only one side touched is chosen already, nothing that either wrote is
// lost by keeping both, and words that hang together are chosen together.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { choices, editsOf } from '../../src/desk/page/choices.js';
import { apply } from '../../src/desk/page/edits.js';

const mark = (id, words) => ({
  id,
  kind: 'area',
  words: { term: 'stain', outline: '1,1 2,1 2,2', ...words },
});
const photo = (words, ...marks) => ({ id: 'p', words, marks });
const BASE = photo({ view: 'spine', 'scale/tags': ['bench'] }, mark('1', { note: 'old' }), mark('2', {}));

const wordsOf = (state, id) => state.marks.find((one) => one.id === id)?.words;
const strip = ({ words, marks }) => ({
  words,
  marks: Object.fromEntries(marks.map((one) => [one.id, { ...one.words, id: undefined }])),
});

function merged(mine, theirs, pick = (one) => one.chosen) {
  const taken = [...mine.marks, ...theirs.marks].map(({ id }) => id);
  return apply(theirs, editsOf(choices(BASE, mine, theirs), pick, theirs, taken));
}

test('what only one side touched is chosen already, and stands', () => {
  const mine = apply(BASE, [
    { mark: '1', key: 'note', value: 'mine' },
    { mark: '2', key: null },
    { mark: '3', key: 'term', value: 'tear' },
  ]);
  const theirs = apply(BASE, [
    { mark: '1', key: 'part', value: 'joint' },
    { key: 'view', value: 'head' },
    { mark: '4', key: 'term', value: 'loss' },
  ]);
  assert.ok(choices(BASE, mine, theirs).every(({ chosen }) => chosen !== null));
  const both = merged(mine, theirs);
  assert.equal(both.words.view, 'head');
  assert.equal(wordsOf(both, '1').note, 'mine');
  assert.equal(wordsOf(both, '1').part, 'joint');
  assert.equal(wordsOf(both, '2'), undefined);
  assert.deepEqual([wordsOf(both, '3').term, wordsOf(both, '4').term], ['tear', 'loss']);
});

test('what both changed is asked, and either can stand', () => {
  const mine = apply(BASE, [{ mark: '1', key: 'note', value: 'mine' }]);
  const theirs = apply(BASE, [{ mark: '1', key: 'note', value: 'theirs' }]);
  const [asked, ...more] = choices(BASE, mine, theirs);
  assert.deepEqual([asked.what, asked.chosen, more.length], ['note', null, 0]);
  assert.equal(
    wordsOf(
      merged(mine, theirs, () => 'mine'),
      '1',
    ).note,
    'mine',
  );
  assert.equal(
    wordsOf(
      merged(mine, theirs, () => 'theirs'),
      '1',
    ).note,
    'theirs',
  );
});

test('a mark deleted on one side and changed on the other is asked', () => {
  const mine = apply(BASE, [{ mark: '1', key: null }]);
  const theirs = apply(BASE, [{ mark: '1', key: 'note', value: 'theirs' }]);
  assert.deepEqual(
    choices(BASE, mine, theirs).map(({ what, chosen }) => [what, chosen]),
    [['mark', null]],
  );
  assert.deepEqual(
    merged(mine, theirs, () => 'mine').marks.map(({ id }) => id),
    ['2'],
  );
  assert.equal(
    wordsOf(
      merged(theirs, mine, () => 'mine'),
      '1',
    ).note,
    'theirs',
  ); // it comes back whole
});

test('two new marks under one number are both kept', () => {
  const mine = apply(BASE, [
    { mark: '3', key: 'term', value: 'tear' },
    { mark: '3', key: 'line', value: '1,1 2,2' },
    { mark: '4', key: 'term', value: 'mould' },
  ]);
  const theirs = apply(BASE, [
    { mark: '3', key: 'term', value: 'loss' },
    { mark: '4', key: 'term', value: 'hole' },
  ]);
  assert.deepEqual(
    choices(BASE, mine, theirs).map(({ what, chosen }) => [what, chosen]),
    [
      ['mark', 'both'],
      ['mark', 'both'],
    ],
  );
  const both = merged(mine, theirs);
  const terms = [
    ['1', 'stain'],
    ['2', 'stain'],
    ['3', 'loss'],
    ['4', 'hole'],
    ['5', 'tear'],
    ['6', 'mould'],
  ];
  assert.deepEqual(
    both.marks.map(({ id, words }) => [id, words.term]),
    terms,
  );
  assert.equal(wordsOf(both, '5').line, '1,1 2,2');
});

test('an outline goes with its holes, a scale with its numbers', () => {
  const mine = apply(BASE, [
    { mark: '1', key: 'outline', value: '5,5 9,5 9,9' },
    { key: 'scale/tags', value: null },
    { key: 'scale/span/from', value: '1,1' },
    { key: 'scale/span/to', value: '9,1' },
    { key: 'scale/span/length', value: '100' },
  ]);
  const theirs = apply(BASE, [
    { mark: '1', key: 'holes', value: ['1.2,1.1 1.8,1.2 1.8,1.6'] },
    { key: 'scale/tags', value: ['small'] },
  ]);
  assert.deepEqual(
    choices(BASE, mine, theirs).map(({ what, chosen }) => [what, chosen]),
    [
      ['scale', null],
      ['drawn', null],
    ],
  );
  const chosen = merged(mine, theirs, () => 'mine');
  assert.equal(wordsOf(chosen, '1').holes, undefined);
  assert.deepEqual(Object.keys(chosen.words).sort(), [
    'scale/span/from',
    'scale/span/length',
    'scale/span/to',
    'view',
  ]);
});

test('all of one side gives that side back', () => {
  const mine = apply(BASE, [
    { mark: '1', key: 'note', value: null },
    { mark: '2', key: null },
    { mark: '3', key: 'term', value: 'tear' },
    { key: 'caption', value: 'c' },
  ]);
  const theirs = apply(BASE, [
    { mark: '1', key: null },
    { mark: '2', key: 'part', value: 'joint' },
    { mark: '3', key: 'term', value: 'loss' },
    { key: 'view', value: null },
  ]);
  assert.deepEqual(strip(merged(mine, theirs, () => 'mine')), strip(mine));
  assert.deepEqual(strip(merged(mine, theirs, () => 'theirs')), strip(theirs));
});

test('the place of a photograph is a word, not an outline', () => {
  const [asked] = choices(BASE, apply(BASE, [{ key: 'place', value: 'f. 12r' }]), BASE);
  assert.deepEqual([asked.what, asked.mine, asked.chosen], ['place', { place: 'f. 12r' }, 'mine']);
});
