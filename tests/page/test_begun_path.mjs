// A path that is being drawn: what one Undo leads back to, and what waits to be mended.
import { FakeKeep } from './stand_ins.mjs';
import assert from 'node:assert/strict';
import { test } from 'node:test';

const { BegunPath } = await import('../../src/desk/page/begun-path.js');
const { parsePoints } = await import('../../src/desk/page/points.js');

class FakeBook extends EventTarget {
  place = 'V';
  window = 'w';
  keep = new FakeKeep();
  photo = { id: 'p' };
}

function begin(kind, text = '') {
  const path = new BegunPath(new FakeBook(), kind, () => {});
  path.set(parsePoints(text), [null, null]);
  return path;
}

const bare = (points) => points.map(({ x, y }) => ({ x, y }));
const BOW = '0,0 10,10 10,0 0,10';
const SHAPE = { kind: 'area', rings: [parsePoints('50,0 60,0 60,10 50,10')] };
const corner = (i) => ({ ...SHAPE.rings[0][i], shape: SHAPE, mark: '6', number: 6, ring: 0, i });

test('a shared corner is told and freed by one step back; the edge between two of them comes along', () => {
  const path = begin('area', '40,0');
  path.add({ x: 50, y: 0 }, corner(0), { x: 49, y: 1 });
  assert.equal(path.hint, 'It shares a corner with 6; Take back frees it');
  path.add({ x: 60, y: 10 }, corner(2), { x: 61, y: 11 });
  assert.deepEqual(bare(path.points), parsePoints('40,0 50,0 60,0 60,10'));
  assert.equal(path.bringBack(), 'the point is free');
  assert.deepEqual(path.points, parsePoints('40,0 50,0 61,11'));
  assert.equal(path.hasBack, false, 'one step');
});

test('a moved point goes back; a change of the record makes that impossible', () => {
  const path = begin('area', BOW);
  path.isTried = true;
  assert.deepEqual(path.look(null, null).at, { x: 5, y: 5 });
  const mended = parsePoints('0,0 5,-10 10,0 0,10');
  assert.equal(path.look(mended, null), null, 'while it is dragged');
  assert.equal(path.isTried, true, 'and what was tried is not forgotten before it is let go');
  path.move(mended, 1, null);
  assert.equal(path.bringBack(), 'the point is back');
  assert.deepEqual(path.points, parsePoints(BOW));
  path.move(mended, 1, null);
  path.book.dispatchEvent(new Event('history'));
  assert.equal(path.hasBack, false);
});

test('the edge that closes a ring counts once it was to be closed; a line may cross itself', () => {
  const hook = '0,0 10,0 10,10 5,-5';
  assert.equal(begin('line', BOW).look(null, null), null);
  assert.match(begin('area', hook).look(null, null).says, /^The outline crosses itself where the red ring is/);
  const path = begin('area', '0,0 10,0 10,10 5,5 20,5');
  assert.ok(path.look(null, null), 'the last edge crosses the second');
  const open = begin('area', '0,0 10,-5 10,5 20,0'); // back to the first it would cross the edge at x = 10
  assert.equal(open.look(null, null), null, 'the next corner may lead round');
  open.isTried = true;
  assert.deepEqual(open.look(null, null).at, { x: 10, y: 0 });
});

test('what is put away gives way to what waited, and neither is lost', () => {
  const path = begin('hole', '1,1 2,2');
  assert.equal(path.layBack('p', parsePoints(BOW)), false, 'another is being drawn');
  path.putAway();
  assert.equal(path.takeUpRefused(), true);
  assert.match(path.look(null, null).says, /^Not saved: the outline crosses itself/);
  path.bringBack();
  assert.deepEqual(path.points, parsePoints('1,1 2,2'));
  path.set([], [null, null]);
  path.takeUpRefused();
  assert.deepEqual(path.points, parsePoints(BOW));
});

test('what was laid back is thinned only while it lies untouched', () => {
  const path = begin('area');
  const stroke = parsePoints(BOW);
  assert.equal(path.layBack('p', stroke), true);
  path.layThinner('p', stroke, parsePoints('0,0 10,10 0,10'));
  assert.equal(path.n, 3);
  path.layThinner('p', stroke, []);
  assert.equal(path.n, 3);
});
