// How well a hand placed what it drew, and when that is written.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { handEdits, handOf, handWords, placedAs, worstHand } from '../../src/desk/page/steady.js';

const PHOTO = { outline_px: 2 };

test('a pixel of the screen is the more of the photograph the further away one looks', () => {
  assert.equal(handOf('mouse', 0.1), 10);
  assert.equal(handOf('mouse', 1), 1);
  assert.ok(handOf('touch', 0.1) > handOf('mouse', 0.1));
});

test('the worst placed point counts, and one that is another\'s copy does not', () => {
  assert.equal(worstHand([{ x: 0, y: 0, hand: 3 }, { x: 1, y: 0 }, { x: 1, y: 1, hand: 7 }]), 7);
  assert.equal(worstHand([{ x: 0, y: 0 }]), 0);
});

test('it is written only where it is more than the photograph takes for granted, or the mark says', () => {
  assert.deepEqual(handWords(1.9, PHOTO), {});
  assert.deepEqual(handWords(11.94, PHOTO), { 'uncertainty/outline': '12' });
  assert.deepEqual(handWords(11.94, { outline_px: 20 }), {});
  assert.deepEqual(handWords(11.94, PHOTO, { 'uncertainty/outline': '15' }), {});
  assert.deepEqual(handEdits('4', 16, PHOTO, { 'uncertainty/outline': '15' }),
    [{ mark: '4', key: 'uncertainty/outline', value: '16' }]);
});

test('a path that was refused keeps it', () => {
  const path = [{ x: 1, y: 2 }];
  assert.equal(placedAs([{ mark: '4', key: 'uncertainty/outline', value: '12' }], path)[0].hand, 12);
  assert.deepEqual(placedAs([], path), path);
});
