// A path that is begun waits, photograph by photograph, and is there again after a reload.
import { FakeKeep } from './stand_ins.mjs';
import assert from 'node:assert/strict';
import { test } from 'node:test';

const { Begun } = await import('../../src/desk/page/begun.js');

const PATH = [{ x: 1, y: 2 }, { x: 3.5, y: 4 }];
const rest = () => new Promise(setImmediate);

test('what is begun comes back after a reload, and not when it was ended', async () => {
  const book = { place: 'V', window: 'w', keep: new FakeKeep() };
  let found = 0;
  const first = new Begun(book, 'area', () => { found += 1; });
  first.set('p', PATH);
  first.set('q', PATH.slice(1));
  await rest();
  const again = new Begun(book, 'area', () => { found += 1; });
  assert.deepEqual(again.get('p'), [], 'not known yet');
  await rest();
  assert.equal(found, 1);
  assert.deepEqual(again.get('p'), PATH);
  again.set('p', []);
  await rest();
  assert.deepEqual(new Begun(book, 'area', () => {}).get('p'), []);
  assert.deepEqual(await book.keep.keys('begun/'), ['begun/V/w/q/area']);
});

test('what is drawn before the kept one comes up counts', async () => {
  const book = { place: 'V', window: 'w', keep: new FakeKeep() };
  await book.keep.put('begun/V/w/p/line', PATH);
  const begun = new Begun(book, 'line', () => assert.fail('nothing was waited for'));
  begun.get('p');
  begun.set('p', PATH.slice(0, 1));
  await rest();
  assert.deepEqual(begun.get('p'), PATH.slice(0, 1));
});
