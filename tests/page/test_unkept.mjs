// Words that were refused: which are kept, and for how long.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import './stand_ins.mjs';

const { notWrittenAnew, stillUnkept, withRefused, wordsIn } = await import('../../src/desk/page/unkept.js');

const NOTE = { mark: '2', key: 'note', value: 'torn at the head' };
const PLACE = { mark: '2', key: 'line', value: '1,2 3,4' };

test('words are kept, places and what was taken away are not', () => {
  assert.deepEqual(wordsIn([NOTE, PLACE, { key: 'surface', value: '1,2 3,4 1,4' }, { mark: '3', key: null, value: null }, { key: 'caption', value: null }]), [NOTE]);
});

test('of a scale the level is written, the rest is drawn', () => {
  const level = { key: 'scale/plane-offset', value: 'a hand' };
  assert.deepEqual(wordsIn([level, { key: 'scale/span/length', value: '-1' }]), [level]);
});

test('a later word of the same place counts', () => {
  const first = withRefused([], [NOTE], 'why');
  const later = withRefused(first, [{ ...NOTE, value: 'torn' }, { key: 'note', value: 'of another' }], 'still');
  assert.deepEqual(later.map(({ value, why }) => [value, why]), [['torn', 'still'], ['of another', 'still']]);
});

test('what the record says by now is no longer told', () => {
  const list = withRefused([], [NOTE, { key: 'caption', value: 'As received' }], 'why');
  const photo = { words: {}, marks: [{ id: '2', words: { note: 'torn at the head' } }] };
  assert.deepEqual(stillUnkept(list, photo).map(({ key }) => key), ['caption']);
});

test('a word goes when its own place is written anew, whatever is written', () => {
  const list = withRefused([], [NOTE, { key: 'note', value: 'of another' }], 'why');
  assert.deepEqual(notWrittenAnew(list, [{ mark: '2', key: 'note', value: 'torn' }]).map(({ mark }) => mark), [undefined]);
  assert.deepEqual(notWrittenAnew(list, [{ mark: '2', key: 'part', value: 'leaf' }]).length, 2);
});
