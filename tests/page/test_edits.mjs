// Edits and the way back: whatever is done can be undone exactly, and `diff` leads from any state
// to any other.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { apply, diff, freeId } from '../../src/desk/page/edits.js';

const KEYS = ['term', 'part', 'note', 'outline', 'plane-offset', 'private'];

/** A small generator of numbers, the same ones on every machine (Park and Miller 1988). */
function chance(start) {
  let state = start;
  return (n) => {
    state = (state * 48271) % 2147483647;
    return state % n;
  };
}

function randomPhoto(roll) {
  const marks = Array.from({ length: roll(5) }, (_, i) => ({
    id: String(i + 1), kind: 'area', words: { term: `t${roll(3)}`, outline: `${roll(9)},1 2,2 3,3` },
  }));
  return { id: 'p', tag: 'tag0', words: { view: `v${roll(3)}`, 'scale/tags': ['bench'] }, marks };
}

function randomEdit(roll, photo) {
  const value = roll(4) === 0 ? null : `x${roll(5)}`;
  if (roll(4) === 0) return { key: ['view', 'caption', 'scale/tags'][roll(3)], value };
  const mark = String(1 + roll(6));
  if (roll(6) === 0 && photo.marks.some(({ id }) => id === mark)) return { mark, key: null, value: null };
  return { mark, key: KEYS[roll(KEYS.length)], value: value ?? 'made' };
}

/** What of a photograph stands in its sidecar, whatever the order. */
function text({ words, marks }) {
  const sorted = (object) => Object.fromEntries(Object.entries(object).sort());
  return { words: sorted(words),
    marks: marks.map((mark) => [mark.id, sorted(mark.words)]).sort(([a], [b]) => a.localeCompare(b)) };
}

test('the inverse of any edits leads back', () => {
  const roll = chance(20261125);
  for (let round = 0; round < 2000; round++) {
    const before = randomPhoto(roll);
    const edits = Array.from({ length: 1 + roll(6) }, () => randomEdit(roll, before));
    const after = apply(before, edits);
    assert.deepEqual(text(apply(after, diff(after, before))), text(before));
    assert.deepEqual(text(apply(before, diff(before, after))), text(after));
  }
});

test('no state is changed in place', () => {
  const before = randomPhoto(chance(7));
  const copy = structuredClone(before);
  apply(before, [{ mark: '1', key: 'note', value: 'x' }, { key: 'view', value: null }, { mark: '9', key: 'term', value: 'y' }]);
  assert.deepEqual(before, copy);
});

test('of a face that changed no size and no share holds until the server tells them', () => {
  const mark = { id: '1', kind: 'area', words: { outline: '1,1 2,2 3,1' }, shown: '3 ± 1 mm²', shown_share: '1 ± 1 % of the face' };
  const photo = { words: { surface: '0,0 9,0 9,9' }, surface_shown: '40 ± 9 mm²', marks: [mark] };
  const [grey, face] = ['neutral', 'surface'].map((key) => apply(photo, [{ key, value: '0,0 5,0 5,5' }]));
  assert.deepEqual([grey.surface_shown, grey.marks], [photo.surface_shown, [mark]]);
  assert.deepEqual([face.surface_shown, face.marks], [null, [{ ...mark, shown_share: null }]]);
});

test('a place that moved has no size until the server tells it', () => {
  const photo = { words: {}, marks: [{ id: '1', kind: 'area', words: { outline: '1,1 2,2 3,1' }, shown: '3 ± 1 mm²' }] };
  assert.equal(apply(photo, [{ mark: '1', key: 'outline', value: '1,1 2,2 9,1' }]).marks[0].shown, null);
  assert.equal(apply(photo, [{ mark: '1', key: 'note', value: 'x' }]).marks[0].shown, '3 ± 1 mm²');
});

test('the kind of a new mark is that of its place', () => {
  const empty = { words: {}, marks: [] };
  for (const [key, kind] of [['outline', 'area'], ['line', 'line'], ['point', 'point']]) {
    const edits = [{ mark: '1', key: 'term', value: 'tear' }, { mark: '1', key, value: '1,1' }];
    assert.equal(apply(empty, edits).marks[0].kind, kind);
  }
});

test('a number that undo may bring back is not given again', () => {
  const photo = { words: {}, marks: [{ id: '2', words: {} }, { id: 'a', words: {} }] };
  assert.equal(freeId(photo), '3');
  assert.equal(freeId(photo, ['7', undefined]), '8');
});
