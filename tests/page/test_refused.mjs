// What the record would not take is laid back: what of it, and when.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { drawnIn, isDrawnAnew } from '../../src/desk/page/refused.js';

const OUTLINE = '0,0 100,0 100,100 0,100';
const HOLE = '90,90 120,90 90,120';
const photo = { id: 'p', words: {}, marks: [
  { id: '1', kind: 'area', words: { term: 'loss', outline: OUTLINE } },
  { id: '2', kind: 'line', words: { term: 'tear', line: '0,0 5,5' } }] };
const path = (text) => text.split(' ').map((pair) => pair.split(',').map(Number)).map(([x, y]) => ({ x, y }));

test('a hole that was refused comes back with its area', () => {
  const drawn = drawnIn([{ mark: '1', key: 'holes', value: [HOLE] }], photo);
  assert.deepEqual(drawn, { mark: '1', rings: [path(OUTLINE), path(HOLE)] });
});

test('a moved vertex that was refused comes back where it was moved to', () => {
  assert.deepEqual(drawnIn([{ mark: '2', key: 'line', value: '0,0 9,9' }], photo), { mark: '2', rings: [path('0,0 9,9')] });
});

test('a new area or line comes back as a path; a mark that the server never had is new', () => {
  const edits = [{ mark: '3', key: 'term', value: 'loss' }, { mark: '3', key: 'outline', value: OUTLINE }];
  assert.deepEqual(drawnIn(edits, photo), { kind: 'area', path: path(OUTLINE) });
  assert.deepEqual(drawnIn(edits.slice(1), photo), { kind: 'area', path: path(OUTLINE) });
  assert.deepEqual(drawnIn([{ mark: '3', key: 'line', value: '1,1 2,2' }], photo), { kind: 'line', path: path('1,1 2,2') });
});

test('an outline of the photograph\'s own comes back as a path for its own tool', () => {
  assert.deepEqual(drawnIn([{ key: 'surface', value: OUTLINE }], photo), { kind: 'surface', path: path(OUTLINE) });
  assert.equal(drawnIn([{ key: 'neutral', value: null }], photo), null);
  const strokes = (key) => [{ edits: [{ key, value: OUTLINE }] }];
  assert.equal(isDrawnAnew([{ key: 'surface', value: HOLE }], strokes('surface')), true);
  assert.equal(isDrawnAnew([{ key: 'surface', value: HOLE }], strokes('neutral')), false);
});

test('words, and a mark or hole taken away, leave nothing to lay back', () => {
  assert.equal(drawnIn([{ mark: '1', key: 'note', value: 'x' }], photo), null);
  assert.equal(drawnIn([{ mark: '1', key: null, value: null }], photo), null);
  assert.equal(drawnIn([{ mark: '1', key: 'holes', value: null }], photo), null);
});

test('of two strokes at one mark the later one counts', () => {
  const first = [{ mark: '1', key: 'holes', value: [HOLE] }];
  const strokes = (mark, key) => [{ edits: [{ mark, key, value: OUTLINE }] }];
  assert.equal(isDrawnAnew(first, strokes('1', 'outline')), true);
  assert.equal(isDrawnAnew(first, strokes('2', 'line')), false);
  assert.equal(isDrawnAnew(first, strokes('1', 'note')), false);
});
