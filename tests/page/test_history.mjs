// The way back: acts of one photograph, and acts that are written with several.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { FakeKeep } from './stand_ins.mjs';
import { History } from '../../src/desk/page/history.js';

const act = (n, more = {}) => ({ edits: [n], inverse: [-n], says: `act ${n}`, ...more });

test('acts go back and forth, also after a reload; a new one cuts off what could have come again', async () => {
  const keep = new FakeKeep();
  const history = await new History(keep, 'p').load();
  for (const n of [1, 2, 3]) await history.add(act(n));
  assert.deepEqual((await history.back()).edits, [-3]);
  const later = await new History(keep, 'p').load();
  assert.deepEqual([(await later.back()).edits, (await later.forth()).edits], [[-2], [2]]);
  await later.add(act(4));
  assert.equal(await later.forth(), null);
  assert.deepEqual((await later.back()).edits, [-4]);
});

test('an act of several photographs is stepped only where it is the last', async () => {
  const history = await new History(new FakeKeep(), 'p').load();
  await history.add(act(1, { joint: 'j', others: ['q'] }));
  assert.deepEqual(history.next('back').others, ['q']);
  assert.equal(await history.back('another'), null);
  await history.add(act(2));
  assert.equal(await history.back('j'), null, 'it has changed since');
  await history.back();
  assert.deepEqual((await history.back('j')).edits, [-1]);
  assert.equal(history.next('back'), null);
});

test('an act that was refused is dropped, with what stands for it elsewhere', async () => {
  const refused = act(1, { joint: 'j' });
  const elsewhere = await new History(new FakeKeep(), 'q').load();
  await elsewhere.add(act(7));
  await elsewhere.add({ edits: [], inverse: [], says: 'act 1', joint: 'j' });
  await elsewhere.drop(refused);
  assert.deepEqual((await elsewhere.back()).edits, [-7]);
});

/** A keep whose writing waits until it is told to go on. */
class SlowKeep extends FakeKeep {
  waiting = [];
  async put(key, value) {
    await new Promise((resolve) => { this.waiting.push(resolve); });
    return super.put(key, value);
  }

  async goOn() {
    for (const resolve of this.waiting.splice(0)) resolve();
    await new Promise((resolve) => { setImmediate(resolve); });
  }
}

const hours = (mark) => ({ edits: [{ mark, key: 'hours', value: '1' }], inverse: [{ mark, key: 'hours', value: null }], says: 'hours' });
const fifthIsFourth = (edits) => edits.map((edit) => ({ ...edit, mark: edit.mark === '5' ? '4' : edit.mark === '6' ? '5' : edit.mark }));

test('an act that comes while others are being renamed has its name already', async () => {
  const keep = new FakeKeep();
  const history = await new History(keep, 'place').load();
  await history.add(hours('6'));
  const slow = new SlowKeep();
  history.keep = slow;
  history.rename(fifthIsFourth);
  history.add(hours('5')); // of the same entry, which is called so by now
  for (let i = 0; i < 8; i += 1) await slow.goOn();
  assert.deepEqual(history.acts.map(({ edits }) => edits[0].mark), ['5', '5']);
});

test('what is undone while it is renamed is undone under the new name', async () => {
  const history = await new History(new FakeKeep(), 'place').load();
  await history.add(hours('6'));
  const slow = new SlowKeep();
  history.keep = slow;
  const step = history.back();
  history.rename(fifthIsFourth);
  for (let i = 0; i < 8; i += 1) await slow.goOn();
  assert.equal((await step).edits[0].mark, '5');
});
