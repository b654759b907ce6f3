// What lies under the pen, copies, and asking the server for the newest only.
import './stand_ins.mjs';
import assert from 'node:assert/strict';
import { test } from 'node:test';

const { copyOf } = await import('../../src/desk/page/copy.js');
const { marksAt } = await import('../../src/desk/page/hits.js');
const { Newest } = await import('../../src/desk/page/live.js');
const { boundsOf, parsePoints } = await import('../../src/desk/page/points.js');

function mark(id, kind, ...texts) {
  const rings = texts.map(parsePoints);
  return { id, shape: { kind, rings, box: boundsOf(rings[0]) } };
}

const MARKS = [
  mark('large', 'area', '0,0 100,0 100,100 0,100', '40,40 60,40 60,60 40,60'),
  mark('small', 'area', '10,10 30,10 30,30 10,30'),
  mark('line', 'line', '0,80 100,80'),
  mark('point', 'point', '80,20'),
];
const at = (x, y) => marksAt({ x, y, reach: 3 }, MARKS, ({ shape }) => shape).map(({ id }) => id);

test('a line or point before an area, the smallest area before a larger one', () => {
  assert.deepEqual(at(20, 20), ['small', 'large']);
  assert.deepEqual(at(50, 81), ['line', 'large']);
  assert.deepEqual(at(80, 22), ['point', 'large']);
  assert.deepEqual(at(50, 50), [], 'nothing lies in a hole');
  assert.deepEqual(at(42, 50), ['large'], 'but its edge is the area\'s');
});

test('a copy lies aside, in the picture, and is nobody\'s earlier self', () => {
  const words = { term: 'loss', outline: '10,10 30,10 30,30', holes: ['15,12 20,12 20,15'], earlier: 'a.jpg#1', gone: 'yes' };
  assert.deepEqual(copyOf(words, 5, { width: 100, height: 34 }), { term: 'loss',
    outline: '15,5 35,5 35,25', holes: ['20,7 25,7 25,10'] });
  assert.deepEqual(copyOf({ point: '3,4', part: 'leaf' }, 2, { width: 9, height: 9 }), { point: '5,6', part: 'leaf' });
});

test('only the newest question is asked and answered', async () => {
  const newest = new Newest();
  const [asked, done] = [[], []];
  let free = null;
  const ask = (name) => () => { asked.push(name); return new Promise((resolve) => { free = () => resolve(name); }); };
  for (const name of ['a', 'b', 'c']) newest.run(ask(name), (answer) => done.push(answer));
  free();
  await new Promise(setImmediate);
  free();
  await new Promise(setImmediate);
  assert.deepEqual(asked, ['a', 'c']);
  assert.deepEqual(done, ['c'], 'what was overtaken is not shown');
  newest.run(ask('d'), (answer) => done.push(answer));
  newest.forget();
  free();
  await new Promise(setImmediate);
  assert.deepEqual(done, ['c']);
  newest.run(ask('e'), (answer) => done.push(answer));
  free();
  await new Promise(setImmediate);
  assert.deepEqual(done, ['c', 'e'], 'and it goes on afterwards');
});

test('a question that nobody waits for is given up, and a newer one waits for it a little while only', async () => {
  const newest = new Newest();
  const [given, done] = [[], []];
  const ask = (name) => (signal) => new Promise((resolve, reject) => {
    if (name === 'answered') resolve(name);
    signal.addEventListener('abort', () => { given.push(name); reject(new Error('given up')); });
  });
  const run = (name) => newest.run(ask(name), (answer) => done.push(answer), () => done.push('failed'));
  run('put away');
  newest.forget();
  run('slow');
  await new Promise(setImmediate);
  assert.deepEqual(given, ['put away'], 'at once');
  run('answered');
  await new Promise((resolve) => { setTimeout(resolve, 50); });
  assert.deepEqual(done, [], 'it may still come');
  await new Promise((resolve) => { setTimeout(resolve, 600); });
  assert.deepEqual([given, done], [['put away', 'slow'], ['answered']]);
});
